"""What lies behind a failed part: its possible roots, ranked by the same evidence; asks nothing."""

from __future__ import annotations

import math
from collections.abc import Sequence

from diagnose.reasoning.posterior import Factors, explained_beside, one_more, shared


def root_shares(
    given: Factors, found: Sequence[int], roots: Sequence[int], usual: float
) -> tuple[float, ...]:
    """The chance of each root, in the network's order, with "nothing behind it" last.

    `usual` is the share of failed parts with something behind them, before anything is known. The
    causes already `found` explain what they show; a root gains by what they leave.
    """
    explained = explained_beside(given, found)
    possible = set(roots).difference(found)
    scores = one_more(given, possible, explained)
    whole = math.fsum(scores)
    if not whole:
        return (*scores, 1.0)
    prior = math.fsum(given.weight[c] for c in possible)
    odds = usual / (1 - usual) * whole / prior
    return tuple(shared([*(odds * score / whole for score in scores), 1.0]))

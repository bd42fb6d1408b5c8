"""What lies behind a failed part: its possible roots, ranked by the same evidence; asks nothing."""

from __future__ import annotations

import math
from collections.abc import Sequence

from diagnose.reasoning.posterior import Factors, shared


def root_shares(
    given: Factors, found: Sequence[int], roots: Sequence[int], usual: float
) -> tuple[float, ...]:
    """The chance of each root, in the network's order, with "nothing behind it" last.

    `usual` is the share of failed parts with something behind them, before anything is known. The
    causes already `found` explain what they show; a root gains by what they leave.
    """
    left = [
        1 - (1 - leak) * math.prod(1 - row.get(c, 0.0) for c in found)
        for row, leak in zip(given.explains, given.leak, strict=True)
    ]
    scores = [0.0] * len(given.weight)
    for column in set(roots).difference(found):
        scores[column] = given.weight[column]
        for row, explained in zip(given.explains, left, strict=True):
            scores[column] *= 1 + row.get(column, 0.0) * (1 - explained) / explained
    whole = math.fsum(scores)
    if not whole:
        return (*scores, 1.0)
    prior = math.fsum(given.weight[c] for c in set(roots).difference(found))
    odds = usual / (1 - usual) * whole / prior
    return tuple(shared([*(odds * score / whole for score in scores), 1.0]))

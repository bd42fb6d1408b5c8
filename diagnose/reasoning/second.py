"""What else may be wrong once a cause is taken as found: the second fault; asks nothing itself."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from diagnose.named import Named
from diagnose.reasoning.posterior import Factors, explained_beside, one_more, shared


class Remainder(Named):
    """The evidence seen beside the causes already found.

    `unexplained` are the abnormal findings that neither the found causes nor the background
    account for well, the least explained first. `shares` are the chances of each cause that
    explains one of them, as one more fault, in the network's order, with "nothing more" last.
    """

    shares: tuple[float, ...]
    unexplained: tuple[str, ...]


def complained(given: Factors, told: Collection[str], share: float) -> Factors:
    """The same evidence where the background counts only by this share for what was complained of.

    What a sound engine shows too comes up when it is asked about; hardly anybody brings it as
    trouble.
    """
    leak = [
        one * share if finding in told else one
        for finding, one in zip(given.findings, given.leak, strict=True)
    ]
    return given._replace(leak=leak)


def remainder(given: Factors, found: Sequence[int], usual: float, little: float) -> Remainder:
    """Weigh one more fault beside the found ones, over what they leave unexplained.

    `usual` is the share of engines with one fault that have another; a finding that the found
    causes explain with less than `little` is unexplained.
    """
    left = explained_beside(given, found)
    open_ = sorted((j for j, chance in enumerate(left) if chance < little), key=left.__getitem__)
    suspects = {c for j in open_ for c, e in given.explains[j].items() if e > little}
    scores = one_more(given, suspects.difference(found), left)
    shares = shared([*(usual * score for score in scores), 1.0])
    return Remainder(tuple(shares), tuple(given.findings[j] for j in open_))

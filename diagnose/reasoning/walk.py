"""The walk over the sets of abnormal findings already explained, forward and backward.

A set is a number whose bit j says that finding j is explained; `sets[s]` weighs all ways to get
there. With few findings plain lists are quicker than starting numpy; with many, numpy is. Both do
the same steps, and the tests hold them to the same result.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

from diagnose.named import Named

_MOST_PLAIN = 7  # findings up to which plain lists are used


class Explainer(Named):
    """One cause that explains something: its odds, and (finding, chance) for what it explains."""

    odds: float
    explains: tuple[tuple[int, float], ...]

    @property
    def shares(self) -> tuple[float, float]:
        """The chances that it is not there and that it is, before anything is explained."""
        gone = 1 / (1 + self.odds)
        return gone, self.odds * gone


Walked = tuple[list[float], float]
"""The chance of each cause, and how likely all findings are to be explained at all."""


def chances(causes: Sequence[Explainer], leak: Sequence[float]) -> Walked:
    """The chance that each cause is there, given that all findings are explained."""
    return plain_chances(causes, leak) if len(leak) <= _MOST_PLAIN else quick_chances(causes, leak)


def plain_chances(causes: Sequence[Explainer], leak: Sequence[float]) -> Walked:
    """`chances` in plain lists."""
    before = _plain_forward(causes, leak)
    after = [0.0] * (1 << len(leak))
    after[-1] = 1.0
    total = before[-1][-1]
    out = [0.0] * len(causes)
    for place in range(len(causes) - 1, -1, -1):
        cause = causes[place]
        back = after.copy()
        for j, chance in cause.explains:
            step = 1 << j
            for low in _lows(len(back), step):
                back[low] += chance * (back[low + step] - back[low])
        reached = sum(map(float.__mul__, before[place], back))
        gone, there = cause.shares
        out[place] = there * reached / total
        after = [gone * a + there * b for a, b in zip(after, back, strict=True)]
    return out, total


def _plain_forward(causes: Sequence[Explainer], leak: Sequence[float]) -> list[list[float]]:
    sets = [1.0]
    for share in leak:
        sets = [s * (1 - share) for s in sets] + [s * share for s in sets]
    steps = [sets]
    for cause in causes:
        moved = sets.copy()
        for j, chance in cause.explains:
            step = 1 << j
            for low in _lows(len(moved), step):
                part = moved[low] * chance
                moved[low + step] += part
                moved[low] -= part
        gone, there = cause.shares
        sets = [gone * s + there * m for s, m in zip(sets, moved, strict=True)]
        steps.append(sets)
    return steps


@cache
def _lows(size: int, step: int) -> list[int]:
    """The sets without the finding whose bit is `step`."""
    return [low for low in range(size) if not low & step]


def quick_chances(causes: Sequence[Explainer], leak: Sequence[float]) -> Walked:
    """`chances` in numpy, which is only loaded here."""
    import numpy as np

    before = _quick_forward(causes, leak)
    after = np.zeros(1 << len(leak))
    after[-1] = 1.0
    total = before[-1][-1]
    out = [0.0] * len(causes)
    for place in range(len(causes) - 1, -1, -1):
        cause = causes[place]
        back = after.copy()
        for j, chance in cause.explains:
            view = back.reshape(-1, 2, 1 << j)
            view[:, 0] += chance * (view[:, 1] - view[:, 0])
        gone, there = cause.shares
        out[place] = float(there * (before[place] @ back) / total)
        after = gone * after + there * back
    return out, float(total)


def _quick_forward(causes: Sequence[Explainer], leak: Sequence[float]) -> list[Any]:
    import numpy as np

    sets = np.ones(1)
    for share in leak:
        sets = np.concatenate([sets * (1 - share), sets * share])
    steps = [sets]
    for cause in causes:
        moved = sets.copy()
        for j, chance in cause.explains:
            view = moved.reshape(-1, 2, 1 << j)
            part = view[:, 0] * chance
            view[:, 1] += part
            view[:, 0] -= part
        gone, there = cause.shares
        sets = gone * sets + there * moved
        steps.append(sets)
    return steps

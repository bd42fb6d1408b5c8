"""The least expected minutes to a cured engine, exactly: dynamic programming over everything seen.

A state is the answers seen so far, the repairs that failed, and the covers that are open. Values
are left unnormalised (multiplied with the chance of getting there), so that the sum over answers
and the loss of a failed cause are both plain additions.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import product
from typing import Any, NamedTuple

import numpy as np

from .engines import Engine

_OUTSIDE = 1  # the bit of the place that is always open


class _Answered(NamedTuple):
    """All states in which the same number of checks were answered; rows of the arrays below."""

    answers: Any
    joint: Any
    weight: Any


def optimum(engine: Engine) -> float:
    """Expected minutes of the best way there is of looking and repairing."""
    states = np.array(list(product(*(range(len(table) + 1) for table in engine.chances))))
    count = (states > 0).sum(axis=1)
    levels = [_answered(engine, states[count == n]) for n in range(len(engine.chances) + 1)]
    value: dict[int, list[Any]] = {}
    for opened in reversed(range(1 << len(engine.cover_minutes))):
        if opened & _OUTSIDE:
            value[opened] = [np.zeros(0)] * len(levels)
            for n in reversed(range(len(levels))):
                value[opened][n] = _best(engine, opened, (levels, n), value)
    return float(value[_OUTSIDE][0][0, -1])


def _answered(engine: Engine, answers: Any) -> _Answered:
    joint = np.tile(engine.prior, (len(answers), 1))
    for check, table in enumerate(engine.chances):
        seen = np.vstack([np.ones(engine.repairs + 1), table])
        joint *= seen[answers[:, check]]
    weight = joint[:, :-1] @ _subsets(engine.repairs).T + joint[:, -1:]
    return _Answered(answers, joint, weight)


def _best(
    engine: Engine, opened: int, at: tuple[list[_Answered], int], value: dict[int, list[Any]]
) -> Any:
    """Least minutes for each state of a level (rows) and each set of causes left (columns)."""
    levels, n = at
    here = levels[n]
    best = here.weight * engine.help_minutes
    for check, cost, after in _checks(engine, opened):
        rows = np.flatnonzero(here.answers[:, check] == 0)
        if not len(rows):
            continue
        spent = here.weight[rows] * cost
        for answer in range(1, len(engine.chances[check]) + 1):
            answers = here.answers[rows].copy()
            answers[:, check] = answer
            spent += value[after][n + 1][_rows(engine, levels[n + 1].answers, answers)]
        best[rows] = np.minimum(best[rows], spent)
    _repair(engine, opened, (here, n, best), value)
    return best


def _rows(engine: Engine, known: Any, wanted: Any) -> Any:
    """Where the wanted states stand among the known ones, which are in order."""
    base = [1]
    for table in reversed(engine.chances):
        base.insert(0, base[0] * (len(table) + 1))
    digits = np.array(base[1:])
    return np.searchsorted(known @ digits, wanted @ digits)


def _checks(engine: Engine, opened: int) -> Iterator[tuple[int, float, int]]:
    for check, cover in enumerate(engine.check_cover):
        reach = 0.0 if opened >> cover & 1 else engine.cover_minutes[cover]
        yield check, float(engine.check_minutes[check]) + reach, opened | 1 << cover


def _repair(
    engine: Engine, opened: int, state: tuple[_Answered, int, Any], value: dict[int, list[Any]]
) -> None:
    """Let the best next repair lower `best`, smallest sets of causes first."""
    here, n, best = state
    for sets in _by_size(engine.repairs)[1:]:
        for cause, cover in enumerate(engine.repair_cover):
            reach = 0.0 if opened >> cover & 1 else engine.cover_minutes[cover]
            with_it = sets[(sets >> cause & 1).astype(bool)]
            after = value[opened | 1 << cover][n] if reach else best
            cost = here.weight[:, with_it] * (float(engine.repair_minutes[cause]) + reach)
            cost += (here.weight[:, with_it] - here.joint[:, [cause]]) * engine.undo_minutes
            cost += after[:, with_it ^ (1 << cause)]
            best[:, with_it] = np.minimum(best[:, with_it], cost)


@cache
def _subsets(count: int) -> Any:
    return (np.arange(1 << count)[:, None] >> np.arange(count) & 1).astype(float)


@cache
def _by_size(count: int) -> list[Any]:
    """The sets of causes in groups of one size, the empty set first."""
    sizes = _subsets(count).sum(axis=1)
    return [np.flatnonzero(sizes == size) for size in range(count + 1)]

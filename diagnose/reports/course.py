"""How the causes rose and fell: the ranking after each turn that told something."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.cases.assess import Workbench
from diagnose.cases.log import CaseLog, Statement
from diagnose.named import Named
from diagnose.reasoning.ranking import Ranking

_MOST_CAUSES = 5
_MOST_STEPS = 12  # a longer case is shown in as many steps, the last ones among them
_LEAST = 0.02
Step = tuple[int, Sequence[Statement]]


class Line(Named):
    """One cause with its probability after each step."""

    id: str
    title: str
    ps: tuple[float, ...]


class Course(Named):
    """The turns shown, the causes over them, and who led from which turn on."""

    turns: tuple[int, ...]
    causes: tuple[Line, ...]
    leads: tuple[tuple[int, str, float], ...]


def course_of(bench: Workbench, steps: Sequence[Step], last: Ranking, least: int = 3) -> Course:
    """The course of a case: those that led, and at least so many of the last.

    A step is a turn with all the statements up to it; what they come to after the last is known.
    """
    if not steps:
        return Course((), (), ())
    shown = _thinned(steps)
    turns = [turn for turn, _ in shown]
    rankings = [*(bench.ranked(CaseLog(told).standing()) for _, told in shown[:-1]), last]
    leaders = [r.ranked[0].cause for r in rankings if r.ranked]
    high = [r.cause for r in last.ranked[:least] if r.p > _LEAST]
    wanted = list(dict.fromkeys([*high, *reversed(leaders)]))[:_MOST_CAUSES]
    titles = {c: bench.knowledge.causes[c].title for c in {*wanted, *leaders}}
    lines = [Line(c, titles[c], tuple(r.p(c) for r in rankings)) for c in wanted]
    leads: list[tuple[int, str, float]] = []
    for turn, ranking in zip(turns, rankings, strict=True):
        first = ranking.ranked[0] if ranking.ranked else None
        if first and (not leads or leads[-1][1] != titles[first.cause]):
            leads.append((turn, titles[first.cause], first.p))
    return Course(tuple(turns), tuple(lines), tuple(leads))


def _thinned(steps: Sequence[Step]) -> list[Step]:
    if len(steps) <= _MOST_STEPS:
        return list(steps)
    apart = (len(steps) - 1) / (_MOST_STEPS - 1)
    return [steps[round(n * apart)] for n in range(_MOST_STEPS)]

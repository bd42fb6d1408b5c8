"""What the record says of a learner: which levels are open, what is weak, what comes next."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from random import Random
from statistics import median
from typing import Any

from diagnose.cases.assess import Workbench
from diagnose.named import Named
from diagnose.practice.debrief import lesson_for
from diagnose.practice.drawing import system_of
from diagnose.practice.scenario import HIGHEST

Results = Sequence[Mapping[str, Any]]
_LOOKED_AT, _ENOUGH, _LITTLE = 5, 3, 60.0  # of the last five, three solved with under an hour lost
_RECENT = 20
_MOST_WEAK = 2
_TO_WEAK, _TO_LESSON = 0.6, 0.25  # how often what is weak is drawn on purpose
_SEEDS_TRIED = 40


class Summary(Named):
    """A record in figures; the weak ones worst first."""

    done: int
    solved: int
    open_level: int
    median_lost: float | None
    brier: float | None
    weak_systems: tuple[str, ...]
    weak_ideas: tuple[str, ...]
    lost: tuple[float, ...]


def summary(found: Results) -> Summary:
    """The record of one learner."""
    lost = tuple(float(r["lost"]) for r in found)
    briers = [float(r["brier"]) for r in found if r.get("brier") is not None]
    return Summary(
        done=len(found),
        solved=sum(bool(r.get("solved")) for r in found),
        open_level=open_level(found),
        median_lost=median(lost) if lost else None,
        brier=sum(briers) / len(briers) if briers else None,
        weak_systems=weak_systems(found),
        weak_ideas=weak_ideas(found),
        lost=lost,
    )


def open_level(found: Results) -> int:
    """The highest level that is open: the next opens once the one below is mastered."""
    level = 1
    while level < HIGHEST and _is_mastered([r for r in found if r.get("level") == level]):
        level += 1
    return level


def _is_mastered(found: Results) -> bool:
    last = found[-_LOOKED_AT:]
    good = [r for r in last if r.get("solved") and r["lost"] <= _LITTLE and not r.get("dangers")]
    return len(good) >= _ENOUGH


def weak_systems(found: Results) -> tuple[str, ...]:
    """The systems in which most minutes are lost, one exercise elsewhere counting as average."""
    recent = found[-_RECENT:]
    if not recent:
        return ()
    mean = sum(float(r["lost"]) for r in recent) / len(recent)
    by_system: dict[str, list[float]] = {}
    for one in recent:
        by_system.setdefault(str(one.get("system", "")), []).append(float(one["lost"]))
    drawn = {s: (sum(v) + mean) / (len(v) + 1) for s, v in by_system.items() if s}
    worse = sorted((s for s in drawn if drawn[s] > mean), key=lambda s: (-drawn[s], s))
    return tuple(worse[:_MOST_WEAK])


def weak_ideas(found: Results) -> tuple[str, ...]:
    """The ideas most often missed of late."""
    missed = Counter(str(r["idea"]) for r in found[-_RECENT:] if r.get("idea"))
    return tuple(idea for idea, _ in missed.most_common(_MOST_WEAK))


def next_exercise(bench: Workbench, found: Results, level: int, chance: Random) -> dict[str, Any]:
    """What to play next: what is weak comes more often, a lesson where an idea was missed."""
    lessons = [lesson_for(bench.knowledge, idea) for idea in weak_ideas(found)]
    played = {r.get("key") for r in found}
    fresh = [one for one in lessons if one and one not in played]
    if fresh and chance.random() < _TO_LESSON:
        return {"lesson": fresh[0]}
    return next_drawn(bench, found, level, chance)


def next_drawn(bench: Workbench, found: Results, level: int, chance: Random) -> dict[str, Any]:
    """A drawn engine of a level; the systems that are weak come more often."""
    weak = weak_systems(found)
    seeds = [chance.randrange(10**6) for _ in range(_SEEDS_TRIED)]
    if weak and chance.random() < _TO_WEAK:
        fitting = (s for s in seeds if system_of(bench, s, level) in weak)
        return {"seed": next(fitting, seeds[0]), "level": level}
    return {"seed": seeds[0], "level": level}

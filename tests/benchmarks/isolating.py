"""B5: minutes and steps to a cured engine on engines as large as the rule base, by simulated cases.

Every way plays the same cases and gets the same answers. A case starts with three signs that show
and three that do not.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

from .engines import Engine, large_engine
from .policies import Seen, asked_next, bits
from .tables import Table

_SIGNS, _GIVEN = 200, 3
_USUAL = (
    0.01,
    0.08,
)  # how often a sign shows under causes it says nothing of: 2 to 3 bits are left


class Case(NamedTuple):
    """One hidden fault: what is known at first, and the answer every check will give."""

    fault: int
    joint: Any
    answers: tuple[int, ...]


class Played(NamedTuple):
    """What one case cost: `steps` until the true cause was held .9 likely."""

    minutes: float
    checks: int
    repairs: int
    steps: int


Choose = Callable[[Engine, Seen], int | None]
"""The check to do next; None to repair."""


def cases_of(engine: Engine, seed: int, count: int) -> list[Case]:
    """Cases drawn from the engine's own chances."""
    rng = np.random.default_rng(seed)
    causes = engine.repairs
    usual = rng.uniform(*_USUAL, (_SIGNS, 1))
    spoken = rng.random((_SIGNS, causes)) < 0.15
    shows = np.where(spoken, rng.uniform(0.3, 0.95, (_SIGNS, causes)), usual)
    return [_case(engine, shows, rng) for _ in range(count)]


def _case(engine: Engine, shows: Any, rng: Any) -> Case:
    fault = int(rng.choice(engine.repairs, p=engine.prior[:-1]))
    seen = rng.random(_SIGNS) < shows[:, fault]
    joint = engine.prior[:-1].copy()
    for wanted, chance in ((True, shows), (False, 1 - shows)):
        there = np.flatnonzero(seen == wanted)
        for sign in rng.choice(there, min(_GIVEN, len(there)), replace=False):
            joint *= chance[sign]
    answers = tuple(int(rng.choice(len(t), p=t[:, fault])) for t in engine.chances)
    return Case(fault, np.append(joint / joint.sum(), 0.0), answers)


def play(engine: Engine, case: Case, choose: Choose) -> Played:
    """Ask and repair until the fault is cured."""
    seen = Seen(case.joint, frozenset(), frozenset((0,)))
    minutes, repairs, steps = 0.0, 0, -1
    while True:
        if steps < 0 and seen.joint[case.fault] >= 0.9 * seen.joint.sum():
            steps = len(seen.asked)
        check = choose(engine, seen)
        if check is not None:
            minutes += engine.check_minutes[check]
            row = engine.chances[check][case.answers[check]]
            seen = Seen(seen.joint * row, seen.asked | {check}, seen.opened)
            continue
        cause = int(np.argmax(seen.joint[:-1] / engine.repair_minutes))
        minutes += engine.repair_minutes[cause]
        repairs += 1
        if cause == case.fault:
            asked = len(seen.asked)
            return Played(minutes, asked, repairs, asked + repairs if steps < 0 else steps)
        left = seen.joint.copy()
        left[cause] = 0.0
        seen = Seen(left, seen.asked, seen.opened)


def in_order(order: Any, enough: float = 0.9) -> Choose:
    """Checks in a fixed order until one cause is this likely."""

    def choose(engine: Engine, seen: Seen) -> int | None:
        if seen.joint.max() >= enough * seen.joint.sum():
            return None
        return next((int(a) for a in order if int(a) not in seen.asked), None)

    return choose


def ways(engine: Engine, seed: int) -> dict[str, Choose]:
    """All ways that are compared."""
    told = [bits(engine, engine.prior, a) for a in range(len(engine.chances))]
    rate = np.array(told) / engine.check_minutes
    shuffled = np.random.default_rng(seed).permutation(len(rate))
    return {
        "planner": asked_next(engine),
        "best static flowchart": in_order(np.argsort(-rate)),
        "quick first": in_order(np.argsort(engine.check_minutes)),
        "random order": in_order(shuffled),
        "repairs only": lambda engine, seen: None,
    }


def table(models: int = 5, each: int = 80) -> Table:
    """Every way over the same cases."""
    found: dict[str, list[Played]] = {}
    direct = []
    for model in range(models):
        engine = large_engine(model)
        cases = cases_of(engine, model, each)
        direct += [float(engine.repair_minutes[case.fault]) for case in cases]
        for way, choose in ways(engine, model).items():
            found.setdefault(way, []).extend(play(engine, case, choose) for case in cases)
    mean = {way: float(np.mean([p.minutes for p in played])) for way, played in found.items()}
    rows = [
        (
            way,
            mean[way],
            mean[way] / float(np.mean(direct)),
            mean[way] / mean["best static flowchart"],
            mean[way] / mean["random order"],
            float(np.mean([p.steps for p in played])),
            float(np.mean([p.checks for p in played])),
            float(np.mean([p.repairs for p in played])),
            float(np.mean([p.repairs == 1 for p in played])),
        )
        for way, played in found.items()
    ]
    columns = (
        "way", "minutes", "/ direct", "/ flowchart", "/ random", "steps", "checks", "repairs",
        "first right",
    )  # fmt: skip
    return Table(f"B5 minutes to cured, {len(direct)} cases, 100 causes, 80 checks", columns, rows)

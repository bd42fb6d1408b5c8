"""Ways of getting an engine cured, and what each costs on a small engine, exactly."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

from diagnose.reasoning.planning import Situation, plan

from .engines import Engine, knowledge_of, tables_of

_NOTHING = 1e-13


class Seen(NamedTuple):
    """Where a case stands: `joint` are the chances of each cause together with all answers."""

    joint: Any
    asked: frozenset[int]
    opened: frozenset[int]


HELP = -1
Policy = Callable[[Engine, Seen], tuple[str, int]]
"""Says what is done next: ("check", number) or ("repair", number; HELP hands the engine on)."""


def minutes_of(engine: Engine, policy: Policy) -> float:
    """Expected minutes to cured, over all answers there can be."""
    return _minutes(engine, policy, Seen(engine.prior, frozenset(), frozenset((0,))))


def _minutes(engine: Engine, policy: Policy, seen: Seen) -> float:
    weight = float(seen.joint.sum())
    if weight < _NOTHING:
        return 0.0
    what, number = policy(engine, seen)
    if what == "repair" and number == HELP:
        return weight * engine.help_minutes
    cover = (engine.check_cover if what == "check" else engine.repair_cover)[number]
    reach = 0.0 if cover in seen.opened else engine.cover_minutes[cover]
    opened = seen.opened | {cover}
    if what == "check":
        cost = weight * (engine.check_minutes[number] + reach)
        asked = seen.asked | {number}
        rows = engine.chances[number]
        return cost + sum(
            _minutes(engine, policy, Seen(seen.joint * row, asked, opened)) for row in rows
        )
    left = seen.joint.copy()
    left[number] = 0.0
    cost = weight * (engine.repair_minutes[number] + reach)
    cost += float(left.sum()) * engine.undo_minutes
    return cost + _minutes(engine, policy, Seen(left, seen.asked, opened))


def planner(engine: Engine) -> Policy:
    """The shipped planner; where it asks no more, the repair with the best chance per minute."""
    choose = asked_next(engine)

    def decide(engine: Engine, seen: Seen) -> tuple[str, int]:
        asked = choose(engine, seen)
        return best_repair(engine, seen) if asked is None else ("check", asked)

    return decide


def asked_next(engine: Engine) -> Callable[[Engine, Seen], int | None]:
    """The check the shipped planner asks for next, or None."""
    knowledge, tables = knowledge_of(engine), tables_of(engine)

    def choose(_: Engine, seen: Seen) -> int | None:
        situation = Situation(
            frozenset(f"cover{n}" for n in seen.opened),
            frozenset(f"check{a}" for a in seen.asked),
            True,
            (),
        )
        shares = seen.joint / seen.joint.sum()
        step = plan(knowledge, tables, (*shares.tolist(), 0.0), situation)
        return None if step is None else int(step.check.removeprefix("check"))

    return choose


def best_repair(engine: Engine, seen: Seen) -> tuple[str, int]:
    """The repair with the best chance per minute, the minutes of opening up shared by a cover."""
    best, rate = HELP, float(seen.joint.sum()) / engine.help_minutes
    for cover in range(len(engine.cover_minutes)):
        at = [c for c in range(engine.repairs) if engine.repair_cover[c] == cover]
        minutes = engine.repair_minutes + engine.undo_minutes
        at.sort(key=lambda c: -seen.joint[c] / minutes[c])
        spent = 0.0 if cover in seen.opened else engine.cover_minutes[cover]
        cured = 0.0
        for cause in at:
            spent += minutes[cause]
            cured += seen.joint[cause]
            if cured / spent > rate:
                best, rate = at[0], cured / spent
    return "repair", best


def repairs_only(engine: Engine, seen: Seen) -> tuple[str, int]:
    """Never looks."""
    return best_repair(engine, seen)


def threshold(engine: Engine, seen: Seen, enough: float = 0.9) -> tuple[str, int]:
    """Information per minute until one cause is this likely."""
    shares = seen.joint / seen.joint.sum()
    open_ = [a for a in range(len(engine.chances)) if a not in seen.asked]
    if not open_ or shares.max() >= enough:
        return best_repair(engine, seen)
    rates = [bits(engine, shares, a) / _cost(engine, seen, a) for a in open_]
    return "check", open_[int(np.argmax(rates))]


def quick_first(engine: Engine, seen: Seen) -> tuple[str, int]:
    """A fixed list, quick checks first, until one cause is .95 likely."""
    open_ = [a for a in np.argsort(engine.check_minutes) if a not in seen.asked]
    if not open_ or (seen.joint / seen.joint.sum()).max() >= 0.95:
        return best_repair(engine, seen)
    return "check", int(open_[0])


def bits(engine: Engine, shares: Any, check: int) -> float:
    """What a check is expected to tell about the cause."""
    joint = engine.chances[check] * shares
    return _entropy(joint.sum(axis=1)) + _entropy(shares) - _entropy(joint)


def _entropy(shares: Any) -> float:
    some = shares[shares > 0]
    return float(-(some * np.log2(some)).sum())


def _cost(engine: Engine, seen: Seen, check: int) -> float:
    cover = engine.check_cover[check]
    reach = 0.0 if cover in seen.opened else engine.cover_minutes[cover]
    return float(engine.check_minutes[check]) + reach

"""Made-up engines for the planner: causes, checks, covers, and the chance of every answer.

An engine is drawn as plain arrays; `knowledge_of` and `tables_of` dress it as a rule base, so the
planner that is measured is the one that is shipped.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from diagnose.knowledge.model import (
    Access,
    Cause,
    Check,
    Confirmation,
    HowCommon,
    Knowledge,
    Repair,
    Sign,
    Words,
)
from diagnose.reasoning.tables import Tables, answer

FAMILIES = ("even", "skewed", "sparse")


class Engine(NamedTuple):
    """One engine with one fault.

    `chances[a][o, c]` is the chance of answer o to check a with cause c. Covers are numbered from
    1; 0 is the outside. The last of `prior` is a cause no repair fits, cured by help alone.
    """

    prior: Any
    chances: tuple[Any, ...]
    check_minutes: Any
    repair_minutes: Any
    check_cover: tuple[int, ...]
    repair_cover: tuple[int, ...]
    cover_minutes: tuple[float, ...]
    help_minutes: float = 1e6
    undo_minutes: float = 0.0

    @property
    def repairs(self) -> int:
        """How many repairs there are; each cures one cause."""
        return len(self.repair_minutes)


def small_engine(seed: int, family: str, covers: int = 0, helped: bool = False) -> Engine:
    """4 to 8 causes and 3 to 6 checks: small enough for the exact optimum."""
    rng = np.random.default_rng([seed, FAMILIES.index(family), covers, helped])
    count, checks = int(rng.integers(4, 9)), int(rng.integers(3, 7))
    prior = rng.dirichlet(np.full(count + helped, 0.5 if family == "skewed" else 1.5))
    if not helped:
        prior = np.append(prior, 0.0)
    chances = tuple(_chances(rng, family, count + 1) for _ in range(checks))
    return Engine(
        prior,
        chances,
        _between(rng, 1, 60, checks),
        _between(rng, 5, 480, count),
        tuple(int(x) for x in rng.integers(0, covers + 1, checks)),
        tuple(int(x) for x in rng.integers(0, covers + 1, count)),
        (0.0, *(float(x) for x in _between(rng, 20, 180, covers))),
        600.0 if helped else 1e6,
        45.0 if helped else 0.0,
    )


def large_engine(seed: int, causes: int = 100, checks: int = 80) -> Engine:
    """As many causes and checks as a rule base of the trade has."""
    rng = np.random.default_rng([seed, causes, checks])
    prior = rng.lognormal(0.0, 1.2, causes)
    chances = tuple(_chances(rng, "sparse", causes + 1) for _ in range(checks))
    return Engine(
        np.append(prior / prior.sum(), 0.0),
        chances,
        _between(rng, 1, 60, checks),
        _between(rng, 5, 480, causes),
        (0,) * checks,
        (0,) * causes,
        (0.0,),
        600.0,
    )


def _between(rng: Any, low: float, high: float, count: int) -> Any:
    """Minutes spread evenly over the orders of magnitude."""
    return np.exp(rng.uniform(np.log(low), np.log(high), count))


def _chances(rng: Any, family: str, causes: int) -> Any:
    """Chances of 2 or 3 (large engines: up to 4) answers under each cause."""
    answers = int(rng.integers(2, 5 if causes > 20 else 4))
    if family == "even":
        return rng.dirichlet(np.full(answers, 0.6), causes).T
    if family == "skewed":
        table = np.full((answers, causes), 0.05 / (answers - 1))
        table[rng.integers(0, answers, causes), np.arange(causes)] = 0.95
        return table
    quiet = rng.dirichlet(np.full(answers, 0.3)) * 0.9 + 0.1 / answers
    table = np.tile(quiet[:, None], causes)
    spoken = rng.random(causes) < (0.12 if causes > 20 else 0.4)
    table[:, spoken] = rng.dirichlet(np.full(answers, 0.4), int(spoken.sum())).T
    return np.maximum(table, 1e-3) / np.maximum(table, 1e-3).sum(axis=0)


def knowledge_of(engine: Engine) -> Knowledge:
    """The engine dressed as a rule base."""
    names = [f"check{a}" for a in range(len(engine.chances))]
    covers = [f"cover{n}" for n in range(len(engine.cover_minutes))]
    checks = {
        name: Check(
            name, name, "made_up", (name,), covers[cover], float(minutes),
            ("gauge",), (), "", "", 0.0, "memory",
        )
        for name, cover, minutes in zip(
            names, engine.check_cover, engine.check_minutes, strict=True
        )
    }  # fmt: skip
    causes = {
        f"cause{c}": _cause(
            f"cause{c}", Repair(covers[cover], float(minutes), "memory"), _spoken(engine, c)
        )
        for c, (cover, minutes) in enumerate(
            zip(engine.repair_cover, engine.repair_minutes, strict=True)
        )
    }
    access = {
        key: Access(key, key, minutes, 0.0, False, "memory")
        for key, minutes in zip(covers, engine.cover_minutes, strict=True)
    }
    settings = {
        "undo_minutes": engine.undo_minutes,
        "call_for_help_minutes": engine.help_minutes,
    }
    words = Words({}, {}, {}, {}, settings, {})
    return Knowledge(
        {}, checks, causes, access, {}, {}, {}, {}, words, {name: name for name in names}
    )


def tables_of(engine: Engine) -> Tables:
    """The chances of every answer, as the planner wants them."""
    out = {}
    for a, table in enumerate(engine.chances):
        usual = table[:, -1] if engine.prior[-1] else np.full(len(table), 1 / len(table))
        out[f"check{a}"] = tuple(
            answer(
                f"answer{o}",
                float(usual[o]),
                {c: float(row[c]) for c in range(engine.repairs)},
            )
            for o, row in enumerate(table)
        )
    return out


def _spoken(engine: Engine, cause: int) -> list[str]:
    """The checks that say something of a cause."""
    return [
        f"check{a}"
        for a, table in enumerate(engine.chances)
        if not np.array_equal(table[:, cause], table[:, -1])
    ]


def _cause(key: str, repair: Repair, shown: list[str]) -> Cause:
    common = HowCommon("seldom", "seldom", "memory")
    signs = tuple(Sign(finding, "", "", "", "memory") for finding in shown)
    return Cause(key, "", key, (), common, signs, Confirmation("", "", ""), "", repair, (), "")

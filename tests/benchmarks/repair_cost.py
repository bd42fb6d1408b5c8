"""B1: expected minutes to a cured engine, as a ratio to the exact optimum."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from .engines import FAMILIES, Engine, small_engine
from .optimum import optimum
from .policies import Policy, minutes_of, planner, quick_first, repairs_only, threshold
from .tables import Table

WAYS: Mapping[str, Callable[[Engine], Policy]] = {
    "planner": planner,
    "repairs only": lambda _: repairs_only,
    "information, act at .90": lambda _: threshold,
    "fixed list, quick first": lambda _: quick_first,
}


def plain_engines(each: int) -> list[Engine]:
    """The frozen set: so many of each family, everything open."""
    return [small_engine(seed, family) for family in FAMILIES for seed in range(each)]


def covered_engines(count: int) -> list[Engine]:
    """Two covers of 20 to 180 minutes."""
    return [small_engine(seed, FAMILIES[seed % 3], covers=2) for seed in range(count)]


def helped_engines(count: int) -> list[Engine]:
    """With a cause that only help cures, help at 600 minutes, 45 lost on a repair in vain."""
    return [small_engine(seed, FAMILIES[seed % 3], helped=True) for seed in range(count)]


def table(
    each: int = 200, others: int = 100, ways: Mapping[str, Callable[[Engine], Policy]] = WAYS
) -> Table:
    """Every way on every set."""
    sets = {
        "plain": plain_engines(each),
        "covers": covered_engines(others),
        "help": helped_engines(others),
    }
    rows = []
    for name, engines in sets.items():
        best = [optimum(engine) for engine in engines]
        for way, policy in ways.items():
            spent = [minutes_of(engine, policy(engine)) for engine in engines]
            rows.append((f"{name}: {way}", *_summary(np.array(spent) / np.array(best))))
    columns = ("set and way", "mean", "p95", "worst", "within .05", "least")
    return Table("B1 expected minutes / exact optimum", columns, rows)


def _summary(ratios: np.ndarray) -> tuple[float, ...]:
    return (
        float(ratios.mean()),
        float(np.quantile(ratios, 0.95)),
        float(ratios.max()),
        float((ratios <= 1.05).mean()),
        float(ratios.min()),
    )

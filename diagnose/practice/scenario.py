"""One engine to practise on, as records: what is wrong, what every look would find, what is told.

Everything is settled before the first word, so no answer depends on the order of asking.
"""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.knowledge.model import NOTHING, EngineSheet, Lesson
from diagnose.named import Named

HIGHEST = 5


class Level(Named):
    """How hard an engine is: faults, what the opening tells, and how far answers can be trusted.

    `misread` multiplies the usual share of misread answers, `spread` the doubt of the gauge;
    `guess` is the chance that the customer has an idea of their own, `apart` that something is open
    already, `root` that something lies behind the fault.
    """

    number: int
    faults: int
    told: int
    opening: str
    misread: float
    spread: float
    guess: float
    missing: int
    apart: float
    root: float


LEVELS = {
    1: Level(1, 1, 3, "clear", 0.0, 0.5, 0.0, 0, 0.0, 0.0),
    2: Level(2, 1, 2, "plain", 0.0, 1.0, 0.0, 0, 0.2, 0.0),
    3: Level(3, 1, 2, "plain", 1.0, 1.0, 0.4, 1, 0.2, 0.5),
    4: Level(4, 2, 2, "plain", 1.0, 1.0, 0.4, 1, 0.3, 0.5),
    5: Level(5, 2, 2, "misleading", 1.5, 1.0, 0.7, 2, 0.3, 0.3),
}


class Scenario(Named):
    """A hidden fault and its engine.

    `truth` is the state of every finding, `values` the true figure of every reading in the unit of
    its finding. `known` is what is told at the start (which may be mistaken), `words` the same as
    the customer says it. `misreads` is what a first look wrongly seems to show. What was done not
    as it must be is put right as soon as it is looked at where `put_right` says so; until then
    `before` holds the figures of the readings that hang on it.
    """

    key: str
    level: Level
    seed: str
    faults: tuple[str, ...]
    root: str | None
    sheet: EngineSheet | None
    truth: Mapping[str, str]
    values: Mapping[str, float]
    known: tuple[tuple[str, str], ...]
    words: tuple[str, ...]
    guess: str | None = None
    open: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    misreads: Mapping[str, str] = NOTHING
    put_right: Mapping[str, str] = NOTHING
    before: Mapping[str, tuple[float, str]] = {}
    lesson: Lesson | None = None

    @property
    def felt(self) -> tuple[str, ...]:
        """The faults that must be found; what lies behind them is asked for apart."""
        return tuple(f for f in self.faults if f != self.root) or self.faults


def step_of(u: float) -> float:
    """The smallest division of a gauge whose standard uncertainty is `u`: 1, 2 or 5 and noughts."""
    size = 1.0
    while size > u > 0:
        size /= 10
    while size * 10 <= u:
        size *= 10
    return next((size * n for n in (5, 2, 1) if size * n <= u), size)

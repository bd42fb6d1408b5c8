"""The state of a case, recomputed from its log: what is known, judged, open and out of reach."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from diagnose.cases.log import Statement
from diagnose.knowledge.model import Band, EngineSheet, Finding, Knowledge, Limit
from diagnose.measuring.units import convert
from diagnose.measuring.verdict import Verdict, gauge_doubt, judge
from diagnose.named import Named
from diagnose.reasoning.ranking import Talk

_AGREES = 3.0  # standard uncertainties between a measured play and the sum of its parts
_RECTANGLE = math.sqrt(12)  # of a range of readings: JCGM 100:2008, 4.3.7
_SHUT = ("running", "cranking")  # an engine that was run then is not running now


class Judged(Named):
    """One reading against its band: value and band in `unit`, verdict, and where the band is from.

    `possible` is False for a number that can't be such a reading.
    """

    statement: Statement
    value: float
    unit: str
    u: float
    low: float | None
    high: float | None
    target: tuple[float, float] | None
    source: str
    verdict: Verdict
    possible: bool

    @property
    def has_band(self) -> bool:
        """Whether there is anything to judge it by; without, it only counts in a sum."""
        return self.low is not None or self.high is not None


class CaseState:
    """Everything that stands in the log, last word wins."""

    def __init__(self) -> None:
        self.states: dict[str, str] = {}
        self.fitted: dict[str, str] = {}
        self.judged: dict[str, Judged] = {}
        self.set_aside: set[str] = set()
        self.cannot: set[str] = set()
        self.dont_know: set[str] = set()
        self.asked: list[tuple[str, str | None]] = []
        self.open: set[str] = set()
        self.guesses: list[str] = []
        self.talked: dict[int, dict[str, float]] = {}
        self.likened: dict[int, dict[str, float]] = {}
        self.told_in: dict[str, int] = {}
        self.in_passing: set[str] = set()
        self.units: dict[str, str] = {}
        self.gauges: dict[str, tuple[float, str]] = {}

    @property
    def known(self) -> Mapping[str, str]:
        """The state of every finding said, fitted or judged."""
        judged = {f: j.verdict.state for f, j in self.judged.items() if j.possible}
        return {**self.fitted, **judged, **self.states}

    @property
    def told(self) -> Mapping[str, str]:
        """The states told in words or given by the engine sheet."""
        return {**self.fitted, **self.states}

    @property
    def volunteered(self) -> set[str]:
        """What was told in words, unasked: what somebody complains of."""
        return self.states.keys() - {finding for finding, _ in self.asked}

    @property
    def talk(self) -> Talk:
        """How near the words of any turn came to the causes; they tire with what is told later.

        Only the first message is likened to counted ones, which are such: an answer is none.
        """
        near: dict[str, float] = {}
        fresh: dict[str, float] = {}
        for turn, causes in self.talked.items():
            looks = self._looks_since(turn)
            for cause, value in causes.items():
                near[cause] = max(near.get(cause, 0.0), value)
                fresh[cause] = max(fresh.get(cause, 0.0), value / looks)
        first = min(self.likened, default=0)
        share = 1 / self._looks_since(first)
        alike = {cause: value * share for cause, value in self.likened.get(first, {}).items()}
        return Talk(near, fresh, alike, share)

    def _looks_since(self, turn: int) -> int:
        return 1 + sum(told > turn for told in self.told_in.values())

    def doubts(self, misheard: float) -> Mapping[str, float]:
        """The chance that each finding heard in passing was misheard, `misheard` in a long message.

        A few words are heard well: there is less doubt the less subject the words have. What was
        taken is shown, and can be put right: every later turn that tells something and lets it
        stand makes it as much less likely again.
        """
        turns = set(self.told_in.values())
        return {
            finding: misheard ** (1 + sum(t > turn for t in turns))
            * min(max(near.values()), 1.0) ** 2
            for finding in self.in_passing
            if (near := self.talked.get(turn := self.told_in[finding]))
        }

    @property
    def usable(self) -> Mapping[str, Judged]:
        """The readings that may count: possible, and not set aside."""
        held = self.set_aside
        return {f: j for f, j in self.judged.items() if j.possible and f not in held}


def recompute(
    knowledge: Knowledge, sheet: EngineSheet | None, statements: Iterable[Statement]
) -> CaseState:
    """Fold the standing statements into a state."""
    state = CaseState()
    if sheet:
        state.fitted = {part.finding: part.state for part in sheet.fitted}
    for statement in statements:
        _fold(knowledge, sheet, state, statement)
    return state


def limit_of(finding: Finding, sheet: EngineSheet | None) -> Limit | Band | None:
    """The sheet's limit for a reading, else the band of most such engines."""
    return (sheet.limit(finding.id) if sheet else None) or finding.usual


def _fold(
    knowledge: Knowledge, sheet: EngineSheet | None, state: CaseState, statement: Statement
) -> None:
    name = statement.name
    if statement.kind in ("said", "measured"):
        _learn(knowledge, sheet, state, statement)
    elif statement.kind == "set_aside":
        state.set_aside.add(name)
    elif statement.kind == "gauge":
        state.gauges[name] = (float(statement.value or 0.0), statement.unit or "")
        if name in state.judged:
            _learn(knowledge, sheet, state, state.judged[name].statement)
    elif statement.kind == "unit":
        state.units[name] = statement.unit or ""
    elif statement.kind == "asked":
        state.asked.append((name, statement.unit))
    elif statement.kind in ("talked", "likened"):
        turns: dict[int, dict[str, float]] = getattr(state, statement.kind)
        turns.setdefault(statement.turn, {})[name] = statement.value or 0.0
    elif statement.kind == "guessed":
        state.guesses.append(name)
    else:
        getattr(state, statement.kind).add(name)


def _learn(
    knowledge: Knowledge, sheet: EngineSheet | None, state: CaseState, statement: Statement
) -> None:
    finding = knowledge.findings[statement.name]
    state.told_in[finding.id] = statement.turn
    for table in (state.states, state.judged):
        table.pop(finding.id, None)
    for held in (state.set_aside, state.cannot, state.dont_know, state.in_passing):
        held.discard(finding.id)
    if statement.text and all(finding.id != name for name, _ in state.asked):
        state.in_passing.add(finding.id)
    if statement.kind == "measured":
        state.judged[finding.id] = judged(finding, sheet, statement, state.gauges.get(finding.id))
        if finding.dimension and statement.unit:
            state.units.setdefault(finding.dimension, statement.unit)
    else:
        state.states[finding.id] = statement.state or finding.normal
    check = knowledge.check_of(finding.id)
    if check is not None and check.access not in _SHUT:
        state.open.add(check.access)


def judged(
    finding: Finding,
    sheet: EngineSheet | None,
    statement: Statement,
    gauge: tuple[float, str] | None = None,
) -> Judged:
    """Judge one measured statement against the limit that holds for it, in the person's unit.

    `gauge` is the division of the gauge and its unit, where it was told; else the usual one counts.
    """
    unit = statement.unit or finding.unit or ""
    value = float(statement.value or 0.0)
    limit = limit_of(finding, sheet)
    low, high = _in_unit(limit, "low", unit), _in_unit(limit, "high", unit)
    u = convert(finding.gauge.u, finding.gauge.unit, unit) if finding.gauge else 0.0
    if gauge is not None:
        u = gauge_doubt(convert(gauge[0], gauge[1], unit))
    if statement.low is not None and statement.high is not None:
        u = math.hypot(u, (statement.high - statement.low) / _RECTANGLE)
    targets = (_in_unit(limit, "target_low", unit), _in_unit(limit, "target_high", unit))
    target = (targets[0], targets[1]) if None not in targets else None
    return Judged(
        statement=statement,
        value=value,
        unit=unit,
        u=u,
        low=low,
        high=high,
        target=target,  # type: ignore[arg-type]
        source=limit.source if limit else "memory",
        verdict=judge(value, u, low, high),
        possible=_is_possible(finding, value, unit),
    )


def sum_notes(sums: Mapping[str, Mapping[str, str]], judged: Mapping[str, Judged]) -> Iterable[str]:
    """For each sum whose three readings were taken: the note that they agree, or differ.

    They agree when the measured play lies within three standard uncertainties of spacer minus
    plate (the root sum of squares of the three gauges); a plate that is thicker leaves no play.
    """
    for name, parts in sums.items():
        readings = [judged.get(parts[p]) for p in ("reading", "spacer", "plate")]
        if None in readings:
            continue
        unit = readings[0].unit  # type: ignore[union-attr]
        values = [convert(r.value, r.unit, unit) for r in readings if r]
        doubts = [convert(r.u, r.unit, unit) for r in readings if r]
        gap = values[0] - max(values[1] - values[2], 0.0)
        agrees = abs(gap) <= _AGREES * math.hypot(*doubts)
        yield f"{name}_{'agrees' if agrees else 'differs'}"


def _in_unit(limit: Limit | Band | None, name: str, unit: str) -> float | None:
    value = getattr(limit, name, None)
    return None if limit is None or value is None else convert(value, limit.unit, unit)


def _is_possible(finding: Finding, value: float, unit: str) -> bool:
    band = finding.possible
    if band is None:
        return True
    low, high = _in_unit(band, "low", unit), _in_unit(band, "high", unit)
    return (low is None or value >= low) and (high is None or value <= high)

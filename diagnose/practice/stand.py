"""The engine on the stand: does a check and shows what a mechanic would see; judges nothing.

What it shows follows from the scenario, the finding and how often it was looked at, so no answer
depends on the order of asking.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from random import Random
from typing import Any

from diagnose.cases.assess import Assessment, Workbench
from diagnose.cases.log import CaseLog, Statement
from diagnose.cases.remembering import Remembering
from diagnose.knowledge.model import Check, Finding
from diagnose.named import Named
from diagnose.practice import wording
from diagnose.practice.figures import read_gauge
from diagnose.practice.scenario import Scenario
from diagnose.practice.truth import has_band

_WILL_NOT_RUN = "will_not_run"  # the note a rule sets when the engine can't be run


class Done(Named):
    """One check done: its minutes, the lines that tell of it, the findings as plain data."""

    minutes: float
    again: bool
    lines: list[str]
    found: list[dict[str, Any]]


class Stand:
    """One engine, with the log of what was seen on it."""

    def __init__(self, bench: Workbench, scenario: Scenario) -> None:
        self.bench = bench._replace(sheet=scenario.sheet)
        self.seen = Remembering(self.bench)
        self.scenario = scenario
        self.log = CaseLog([])
        self.looked: dict[str, int] = {}
        self._right = set[str]()
        self._last: dict[str, str] = {}
        self._now: Assessment | None = None
        self._begin()

    @property
    def now(self) -> Assessment:
        """The case as it stands."""
        if self._now is None:
            self._now = self.seen.assess(self.log.standing())
        return self._now

    def note(self, statements: Iterable[Statement]) -> None:
        """Add statements to the log; readings that the rules refuse are set aside for good."""
        self._add(statements)
        found = self.now
        held = found.state.set_aside
        refused = [
            f for f in found.conclusions.invalid if f in found.state.judged and f not in held
        ]
        self._add([Statement("set_aside", f, 0) for f in refused])
        if _WILL_NOT_RUN in self.now.conclusions.notes:
            self._stop_running()

    def why_not(self, check: Check, names: Sequence[str]) -> str | None:
        """Why a look is impossible, or None; an impossible one is put aside."""
        why = self._obstacle(check, names)
        if why is not None:
            state = self.now.state
            new = [n for n in names if n not in state.known and n not in state.cannot]
            self._add([Statement("cannot", n, 0) for n in new])
        return why

    def last(self, finding: str) -> str | None:
        """What the last look at a finding showed."""
        return self._last.get(finding)

    def do(self, check: Check, names: Sequence[str], turn: int) -> Done:
        """Do one check and see what it shows of these findings."""
        knowledge = self.bench.knowledge
        access = knowledge.access[check.access]
        open_ = self.now.state.open
        reach = knowledge.reach(check, open_)
        minutes = knowledge.takes(check, open_) + knowledge.each(check) * (len(names) - 1)
        again = any(n in self.looked for n in names)
        lines = [wording.did(check, minutes, access if reach else None)]
        found = []
        self._add([Statement("asked", n, turn) for n in names])
        for name in names:
            self.looked[name] = self.looked.get(name, 0) + 1
            statements, line = self._seen(self.bench.knowledge.findings[name], turn)
            for statement in statements:
                self.note([statement])
            found.append(_plain(statements[0], line))
            lines.append(line)
            self._last[name] = line
        return Done(minutes, again, lines, found)

    def _add(self, statements: Iterable[Statement]) -> None:
        new = list(statements)
        if new:
            self.log.add(new)
            self._now = None

    def _begin(self) -> None:
        scenario, knowledge = self.scenario, self.bench.knowledge
        told = [Statement("said", f, 0, state=s) for f, s in scenario.known]
        told += [Statement("open", a, 0) for a in scenario.open]
        known = dict(scenario.known)
        out = [f for f, c in knowledge.settled_by.items() if self._lacks(knowledge.checks[c])]
        self.note([*told, *(Statement("cannot", f, 0) for f in out if f not in known)])

    def _stop_running(self) -> None:
        knowledge, state = self.bench.knowledge, self.now.state
        running = {a.id for a in knowledge.access.values() if a.engine_running}
        out = [f for f, c in knowledge.settled_by.items() if knowledge.checks[c].access in running]
        known = state.known.keys() | state.cannot
        self._add([Statement("cannot", f, 0) for f in out if f not in known])

    def _obstacle(self, check: Check, names: Sequence[str]) -> str | None:
        if lacking := self._lacks(check):
            return wording.no_tool(check, lacking)
        access = self.bench.knowledge.access[check.access]
        if access.engine_running and _WILL_NOT_RUN in self.now.conclusions.notes:
            return wording.will_not_run(check)
        absent = [n for n in names if n not in self.scenario.truth]
        return wording.not_there(self.bench.knowledge.findings[absent[0]]) if absent else None

    def _lacks(self, check: Check) -> list[str]:
        return [t for t in check.tools if t in self.scenario.missing]

    def _seen(self, finding: Finding, turn: int) -> tuple[list[Statement], str]:
        """What the look shows: the truth, now and then misread, a figure as the gauge gives it."""
        count = self.looked[finding.id]
        chance = Random(f"{self.scenario.seed}/{finding.id}/look/{count}")
        if finding.is_reading and self._has_figure(finding):
            true, unit = self._true(finding)
            value = read_gauge(finding, true, self.scenario.level.spread, chance)
            said = Statement("measured", finding.id, turn, value=value, unit=unit)
            return [said], wording.read(finding, value, unit)
        state = self._state_seen(finding, count, chance)
        said = Statement("said", finding.id, turn, state=state)
        right = self.scenario.put_right.get(finding.id)
        if right is None or finding.id in self._right:
            return [said], wording.seen(finding, state)
        self._right.add(finding.id)
        mended = Statement("said", finding.id, turn, state=right)
        return [said, mended], wording.put_right(finding, state, right)

    def _true(self, finding: Finding) -> tuple[float, str]:
        """The true figure; until all is put right, the one that is shown before."""
        before = self.scenario.before.get(finding.id)
        if before is not None and not set(self.scenario.put_right) <= self._right:
            return before
        return self.scenario.values[finding.id], finding.unit or ""

    def _state_seen(self, finding: Finding, count: int, chance: Random) -> str:
        scenario = self.scenario
        if finding.id in scenario.misreads and count == 1:
            return scenario.misreads[finding.id]
        if finding.id in self._right:
            return scenario.put_right[finding.id]
        state = scenario.truth[finding.id]
        showing = self.bench.network.showings.get(finding.id)
        if showing is None or finding.is_reading:
            return state
        # what proves a fault is hardly ever reported where it is not, nor missed where it is
        share = min(showing.misread, min(showing.mistaken) * len(showing.states))
        if chance.random() >= share * scenario.level.misread:
            return state
        return chance.choice([s for s in finding.known_states if s != state])

    def _has_figure(self, finding: Finding) -> bool:
        """Whether a figure can be judged, or goes into a sum; else it is told by a new part."""
        sums = self.bench.knowledge.words.sums.values()
        return has_band(finding, self.bench) or any(finding.id in s.values() for s in sums)


def _plain(said: Statement, line: str) -> dict[str, Any]:
    return {
        "finding": said.name,
        "state": said.state,
        "value": said.value,
        "unit": said.unit,
        "text": line,
    }

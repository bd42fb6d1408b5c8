"""The one next check worth its minutes, or the end of asking; says nothing itself.

Cost of a check is its minutes and the access still closed. A check is worth doing when it lowers
the expected minutes to a cured engine (the gate); among those, most information per minute wins.
When none is worth it, asking ends: the stop is decided by minutes, never by a bare probability.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from diagnose.knowledge.model import Check, Knowledge
from diagnose.reasoning.network import Array, Network
from diagnose.reasoning.ranking import Ranking

_MOST_CAUSES = 40  # causes weighed in expected minutes; the rest count as one
_MOST_TOGETHER = 3  # findings asked for with one check
_COMPANION_RATE = 0.35  # a companion must bring this share of the main finding's rate


class Outcome(NamedTuple):
    """One possible answer: its chance, and the causes that would lead after it."""

    finding: str
    state: str
    chance: float
    leads_to: tuple[str, ...]


class Plan(NamedTuple):
    """The next check; `settles` the findings to ask for, main one first."""

    check: str
    settles: tuple[str, ...]
    minutes: float
    access: tuple[str, ...]
    information: float
    saves: float
    safety: bool
    outcomes: tuple[Outcome, ...]


class Tables(NamedTuple):
    """Chances of every answer: `chance[f, s, c]`, single precision; last c "no fault at all"."""

    findings: tuple[str, ...]
    states: tuple[tuple[str, ...], ...]
    chance: NDArray[np.float32]


class Situation(NamedTuple):
    """What bounds the next check: what is open, settled, out of reach, and what comes first."""

    open: frozenset[str]
    settled: frozenset[str]
    may_run: bool
    first: tuple[str, ...]


def build_tables(knowledge: Knowledge, network: Network) -> Tables:
    """Chances of every answer under every single cause, once per rule base."""
    findings = tuple(f for f in knowledge.findings if f in knowledge.settled_by)
    states = tuple(knowledge.findings[f].known_states for f in findings)
    width = max((len(s) for s in states), default=1)
    chance = np.zeros((len(findings), width, len(network.causes) + 1))
    for row, finding in enumerate(findings):
        for place, state in enumerate(states[row]):
            chance[row, place] = _chance(network, finding, state)
        chance[row] /= np.maximum(chance[row].sum(axis=0), 1e-12)
    return Tables(findings, states, chance.astype(np.float32))


def plan(
    knowledge: Knowledge, tables: Tables, ranking: Ranking, situation: Situation
) -> Plan | None:
    """The next check, or None when no check is worth its minutes."""
    rows = _candidates(knowledge, tables, situation)
    if not len(rows):
        return None
    shares = ranking.shares
    weighed = _Weighed(knowledge, tables, shares, rows, situation)
    first = [f for f in situation.first if f in weighed.names]
    if first:
        return _made(weighed, weighed.names.index(first[0]), safety=True)
    worth = np.flatnonzero(weighed.saves > 0)
    if not len(worth):
        return None
    rates = weighed.information[worth] / weighed.costs[worth]
    return _made(weighed, int(worth[np.argmax(rates)]), safety=False)


def repair_minutes(knowledge: Knowledge, causes: tuple[str, ...], open_: Collection[str]) -> Array:
    """Minutes of trying each repair, access still closed included; the last is calling for help."""
    settings = knowledge.words.settings
    minutes = []
    for key in causes:
        repair = knowledge.causes[key].repair
        reach = 0.0 if repair.access in open_ else knowledge.access[repair.access].minutes
        minutes.append(repair.minutes + reach + settings["undo_minutes"])
    return np.array([*minutes, settings["call_for_help_minutes"]])


def expected_minutes(shares: Array, minutes: Array) -> Array:
    """Expected minutes to cured when repairs are tried by chance per minute.

    `shares[..., c]` sum to at most 1 along the last axis; what is missing needs no repair.
    """
    order = np.argsort(-shares / minutes, axis=-1, kind="stable")
    sorted_shares = np.take_along_axis(shares, order, axis=-1)
    spent = np.cumsum(minutes[order], axis=-1)
    return np.asarray((sorted_shares * spent).sum(axis=-1))


def _chance(network: Network, finding: str, state: str) -> Array:
    circumstance = network.circumstances.get(finding)
    if circumstance is not None:
        return np.append(circumstance[state], 1.0) * _share_of(network, finding, state)
    showing = network.showings[finding]
    doubt = showing.misread
    shows = showing.shows * (1 - doubt)
    leak = 1 - (1 - showing.leak) * (1 - showing.mistaken)
    quiet, still = 1 - shows.sum(axis=0), max(1 - leak.sum(), 0.01)
    if state == showing.normal:
        return np.append(quiet * still, still)
    row = showing.states.index(state)
    chance = (quiet + shows[row]) * (still + leak[row]) - quiet * still
    return np.append(np.maximum(chance * showing.odds[row], 1e-6), leak[row])


def _share_of(network: Network, finding: str, state: str) -> float:
    """A flat stand-in for how many engines have the state: only ratios count afterwards."""
    return 1.0 / len(network.circumstances[finding])


def _candidates(knowledge: Knowledge, tables: Tables, situation: Situation) -> Array:
    rows = []
    for row, finding in enumerate(tables.findings):
        check = knowledge.checks[knowledge.settled_by[finding]]
        access = knowledge.access[check.access]
        barred = access.engine_running and not situation.may_run
        if finding not in situation.settled and not barred:
            rows.append(row)
    return np.array(rows, dtype=int)


class _Weighed:
    """Every candidate with its cost, its information and the minutes it saves."""

    def __init__(
        self,
        knowledge: Knowledge,
        tables: Tables,
        shares: Array,
        rows: Array,
        situation: Situation,
    ) -> None:
        self.knowledge, self.tables, self.situation = knowledge, tables, situation
        self.names = [tables.findings[r] for r in rows]
        self.rows = rows
        joint = tables.chance[rows] * shares
        self.chances = joint.sum(axis=-1)
        self.after = joint / np.maximum(self.chances, 1e-12)[..., None]
        self.costs = np.array([self._cost(n) for n in self.names])
        self.information = _entropy(shares) - (self.chances * _entropy(self.after)).sum(axis=-1)
        self.saves = self._saved(shares)

    def check(self, finding: str) -> Check:
        """The check that settles a finding."""
        return self.knowledge.checks[self.knowledge.settled_by[finding]]

    def _cost(self, finding: str) -> float:
        check = self.check(finding)
        access = self.knowledge.access[check.access]
        reach = 0.0 if check.access in self.situation.open else access.minutes
        return max(check.minutes, access.each) + reach

    def _saved(self, shares: Array) -> Array:
        causes = tuple(self.knowledge.causes)
        top = np.argsort(-shares[: len(causes)], kind="stable")[:_MOST_CAUSES]
        keep = np.append(top, len(causes))
        now_open = self.situation.open
        named = tuple(causes[i] for i in top)
        now = expected_minutes(shares[keep], repair_minutes(self.knowledge, named, now_open))
        saves = np.zeros(len(self.rows))
        places: dict[str, list[int]] = {}
        for i, name in enumerate(self.names):
            places.setdefault(self.check(name).access, []).append(i)
        for access, members in places.items():
            minutes = repair_minutes(self.knowledge, named, {*now_open, access})
            then = expected_minutes(self.after[members][..., keep], minutes)
            saves[members] = now - (self.chances[members] * then).sum(axis=-1)
        return np.asarray(saves - self.costs)


def _made(weighed: _Weighed, main: int, safety: bool) -> Plan:
    name = weighed.names[main]
    check = weighed.check(name)
    settles = [name, *_companions(weighed, main)]
    access = weighed.knowledge.access[check.access]
    closed = check.access not in weighed.situation.open and access.minutes > 0
    return Plan(
        check=check.id,
        settles=tuple(settles),
        minutes=float(weighed.costs[main]),
        access=(check.access,) if closed else (),
        information=float(weighed.information[main]),
        saves=float(weighed.saves[main]),
        safety=safety,
        outcomes=tuple(_outcomes(weighed, main)),
    )


def _companions(weighed: _Weighed, main: int) -> list[str]:
    """Findings the same check settles that pay for their own minutes."""
    check = weighed.check(weighed.names[main])
    extra = weighed.knowledge.access[check.access].each
    enough = _COMPANION_RATE * weighed.information[main] / weighed.costs[main]
    wanted = []
    for i, name in enumerate(weighed.names):
        if i != main and name in check.settles and weighed.information[i] / extra > enough:
            wanted.append((-weighed.information[i], name))
    return [name for _, name in sorted(wanted)[: _MOST_TOGETHER - 1]]


def _outcomes(weighed: _Weighed, main: int) -> list[Outcome]:
    causes = tuple(weighed.knowledge.causes)
    out = []
    for place, state in enumerate(weighed.tables.states[weighed.rows[main]]):
        after = weighed.after[main, place, : len(causes)]
        leads = [causes[i] for i in np.argsort(-after, kind="stable")[:2]]
        chance = float(weighed.chances[main, place])
        out.append(Outcome(weighed.names[main], state, chance, tuple(leads)))
    return out


def _entropy(shares: Array) -> Array:
    safe = np.maximum(shares, 1e-12)
    return np.asarray(-(safe * np.log2(safe)).sum(axis=-1))

"""The one next check worth its minutes, or the end of asking; says nothing itself.

Cost of a check is its minutes and the access still closed. A check is worth doing when it lowers
the expected minutes to a cured engine (the gate); among those, most information per minute wins.
When none is worth it, asking ends: the stop is decided by minutes, never by a bare probability.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import accumulate
from math import log2
from typing import NamedTuple

from diagnose.knowledge.model import Check, Knowledge
from diagnose.reasoning.network import Columns, Network

_MOST_CAUSES = 40  # causes weighed in expected minutes; the rest count as one
_MOST_TOGETHER = 3  # findings asked for with one check
_COMPANION_RATE = 0.35  # a companion must bring this share of the main finding's rate
_LEAST, _LIKELY = 1e-12, 0.5


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


class Answer(NamedTuple):
    """The chance of one answer: `usual` with no fault and with most causes, `under[c]` with c.

    All answers to a finding speak of the same causes.
    """

    state: str
    usual: float
    under: Columns


class Situation(NamedTuple):
    """What bounds the next check: what is open, settled, out of reach, and what comes first."""

    open: frozenset[str]
    settled: frozenset[str]
    may_run: bool
    first: tuple[str, ...]


Tables = dict[str, tuple[Answer, ...]]
"""Every answer to every finding that a check settles."""


def build_tables(knowledge: Knowledge, network: Network) -> Tables:
    """Chances of every answer under every single cause, once per rule base."""
    return {
        finding: tuple(_answers(network, finding, knowledge.findings[finding].known_states))
        for finding in knowledge.findings
        if finding in knowledge.settled_by
    }


def plan(
    knowledge: Knowledge, tables: Tables, shares: Sequence[float], situation: Situation
) -> Plan | None:
    """The next check, or None when no check is worth its minutes.

    `shares` are the chances of the causes in the network's order, "nothing wrong" last.
    """
    weighing = _Weighing(knowledge, tables, shares, situation)
    choices = [_Choice(f, *weighing.information(f)) for f in _candidates(knowledge, situation)]
    by_name = {choice.finding: choice for choice in choices}
    first = next((f for f in situation.first if f in by_name), None)
    if first is not None:
        return _made(weighing, by_name[first], choices, safety=True)
    for choice in sorted(choices, key=lambda c: -c.rate):
        if weighing.saves(choice) > 0 and not weighing.is_on_the_way(choice):
            return _made(weighing, choice, choices, safety=False)
    return None


def repair_minutes(
    knowledge: Knowledge, causes: Sequence[str], open_: Collection[str]
) -> list[float]:
    """Minutes of trying each repair, access still closed included; the last is calling for help."""
    settings = knowledge.words.settings
    minutes = []
    for key in causes:
        repair = knowledge.causes[key].repair
        reach = 0.0 if repair.access in open_ else knowledge.access[repair.access].minutes
        minutes.append(repair.minutes + reach + settings["undo_minutes"])
    return [*minutes, settings["call_for_help_minutes"]]


def expected_minutes(shares: Sequence[float], minutes: Sequence[float]) -> float:
    """Expected minutes to cured when repairs are tried by chance per minute.

    `shares` sum to at most 1; what is missing needs no repair.
    """
    rates = [share / each for share, each in zip(shares, minutes, strict=True)]
    order = sorted(range(len(rates)), key=rates.__getitem__, reverse=True)
    spent = accumulate(minutes[i] for i in order)
    return sum(shares[i] * so_far for i, so_far in zip(order, spent, strict=True))


def tables_beside(knowledge: Knowledge, network: Network, found: Sequence[int]) -> Tables:
    """`build_tables` for an engine in which the causes of these columns are there already."""
    tables = {}
    for finding in knowledge.settled_by:
        usual: Mapping[str, float] | None = None
        states = knowledge.findings[finding].known_states
        for column in found:
            answers = _answers(network, finding, states, usual)
            usual = {one.state: one.under.get(column, one.usual) for one in answers}
        tables[finding] = tuple(_answers(network, finding, states, usual))
    return tables


def _answers(
    network: Network,
    finding: str,
    states: Sequence[str],
    beside: Mapping[str, float] | None = None,
) -> Iterator[Answer]:
    raw = [_answer(network, finding, state, beside) for state in states]
    usual = math.fsum(one.usual for one in raw)
    columns = sorted({c for one in raw for c in one.under})
    total = {c: math.fsum(one.under.get(c, one.usual) for one in raw) for c in columns}
    for one in raw:
        under = {c: one.under.get(c, one.usual) / total[c] for c in columns}
        yield Answer(one.state, one.usual / usual, under)


def _answer(
    network: Network, finding: str, state: str, beside: Mapping[str, float] | None
) -> Answer:
    """One answer before the answers to a finding are made to sum to 1 under each cause.

    `beside` are the usual chances of the answers where they are not those of a sound engine.
    """
    circumstance = network.circumstances.get(finding)
    if circumstance is not None:  # only ratios count: as if each state were as common
        return Answer(state, 1.0, circumstance[state])
    showing = network.showings[finding]
    leak = [1 - (1 - a) * (1 - b) for a, b in zip(showing.leak, showing.mistaken, strict=True)]
    if beside is not None:
        leak = [beside[state] for state in showing.states]
    still = max(1 - sum(leak), 0.01)
    columns = {c for shows in (*showing.shows, *showing.odds) for c in shows}
    sure = 1 - showing.misread
    quiet = {c: 1 - sure * sum(s.get(c, 0.0) for s in showing.shows) for c in columns}
    denied = showing.denies[-1 if state == showing.normal else showing.states.index(state)]
    if state == showing.normal:
        return Answer(state, still, {c: quiet[c] * still * denied.get(c, 1.0) for c in columns})
    row = showing.states.index(state)
    shows, odds = showing.shows[row], showing.odds[row]
    under = {}
    for c in columns:
        here = shows.get(c, 0.0) * sure
        chance = (quiet[c] + here) * (still + leak[row]) - quiet[c] * still
        under[c] = max(chance * odds.get(c, 1.0) * denied.get(c, 1.0), 1e-6)
    return Answer(state, leak[row], under)


def _candidates(knowledge: Knowledge, situation: Situation) -> Iterator[str]:
    for finding, check in knowledge.settled_by.items():
        access = knowledge.access[knowledge.checks[check].access]
        barred = access.engine_running and not situation.may_run
        if finding not in situation.settled and not barred:
            yield finding


class _Choice(NamedTuple):
    """A finding that could be asked for, what it would cost, and what it would tell in bits."""

    finding: str
    cost: float
    bits: float

    @property
    def rate(self) -> float:
        """Information per minute."""
        return self.bits / self.cost


class _Weighing:
    """Costs, information and saved minutes of checks, as the shares of the causes now stand."""

    def __init__(
        self,
        knowledge: Knowledge,
        tables: Tables,
        shares: Sequence[float],
        situation: Situation,
    ) -> None:
        self.knowledge, self.tables, self.situation = knowledge, tables, situation
        self.shares = shares
        self._parts = [_part(share) for share in shares]
        self._whole = math.fsum(shares)
        self._disorder = math.fsum(self._parts)
        self._causes = tuple(knowledge.causes)
        order = sorted(range(len(self._causes)), key=lambda c: -shares[c])
        self._top = order[:_MOST_CAUSES]
        self._keep = [*self._top, len(self._causes)]
        self._minutes: dict[str, list[float]] = {}
        self._now = expected_minutes([shares[c] for c in self._keep], self._minutes_with(""))

    def check(self, finding: str) -> Check:
        """The check that settles a finding."""
        return self.knowledge.checks[self.knowledge.settled_by[finding]]

    def information(self, finding: str) -> tuple[float, float]:
        """Minutes a finding costs, and the bits it is expected to tell about the cause.

        Causes that the finding says nothing of go in together: their shares keep their ratios.
        """
        answers = self.tables[finding]
        spoken_of = answers[0].under if answers else {}
        apart = sum([self.shares[c] for c in spoken_of])
        parts = sum([self._parts[c] for c in spoken_of])
        left = 0.0
        for _, usual, under in answers:
            joint = [self.shares[c] * chance for c, chance in under.items()]
            rest = (self._whole - apart) * usual
            told = sum([j * log2(j) for j in joint if j > _LEAST])
            told += usual * (self._disorder - parts) + (rest * log2(usual) if usual else 0.0)
            left += _part(rest + sum(joint)) - told
        return self._cost(finding), -self._disorder - left

    def saves(self, choice: _Choice) -> float:
        """Expected minutes to a cured engine saved by asking, its own minutes taken off."""
        then = 0.0
        minutes = self._minutes_with(self.check(choice.finding).access)
        for answer in self.tables[choice.finding]:
            get, usual = answer.under.get, answer.usual
            then += expected_minutes([self.shares[c] * get(c, usual) for c in self._keep], minutes)
        return self._now - then - choice.cost

    def is_on_the_way(self, choice: _Choice) -> bool:
        """Whether the repair of a likely cause opens the same access anyway.

        Then the look belongs to the repair, unless it is the one that proves the cause.
        """
        leader = self._top[0]
        record = self.knowledge.causes[self._causes[leader]]
        access = self.check(choice.finding).access
        return (
            self.shares[leader] > _LIKELY
            and access == record.repair.access
            and access not in self.situation.open
            and choice.finding != record.confirm.finding
        )

    def outcomes(self, finding: str) -> Iterator[Outcome]:
        """Every answer with its chance and the two causes that would lead after it."""
        for answer in self.tables[finding]:
            get = answer.under.get
            joint = [share * get(c, answer.usual) for c, share in enumerate(self.shares)]
            order = sorted(range(len(self._causes)), key=lambda c: -joint[c])
            leads = tuple(self._causes[c] for c in order[:2])
            yield Outcome(finding, answer.state, math.fsum(joint), leads)

    def _cost(self, finding: str) -> float:
        check = self.check(finding)
        access = self.knowledge.access[check.access]
        reach = 0.0 if check.access in self.situation.open else access.minutes
        return max(check.minutes, access.each) + reach

    def _minutes_with(self, access: str) -> list[float]:
        """Minutes of the weighed repairs once this access is open too."""
        if access not in self._minutes:
            named = [self._causes[c] for c in self._top]
            open_ = {*self.situation.open, access}
            self._minutes[access] = repair_minutes(self.knowledge, named, open_)
        return self._minutes[access]


def _part(share: float) -> float:
    """What one share adds to the negative entropy, in bits."""
    return share * log2(share) if share > _LEAST else 0.0


def _made(weighing: _Weighing, main: _Choice, choices: list[_Choice], safety: bool) -> Plan:
    check = weighing.check(main.finding)
    access = weighing.knowledge.access[check.access]
    closed = check.access not in weighing.situation.open and access.minutes > 0
    return Plan(
        check=check.id,
        settles=(main.finding, *_companions(check, main, choices, access.each)),
        minutes=main.cost,
        access=(check.access,) if closed else (),
        information=main.bits,
        saves=weighing.saves(main),
        safety=safety,
        outcomes=tuple(weighing.outcomes(main.finding)),
    )


def _companions(check: Check, main: _Choice, choices: list[_Choice], each: float) -> list[str]:
    """Findings the same check settles that pay for their own minutes."""
    enough = _COMPANION_RATE * main.rate
    wanted = sorted(
        (-choice.bits, choice.finding)
        for choice in choices
        if choice is not main and choice.finding in check.settles and choice.bits / each > enough
    )
    return [name for _, name in wanted[: _MOST_TOGETHER - 1]]

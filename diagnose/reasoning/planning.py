"""The one next check worth its minutes, or the end of asking; says nothing itself.

Cost of a check is its minutes and the access still closed. A check is worth doing when it lowers
the expected minutes to a cured engine (the gate); among those, most information per minute wins.
When none is worth it, asking ends: the stop is decided by minutes, never by a bare probability.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from heapq import nlargest
from itertools import islice
from operator import mul

from diagnose.knowledge.model import Check, Knowledge
from diagnose.named import Named
from diagnose.reasoning.lookahead import Look, Lookahead
from diagnose.reasoning.minutes import repairs_of
from diagnose.reasoning.tables import LEAST, Answer, Tables, negative_entropy

_MOST_CAUSES = 40  # causes weighed in expected minutes; the rest count as one
_MOST_TOGETHER = 3  # findings asked for with one check
COMPANION_RATE = 0.35  # a companion must bring this share of the main finding's rate
_LIKELY = 0.5
_CLEARLY = 0.01  # of the minutes expected, what a further look must save once a cause is likely
_NEARLY_ALL = 0.99  # the causes weighed one by one hold this much of the chances
_FEW = 8  # causes up to which two steps are seen ahead
_BEAM = 8  # checks that are seen ahead from


class Outcome(Named):
    """One possible answer: its chance, and the causes that would lead after it."""

    finding: str
    state: str
    chance: float
    leads_to: tuple[str, ...]


class Plan(Named):
    """The next check; `settles` the findings to ask for, main one first."""

    check: str
    settles: tuple[str, ...]
    minutes: float
    access: tuple[str, ...]
    information: float
    saves: float
    safety: bool
    outcomes: tuple[Outcome, ...]


class Situation(Named):
    """What bounds the next check: what is open, settled, out of reach, and what comes first.

    `asked` is how many findings were asked for so far without a cause coming up.
    """

    open: frozenset[str]
    settled: frozenset[str]
    may_run: bool
    first: tuple[str, ...]
    asked: int = 0


def plan(
    knowledge: Knowledge, tables: Tables, shares: Sequence[float], situation: Situation
) -> Plan | None:
    """The next check, or None when no check is worth its minutes.

    `shares` are the chances of the causes in the network's order, "nothing wrong" last.
    """
    weighing = _Weighing(knowledge, tables, shares, situation)
    choices = weighing.choices(shares)
    may = set(_candidates(knowledge, situation, situation.first))
    first = next((f for f in situation.first if f in may), None)
    if first is not None:
        return _made(weighing, weighing.choice(first), choices, safety=True)
    best = weighing.best(choices)
    return None if best is None else _made(weighing, best, choices, safety=False)


class Worth(Named):
    """What one look is worth now: its minutes, bits of information, and minutes it saves."""

    finding: str
    minutes: float
    bits: float
    saves: float


def worths(
    knowledge: Knowledge,
    tables: Tables,
    shares: Sequence[float],
    situation: Situation,
    findings: Collection[str],
) -> dict[str, Worth]:
    """What looking at each of these findings is worth, as `plan` weighs it."""
    weighing = _Weighing(knowledge, tables, shares, situation)
    choices = [weighing.choice(f) for f in findings]
    return {c.finding: Worth(c.finding, c.cost, c.bits, weighing.saves(c)) for c in choices}


def _candidates(
    knowledge: Knowledge, situation: Situation, findings: Collection[str]
) -> Iterator[str]:
    """Those of the findings that a check settles, that are not settled yet and not barred."""
    for finding in findings:
        check = knowledge.check_of(finding)
        if check is not None and finding not in situation.settled:
            barred = knowledge.access[check.access].engine_running and not situation.may_run
            if not barred:
                yield finding


class _Choice(Named):
    """A finding that could be asked for, what it would cost, and what it would tell in bits."""

    finding: str
    cost: float
    bits: float

    @property
    def rate(self) -> float:
        """Information per minute."""
        return self.bits / self.cost


class _Telling:
    """How much each finding is expected to tell about the cause, as the shares now stand."""

    def __init__(self, shares: Sequence[float]) -> None:
        self._shares = shares
        self._whole = math.fsum(shares)

    def bits(self, answers: Sequence[Answer]) -> float:
        """The bits that the answer to a finding is expected to tell.

        Causes that the finding says nothing of go in together.
        """
        spoken_of = answers[0].under if answers else {}
        shares = [*map(self._shares.__getitem__, spoken_of)]
        shares.append(max(self._whole - sum(shares), 0.0))
        told = negative_entropy(self._whole)
        for _, usual, under, parts in answers:
            chance = sum(map(mul, shares, under.values())) + shares[-1] * usual
            told += sum(map(mul, shares, parts)) - negative_entropy(chance)
        return told


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
        self._looks: dict[str, Look] = {}
        self._causes = tuple(knowledge.causes)
        self._kept, held = _likeliest(shares[:-2])
        self._few = len(self._kept) <= _FEW
        weighed = [knowledge.causes[self._causes[c]] for c in self._kept]
        told_of = dict.fromkeys(sign.finding for cause in weighed for sign in cause.signs)
        self._told_of = sorted(_candidates(knowledge, situation, told_of))
        # without one there is no repair to be advised
        self._has_leader = max(shares[:-2], default=0.0) > max(shares[-2:])
        self._none, self._other = shares[-2], max(sum(shares[:-2]) - held, 0.0)
        rest = self._none + self._other
        self._weighed = [*(shares[c] for c in self._kept), rest, shares[-1]]
        named = [self._causes[c] for c in self._kept]
        self._repairs = repairs_of(knowledge, named, situation.open)
        self._now = self._repairs.expected(self._weighed)
        self._least = self._repairs.least(self._weighed)
        self._most = self._now - self._least

    def check(self, finding: str) -> Check:
        """The check that settles a finding."""
        return self.knowledge.checks[self.knowledge.settled_by[finding]]

    def choices(self, shares: Sequence[float]) -> list[_Choice]:
        """What may be asked now, most information per minute first.

        Only what the weighed causes have signs of: the rest could tell next to nothing.
        """
        telling = _Telling(shares)
        out = [self.choice(finding, telling) for finding in self._told_of]
        return sorted(out, key=lambda c: -c.rate)

    def choice(self, finding: str, telling: _Telling | None = None) -> _Choice:
        """One finding with its cost and what it would tell."""
        telling = telling or _Telling(self.shares)
        return _Choice(finding, self._cost(finding), telling.bits(self.tables[finding]))

    def best(self, choices: Sequence[_Choice]) -> _Choice | None:
        """The check to do next, or None when it is better to act on what is known.

        Where few causes are left every answer is followed one step further; with many, information
        per minute decides between the checks that pay. Asking must beat trying the best repair at
        once: what a check tells of the other causes can be asked when that has failed.
        """
        near = [c for c in choices if c.cost < self._most and c.bits > LEAST]
        first = list(islice((c for c in near if self.saves(c) > 0), _BEAM))
        if self._few:
            first = list(dict.fromkeys([*first, *near[:_BEAM]]))
        if not first:
            return None
        looks = {c.finding: self._look(c.finding) for c in first}
        ahead = Lookahead(looks.values())
        repair = min(self._repair_first(looks), self._now) if self._has_leader else self._now

        def minutes(choice: _Choice, limit: float) -> float:
            look = looks[choice.finding]
            return ahead.asking_twice(look, self._weighed, self._repairs, limit)

        repair -= self._weariness(first) + self._hardly(repair)
        most = repair - self._least  # dearer checks need not be followed: they can't save that much
        worth = [c for c in first if c.cost * sum(self._weighed) < most]
        if not self._few:
            return first[0] if any(minutes(c, repair) < repair for c in worth) else None
        spent, best = repair, None
        for choice in worth:
            there = minutes(choice, spent)
            if there < spent:
                spent, best = there, choice
        return best

    def _hardly(self, repair: float) -> float:
        """What a further look must bring where one cause is likely: a trifle is too little."""
        likely = max(self.shares[:-2], default=0.0) > _LIKELY
        return _CLEARLY * repair if likely else 0.0

    def _weariness(self, first: Sequence[_Choice]) -> float:
        """What a further question must bring beyond its minutes while no cause leads.

        Nobody answers forty questions about an engine that may well be sound: the longer nothing
        comes up, the more the next one must save.
        """
        if self._has_leader or not self.situation.asked:
            return 0.0
        patience = self.knowledge.words.settings["patience"]
        return self.situation.asked / patience * min(choice.cost for choice in first)

    def _repair_first(self, looks: Mapping[str, Look]) -> float:
        """Minutes when the best repair is tried now, and looked for more only if it fails."""
        place, _, _ = self._repairs.first(self._weighed)
        looks = dict(looks)
        if place >= 0 and self._weighed[place] > _LIKELY:
            left = [*self.shares]
            left[self._kept[place]] = 0.0
            looks |= {c.finding: self._look(c.finding) for c in self.choices(left)[:_BEAM]}
        return Lookahead(looks.values()).repairing(self._weighed, self._repairs)

    def saves(self, choice: _Choice) -> float:
        """Expected minutes to a cured engine saved by asking, its own minutes taken off."""
        look = self._look(choice.finding)
        return self._now - Lookahead(()).asking(look, self._weighed, self._repairs)

    def outcomes(self, finding: str) -> Iterator[Outcome]:
        """Every answer with its chance and the two causes that would lead after it."""
        for answer in self.tables[finding]:
            get = answer.under.get
            joint = [share * get(c, answer.usual) for c, share in enumerate(self.shares)]
            order = nlargest(2, range(len(self._causes)), key=joint.__getitem__)
            leads = tuple(self._causes[c] for c in order)
            yield Outcome(finding, answer.state, math.fsum(joint), leads)

    def _look(self, finding: str) -> Look:
        if finding not in self._looks:
            self._looks[finding] = self._new_look(finding)
        return self._looks[finding]

    def _new_look(self, finding: str) -> Look:
        check = self.check(finding)
        rows = tuple(self._row(answer) for answer in self.tables[finding])
        access = "" if self.knowledge.is_question(check) else check.access
        return Look(finding, access, self._price(check), rows)

    def _row(self, answer: Answer) -> list[float]:
        """The chance of an answer under each weighed cause, under the rest, and under none."""
        get, usual = answer.under.get, answer.usual
        rest = self._none + self._other
        none = get(len(self._causes), usual) * self._none + usual * self._other
        return [*(get(c, usual) for c in self._kept), none / rest if rest else usual, usual]

    def _cost(self, finding: str) -> float:
        check = self.check(finding)
        return self._price(check) + self.knowledge.reach(check, self.situation.open)

    def _price(self, check: Check) -> float:
        """What a check weighs where it is done; a question costs patience beside its minutes."""
        if self.knowledge.is_question(check):
            return self.knowledge.words.settings["question_price"]
        return max(check.minutes, self.knowledge.each(check))


def _likeliest(shares: Sequence[float]) -> tuple[list[int], float]:
    """The causes that hold nearly all of the shares (at least a few), and what they hold."""
    order = nlargest(_MOST_CAUSES, range(len(shares)), key=shares.__getitem__)
    enough, held = _NEARLY_ALL * sum(shares), 0.0
    for number, column in enumerate(order):
        if not shares[column] or (held >= enough and number >= _FEW):
            return order[:number], held
        held += shares[column]
    return order, held


def _made(weighing: _Weighing, main: _Choice, choices: list[_Choice], safety: bool) -> Plan:
    check = weighing.check(main.finding)
    knowledge = weighing.knowledge
    closed = knowledge.reach(check, weighing.situation.open) > 0
    each = main.cost if knowledge.is_question(check) else knowledge.each(check)
    return Plan(
        check=check.id,
        settles=(main.finding, *_companions(check, main, choices, each)),
        minutes=knowledge.takes(check, weighing.situation.open),
        access=(check.access,) if closed else (),
        information=main.bits,
        saves=weighing.saves(main),
        safety=safety,
        outcomes=tuple(weighing.outcomes(main.finding)),
    )


def _companions(check: Check, main: _Choice, choices: list[_Choice], each: float) -> list[str]:
    """Findings the same check settles that pay for their own minutes."""
    enough = COMPANION_RATE * main.rate
    wanted = sorted(
        (-choice.bits, choice.finding)
        for choice in choices
        if choice.finding != main.finding
        and choice.finding in check.settles
        and choice.bits / each > enough
    )
    return [name for _, name in wanted[: _MOST_TOGETHER - 1]]

"""The chainer in plain Python: the answers of `durable`, with no library and none of its matching.

Facts are taken from a queue one at a time. Each is tried at every condition it fits; conditions
before that one may use only older facts, so every complete match is found exactly once.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from diagnose.reasoning.facts import (
    MOST_FIRINGS,
    Derivation,
    Fact,
    Support,
    TooManyFirings,
    admit,
    in_order,
)
from diagnose.reasoning.guards import accept
from diagnose.reasoning.program import ANYTHING, Absent, Pattern, Program, Rule, Stratum

Key = tuple[str | None, str | None]
Bound = Mapping[str, str]
Match = tuple[list[Fact], Bound]
NOTHING_BOUND: Bound = {}


class PlainChainer:
    """Runs a program by itself."""

    def __init__(self, program: Program, most_firings: int = MOST_FIRINGS) -> None:
        accept(program)
        self._strata = [_Triggers(stratum) for stratum in program.strata]
        self._most_firings = most_firings

    def run(self, facts: Iterable[Fact]) -> Derivation:
        """Derive everything that follows from the facts."""
        given = admit(facts)
        run = _Run(given, self._most_firings)
        for triggers in self._strata:
            run.complete(triggers)
        return Derivation.collect(given, run.supports, run.firings)


class _Run:
    """One run from its given facts upwards; facts found on the way wait at the end of the queue."""

    def __init__(self, given: frozenset[Fact], most_firings: int) -> None:
        self.firings = 0
        self.supports: dict[Fact, set[Support]] = defaultdict(set)
        self._most_firings = most_firings
        self._ages: dict[Fact, int] = {}
        self._queue: list[Fact] = []
        self._named: dict[Key, list[Fact]] = defaultdict(list)
        for fact in sorted(given, key=in_order):
            self._learn(fact)

    def complete(self, triggers: _Triggers) -> None:
        """Fire all rules of a stratum until nothing new comes; all lower ones are complete."""
        known = {absent for absent in triggers.absents if self._is_known(absent)}
        for rule in triggers.without_patterns:
            if known.isdisjoint(rule.absents):
                self._fire(rule, [], NOTHING_BOUND)
        for fact in self._queue:  # grows while it is walked
            for rule, place in triggers.of(fact):
                if known.isdisjoint(rule.absents):
                    for matched, bound in self._matches(rule.patterns, place, fact):
                        self._fire(rule, matched, bound)

    def _learn(self, fact: Fact) -> None:
        if fact in self._ages:
            return
        self._ages[fact] = len(self._queue)
        self._queue.append(fact)
        for topic in (fact.topic, None):
            for name in (fact.name, None):
                self._named[topic, name].append(fact)

    def _is_known(self, absent: Absent) -> bool:
        facts = self._named.get((_constant(absent.topic), _constant(absent.name)), ())
        return any(absent.value in (ANYTHING, fact.value) for fact in facts)

    def _matches(self, patterns: Sequence[Pattern], place: int, fact: Fact) -> Iterator[Match]:
        """The complete matches with `fact` at `place`, and only older facts before that."""
        bound = _fit(patterns[place], fact, NOTHING_BOUND)
        youngest = self._ages[fact]

        def complete(matched: list[Fact], bound: Bound) -> Iterator[Match]:
            number = len(matched)
            if number == len(patterns):
                yield matched, bound
            elif number == place:
                yield from complete([*matched, fact], bound)
            else:
                limit = youngest - (number < place)
                for other, further in self._fitting(patterns[number], bound, limit):
                    yield from complete([*matched, other], further)

        if bound is not None:
            yield from complete([], bound)

    def _fitting(
        self, pattern: Pattern, bound: Bound, youngest: int
    ) -> Iterator[tuple[Fact, Bound]]:
        key = (_constant(pattern.topic, bound), _constant(pattern.name, bound))
        for fact in self._named.get(key, ()):
            if self._ages[fact] > youngest:
                return  # they stand in order of age
            further = _fit(pattern, fact, bound)
            if further is not None:
                yield fact, further

    def _fire(self, rule: Rule, matched: list[Fact], bound: Bound) -> None:
        self.firings += 1
        if self.firings > self._most_firings:
            raise TooManyFirings(self._most_firings, rule.id)
        grounds = {*matched, *(absent.fact for absent in rule.absents)}
        support = Support(rule.id, tuple(sorted(grounds, key=in_order)))
        for fact in rule.conclude(bound):
            self.supports[fact].add(support)
            self._learn(fact)


class _Triggers:
    """The conditions of a stratum by the topic and name they look for."""

    def __init__(self, stratum: Stratum) -> None:
        rules = [rule for ruleset in stratum.rulesets for rule in ruleset.rules]
        self.absents = stratum.absents
        self.without_patterns = [rule for rule in rules if not rule.patterns]
        self._named: dict[Key, list[tuple[Rule, int]]] = defaultdict(list)
        for rule in rules:
            for place, pattern in enumerate(rule.patterns):
                key = (_constant(pattern.topic), _constant(pattern.name))
                self._named[key].append((rule, place))

    def of(self, fact: Fact) -> Iterator[tuple[Rule, int]]:
        """Each rule with the place of a condition that the fact may fit."""
        for topic in (fact.topic, None):
            for name in (fact.name, None):
                yield from self._named.get((topic, name), ())


def _constant(text: str, bound: Mapping[str, str] = NOTHING_BOUND) -> str | None:
    """What has to stand there; None where anything may."""
    if text == ANYTHING:
        return None
    return bound.get(text) if text.startswith("?") else text


def _fit(pattern: Pattern, fact: Fact, bound: Bound) -> Bound | None:
    """The variables bound once the fact stands for the pattern; None when it can't."""
    for wanted, text in (
        (pattern.topic, fact.topic),
        (pattern.name, fact.name),
        (pattern.value, fact.value),
    ):
        if wanted.startswith("?") and wanted not in bound:
            bound = {**bound, wanted: text}
        elif wanted != ANYTHING and bound.get(wanted, wanted) != text:
            return None
    return bound

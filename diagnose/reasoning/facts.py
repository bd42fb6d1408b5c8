"""What the chainers are given and hand back: facts, what supports them, and the walk back to why.

This module matches nothing. A fact is three texts, `Fact("is", "cam_drive", "chain")`; a derived
fact keeps every pair of a rule and the facts it fired on. A fact that is both given and derived is
in `given` and in `derived`, so that no reason gets lost.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from operator import attrgetter
from types import MappingProxyType

from diagnose.named import Named

ABSENT = "absent"
LONGEST_TEXT = 10_000
MOST_FIRINGS = 50_000

in_order = attrgetter("topic", "name", "value")
"""Sort key of facts; three times as fast as comparing the facts themselves."""


class Fact(Named):
    """One thing that holds."""

    topic: str
    name: str
    value: str = ""


class Support(Named):
    """A rule and the facts it fired on, sorted; what it found missing has the topic `absent`."""

    rule: str
    facts: tuple[Fact, ...]


class Reason(Named):
    """One support of an explained fact, its facts explained in turn."""

    rule: str
    facts: tuple[Explanation, ...]


class Explanation(Named):
    """Why a fact holds. `is_told_elsewhere`: its reasons stand at another place in the tree."""

    fact: Fact
    is_given: bool
    reasons: tuple[Reason, ...] = ()
    is_told_elsewhere: bool = False


class Derivation(Named):
    """Everything that follows from the given facts; `firings` counts the complete matches."""

    given: frozenset[Fact]
    derived: Mapping[Fact, tuple[Support, ...]] = MappingProxyType({})
    firings: int = 0

    @classmethod
    def collect(
        cls, given: frozenset[Fact], supports: Mapping[Fact, Iterable[Support]], firings: int
    ) -> Derivation:
        """Put the supports of every derived fact in their one order."""
        facts = sorted(supports, key=in_order)
        return cls(given, {f: tuple(sorted(supports[f])) for f in facts}, firings)

    def of(self, topic: str) -> list[Fact]:
        """The facts of a topic, given or derived, sorted."""
        found = {f for f in self.given if f.topic == topic}
        found.update(f for f in self.derived if f.topic == topic)
        return sorted(found, key=in_order)

    def why(self, fact: Fact) -> Explanation:
        """Walk the trace back from a fact; every fact is explained once, nearest to the top.

        That keeps the tree finite where facts support each other in a circle, and small where
        many rules share their grounds.
        """
        if fact not in self.given and fact not in self.derived:
            raise ValueError(f"{fact!r} does not hold, so nothing can explain it")
        seats = self._seats(fact)
        told: dict[Fact, Explanation] = {}
        for known in reversed(seats):  # what a fact rests on comes after it, so it is told first
            told[known] = self._explanation(known, seats, told)
        return told[fact]

    def _seats(self, fact: Fact) -> dict[Fact, tuple[Fact, Support] | None]:
        """For each fact behind `fact`, breadth first, the place in the tree where it is told."""
        seats: dict[Fact, tuple[Fact, Support] | None] = {fact: None}
        order = [fact]
        for known in order:
            for support in self.derived.get(known, ()):
                new = [f for f in support.facts if f not in seats]
                seats.update((f, (known, support)) for f in new)
                order += new
        return seats

    def _explanation(
        self,
        known: Fact,
        seats: Mapping[Fact, tuple[Fact, Support] | None],
        told: Mapping[Fact, Explanation],
    ) -> Explanation:
        def explain(support: Support, fact: Fact) -> Explanation:
            if seats[fact] == (known, support):
                return told[fact]
            return Explanation(fact, fact in self.given, (), fact in self.derived)

        reasons = tuple(
            Reason(support.rule, tuple(explain(support, f) for f in support.facts))
            for support in self.derived.get(known, ())
        )
        return Explanation(known, known in self.given, reasons)


class TooManyFirings(RuntimeError):
    """The fuse: the rules fired more often in one run than any sound program would."""

    def __init__(self, limit: int, rule: str) -> None:
        self.limit = limit
        self.rule = rule
        super().__init__(
            f"the rules fired more than {limit} times in one run, at last rule '{rule}';"
            " let its conditions share a variable or name what they look for"
        )


def admit(facts: Iterable[Fact]) -> frozenset[Fact]:
    """Check all given facts before any of them reaches a chainer."""
    given = frozenset(facts)
    for fact in given:
        fault = _fault(fact)
        if fault:
            raise ValueError(f"{fact!r:.200} can't be given as a fact: {fault}")
    return given


@lru_cache(maxsize=4096)  # the same few hundred texts come again and again
def text_fault(text: object) -> str | None:
    """What makes a text unfit for a fact or a rule, if anything."""
    if not isinstance(text, str):
        return f"{text!r:.60} is not a text"
    if len(text) > LONGEST_TEXT:
        return f"a text has {len(text)} characters; at most {LONGEST_TEXT} are taken"
    if not text.isascii() and any("\ud800" <= c <= "\udfff" for c in text):
        return f"{text!r:.60} holds half of a surrogate pair; give whole characters"
    return None


def _fault(fact: object) -> str | None:
    if not isinstance(fact, Fact):
        return "it is not a Fact"
    if fact.topic == ABSENT:
        return f"the topic '{ABSENT}' is kept for what a rule found missing"
    faults = map(text_fault, (fact.topic, fact.name, fact.value))
    return next((fault for fault in faults if fault), None)

"""The chainer on durable_rules, and the only module that touches that library.

The engine only matches: positive conditions, constants, equality between conditions. What it can't
be trusted with stays in Python: what is absent is asserted as a message of its own; ids, supports,
order and the fuse are kept here; and the engine's limits are kept by `guards`.

Rules are handed to the engine itself: the library's own host adds timer threads and loads
slowly.

Each ruleset is compiled once per process, when first touched, and lives on; a run opens a new
session in every ruleset that its facts touch. The rulesets of one stratum feed each other through
one queue until that is empty: so systems stay apart, and one without a fact costs nothing.
"""

from __future__ import annotations

import json
from _thread import allocate_lock  # threading itself takes a millisecond to load
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack
from itertools import count
from json.encoder import encode_basestring as quoted

import durable_rules_engine as engine  # type: ignore[import-not-found,import-untyped,unused-ignore]

from diagnose.reasoning.engine_text import texts_of
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
from diagnose.reasoning.program import (
    FIELDS,
    Absent,
    Program,
    Rule,
    Ruleset,
    ShapeIndex,
    Stratum,
    fields,
    is_variable,
    shape_of,
)

# the engine gains nothing from threads, and the compiled rulesets are shared
_LOCK = allocate_lock()
_COMPILED: dict[Ruleset, _Compiled] = {}
_SESSIONS = count()


class DurableChainer:
    """Runs a program on durable_rules."""

    def __init__(self, program: Program, most_firings: int = MOST_FIRINGS) -> None:
        accept(program)
        texts = program.texts or texts_of(program)
        self._strata = [_Routes(*each) for each in zip(program.strata, texts, strict=True)]
        self._most_firings = most_firings

    def run(self, facts: Iterable[Fact]) -> Derivation:
        """Derive everything that follows from the facts."""
        given = admit(facts)
        with _LOCK:
            run = _Run(given, self._most_firings)
            for routes in self._strata:
                run.complete(routes)
        return Derivation.collect(given, run.supports, run.firings)


class _Run:
    """One run from its given facts upwards; facts found on the way wait at the end of the queue."""

    def __init__(self, given: frozenset[Fact], most_firings: int) -> None:
        self.firings = 0
        self.supports: dict[Fact, set[Support]] = defaultdict(set)
        self._most_firings = most_firings
        self._session = f"s{next(_SESSIONS)}"
        self._queue: list[tuple[Fact, str]] = []
        self._ids: dict[str, Fact] = {}
        self._known: set[Fact] = set()
        for fact in sorted(given, key=in_order):
            self._learn(fact)

    def complete(self, routes: _Routes) -> None:
        """Fire all rules of a stratum until nothing new comes; all lower ones are complete."""
        missing = routes.missing(self._known)
        with ExitStack() as closing:
            sessions: dict[int, _Session] = {}

            def session(number: int) -> _Session:
                if number not in sessions:
                    opened = _Session(routes.compiled(number), self._session)
                    closing.callback(opened.close)
                    sessions[number] = opened
                    for absent in routes.waited_for[number] & missing:
                        self._fire(opened.tell(self._message(absent)))
                return sessions[number]

            for number in routes.always:
                session(number)
            for fact, message in self._queue:  # grows while it is walked
                for number in routes.touched(fact):
                    self._fire(session(number).tell(message))

    def _learn(self, fact: Fact) -> None:
        if fact not in self._known:
            self._known.add(fact)
            self._queue.append((fact, self._message(fact)))

    def _message(self, about: Fact | Absent) -> str:
        number = str(len(self._ids))
        self._ids[number] = about.fact if isinstance(about, Absent) else about
        topic, name, value = map(quoted, fields(about))
        first = "absent" if isinstance(about, Absent) else "topic"
        return (
            f'{{"{first}":{topic},"name":{name},"value":{value},'
            f'"id":"{number}","sid":"{self._session}"}}'
        )

    def _fire(self, firings: Iterator[tuple[_Action, list[str]]]) -> None:
        for action, ids in firings:
            self.firings += 1
            if self.firings > self._most_firings:
                raise TooManyFirings(self._most_firings, action.rule.id)
            matched = [self._ids[number] for number in ids]
            support = Support(action.rule.id, tuple(sorted(set(matched), key=in_order)))
            for fact in action.conclude(matched):
                self.supports[fact].add(support)
                self._learn(fact)


class _Routes:
    """Which rulesets of a stratum a fact touches, and what they wait for to be absent."""

    def __init__(self, stratum: Stratum, texts: Sequence[str]) -> None:
        self._rulesets, self._texts = stratum.rulesets, texts
        self._compiled: dict[int, _Compiled] = {}
        self._absents = [(absent, shape_of(absent)) for absent in stratum.absents]
        self._absent_index = ShapeIndex(shape for _, shape in self._absents)
        self.always = [
            number
            for number, ruleset in enumerate(stratum.rulesets)
            if any(not rule.patterns for rule in ruleset.rules)
        ]
        self.waited_for = [
            frozenset(absent for rule in ruleset.rules for absent in rule.absents)
            for ruleset in stratum.rulesets
        ]
        self._touched = stratum.touched
        self._index = ShapeIndex(stratum.touched)

    def touched(self, fact: Fact) -> Sequence[int]:
        """The numbers of the rulesets with a pattern that fits, in order."""
        shapes = self._index.fitting(fields(fact))
        if len(shapes) == 1:
            return self._touched[shapes[0]]
        return sorted({number for shape in shapes for number in self._touched[shape]})

    def missing(self, known: Iterable[Fact]) -> frozenset[Absent]:
        """What the stratum waits for that no known fact fits."""
        index = self._absent_index
        present = {shape for fact in known for shape in index.fitting(fields(fact))}
        return frozenset(absent for absent, shape in self._absents if shape not in present)

    def compiled(self, number: int) -> _Compiled:
        """The ruleset in the engine; two programs that share a ruleset share its compiled form."""
        if number not in self._compiled:
            ruleset = self._rulesets[number]
            if ruleset not in _COMPILED:
                _COMPILED[ruleset] = _Compiled(ruleset, self._texts[number])
            self._compiled[number] = _COMPILED[ruleset]
        return self._compiled[number]


class _Session:
    """The facts of one run in one ruleset.

    It opens with a message that fires a rule of the adapter's own: the engine crashes on deleting a
    session in which nothing ever fired.
    """

    def __init__(self, compiled: _Compiled, name: str) -> None:
        self._compiled = compiled
        self._name = name
        for _ in self._firings(f'{{"start":1,"id":"start","sid":"{name}"}}'):
            pass

    def tell(self, message: str) -> Iterator[tuple[_Action, list[str]]]:
        """Assert one message and hand out each firing: its rule and the ids that it matched."""
        for firing in self._firings(message):
            [(name, matched)] = firing.items()
            action = self._compiled.action(name)
            yield action, [matched[capture]["id"] for capture in action.captures]

    def close(self) -> None:
        """Free what the session holds in the engine."""
        engine.delete_state(self._compiled.handle, self._name)

    def _firings(self, message: str) -> Iterator[dict[str, dict[str, dict[str, str]]]]:
        handle = self._compiled.handle
        _, place = engine.assert_fact(handle, message)
        started = engine.start_action_for_state(handle, place)
        firing = started and started[1]
        while firing:
            yield json.loads(firing)
            firing = engine.complete_and_start_action(handle, place)


class _Compiled:
    """A ruleset in the engine, with a first session behind it (the first one costs most)."""

    def __init__(self, ruleset: Ruleset, text: str) -> None:
        self._rules = ruleset.rules
        self._actions: dict[str, _Action] = {}
        self.handle: int = engine.create_ruleset(f"k{len(_COMPILED)}", text)
        _Session(self, "s").close()

    def action(self, name: str) -> _Action:
        """The rule that a firing names; most rules never fire."""
        if name not in self._actions:
            self._actions[name] = _Action(self._rules[int(name[1:])])
        return self._actions[name]


class _Action:
    """A rule and how to read its firings."""

    def __init__(self, rule: Rule) -> None:
        self.rule = rule
        self.captures = [f"c{number}" for number in range(len(rule.when))]
        self._binding: dict[str, tuple[int, str]] = {}
        for number, pattern in enumerate(rule.patterns):
            for field, text in zip(FIELDS, fields(pattern), strict=True):
                if is_variable(text):
                    self._binding.setdefault(text, (number, field))

    def conclude(self, matched: list[Fact]) -> tuple[Fact, ...]:
        """The conclusions for the facts its conditions matched."""
        bound = {text: getattr(matched[n], field) for text, (n, field) in self._binding.items()}
        return self.rule.conclude(bound)

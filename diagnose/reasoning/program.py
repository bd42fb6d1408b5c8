"""Rules as data, and the order in which they have to run; matches no facts.

A field of a condition is a constant, a variable (`?x`: the same text wherever it stands in the
rule) or `*` for anything. `Absent` holds when no matching fact is known once everything its rule
could wait for is settled: the rules are laid in strata, and what is absent is looked up at the
boundary below each. Inside a stratum each system has a ruleset of its own.

    Rule("loose", (Pattern("is", "bolt", "?how"), Absent("note", "stood")), (Fact("bolt", "?how"),))

A template builds only from texts that are already there, so every derivation is finite.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Iterator, Mapping, Sequence

from diagnose.named import Named
from diagnose.reasoning.facts import ABSENT, Fact

ANYTHING = "*"
FIELDS = ("topic", "name", "value")

Shape = tuple[str | None, str | None, str | None]
"""The constants of a pattern or template; None where anything may stand."""


class Pattern(Named):
    """A condition that holds for each known fact it fits."""

    topic: str
    name: str = ANYTHING
    value: str = ANYTHING


class Absent(Named):
    """A condition that holds when no known fact fits; takes constants and `*`, no variables.

    `is_absent` tells it from a pattern of the same texts: records are equal when their values are.
    """

    topic: str
    name: str = ANYTHING
    value: str = ANYTHING
    is_absent: bool = True

    @property
    def fact(self) -> Fact:
        """How the missing fact is named among the supports of a conclusion."""
        return Fact(ABSENT, f"{self.topic} {self.name}", self.value)


class Rule(Named):
    """When all conditions hold, so do the conclusions; these may use the conditions' variables."""

    id: str
    when: tuple[Pattern | Absent, ...]
    then: tuple[Fact, ...]
    system: str = ""

    @property
    def patterns(self) -> tuple[Pattern, ...]:
        """The positive conditions, in order."""
        return tuple(c for c in self.when if isinstance(c, Pattern))

    @property
    def absents(self) -> tuple[Absent, ...]:
        """The negated conditions, in order."""
        return tuple(c for c in self.when if isinstance(c, Absent))

    def conclude(self, bound: Mapping[str, str]) -> tuple[Fact, ...]:
        """The conclusions with every variable replaced by what it is bound to."""
        if not bound:
            return self.then
        return tuple(Fact(*(bound.get(t, t) for t in fields(fact))) for fact in self.then)


class Ruleset(Named):
    """The rules of one system within one stratum."""

    system: str
    rules: tuple[Rule, ...]


class Stratum(Named):
    """Rulesets that may feed each other, and what has to be looked up as absent before they run.

    `touched` gives for the shape of each pattern the numbers of the rulesets that have it.
    """

    rulesets: tuple[Ruleset, ...]
    absents: tuple[Absent, ...]
    touched: Mapping[Shape, tuple[int, ...]]


class Program:
    """Rules laid in strata. `loops` names rules that wait for each other through a negation.

    A program with loops, or with other faults that `guards.check` finds, can be looked at but not
    run. `is_accepted` remembers that the guards found nothing; `texts` keeps what an engine is
    given for each ruleset of each stratum, where that was worked out before.
    """

    def __init__(self, rules: Iterable[Rule]) -> None:
        self.rules = tuple(sorted(rules, key=lambda rule: str(rule.id)))
        self.is_accepted = False
        self.texts: tuple[tuple[str, ...], ...] = ()
        followers = _followers(self.rules)
        levels = _levels(self.rules, followers)
        self.loops = () if levels else tuple(_loops(self.rules, followers))
        self.strata = tuple(_strata(self.rules, levels or [0] * len(self.rules)))


class ShapeIndex:
    """Finds the shapes that a fact, or the shape of a template, may fit."""

    def __init__(self, shapes: Iterable[Shape]) -> None:
        self._shapes = frozenset(shapes)
        self._masks = sorted({tuple(text is not None for text in s) for s in self._shapes})

    def fitting(self, shape: Shape) -> list[Shape]:
        """The indexed shapes that fit, in a fixed order for a fact."""
        if None in shape:
            return [s for s in self._shapes if may_fit(s, shape)]
        topic, name, value = shape
        keys = [
            (topic if t else None, name if n else None, value if v else None)
            for t, n, v in self._masks
        ]
        return [key for key in keys if key in self._shapes]


def fields(stands_for: Pattern | Absent | Fact) -> tuple[str, str, str]:
    """The three texts of a condition, template or fact."""
    return (stands_for.topic, stands_for.name, stands_for.value)


def is_variable(text: str) -> bool:
    """True for `?x`; a text that begins with a question mark can't be a constant of a rule."""
    return text.startswith("?")


def shape_of(stands_for: Pattern | Absent | Fact) -> Shape:
    """The constants of a condition or template."""
    topic, name, value = (
        None if text == ANYTHING or is_variable(text) else text for text in fields(stands_for)
    )
    return (topic, name, value)


def may_fit(one: Shape, other: Shape) -> bool:
    """True when some fact has both shapes."""
    return all(a is None or b is None or a == b for a, b in zip(one, other, strict=True))


def _followers(rules: Sequence[Rule]) -> list[dict[int, int]]:
    """For each rule the rules it may feed: 0, or 1 where it is waited for through an `Absent`."""
    waiting: dict[Shape, dict[int, int]] = defaultdict(dict)
    for number, rule in enumerate(rules):
        for condition in rule.when:
            known = waiting[shape_of(condition)]
            known[number] = max(known.get(number, 0), int(isinstance(condition, Absent)))
    index = ShapeIndex(waiting)
    followers: list[dict[int, int]] = []
    for rule in rules:
        fed: dict[int, int] = {}
        for shape in {s for fact in rule.then for s in index.fitting(shape_of(fact))}:
            for number, step in waiting[shape].items():
                fed[number] = max(fed.get(number, 0), step)
        followers.append(fed)
    return followers


def _levels(rules: Sequence[Rule], followers: Sequence[Mapping[int, int]]) -> list[int] | None:
    """The lowest stratum each rule may run in; None where a negation waits for itself."""
    levels = [0] * len(rules)
    highest = sum(1 for rule in rules if rule.absents)
    queue = deque(range(len(rules)))
    while queue:
        number = queue.popleft()
        for follower, step in followers[number].items():
            level = levels[number] + step
            if level > highest:
                return None
            if level > levels[follower]:
                levels[follower] = level
                queue.append(follower)
    return levels


def _loops(
    rules: Sequence[Rule], followers: Sequence[Mapping[int, int]]
) -> Iterator[tuple[str, ...]]:
    """The shortest circle through each negation that waits for itself, each set of rules once."""
    seen = set()
    for number, fed in enumerate(followers):
        for follower in sorted(f for f, step in fed.items() if step):
            path = _path(followers, follower, number)
            if path and frozenset(path) not in seen:
                seen.add(frozenset(path))
                first = path.index(min(path))
                yield tuple(rules[n].id for n in path[first:] + path[:first])


def _path(followers: Sequence[Mapping[int, int]], start: int, goal: int) -> list[int]:
    """The rules from start to goal, each feeding the next; empty when there is no way."""
    came_from = {start: start}
    queue = deque([start])
    while queue and goal not in came_from:
        number = queue.popleft()
        for follower in sorted(followers[number]):
            if follower not in came_from:
                came_from[follower] = number
                queue.append(follower)
    if goal not in came_from:
        return []
    path = [goal]
    while path[-1] != start:
        path.append(came_from[path[-1]])
    return path[::-1]


def _strata(rules: Sequence[Rule], levels: Sequence[int]) -> Iterator[Stratum]:
    grouped: dict[int, dict[str, list[Rule]]] = defaultdict(lambda: defaultdict(list))
    for rule, level in zip(rules, levels, strict=True):
        grouped[level][rule.system].append(rule)
    for level in sorted(grouped):
        systems = grouped[level]
        rulesets = tuple(Ruleset(system, tuple(systems[system])) for system in sorted(systems))
        absents = {a for ruleset in rulesets for rule in ruleset.rules for a in rule.absents}
        yield Stratum(rulesets, tuple(sorted(absents, key=fields)), _touched(rulesets))


def _touched(rulesets: Iterable[Ruleset]) -> dict[Shape, tuple[int, ...]]:
    touched: dict[Shape, tuple[int, ...]] = {}
    for number, ruleset in enumerate(rulesets):
        for shape in {shape_of(pattern) for rule in ruleset.rules for pattern in rule.patterns}:
            touched[shape] = (*touched.get(shape, ()), number)
    return touched

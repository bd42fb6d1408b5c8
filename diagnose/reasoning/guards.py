"""What a program must not hold, checked before any chainer runs it.

The rule engine behind `durable` hangs or dies, rather than complains, when one of its limits is
passed; so each limit is counted here, a little early, on the very tests the engine is given. The
plain chainer has no such limits but keeps to them, so that every program runs on both. Negated
patterns, alternatives, arithmetic, text patterns and comparisons of two facts can't be written as a
`Rule` at all.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator

from diagnose.named import Named
from diagnose.reasoning.facts import ABSENT, Fact, text_fault
from diagnose.reasoning.program import (
    ANYTHING,
    FIELDS,
    Absent,
    Pattern,
    Program,
    Rule,
    Ruleset,
    Shape,
    fields,
    is_variable,
    may_fit,
    shape_of,
)

MOST_CONDITIONS = 16
MOST_LOOSE = 2
MOST_RULES = 4_000  # the engine takes 4096, one of them the adapter's own
MOST_BRANCHES = 500  # 511; the 512th hangs
MOST_SHARING = 250  # 255; the 256th reads past the end of a list
MOST_SATISFIED = 60  # 64; the 65th is refused in the middle of a run
_UNJOINED = 8  # the tests on constants that one fact can satisfy at the same time

Join = tuple[int, str]
Test = tuple[str, str | Join | None]
"""A field (or `absent`) with its constant, the condition and field it equals, or None: any text."""


class Problem(Named):
    """One thing wrong: a code of `SENTENCES`, the rule it shows at, the values of its sentence."""

    code: str
    rule: str
    values: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """The whole line as a person reads it."""
        return f"rule '{self.rule}': {SENTENCES[self.code].format(*self.values)}"


class ProgramError(ValueError):
    """The program can't be run; carries every problem found."""

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = problems
        super().__init__("\n".join(problem.sentence for problem in problems))


SENTENCES = {
    "bad_text": "{0}; write plain text",
    "crowded_fact": "up to {0} tests of system '{1}' may hold for one fact here, more than "
    f"{MOST_SATISFIED}; name what its joined conditions look for",
    "duplicate_id": "this id is used {0} times; give each rule its own",
    "joined_to_nothing": "{0} conditions fit any name and share no variable with one before; "
    f"leave at most {MOST_LOOSE} of them or join them",
    "nameless_variable": "'?' is no variable; write '?x', or '*' for anything",
    "no_conclusion": "it concludes nothing; give it at least one fact in 'then'",
    "no_condition": "it has no condition; give it at least one in 'when'",
    "open_conclusion": "'*' in a conclusion says nothing; name the text or use a variable",
    "recursion_through_negation": "it waits for what is absent, and that depends on itself: {0}; "
    "let one of them conclude another topic",
    "repeated_variable": "'{0}' stands twice in one condition; use it once there",
    "reserved_topic": f"the topic '{ABSENT}' is kept for missing facts; use Absent",
    "shared_pattern": "it is condition number {0} on the pattern {1} in system '{2}', more than "
    f"{MOST_SHARING}; move rules to another system or conclude a fact in between",
    "spaced_topic": "the topic {0} holds a blank; write it as one word",
    "too_many_branches": "it brings the different texts after {0} in system '{1}' to {2}, "
    f"more than {MOST_BRANCHES}; spread them over more topics or systems",
    "too_many_conditions": f"it has {{0}} conditions, more than {MOST_CONDITIONS}; conclude a fact "
    "from some of them first",
    "too_many_rules": "it is number {0} of system '{1}' in one stratum, more than "
    f"{MOST_RULES}; move rules to another system",
    "unbound_variable": "'{0}' is bound by no condition; use it in a Pattern too",
    "variable_in_absent": "'{0}' in Absent is bound to nothing; name the text or write '*'",
}


def check(program: Program) -> list[Problem]:
    """Find everything that keeps a program from being run; rules first, then the whole."""
    problems = [problem for rule in program.rules for problem in _rule_problems(rule)]
    counts = Counter(rule.id for rule in program.rules)
    problems += [Problem("duplicate_id", r, (str(n),)) for r, n in counts.items() if n > 1]
    for loop in program.loops:
        circle = " > ".join((*loop, loop[0]))
        problems.append(Problem("recursion_through_negation", loop[0], (circle,)))
    if not problems:  # what the engine would be given can be worked out only for sound rules
        for stratum in program.strata:
            for ruleset in stratum.rulesets:
                problems += _TestTree(ruleset).problems()
    return problems


def accept(program: Program) -> None:
    """Raise a `ProgramError` unless the program can be run."""
    if program.is_accepted:
        return
    problems = check(program)
    if problems:
        raise ProgramError(problems)
    program.is_accepted = True


def tests_of(rule: Rule) -> list[tuple[Test, ...]]:
    """The tests that each condition becomes in the engine: patterns in order, then absents.

    The topic comes first and says at least that there is one, which sets statements apart from the
    adapter's own messages; joins come last, so that conditions share their constant tests.
    """
    bound: dict[str, Join] = {}
    conditions = []
    for number, pattern in enumerate(rule.patterns):
        constants: list[Test] = []
        joins: list[Test] = []
        for field, text in zip(FIELDS, fields(pattern), strict=True):
            is_open = text == ANYTHING or is_variable(text)
            if not is_open:
                constants.append((field, text))
            elif field == "topic":
                constants.append((field, None))
            if text in bound:
                joins.append((field, bound[text]))
            elif is_variable(text):
                bound[text] = (number, field)
        conditions.append((*constants, *joins))
    for absent in rule.absents:
        conditions.append(
            (("absent", absent.topic), ("name", absent.name), ("value", absent.value))
        )
    return conditions


def _rule_problems(rule: Rule) -> Iterator[Problem]:
    texts = [rule.id, rule.system, *(t for part in (*rule.when, *rule.then) for t in fields(part))]
    for fault in dict.fromkeys(filter(None, map(text_fault, texts))):
        yield Problem("bad_text", rule.id, (fault,))
    if not rule.when:
        yield Problem("no_condition", rule.id)
    if not rule.then:
        yield Problem("no_conclusion", rule.id)
    if len(rule.when) > MOST_CONDITIONS:
        yield Problem("too_many_conditions", rule.id, (str(len(rule.when)),))
    for topic in dict.fromkeys(part.topic for part in (*rule.when, *rule.then)):
        if topic == ABSENT:
            yield Problem("reserved_topic", rule.id)
        if any(character.isspace() for character in topic):
            yield Problem("spaced_topic", rule.id, (repr(topic),))
    if any(text.startswith(("?", ANYTHING)) for text in texts):
        yield from _variable_problems(rule)
        yield from _joining_problems(rule)


def _variable_problems(rule: Rule) -> Iterator[Problem]:
    in_patterns = {text for pattern in rule.patterns for text in _variables(pattern)}
    in_absents = {text for absent in rule.absents for text in _variables(absent)}
    concluded = {text for fact in rule.then for text in _variables(fact)}
    if "?" in in_patterns | in_absents | concluded:
        yield Problem("nameless_variable", rule.id)
    for text in sorted(in_absents):
        yield Problem("variable_in_absent", rule.id, (text,))
    for text in sorted(concluded - in_patterns):
        yield Problem("unbound_variable", rule.id, (text,))
    if any(ANYTHING in fields(fact) for fact in rule.then):
        yield Problem("open_conclusion", rule.id)


def _joining_problems(rule: Rule) -> Iterator[Problem]:
    loose = 0
    bound: set[str] = set()
    for pattern in rule.patterns:
        variables = _variables(pattern)
        for text, count in Counter(variables).items():
            if count > 1:
                yield Problem("repeated_variable", rule.id, (text,))
        loose += None in shape_of(pattern)[:2] and bound.isdisjoint(variables)
        bound.update(variables)
    if loose > MOST_LOOSE:  # each more would multiply the matches by the number of facts
        yield Problem("joined_to_nothing", rule.id, (str(loose),))


def _variables(part: Pattern | Absent | Fact) -> list[str]:
    return [text for text in fields(part) if is_variable(text)]


class _TestTree:
    """The engine's tree of tests for one ruleset, counted and not kept.

    Tests on constants are shared by all conditions that begin with them; a join never is.
    """

    def __init__(self, ruleset: Ruleset) -> None:
        self._ruleset = ruleset
        self._branches: dict[tuple[Test, ...], set[object]] = defaultdict(set)
        self._ends: Counter[tuple[Test, ...]] = Counter()
        self._joins: Counter[Shape] = Counter()
        self._joining: dict[Shape, str] = {}

    def problems(self) -> Iterator[Problem]:
        """Count the whole ruleset; each limit is reported at the first rule past it."""
        for number, rule in enumerate(self._ruleset.rules, start=1):
            if number == MOST_RULES + 1:
                yield Problem("too_many_rules", rule.id, (str(number), self._ruleset.system))
            for place, tests in enumerate(tests_of(rule)):
                constants = tests
                if isinstance(tests[-1][1], tuple):
                    constants = self._join(rule, place, tests)
                if constants not in self._ends:
                    yield from self._branch_problems(rule, constants)
                if constants is tests:
                    yield from self._sharing_problems(rule, tests)
        yield from self._crowding_problems()

    def _join(self, rule: Rule, place: int, tests: tuple[Test, ...]) -> tuple[Test, ...]:
        """Count the joins of a condition and return its tests on constants, which come first."""
        constants = tuple(test for test in tests if not isinstance(test[1], tuple))
        self._branches[constants].add((rule.id, place))
        shape = shape_of(rule.patterns[place])
        self._joins[shape] += len(tests) - len(constants)
        self._joining[shape] = rule.id
        return constants

    def _branch_problems(self, rule: Rule, tests: tuple[Test, ...]) -> Iterator[Problem]:
        for depth, test in enumerate(tests):
            branches = self._branches[tests[:depth]]
            if test in branches:
                continue
            branches.add(test)
            if len(branches) == MOST_BRANCHES + 1:
                after = " ".join(repr(text) for _, text in tests[:depth] if text) or "the start"
                values = (after, self._ruleset.system, str(len(branches)))
                yield Problem("too_many_branches", rule.id, values)

    def _sharing_problems(self, rule: Rule, tests: tuple[Test, ...]) -> Iterator[Problem]:
        self._ends[tests] += 1
        if self._ends[tests] == MOST_SHARING + 1:
            pattern = " ".join(ANYTHING if text is None else repr(text) for _, text in tests)
            values = (str(MOST_SHARING + 1), pattern, self._ruleset.system)
            yield Problem("shared_pattern", rule.id, values)

    def _crowding_problems(self) -> Iterator[Problem]:
        if self._joins.total() + _UNJOINED <= MOST_SATISFIED:
            return
        for shape, rule in self._joining.items():
            total = sum(count for other, count in self._joins.items() if may_fit(shape, other))
            if total + _UNJOINED > MOST_SATISFIED:
                values = (str(total + _UNJOINED), self._ruleset.system)
                yield Problem("crowded_fact", rule, values)
                return

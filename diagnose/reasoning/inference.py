"""From what is known of the case to everything the chaining rules conclude; ranks nothing.

The rules of `rules/chaining`, the `only_if` of every cause and the step from a judged reading to a
usable state become one program for the chainer.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import product

from diagnose.knowledge.conditions import Condition, parse
from diagnose.knowledge.model import ChainRule, Knowledge
from diagnose.knowledge.problems import KnowledgeError, Place, Problem
from diagnose.named import Named
from diagnose.reasoning import guards
from diagnose.reasoning.chaining import Chainer, checked
from diagnose.reasoning.facts import Derivation, Fact
from diagnose.reasoning.guards import ProgramError
from diagnose.reasoning.program import Absent, Pattern, Program, Rule

_FROM_READING = "reading"
_ONLY_IF = "only_if"


class Pointer(Named):
    """A rule that speaks for (`odds` over 1) or against a cause."""

    cause: str
    odds: float
    rule: str


class Conclusions(Named):
    """What the rules conclude from one case; values of the mappings are the rules behind it."""

    derivation: Derivation
    invalid: Mapping[str, str]
    ruled_out: Mapping[str, str]
    derived: Mapping[str, tuple[str, str]]
    pointers: tuple[Pointer, ...]
    cautions: Mapping[str, str]
    ask_first: tuple[str, ...]
    contradictions: tuple[tuple[tuple[str, ...], str], ...]
    notes: frozenset[str]
    roots: tuple[tuple[str, str, str], ...]


def build_rules(knowledge: Knowledge) -> list[Rule]:
    """The whole rule base as a program, in a fixed order."""
    rules: list[Rule] = []
    for rule in knowledge.rules.values():
        rules += _chain_rule(knowledge, rule)
    for finding in knowledge.findings.values():
        if finding.is_reading:
            rules += [_usable(finding.id, state) for state in finding.states]
    for cause in knowledge.causes.values():
        for number, text in enumerate(cause.only_if):
            rules += _necessity(knowledge, cause.id, cause.system, number, text)
    return rules


def build_program(knowledge: Knowledge) -> Program:
    """The whole rule base as a checked program; raises `KnowledgeError` naming the rules."""
    try:
        return checked(build_rules(knowledge))
    except ProgramError as fault:
        raise KnowledgeError([_refused(knowledge, p) for p in fault.problems]) from fault


def _refused(knowledge: Knowledge, problem: guards.Problem) -> Problem:
    rule = plain_rule_id(problem.rule)
    topic = knowledge.rules[rule].topic if rule in knowledge.rules else ""
    place = Place(f"rules/chaining/{topic}.yaml" if topic else "rules", 1, 1)
    return Problem("rule_refused", place, (rule, problem.sentence.partition(": ")[2]))


def facts_of(
    states: Mapping[str, str], judged: Mapping[str, str], unjudged: Iterable[str] = ()
) -> list[Fact]:
    """The facts of a case: states told in words, readings with their judged state."""
    out = []
    for finding, state in states.items():
        out += [Fact("is", finding, state), Fact("known", finding)]
    for finding, state in judged.items():
        out += [Fact("judged", finding, state), Fact("read", finding)]
    out += [Fact("read", finding) for finding in unjudged]
    return out


def infer(knowledge: Knowledge, chainer: Chainer, facts: Iterable[Fact]) -> Conclusions:
    """Run the rules on the facts and sort what they conclude."""
    derivation = chainer.run(facts)
    by_topic: dict[str, list[Fact]] = {}
    for fact in sorted(derivation.derived):
        by_topic.setdefault(fact.topic, []).append(fact)

    def rule_of(fact: Fact) -> str:
        return plain_rule_id(derivation.derived[fact][0].rule)

    def named(topic: str) -> dict[str, str]:
        return {f.name: rule_of(f) for f in by_topic.get(topic, ())}

    return Conclusions(
        derivation=derivation,
        invalid=named("invalid"),
        ruled_out=named("rules_out"),
        derived={
            f.name: (f.value, rule_of(f))
            for f in by_topic.get("is", ())
            if f not in derivation.given and not rule_of(f).startswith(f"{_FROM_READING}/")
        },
        pointers=tuple(_pointers(knowledge, derivation, by_topic)),
        cautions=named("caution"),
        ask_first=tuple(f.name for f in by_topic.get("ask_first", ())),
        contradictions=tuple(
            (tuple(f.name.split("+")), rule_of(f)) for f in by_topic.get("contradiction", ())
        ),
        notes=frozenset(f.name for f in by_topic.get("note", ())),
        roots=tuple((f.name, f.value, rule_of(f)) for f in by_topic.get("root", ())),
    )


def plain_rule_id(rule: str) -> str:
    """The id as written in the rule base, without the number of its variant."""
    return rule.split("#", 1)[0]


def _pointers(
    knowledge: Knowledge, derivation: Derivation, by_topic: Mapping[str, list[Fact]]
) -> Iterator[Pointer]:
    strength = knowledge.words.strength
    for topic, sense in (("points_to", 1), ("speaks_against", -1)):
        for fact in by_topic.get(topic, ()):
            rules = {plain_rule_id(s.rule) for s in derivation.derived[fact]}
            for rule in sorted(rules):
                yield Pointer(fact.name, strength[fact.value] ** sense, rule)


def _chain_rule(knowledge: Knowledge, rule: ChainRule) -> list[Rule]:
    conditions = [parse(text) for text in rule.when]
    choices = [_patterns(knowledge, c) for c in conditions if c is not None]
    then = tuple(f for action in rule.then for f in _facts(action))
    variants = list(product(*choices))
    return [
        Rule(f"{rule.id}#{n}" if len(variants) > 1 else rule.id, when, then, rule.topic)
        for n, when in enumerate(variants, start=1)
    ]


def _patterns(knowledge: Knowledge, condition: Condition) -> list[Pattern | Absent]:
    """The alternatives of one condition; `or` is spelled out, the chainer knows only `and`."""
    name = condition.name
    if condition.kind == "is":
        return [Pattern("is", name, state) for state in condition.states]
    if condition.kind == "is_not":
        states = knowledge.findings[name].known_states
        return [Pattern("is", name, s) for s in states if s not in condition.states]
    simple: dict[str, Pattern | Absent] = {
        "known": Pattern("known", name, ""),
        "not_known": Absent("known", name, ""),
        "read": Pattern("read", name, ""),
        "note": Pattern("note", name, ""),
        "no_note": Absent("note", name, ""),
    }
    return [simple[condition.kind]]


def _facts(action: Mapping[str, object]) -> list[Fact]:
    if "derive" in action:
        name = str(action["derive"])
        return [Fact("is", name, str(action["state"])), Fact("known", name)]
    if "contradiction" in action:
        names = action["contradiction"]
        return [Fact("contradiction", "+".join(names) if isinstance(names, list) else str(names))]
    if "root" in action:
        return [Fact("root", str(action["root"]), str(action["of"]))]
    verb = next(v for v in action if v != "how_strongly")
    return [Fact(verb, str(action[verb]), str(action.get("how_strongly", "")))]


def _usable(finding: str, state: str) -> Rule:
    when = (Pattern("judged", finding, state), Absent("invalid", finding, ""))
    then = (Fact("is", finding, state), Fact("known", finding))
    return Rule(f"{_FROM_READING}/{finding}/{state}", when, then, _FROM_READING)


def _necessity(
    knowledge: Knowledge, cause: str, system: str, number: int, text: str
) -> Iterator[Rule]:
    """A cause is out once what it needs is known to be otherwise."""
    condition = parse(text)
    if condition is None or condition.kind not in ("is", "is_not"):
        return
    states = knowledge.findings[condition.name].known_states
    wrong = [s for s in states if (s in condition.states) == (condition.kind == "is_not")]
    for state in wrong:
        when = (Pattern("is", condition.name, state),)
        rule = f"{_ONLY_IF}/{cause}/{number}#{state}"
        yield Rule(rule, when, (Fact("rules_out", cause),), system)

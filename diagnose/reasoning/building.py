"""The rule base as one program for the chainer; needed only where no kept copy is there.

The rules of `rules/chaining`, the `only_if` of every cause and the step from a judged reading to a
usable state become its rules.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import product

from diagnose.knowledge.conditions import Condition, parse
from diagnose.knowledge.model import ChainRule, Knowledge
from diagnose.knowledge.problems import KnowledgeError, Place, Problem
from diagnose.reasoning import guards
from diagnose.reasoning.chaining import checked
from diagnose.reasoning.facts import Fact
from diagnose.reasoning.guards import ProgramError
from diagnose.reasoning.inference import FROM_READING, plain_rule_id
from diagnose.reasoning.program import Absent, Pattern, Program, Rule

_ONLY_IF = "only_if"


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
    return Rule(f"{FROM_READING}/{finding}/{state}", when, then, FROM_READING)


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

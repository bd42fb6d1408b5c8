"""From what is known of the case to everything the chaining rules conclude; ranks nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from diagnose.knowledge.model import Knowledge
from diagnose.named import Named
from diagnose.reasoning.chaining import Chainer
from diagnose.reasoning.facts import Derivation, Fact

FROM_READING = "reading"


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
            if f not in derivation.given and not rule_of(f).startswith(f"{FROM_READING}/")
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


def about(condition: str) -> str:
    """What a condition of a rule is about: its finding, or the first word of another condition."""
    return condition.split(" ", 1)[0]

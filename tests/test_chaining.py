"""What every chainer promises, tried on both; made-up rules, and random programs for the rest."""

from __future__ import annotations

import random
import subprocess
import sys
from collections.abc import Iterator, Sequence
from itertools import product
from pathlib import Path

import pytest
from lengths import tries

from diagnose.reasoning.chaining import Chainer, chainer
from diagnose.reasoning.facts import Derivation, Explanation, Fact, Support
from diagnose.reasoning.guards import ProgramError, check
from diagnose.reasoning.program import Absent, Pattern, Program, Rule, fields

HERE = Path(__file__).parent
BOTH = ("durable", "plain")
TOPICS = ("is", "read", "note", "got")
NAMES = ("a", "b", "c", "d")
VALUES = ("", "x", "y", 'q"u\\o', "é\n\0", '{"c0":', "?x", "*")

A, B, C = (Fact("is", name, "yes") for name in "abc")


def run(prefer: str, rules: Sequence[Rule], *facts: Fact) -> Derivation:
    """Run a fresh chainer once."""
    return make(prefer, rules).run(facts)


def make(prefer: str, rules: Sequence[Rule]) -> Chainer:
    """A chainer of the named kind."""
    return chainer(rules, "durable" if prefer == "durable" else "plain")


def yes(name: str) -> Pattern:
    """The condition that something is so."""
    return Pattern("is", name, "yes")


CASES = {
    "one constant": ([yes("a")], [A], True),
    "another value": ([yes("a")], [Fact("is", "a", "no")], False),
    "both there": ([yes("a"), yes("b")], [A, B], True),
    "one missing": ([yes("a"), yes("b")], [A], False),
    "any value": ([Pattern("is", "a", "*")], [Fact("is", "a", "no")], True),
    "any value may be empty": ([Pattern("is", "a")], [Fact("is", "a")], True),
    "any topic": ([Pattern("*", "a", "*")], [Fact("far", "a", "off")], True),
    "anything at all": ([Pattern("*")], [Fact("far", "a", "off")], True),
    "anything of nothing": ([Pattern("*")], [], False),
    "the empty value": ([Pattern("is", "a", "")], [A], False),
    "absent": ([yes("a"), Absent("is", "b", "yes")], [A], True),
    "not absent": ([yes("a"), Absent("is", "b", "yes")], [A, B], False),
    "no other value is absent": ([yes("a"), Absent("is", "b", "no")], [A, B], True),
    "absent in any value": ([yes("a"), Absent("is", "b")], [A, B], False),
    "only absent": ([Absent("is", "b")], [], True),
    "only absent, but there": ([Absent("is", "b")], [B], False),
    "joined": ([Pattern("is", "a", "?x"), Pattern("is", "b", "?x")], [A, B], True),
    "joined to another value": (
        [Pattern("is", "a", "?x"), Pattern("is", "b", "?x")],
        [A, Fact("is", "b", "no")],
        False,
    ),
    "joined across fields": (
        [Pattern("is", "a", "?x"), Pattern("?x", "b", "*")],
        [A, Fact("yes", "b")],
        True,
    ),
    "one fact for two conditions": ([Pattern("is", "?x"), Pattern("*", "?x", "yes")], [A], True),
    "the same condition twice": ([yes("a"), yes("a")], [A], True),
}


@pytest.mark.parametrize("prefer", BOTH)
@pytest.mark.parametrize(("when", "facts", "holds"), CASES.values(), ids=CASES)
def test_a_rule_fires_exactly_when_its_conditions_hold(
    prefer: str, when: list[Pattern | Absent], facts: list[Fact], holds: bool
) -> None:
    rule = Rule("r", tuple(when), (Fact("got", "it"),))
    assert (Fact("got", "it") in run(prefer, [rule], *facts).derived) == holds


@pytest.mark.parametrize("prefer", BOTH)
@pytest.mark.parametrize("text", VALUES)
def test_any_text_arrives_as_it_was_given(prefer: str, text: str) -> None:
    rule = Rule("r", (Pattern("is", "?n", "?v"),), (Fact("got", "?v", "?n"),))
    assert list(run(prefer, [rule], Fact("is", text, "v")).derived) == [Fact("got", "v", text)]


@pytest.mark.parametrize("prefer", BOTH)
def test_odd_texts_can_be_constants_of_a_rule(prefer: str) -> None:
    odd = '\\"}é\U0001f527\n$and'
    rule = Rule(odd, (Pattern(odd[0], odd, odd),), (Fact("got", odd),), odd)
    found = run(prefer, [rule], Fact(odd[0], odd, odd)).derived
    assert found == {Fact("got", odd): (Support(odd, (Fact(odd[0], odd, odd),)),)}


@pytest.mark.parametrize("prefer", BOTH)
def test_facts_that_no_rule_asks_for_change_nothing(prefer: str) -> None:
    derivation = run(prefer, [Rule("r", (yes("a"),), (B,))], Fact("far", "off"), Fact("is", "a"))
    assert (derivation.derived, derivation.firings) == ({}, 0)


@pytest.mark.parametrize("prefer", BOTH)
def test_no_rules_and_no_facts_give_an_empty_derivation(prefer: str) -> None:
    assert run(prefer, []) == Derivation(frozenset(), {}, 0)


@pytest.mark.parametrize("prefer", BOTH)
def test_a_conclusion_feeds_rules_of_other_systems_and_back(prefer: str) -> None:
    rules = [
        Rule("1", (yes("a"),), (Fact("n", "1"),), "front"),
        Rule("2", (Pattern("n", "1"),), (Fact("n", "2"),), "back"),
        Rule("3", (Pattern("n", "2"),), (Fact("n", "3"),), "front"),
    ]
    assert run(prefer, rules, A).of("n") == [Fact("n", "1"), Fact("n", "2"), Fact("n", "3")]


@pytest.mark.parametrize("prefer", BOTH)
def test_every_support_is_kept_sorted_even_of_a_given_fact(prefer: str) -> None:
    rules = [Rule("r2", (yes("b"),), (C,)), Rule("r1", (yes("a"),), (C,), "other")]
    derivation = run(prefer, rules, A, B, C)
    assert derivation.derived == {C: (Support("r1", (A,)), Support("r2", (B,)))}
    assert C in derivation.given


@pytest.mark.parametrize("prefer", BOTH)
def test_what_was_found_missing_stands_among_the_supports(prefer: str) -> None:
    rule = Rule("r", (yes("a"), Absent("note", "checked")), (C,))
    missing = Fact("absent", "note checked", "*")
    assert run(prefer, [rule], A).derived == {C: (Support("r", (missing, A)),)}


@pytest.mark.parametrize("prefer", BOTH)
def test_absence_waits_until_all_that_could_conclude_it_is_settled(prefer: str) -> None:
    rules = [
        Rule("1", (yes("a"), Absent("bad", "a")), (Fact("use", "a"),)),
        Rule("2", (yes("b"), Absent("fine", "b")), (Fact("bad", "a"),)),
        Rule("3", (yes("c"),), (Fact("fine", "b"),)),
    ]
    assert run(prefer, rules, A, B).of("use") == []
    assert run(prefer, rules, A, B, C).of("use") == [Fact("use", "a")]


@pytest.mark.parametrize("prefer", BOTH)
def test_rules_that_feed_themselves_come_to_an_end(prefer: str) -> None:
    rules = [
        Rule("ab", (yes("a"),), (B,)),
        Rule("ba", (yes("b"),), (A,)),
        Rule("turn", (Pattern("on", "?x", "?y"),), (Fact("on", "?y", "?x"),)),
    ]
    derivation = run(prefer, rules, A, Fact("on", "1", "2"))
    assert set(derivation.derived) == {A, B, Fact("on", "1", "2"), Fact("on", "2", "1")}
    assert derivation.firings == 4


@pytest.mark.parametrize("prefer", BOTH)
def test_a_run_leaves_nothing_behind(prefer: str) -> None:
    got = (Fact("got", "it"),)
    made = make(prefer, [Rule("r", (yes("a"), yes("b")), got), Rule("s", (Absent("is"),), got)])
    counts = [len(made.run(facts).derived) for facts in ([A], [B], [], [A, B])]
    assert counts == [0, 0, 1, 1]


@pytest.mark.parametrize("prefer", BOTH)
def test_two_chainers_do_not_mix(prefer: str) -> None:
    one = make(prefer, [Rule("r", (yes("a"),), (B,))])
    two = make(prefer, [Rule("r", (yes("a"),), (C,))])
    assert [list(made.run([A]).derived) for made in (one, two, one)] == [[B], [C], [B]]


@pytest.mark.parametrize("prefer", BOTH)
@pytest.mark.parametrize(
    ("fact", "fault"),
    [
        (Fact("absent", "x"), "kept for what a rule found missing"),
        (Fact("is", "\ud800"), "half of a surrogate pair"),
        (Fact("is", "a", "x" * 10_001), "10001 characters"),
        (Fact("is", "a", 1), "not a text"),  # type: ignore[arg-type]
        (("is", "a", "x"), "not a Fact"),
    ],
    ids=lambda value: str(value)[:30] if isinstance(value, str) else "",
)
def test_a_fact_that_can_not_be_taken_is_refused_before_the_run(
    prefer: str, fact: Fact, fault: str
) -> None:
    with pytest.raises(ValueError, match=fault):
        run(prefer, [Rule("r", (yes("a"),), (B,))], A, fact)


def test_why_walks_back_to_what_was_given() -> None:
    rules = [Rule("r1", (yes("a"),), (B,)), Rule("r2", (yes("b"),), (C,))]
    ((second, (b,)),) = run("plain", rules, A).why(C).reasons
    ((first, (a,)),) = b.reasons
    assert (second, b.is_given, first, a) == ("r2", False, "r1", Explanation(A, True))


def test_why_is_finite_and_tells_each_fact_once_where_facts_support_each_other() -> None:
    rules = [Rule("ab", (yes("a"),), (B,)), Rule("ba", (yes("b"),), (A,))]
    ((_, (a,)),) = run("plain", rules, A).why(B).reasons
    assert a.is_given
    assert a.reasons[0].facts == (Explanation(B, False, (), True),)


def test_why_stays_small_where_many_rules_share_their_grounds() -> None:
    rules = [
        Rule(f"{step}{side}", (Pattern("s", f"{step}", "?v"),), (Fact("s", f"{step + 1}", side),))
        for step in range(400)
        for side in "lr"
    ]
    explanation = run("plain", rules, Fact("s", "0", "l")).why(Fact("s", "400", "r"))
    assert len(list(_told(explanation))) == 799


def test_why_of_what_does_not_hold_is_refused() -> None:
    with pytest.raises(ValueError, match="does not hold"):
        run("plain", [], A).why(B)


def _told(top: Explanation) -> Iterator[Fact]:
    """The facts whose reasons are told, once for each time they are."""
    waiting = [top]
    while waiting:
        explanation = waiting.pop()
        waiting += [fact for reason in explanation.reasons for fact in reason.facts]
        if explanation.reasons:
            yield explanation.fact


def test_a_program_with_faults_is_refused_when_the_chainer_is_made() -> None:
    with pytest.raises(ProgramError, match="rule 'r': it has no condition"):
        chainer([Rule("r", (), (A,))])


def test_nothing_of_the_library_is_loaded_before_the_first_run() -> None:
    code = (
        "import sys; from diagnose.reasoning.chaining import *;"
        "chainer([]);"
        "print([m for m in sys.modules if 'durable' in m or m == 'logging'])"
    )
    assert _output(code) == "[]"


def test_the_plain_chainer_steps_in_where_the_library_can_not_be_imported(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delitem(sys.modules, "diagnose.reasoning.durable", raising=False)
    monkeypatch.setitem(sys.modules, "durable_rules_engine", None)
    made = make("durable", [Rule("r", (yes("a"),), (B,))])
    assert list(made.run([A]).derived) == [B]


def test_a_fault_of_our_own_modules_is_not_taken_for_a_missing_library(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "diagnose.reasoning.durable", None)
    with pytest.raises(ImportError, match="diagnose"):
        run("durable", [], A)


def _output(code: str) -> str:
    command = [sys.executable, "-c", code]
    done = subprocess.run(command, capture_output=True, text=True, check=True, cwd=HERE.parent)
    return done.stdout.strip()


@pytest.mark.parametrize("block", range(tries(20, 6)))
def test_both_chainers_agree_on_random_programs_in_any_order(block: int) -> None:
    """Blocks of ten programs and five runs each; in full a thousand runs."""
    seeds = range(10 * block, 10 * block + 10)
    assert [(seed, turn) for seed in seeds for turn in _differing_turns(seed)] == []


@pytest.mark.parametrize("seed", range(60))
def test_random_derivations_are_what_the_rules_mean(seed: int) -> None:
    """Try every rule on every choice of facts: no match is missed, none is made up."""
    chance = random.Random(seed)
    rules = _random_program(chance)
    derivation = run("plain", rules, *_random_facts(chance, 8))
    assert {f: set(s) for f, s in derivation.derived.items()} == _meant(rules, derivation)


def _differing_turns(seed: int) -> list[int]:
    chance = random.Random(seed)
    rules = _random_program(chance)
    shuffled = chance.sample(rules, len(rules))
    durable, plain, again = make("durable", rules), make("plain", rules), make("plain", shuffled)
    differing = []
    for turn in range(5):
        facts = _random_facts(chance, 30)
        other = chance.sample(facts, len(facts))
        if not durable.run(facts) == plain.run(facts) == again.run(other) == durable.run(other):
            differing.append(turn)
    return differing


def _random_program(chance: random.Random) -> list[Rule]:
    rules: list[Rule] = []
    for number in range(chance.randint(3, 20)):
        rule = _random_rule(chance, number)
        if not check(Program([*rules, rule])):
            rules.append(rule)
    return rules


def _random_rule(chance: random.Random, number: int) -> Rule:
    patterns = [_random_pattern(chance) for _ in range(chance.choice((0, 1, 1, 2, 2, 3)))]
    absents = [
        Absent(_pick(chance, TOPICS, 0.05), _pick(chance, NAMES, 0.3), _pick(chance, "xy", 0.4))
        for _ in range(chance.choice((0, 0, 1, 1, 2)))
    ]
    bound = [text for pattern in patterns for text in fields(pattern) if text.startswith("?")]
    then = [
        Fact(
            chance.choice(TOPICS),
            chance.choice([*NAMES, *bound]),
            chance.choice([*VALUES[:6], *bound]),
        )
        for _ in range(chance.choice((1, 1, 2)))
    ]
    when: list[Pattern | Absent] = [*patterns, *absents]
    chance.shuffle(when)
    return Rule(f"rule {number}", tuple(when), tuple(then), chance.choice("stu"))


def _random_pattern(chance: random.Random) -> Pattern:
    return Pattern(
        _pick(chance, ("?x", *TOPICS * 4), 0.05),
        _pick(chance, ("?x", "?y", *NAMES), 0.15),
        _pick(chance, ("?x", "?y", *VALUES[:6]), 0.2),
    )


def _pick(chance: random.Random, texts: Sequence[str], open_share: float) -> str:
    return "*" if chance.random() < open_share else chance.choice(texts)


def _random_facts(chance: random.Random, most: int) -> list[Fact]:
    return [
        Fact(chance.choice(TOPICS), chance.choice(NAMES), chance.choice(VALUES))
        for _ in range(chance.randint(0, most))
    ]


def _meant(rules: Sequence[Rule], found: Derivation) -> dict[Fact, set[Support]]:
    """All supports by brute force: what is absent is absent from all that was found.

    That the result is what was found makes it the one meaning of rules laid in strata, and needs
    no strata to say so.
    """
    settled = found.given | found.derived.keys()
    meant: dict[Fact, set[Support]] = {}
    grows = True
    while grows:
        known = {*found.given, *meant}
        for rule in rules:
            for fact, support in _firings(rule, known, settled):
                meant.setdefault(fact, set()).add(support)
        grows = not meant.keys() <= known
    return meant


def _firings(
    rule: Rule, known: set[Fact], settled: frozenset[Fact]
) -> Iterator[tuple[Fact, Support]]:
    if any(_fits(absent, fact) for absent in rule.absents for fact in settled):
        return
    fitting = [[f for f in known if _fits(pattern, f)] for pattern in rule.patterns]
    for matched in product(*fitting):
        pairs = [
            (text, actual)
            for pattern, fact in zip(rule.patterns, matched, strict=True)
            for text, actual in zip(fields(pattern), fields(fact), strict=True)
            if text.startswith("?")
        ]
        bound = dict(pairs)
        if all(bound[text] == actual for text, actual in pairs):
            grounds = {*matched, *(absent.fact for absent in rule.absents)}
            for template in rule.then:
                fact = Fact(*(bound.get(text, text) for text in fields(template)))
                yield fact, Support(rule.id, tuple(sorted(grounds)))


def _fits(condition: Pattern | Absent, fact: Fact) -> bool:
    return all(
        text in ("*", actual) or (text.startswith("?") and isinstance(condition, Pattern))
        for text, actual in zip(fields(condition), fields(fact), strict=True)
    )

"""Each guard has a program that breaks it, one that just does not, and names the rule."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from diagnose.reasoning.chaining import chainer
from diagnose.reasoning.facts import Fact
from diagnose.reasoning.guards import SENTENCES, ProgramError, check
from diagnose.reasoning.program import Absent, Pattern, Program, Rule

A = Pattern("is", "a", "yes")
IT = Fact("got", "it")


def rule(
    *when: Pattern | Absent, then: tuple[Fact, ...] = (IT,), id: str = "wrong", system: str = ""
) -> Rule:
    """A rule that is sound but for what the test gives it."""
    return Rule(id, when, then, system)


def many(count: int, *when: Pattern | Absent, topic: str = "is") -> list[Rule]:
    """Numbered rules, each with a condition of its own before the given ones."""
    return [
        rule(Pattern(topic, f"n{n}", "yes"), *when, id=f"{topic}{n:04}")
        for n in range(1, count + 1)
    ]


X, Y = Pattern("is", "?x", "yes"), Pattern("is", "?y", "no")
JOINED = (Pattern("is", "?x", "v"), Pattern("is", "b", "?x"))

BROKEN: dict[str, tuple[str, list[Rule], str]] = {
    "half a character": ("bad_text", [rule(Pattern("is", "\udcff"))], "wrong"),
    "half a character in the id": ("bad_text", [rule(A, id="\ud800")], "\ud800"),
    "half a character concluded": ("bad_text", [rule(A, then=(Fact("a", "\udfff"),))], "wrong"),
    "too long a text": ("bad_text", [rule(Pattern("is", "x" * 10_001))], "wrong"),
    "an id used twice": ("duplicate_id", [rule(A), rule(A, system="other")], "wrong"),
    "three conditions on anything": (
        "joined_to_nothing",
        [rule(X, Y, Pattern("is", "*"))],
        "wrong",
    ),
    "a variable without a name": ("nameless_variable", [rule(Pattern("is", "?"))], "wrong"),
    "nothing concluded": ("no_conclusion", [rule(A, then=())], "wrong"),
    "no condition": ("no_condition", [rule()], "wrong"),
    "anything concluded": ("open_conclusion", [rule(A, then=(Fact("got", "*"),))], "wrong"),
    "a variable twice in a condition": (
        "repeated_variable",
        [rule(Pattern("is", "?x", "?x"))],
        "wrong",
    ),
    "absent asked for by name": ("reserved_topic", [rule(Pattern("absent", "a"))], "wrong"),
    "absent concluded": ("reserved_topic", [rule(A, then=(Fact("absent", "a"),))], "wrong"),
    "a topic of two words": ("spaced_topic", [rule(Pattern("two words"))], "wrong"),
    "17 conditions": (
        "too_many_conditions",
        [rule(*(Pattern("is", f"{n}") for n in range(17)))],
        "wrong",
    ),
    "a variable from nowhere": (
        "unbound_variable",
        [rule(X, then=(Fact("got", "?y"),))],
        "wrong",
    ),
    "a variable in absent": ("variable_in_absent", [rule(X, Absent("bad", "?x"))], "wrong"),
    "a rule against itself": (
        "recursion_through_negation",
        [rule(Absent("got", "it"))],
        "wrong",
    ),
    "two rules against each other": (
        "recursion_through_negation",
        [
            rule(Absent("bad"), id="one"),
            rule(Pattern("got", "?x"), then=(Fact("bad", "?x"),), id="two"),
        ],
        "one",
    ),
    "501 names in a topic": ("too_many_branches", many(501), "is0501"),
    "501 topics": (
        "too_many_branches",
        [rule(Pattern(f"t{n:03}"), id=f"r{n:03}") for n in range(501)],
        "r500",
    ),
    "501 values of a name": (
        "too_many_branches",
        [rule(Pattern("is", "a", f"v{n:03}"), id=f"r{n:03}") for n in range(501)],
        "r500",
    ),
    "a pattern shared by 251 conditions": ("shared_pattern", many(251, A), "is0251"),
    "an absence shared by 251 conditions": ("shared_pattern", many(251, Absent("b")), "is0251"),
    "53 joins on one topic": (
        "crowded_fact",
        [rule(*JOINED, id=f"r{n:02}") for n in range(53)],
        "r52",
    ),
    "53 joins on one fact, spread over shapes": (
        "crowded_fact",
        [rule(JOINED[0], Pattern("is", f"{n % 2}", "?x"), id=f"q{n:02}") for n in range(52)]
        + [rule(X, Pattern("is", "?x"), id="r")],
        "r",
    ),
    "4001 rules in a system": (
        "too_many_rules",
        [r for n in range(8) for r in many(500, topic=f"t{n}")] + [rule(A, id="z")],
        "z",
    ),
}

SOUND: dict[str, Iterable[Rule]] = {
    "two conditions on anything": [rule(X, Y)],
    "four conditions on any value of a name": [rule(*(Pattern("is", f"{n}") for n in range(4)))],
    "many conditions on anything, joined": [
        rule(X, Pattern("has", "?x", "?y"), Pattern("in", "?y"), Pattern("on", "?x"))
    ],
    "16 conditions": [rule(*(Pattern("is", f"{n}") for n in range(16)))],
    "feeding itself new combinations": [rule(X, then=(Fact("?x", "is", "yes"),))],
    "a negated loop broken by the value": [rule(Absent("got", "it", "no"))],
    "500 names in a topic": many(500),
    "500 names in each of two systems": [
        *many(500),
        *(rule(Pattern("is", f"m{n}"), id=f"m{n}", system="other") for n in range(500)),
    ],
    "a pattern shared by 250 conditions": many(250, A),
    "52 joins on one topic": [rule(*JOINED, id=f"r{n}") for n in range(52)],
    "70 joins that no one fact can meet": [
        rule(Pattern("is", f"{n}", "?x"), Pattern("has", f"{n}", "?x"), id=f"r{n}")
        for n in range(70)
    ],
    "no rules": [],
}


@pytest.mark.parametrize(("code", "rules", "named"), BROKEN.values(), ids=BROKEN)
def test_a_broken_program_is_reported_by_rule(code: str, rules: list[Rule], named: str) -> None:
    (problem,) = check(Program(rules))
    assert (problem.code, problem.rule) == (code, named)
    assert problem.sentence.startswith(f"rule '{named}': ")


@pytest.mark.parametrize("rules", SOUND.values(), ids=SOUND)
def test_a_sound_program_passes(rules: list[Rule]) -> None:
    assert check(Program(rules)) == []


def test_every_sentence_has_a_program_that_brings_it_up() -> None:
    assert {code for code, _, _ in BROKEN.values()} == set(SENTENCES)


def test_every_sentence_says_what_would_be_right() -> None:
    assert [code for code, text in SENTENCES.items() if "; " not in text] == []


def test_a_loop_is_told_rule_by_rule() -> None:
    _, rules, _ = BROKEN["two rules against each other"]
    assert "one > two > one" in check(Program(rules))[0].sentence


def test_each_loop_is_told_once_however_many_ways_lead_through_it() -> None:
    loop = [
        rule(Absent("bad", "a"), Absent("bad", "b"), id="one"),
        rule(Pattern("got"), Absent("got"), then=(Fact("bad", "a"), Fact("bad", "b")), id="two"),
    ]
    assert [problem.rule for problem in check(Program(loop))] == ["one"]


def test_all_problems_are_carried_together() -> None:
    wrong = [rule(id="b"), rule(A, then=(), id="a"), rule(Absent("got", "it"), id="c")]
    with pytest.raises(ProgramError) as error:
        chainer(wrong)
    assert [problem.rule for problem in error.value.problems] == ["a", "b", "c"]
    assert str(error.value).count("\n") == 2

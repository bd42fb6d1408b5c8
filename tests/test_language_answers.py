"""Answers to the question just put."""

from __future__ import annotations

import pytest
from language_toy import heard, numbers, states

from diagnose.language.understanding import Context

SHORT = [
    ("yes", "knock", {"knock": "present"}),
    ("no never", "knock", {"knock": "absent"}),
    ("yeah it was", "engine_runs", {"engine_runs": "yes"}),
    ("the second one", "widget", {"widget": "sheared"}),
    ("cut through", "widget", {"widget": "sheared"}),
    ("rattles about in its hole", "widget", {"widget": "loose"}),
    ("fine", "widget", {"widget": "whole"}),
    ("right so basically it knocks", "rattle", {"knock": "present"}),
    ("no, but it rattles", "knock", {"knock": "absent", "rattle": "present"}),
]
ASIDE = [
    ("dunno tbh", "dont_know"),
    ("didnt look", "dont_know"),
    ("cant reach it", "cannot"),
    ("no gauge on this one", "cannot"),
]


@pytest.mark.parametrize(("text", "asked", "taken"), SHORT)
def test_a_short_answer_is_of_the_finding_asked(
    text: str, asked: str, taken: dict[str, str]
) -> None:
    assert states(text, asked) == taken


@pytest.mark.parametrize(("text", "intent"), ASIDE)
def test_an_answer_may_be_that_there_is_none(text: str, intent: str) -> None:
    found = heard(text, Context(asked="widget"))
    assert (found.intent, found.taken) == (intent, ())


def test_a_bare_number_is_taken_in_the_agreed_unit() -> None:
    assert numbers("about 11 or so", "shaft_play", "thou") == {"shaft_play": (11, "thou")}


def test_the_persons_own_unit_wins_over_the_agreed_one() -> None:
    assert numbers("0.2mm", "shaft_play", "thou") == {"shaft_play": (0.2, "mm")}


def test_a_bare_number_without_an_agreed_unit_is_asked_back() -> None:
    found = heard("8", Context(asked="shaft_play"))
    assert (found.taken, bool(found.unclear)) == ((), True)


def test_a_bare_number_too_fine_for_any_gauge_is_asked_back() -> None:
    found = heard(".006", Context(asked="shaft_play", asked_unit="thou"))
    assert (found.taken, bool(found.unclear)) == ((), True)


def test_a_bare_number_means_nothing_when_nothing_was_asked() -> None:
    assert heard("14").taken == ()


def test_yes_to_a_choice_of_several_is_asked_back() -> None:
    found = heard("correct", Context(asked="widget"))
    assert [o.state for o in found.unclear[0].options] == ["whole", "sheared", "loose"]


@pytest.mark.parametrize(
    ("text", "asked", "taken"),
    [
        ("no it doesn't knock", "knock", {"knock": "absent"}),
        ("he says no", "knock", {"knock": "absent"}),
        ("she reckons yes", "knock", {"knock": "present"}),
        ("says it's sheared", "widget", {"widget": "sheared"}),
        ("two are sheared", "widget", {"widget": "sheared"}),
        ("far too much", "shaft_play", {"shaft_play": "high"}),
        ("bit loose", "shaft_play", {"shaft_play": "high"}),
        ("the upper plate is fine", "shaft_play", {}),
    ],
)
def test_an_answer_is_read_through_what_stands_around_it(
    text: str, asked: str, taken: dict[str, str]
) -> None:
    assert states(text, asked) == taken


def test_two_answers_at_once_are_both_taken() -> None:
    found = heard("sheared, shaft play 9 thou", Context(asked="widget"))
    assert {(t.finding, t.state or t.value) for t in found.taken} == {
        ("widget", "sheared"),
        ("shaft_play", 9),
    }


def test_two_questions_are_answered_clause_by_clause() -> None:
    context = Context(asked="widget", also_asked=("upper_plate",))
    found = heard("sheared, clean", context)
    assert {(t.finding, t.state) for t in found.taken} == {
        ("widget", "sheared"),
        ("upper_plate", "clean"),
    }


def test_a_number_that_counts_parts_is_no_reading() -> None:
    assert numbers("two widgets sheared", "shaft_play", "thou") == {}


def test_a_number_that_cannot_be_is_questioned() -> None:
    found = heard("900", Context(asked="shaft_play", asked_unit="thou"))
    assert (found.taken, {o.value for o in found.unclear[0].options}) == ((), {90, 9, 0.9})

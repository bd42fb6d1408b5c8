"""Whose claim it is: guesses, books, other engines, questions and what-ifs take nothing."""

from __future__ import annotations

import pytest
from language_toy import heard, numbers, states

NOTHING = [
    "my mate says rod knock",
    "the garage reckons the widget is sheared",
    "could be a bent rod",
    "is the widget loose?",
    "book says the shaft play is 8 thou",
    "spec is 8 thou max on the shaft play",
    "my other engine knocks",
    "how tight should the widget be",
    "the kitchen clock ticks",
    "used to knock",
]
OBSERVED = [
    ("customer says it knocks", {"knock": "present"}),
    ("he says the widget is sheared", {"widget": "sheared"}),
    ("i think its knocking", {"knock": "present"}),
    ("they blamed the rod but the widget is loose", {"widget": "loose"}),
    ("why does it knock", {}),
]


@pytest.mark.parametrize("text", NOTHING)
def test_what_nobody_saw_on_this_engine_is_not_taken(text: str) -> None:
    assert heard(text).taken == ()


@pytest.mark.parametrize(("text", "taken"), OBSERVED)
def test_an_observation_is_taken_whoever_reports_it(text: str, taken: dict[str, str]) -> None:
    assert states(text) == taken


def test_a_cause_named_is_a_guess() -> None:
    assert heard("my mate says rod knock").guesses == ("bent_rod",)


def test_a_what_if_is_kept_apart() -> None:
    found = heard("what if the shaft play was 12 thou")
    assert found.intent == "what_if"
    assert [(t.finding, t.value) for t in found.taken] == [("shaft_play", 12)]


def test_the_past_number_gives_way_to_the_present_one() -> None:
    assert numbers("shaft play used to be 14 thou, its 4 thou now") == {"shaft_play": (4, "thou")}

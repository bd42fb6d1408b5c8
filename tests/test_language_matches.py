"""Phrases: any order, a few words between, the longer one first."""

from __future__ import annotations

import pytest
from language_toy import heard, states

MET = [
    ("the widget has sheared clean off", {"widget": "sheared"}),
    ("sheared widget", {"widget": "sheared"}),
    ("rattling, upper plate is worn", {"rattle": "present", "upper_plate": "worn"}),
    ("knock at the front", {"knock": "present", "at_front": "present"}),
    ("had the widget out. all fine", {}),
    ("ok, the widget. its wedged in crooked", {"widget": "loose"}),
    ("took the front off", {}),
]


@pytest.mark.parametrize(("text", "taken"), MET)
def test_a_phrase_is_met_in_other_words(text: str, taken: dict[str, str]) -> None:
    assert states(text) == taken


def test_what_is_taken_shows_the_words_it_rests_on() -> None:
    found = heard("Well, the Widget had SHEARED.").taken
    assert [t.text for t in found] == ["Widget had SHEARED"]


def test_what_is_wrong_stands_before_what_is_right() -> None:
    assert states("widget fine at first. widget sheared") == {"widget": "sheared"}


def test_clauses_that_say_something_unknown_are_given_back() -> None:
    found = heard("it knocks, the plate shaft hangs crooked")
    assert found.not_understood == ("the plate shaft hangs crooked",)

"""Things of a list that share its ending or its first word."""

from __future__ import annotations

import pytest
from language_toy import states, toy_index

from diagnose.language.lists import shared_beginnings, shared_endings
from diagnose.language.sentences import sentences


def told(text: str) -> list[str]:
    (sentence,) = sentences(text, toy_index())
    shared = shared_endings(sentence, toy_index())
    return sorted(" ".join(w.raw for w in s.sentence.words) for s in shared)


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("widget and upper plate are worn", ["upper plate worn", "widget worn"]),
        (
            "widget, lower plate and upper plate are worn",
            ["lower plate worn", "upper plate worn", "widget worn"],
        ),
        ("it knocks and upper plate is worn", []),
        ("no widget and upper plate is worn", []),
        ("widget because upper plate is worn", []),
        ("widget and it is worn", []),
        ("upper plate is worn", []),
    ],
)
def test_the_ending_is_told_of_each_thing_of_the_list(text: str, parts: list[str]) -> None:
    assert told(text) == parts


def test_each_thing_of_a_list_is_taken() -> None:
    assert states("lower plate and upper plate are worn") == {
        "lower_plate": "worn",
        "upper_plate": "worn",
    }


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("new widget, lower plate and upper plate", ["new lower plate", "new upper plate"]),
        ("new widget and it knocks", []),
        ("no new widget, lower plate", []),
        ("widget is new, lower plate is worn", []),
    ],
)
def test_the_first_word_is_told_of_each_thing_of_the_list(text: str, parts: list[str]) -> None:
    (sentence,) = sentences(text, toy_index())
    shared = shared_beginnings(sentence, toy_index())
    assert sorted(" ".join(w.raw for w in s.sentence.words) for s in shared) == parts

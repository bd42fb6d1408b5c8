"""Conditions put the plain way round, on the words alone."""

from __future__ import annotations

import pytest
from language_toy import states, toy_index

from diagnose.language.conditions import put_plainly


def plainly(text: str) -> str:
    said = [(word,) for word in text.split()]
    changed = put_plainly(said, toy_index())
    return " ".join(w for n, words in enumerate(said) for w in changed.get(n, words))


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("it doesnt knock unless its hot", "it knock only when its hot"),
        ("no tick unless cold", "tick only when cold"),
        ("ticks until warm", "ticks only when cold"),
        ("it knocks till it has warmed up", "it knocks only when it has cold up"),
        ("no knock until it is hot", "knock only when it is hot"),
        ("it ticks until it cools", "it ticks only when it hot"),
        ("it knocks until you lift the bonnet", "it knocks until you lift the bonnet"),
        ("wont start unless you prime it", "wont start unless you prime it"),
        ("it knocks", "it knocks"),
        ("quiet until it gets hot", "noise only when it gets hot"),
        (
            "its fine until it gets hot then it knocks",
            "its noise only when it gets hot then it knocks",
        ),
        ("runs fine until it gets hot", "runs fine until it gets hot"),
        ("knocks unless it is cold", "knocks only when it is hot"),
    ],
)
def test_a_condition_is_put_the_plain_way_round(text: str, plain: str) -> None:
    assert plainly(text) == plain


@pytest.mark.parametrize(
    ("text", "state"),
    [
        ("it doesnt knock unless its hot", "present"),
        ("no knock until it gets hot", "present"),
        ("it doesnt knock", "absent"),
        ("the knock comes and goes", "present"),
        ("knock goes away once warm", "present"),
    ],
)
def test_a_noise_that_is_there_at_times_is_there(text: str, state: str) -> None:
    assert states(text).get("knock", "absent") == state

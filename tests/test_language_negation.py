"""Denials: their reach, their end, and two of them."""

from __future__ import annotations

import pytest
from language_toy import states

DENIALS = [
    ("no knock", {"knock": "absent"}),
    ("it isnt knocking", {"knock": "absent"}),
    ("doesn't rattle, but it knocks", {"rattle": "absent", "knock": "present"}),
    ("ITS NOT A TICK ITS A PROPER KNOCK", {"tick": "absent", "knock": "present"}),
    ("no knock or rattle", {"knock": "absent", "rattle": "absent"}),
    ("no knock no rattle", {"knock": "absent", "rattle": "absent"}),
    ("no dirt in it no knock", {"knock": "absent"}),
    ("no knock with no load", {"knock": "absent"}),
    ("no there is no knock", {"knock": "absent"}),
    ("not like it wont run", {"engine_runs": "yes"}),
    ("no doubt it knocks", {"knock": "present"}),
    ("knock isnt there", {"knock": "absent"}),
    ("widget isnt loose", {"widget": "whole"}),
    ("used to rattle, doesnt now", {"rattle": "absent"}),
]


@pytest.mark.parametrize(("text", "taken"), DENIALS)
def test_a_denial_reaches_as_far_as_it_is_meant(text: str, taken: dict[str, str]) -> None:
    assert states(text) == taken


def test_denying_the_good_state_of_several_says_nothing() -> None:
    assert states("widget isnt fine") == {}

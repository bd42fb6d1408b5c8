"""Readings: a number goes to the reading named, or becomes a question."""

from __future__ import annotations

import pytest
from language_toy import heard, numbers

from diagnose.language.understanding import Option

TAKEN = [
    ("shaft play is 8 thou", {"shaft_play": (8, "thou")}),
    ("0,2 mm of play in the shaft", {"shaft_play": (0.2, "mm")}),
    ("5 thou on the shaft float not 50", {"shaft_play": (5, "thou")}),
    ("oil pressure 50 lb cold", {"cold_pressure": (50, "psi")}),
    ("static lead is 10", {"spark_lead": (10, "deg")}),
    ("drove 40 miles", {}),
    (
        "shaft play 8 thou, oil pressure 20 psi hot",
        {"shaft_play": (8, "thou"), "hot_pressure": (20, "psi")},
    ),
]


@pytest.mark.parametrize(("text", "taken"), TAKEN)
def test_a_number_goes_to_the_reading_named(text: str, taken: dict[str, object]) -> None:
    assert numbers(text) == taken


def options(text: str) -> tuple[Option, ...]:
    found = heard(text)
    assert found.taken == ()
    return found.unclear[0].options


def test_a_missing_unit_is_asked_for() -> None:
    assert {o.unit for o in options("shaft play is 4")} == {"thou", "mm"}


def test_a_doubtful_unit_is_asked_for() -> None:
    assert [o.unit for o in options("shaft play is 4 mil")] == ["thou", "mm"]


def test_an_impossible_value_is_questioned() -> None:
    assert {o.finding for o in options("shaft play is 80 mm")} == {"shaft_play"}


def test_a_pressure_that_may_be_hot_or_cold_is_asked_back() -> None:
    assert {o.finding for o in options("oil pressure 40 psi")} == {"hot_pressure", "cold_pressure"}


def test_a_range_and_a_bound_reach_the_reading() -> None:
    found = heard("shaft play more than 15 thou").taken[0]
    assert (found.value, found.bound) == (15, "above")

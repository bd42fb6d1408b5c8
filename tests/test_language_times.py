"""Figures told with a time, and what is told of another time than now."""

from __future__ import annotations

import pytest
from language_toy import numbers, states

FIGURES = [
    ("oil pressure cold 40, hot 9 psi", {"cold_pressure": (40, "psi"), "hot_pressure": (9, "psi")}),
    (
        "oil pressure 40 psi cold and 9 hot",
        {"cold_pressure": (40, "psi"), "hot_pressure": (9, "psi")},
    ),
    ("oil pressure cold 40/hot 9 psi", {"cold_pressure": (40, "psi"), "hot_pressure": (9, "psi")}),
    ("shaft play 8 thou, widget 9", {"shaft_play": (8, "thou")}),
]
PAST = [
    ("last week it was quiet, now it knocks", {"knock": "present"}),
    ("last week it knocked, today nothing", {"knock": "absent"}),
    ("it used to knock, now it rattles", {"rattle": "present"}),
    ("a knock that started yesterday, now it rattles", {"knock": "present", "rattle": "present"}),
    ("last week it knocked", {"knock": "present"}),
    ("I am going to change the sheared widget", {}),
    ("I'll check for a knock", {}),
]


@pytest.mark.parametrize(("text", "found"), FIGURES)
def test_a_figure_beside_a_time_is_of_that_time(text: str, found: dict[str, object]) -> None:
    assert numbers(text) == found


@pytest.mark.parametrize(("text", "found"), PAST)
def test_what_was_before_or_is_planned_is_not_what_is(text: str, found: dict[str, str]) -> None:
    assert states(text) == found

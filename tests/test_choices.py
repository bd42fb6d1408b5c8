"""Offered meanings are picked in the ways people pick."""

import pytest

from diagnose.dialogue.choices import chosen_option, named_units
from diagnose.language.understanding import Option

OFFERED = (
    Option("gap", None, "4 thou (Gap)", value=4.0, unit="thou"),
    Option("gap", None, "4 mm (Gap)", value=4.0, unit="mm"),
)


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("1", "thou"),
        ("(2)", "mm"),
        ("the second one", "mm"),
        ("Thou.", "thou"),
        ("4 mm (gap)", "mm"),
    ],
)
def test_an_option_is_picked_by_number_place_unit_or_words(text: str, unit: str) -> None:
    chosen = chosen_option(text, OFFERED)
    assert chosen is not None
    assert (chosen.value, chosen.unit) == (4.0, unit)


@pytest.mark.parametrize("text", ["", "3", "neither", "third", "it ticks"])
def test_anything_else_picks_nothing(text: str) -> None:
    assert chosen_option(text, OFFERED) is None


@pytest.mark.parametrize(
    ("text", "units"),
    [
        ("can we do this in mm", {"length": "mm"}),
        ("i want bar not psi", {"pressure": "bar"}),
        ("change the units", {}),
    ],
)
def test_the_first_unit_named_of_each_dimension_is_wanted(text: str, units: dict[str, str]) -> None:
    assert named_units(text) == units

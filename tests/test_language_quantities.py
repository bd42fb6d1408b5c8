"""Quantities: value, unit, range and bound as people say them."""

from __future__ import annotations

import pytest
from language_toy import toy_index

from diagnose.language.quantities import Quantity, quantities
from diagnose.language.tokens import tokenise

VALUES = [
    ("eleven thou", 11, "thou"),
    ("fifty five psi", 55, "psi"),
    ("a hundred and thirty thou", 130, "thou"),
    ("half an inch", 0.5, "inch"),
    ("a quarter of an inch", 0.25, "inch"),
    ("0.2mm", 0.2, "mm"),
    ('1/16"', 0.0625, '"'),
    ("1 1/2 turns", 1.5, ""),
    ("two and a half thou", 2.5, "thou"),
    ("38 ft/lbs", 38, "ft/lbs"),
    ("17 inches of vacuum", 17, "inches of vacuum"),
    ("40 plus lbs", 40, "lbs"),
    ("a couple of thou", 2, "thou"),
]


def only(text: str) -> Quantity:
    found = quantities(tokenise(text), toy_index().words)
    assert len(found) == 1
    return found[0]


@pytest.mark.parametrize(("text", "value", "unit"), VALUES)
def test_value_and_unit_are_read(text: str, value: float, unit: str) -> None:
    found = only(text)
    assert (found.value, found.unit) == (pytest.approx(value), unit)


@pytest.mark.parametrize("text", ["between 9 and 10 thou", "9 to 10 thou", "9-10 thou"])
def test_a_range_keeps_its_ends(text: str) -> None:
    found = only(text)
    assert (found.low, found.value, found.high) == (9, 9.5, 10)


def test_a_change_keeps_where_it_went() -> None:
    assert only("from 6 psi to 2 psi").value == 2


@pytest.mark.parametrize(
    ("text", "bound"), [("more than 15 thou", "above"), ("under 3 thou", "below"), ("3 thou", None)]
)
def test_a_bound_is_kept(text: str, bound: str | None) -> None:
    assert only(text).bound == bound


def test_volume_in_a_time_is_a_flow() -> None:
    found = only("a pint in thirty seconds")
    assert (found.value, found.unit) == (pytest.approx(2), "pt/min")


@pytest.mark.parametrize("text", ["number 4", "10.5 to 1", "$40", "30 over", "cylinder 3"])
def test_names_counts_and_ratios_are_no_readings(text: str) -> None:
    assert all(q.is_label for q in quantities(tokenise(text), toy_index().words))


def test_revs_are_a_speed_without_their_unit() -> None:
    assert only("at 2500").dimensions == ("speed",)

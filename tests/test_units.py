"""Units: spellings, factors, and mistakes that are named."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.measuring.units import (
    UnitError,
    convert,
    dimension_of,
    possible_dimensions,
    read_unit,
    units_of,
)

SPELLINGS = [
    ("thous", "length", "thou"),
    ('"', "length", "in"),
    ("inches of vacuum", None, "inHg"),
    ("lbs", "pressure", "psi"),
    ("#", "pressure", "psi"),
    ("lbs", "torque", "ft-lb"),
    ("ft/lbs", None, "ft-lb"),
    ("N.m", None, "Nm"),
    ("kays", "distance", "km"),
    ("hrs", None, "hours"),
    ("degrees", None, "deg"),
    ("lbf.ft", None, "ft-lb"),
    ("mi", None, "miles"),
]
FACTORS = [
    (1, "in", "mm", 25.4),
    (8, "thou", "mm", 0.2032),
    (1, "psi", "kPa", 6.894757),
    (1, "bar", "psi", 14.503774),
    (1, "inHg", "kPa", 3.386389),
    (1, "ft-lb", "Nm", 1.355818),
    (12, "in-lb", "ft-lb", 1),
    (1, "miles", "km", 1.609344),
    (1, "pt/min", "gph", 7.5),
    (1, "qt/min", "pt/min", 2),
    (90, "min", "hours", 1.5),
]
ALL = [u for d in ("length", "pressure", "torque", "time", "distance", "flow") for u in units_of(d)]


@pytest.mark.parametrize(("text", "dimension", "unit"), SPELLINGS)
def test_a_spelling_names_its_unit(text: str, dimension: str | None, unit: str) -> None:
    assert read_unit(text, dimension) == unit


@pytest.mark.parametrize(("value", "unit", "to", "there"), FACTORS)
def test_factors_are_those_of_the_tables(value: float, unit: str, to: str, there: float) -> None:
    assert convert(value, unit, to) == pytest.approx(there, rel=1e-6)


@given(st.sampled_from(ALL), st.floats(1e-3, 1e6))
def test_every_unit_goes_there_and_back(unit: str, value: float) -> None:
    base = units_of(dimension_of(unit))[0]
    assert convert(convert(value, unit, base), base, unit) == pytest.approx(value)


def test_a_pound_alone_is_no_unit_before_the_dimension_is_known() -> None:
    assert read_unit("lb", None) is None
    assert possible_dimensions("lb") == ("pressure", "torque")


def test_a_unit_of_another_dimension_is_not_read() -> None:
    assert read_unit("psi", "length") is None


def test_an_unknown_unit_is_named() -> None:
    with pytest.raises(UnitError, match="furlong"):
        dimension_of("furlong")


def test_two_dimensions_do_not_convert() -> None:
    with pytest.raises(UnitError, match="pressure"):
        convert(1, "psi", "mm")

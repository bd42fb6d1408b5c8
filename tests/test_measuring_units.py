"""Force and a rise of temperature: typed in either system where a sum asks for them."""

import pytest

from diagnose.cli.work_out import find
from diagnose.measuring.given import read_values
from diagnose.measuring.units import convert, other_system, possible_dimensions, read_unit, units_of
from diagnose.measuring.worked import Refused, Worked


def work(name: str, **typed: str) -> Worked:
    calculation = find(name)
    asked = {i.name: i for i in calculation.inputs}
    return calculation.work({n: read_values(text, asked[n]) for n, text in typed.items()})


@pytest.mark.parametrize(
    ("value", "unit", "to", "there"),
    [
        (1, "lbf", "N", 4.448222),
        (1, "kN", "N", 1000),
        (9, "degF", "degC", 5),
        (1, "K", "degF", 1.8),
    ],
)
def test_factors_are_those_of_the_table(value: float, unit: str, to: str, there: float) -> None:
    """NIST Special Publication 811, appendix B; a rise of 1 kelvin is 1 degC or 1.8 degF."""
    unit = read_unit(unit, "temperature rise") or unit
    assert convert(value, unit, to) == pytest.approx(there, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "dimension", "unit"),
    [
        ("N", "force", "N"),
        ("newtons", "force", "N"),
        ("lb", "force", "lbf"),
        ("lbs", "force", "lbf"),
        ("lbf", "force", "lbf"),
        ("F", "temperature rise", "degF"),
        ("\u00b0F", "temperature rise", "degF"),
        ("degrees C", "temperature rise", "degC"),
        ("mm", "force", None),
    ],
)
def test_spellings_where_a_sum_asks(text: str, dimension: str, unit: str | None) -> None:
    assert read_unit(text, dimension) == unit


@pytest.mark.parametrize("text", ["n", "f", "c", "lbf", "degrees f", "kn"])
def test_in_talk_these_words_are_no_units(text: str) -> None:
    assert read_unit(text, None) is None
    assert possible_dimensions(text) == ()


def test_newtons_in_talk_are_still_a_torque() -> None:
    assert read_unit("newtons", None) == "Nm"
    assert possible_dimensions("lb") == ("pressure", "torque")


@pytest.mark.parametrize("dimension", ["length", "pressure", "torque", "force", "temperature rise"])
def test_every_common_unit_has_one_in_the_other_system_that_measures_the_same(
    dimension: str,
) -> None:
    for unit in units_of(dimension):
        other = other_system(unit)
        assert other is None or other in units_of(dimension)
    assert other_system("rpm") is None


def test_a_clamp_load_wanted_may_be_given_in_either_system() -> None:
    """3/8-16 grade 5, 4941 lb at a nut factor of 0.2: 30.9 ft-lb. Actuator manual, appendix A.7,
    https://manualshive.com/en/manual/emerson/bettis-500/102051?page=97"""
    for load in ("4941 lbf", f"{4941 * 4.4482216152605} N"):
        found = work("clamp", torque="30 ft-lb", diameter="3/8 in", wanted=load)
        torque = next(f for f in found.figures if f.name.startswith("torque for the clamp load"))
        assert convert(torque.value, "Nm", "ft-lb") == pytest.approx(30.9, abs=0.05)


def test_warming_up_may_be_given_in_either_system() -> None:
    cold, metric = (
        work("lash", hot="20 thou", head="2", block="1", rise=rise).figures[1].value
        for rise in ("180 F", "100 \u00b0C")
    )
    assert cold == pytest.approx(metric)


def test_a_rise_without_a_unit_is_refused_with_what_would_be_right() -> None:
    with pytest.raises(Refused, match="rise: 150 has no unit; write 150 degF"):
        work("lash", hot="20 thou", head="2", block="1", rise="150")
    with pytest.raises(Refused, match="does not measure temperature rise; use degC, degF"):
        work("lash", hot="20 thou", head="2", block="1", rise="150 psi")

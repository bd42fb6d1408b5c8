"""Oil pressure and clearance, checked on printed figures; the source stands beside each."""

import doctest
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.measuring import oil
from diagnose.measuring.worked import CONFORMS, FAILS, UNDECIDED, Refused, Worked

CALCULATION = oil.CALCULATIONS[0]
CLEARANCES = st.floats(0.5, 10)


def work(**values: float | tuple[float, ...]) -> Worked:
    rows = {n.replace("_", "-"): v if isinstance(v, tuple) else (v,) for n, v in values.items()}
    return CALCULATION.work(rows)


def figure(found: Worked, start: str) -> float:
    return next(f.value for f in found.figures if f.name.startswith(start))


def test_the_flow_through_a_slot() -> None:
    """50 mm wide, 1 mm high, 150 mm long, 2 bar, 0.08 Pa s: inputs of "Chapter 16 worked examples"
    (fluids), http://www.ivorbittle.co.uk/Books/Fluids%20book/Chapter%2016%20web%20docs/
    Chapter%2016%20Worked%20examples.htm ; the 6.94e-5 m3/s is worked out here."""
    flow = oil.slot_flow(oil.Slot(0.050, 0.001, 0.150), 2e5, 0.08)
    assert flow == pytest.approx(6.94e-5, abs=5e-8)


def test_a_thou_more_clearance_as_the_chart_and_the_cube_have_it() -> None:
    """0.0025 to 0.0035 in: the chart says 150 % more, the cube law 174 %. "Clearance to run",
    http://www.superchevy.com/how-to/engines-drivetrain/4380-bearing-clearance-info/ (loose)"""
    more = 100 * (oil.leak_ratio(0.0035, 0.0025) - 1)
    assert more == pytest.approx(174, abs=0.5)
    assert more == pytest.approx(150, rel=0.2)


def test_the_usual_clearance_as_printed() -> None:
    """A journal of 2.448 in: 0.0025 in, common practice (the page rounds up). "Bearing clearances
    vs. oil viscosities", https://www.enginelabs.com/news/
    what-i-learned-today-bearing-clearances-vs-oil-viscosities/"""
    assert oil.usual_clearance(2.448) == pytest.approx(2.5, abs=0.1)


def test_the_usual_floor_as_printed() -> None:
    """10 psi per 1000 rpm, common practice: "Oil pump technology",
    https://www.enginebuildermag.com/2009/06/oil-pump-technology/ ; 7 psi at 700 rpm follows."""
    assert next(i.usual for i in CALCULATION.inputs if i.name == "rule") == 10
    assert oil.least_pressure(700, 10) == 7


def test_a_bearing_is_a_slot_bent_round() -> None:
    bearing = oil.Bearing(0.060, 30e-6, 0.025)
    slot = oil.Slot(math.pi * 0.060, 30e-6, 0.025)
    assert oil.bearing_flow(bearing, 3e5, 0.01) == pytest.approx(oil.slot_flow(slot, 3e5, 0.01))
    off_centre = bearing._replace(eccentricity=1)
    assert oil.bearing_flow(off_centre, 3e5, 0.01) == pytest.approx(
        2.5 * oil.bearing_flow(bearing, 3e5, 0.01)
    )


@given(st.floats(0, 1))
def test_the_off_centre_factor_is_the_mean_of_the_cubed_gap(eccentricity: float) -> None:
    """The other derivation: the gap c (1 + e cos a) all round, each part a slot of its own."""
    around = [(1 + eccentricity * math.cos(2 * math.pi * step / 720)) ** 3 for step in range(720)]
    bearing = oil.Bearing(1, 0.001, 1, eccentricity)
    even = oil.Bearing(1, 0.001, 1)
    ratio = oil.bearing_flow(bearing, 1, 1) / oil.bearing_flow(even, 1, 1)
    assert ratio == pytest.approx(sum(around) / 720)


@pytest.mark.parametrize(
    ("shown", "verdict"), [(12, CONFORMS), (10, CONFORMS), (8, UNDECIDED), (3, FAILS)]
)
def test_idle_pressure_is_judged_by_a_gauge_right_to_three_psi(shown: float, verdict: str) -> None:
    assert work(pressure=shown, speed=700).verdict == verdict


def test_one_speed_too_low_fails_all() -> None:
    found = work(pressure=(15.0, 12.0), speed=(700.0, 3000.0))
    assert (found.verdict, "stop the engine" in found.says) == (FAILS, True)


def test_what_the_gauge_shows_stopped_is_taken_off() -> None:
    found = work(pressure=12, speed=700, stopped=4)
    assert (figure(found, "gauge offset"), figure(found, "pressure at")) == (4, 8)
    assert figure(work(pressure=12, speed=700, stopped=-4), "pressure at") == 16


def test_a_test_gauge_counts_before_the_needle_s_rest() -> None:
    found = work(pressure=(12.0, 40.0), speed=(700.0, 3000.0), test=18, stopped=4)
    assert figure(found, "gauge offset") == -6
    assert figure(found, "pressure at 3000") == 46


def test_readings_may_come_in_any_order() -> None:
    up = work(pressure=(12.0, 40.0), speed=(700.0, 3000.0))
    down = work(pressure=(40.0, 12.0), speed=(3000.0, 700.0))
    assert up.figures == down.figures


@pytest.mark.parametrize(
    ("pressures", "relief", "said"),
    [
        ((12.0, 40.0), None, "climbs with speed"),
        ((38.0, 40.0), None, "does not climb"),
        ((38.0, 60.0), 60.0, "relief valve holds"),
        ((12.0, 40.0), 60.0, "climbs with speed"),
    ],
)
def test_how_pressure_follows_speed_is_told(
    pressures: tuple[float, ...], relief: float | None, said: str
) -> None:
    more = {} if relief is None else {"relief": relief}
    assert said in work(pressure=pressures, speed=(700.0, 3000.0), **more).says


def test_below_the_relief_valve_pressure_in_proportion_is_shown_beside_the_real_one() -> None:
    found = work(pressure=(10.0, 35.0), speed=(1000.0, 3000.0))
    assert figure(found, "at 3000 rpm if in proportion") == 30
    assert figure(found, "rise per 1000 rpm") == 12.5


def test_two_readings_at_one_speed_show_no_rise() -> None:
    found = work(pressure=(20.0, 21.0), speed=(1000.0, 1000.0))
    assert "climb" not in found.says


def test_a_clearance_is_compared_and_never_turned_into_a_pressure() -> None:
    found = work(pressure=20, speed=1000, clearance=3.5, journal=2.5)
    assert figure(found, "times as much") == pytest.approx(1.4**3)
    assert "No clearance can be told" in (found.caution or "")


def test_a_journal_alone_tells_its_usual_clearance() -> None:
    found = work(pressure=20, speed=1000, journal=2.1)
    assert figure(found, "usual clearance") == pytest.approx(2.1)
    assert "times as much" not in found.says


def test_a_negative_rest_within_the_doubt_reads_as_no_pressure() -> None:
    assert figure(work(pressure=3, speed=1000, stopped=5), "pressure at") == 0


@given(CLEARANCES, CLEARANCES)
def test_worn_over_new_is_the_inverse_of_new_over_worn(one: float, two: float) -> None:
    assert oil.leak_ratio(one, two) * oil.leak_ratio(two, one) == pytest.approx(1)


@given(CLEARANCES, CLEARANCES, st.floats(0.01, 100))
def test_the_unit_of_clearance_does_not_matter(one: float, two: float, factor: float) -> None:
    assert oil.leak_ratio(one * factor, two * factor) == pytest.approx(oil.leak_ratio(one, two))


@given(CLEARANCES, CLEARANCES)
def test_more_clearance_lets_more_pass(new: float, more: float) -> None:
    assert oil.leak_ratio(new + more, new) > 1


@given(st.floats(1e-5, 1e-2), st.floats(1e3, 1e6), st.floats(1e-3, 1))
def test_flow_goes_with_pressure_and_against_thickness_of_oil(
    height: float, pressure: float, viscosity: float
) -> None:
    slot = oil.Slot(0.1, height, 0.1)
    one = oil.slot_flow(slot, pressure, viscosity)
    assert oil.slot_flow(slot, 2 * pressure, 2 * viscosity) == pytest.approx(one)
    assert oil.slot_flow(slot, pressure, 2 * viscosity) == pytest.approx(one / 2)


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({"speed": 700}, "pressure is missing"),
        ({"pressure": 20}, "speed is missing"),
        ({"pressure": (20.0, 30.0), "speed": 700}, "one of each"),
        ({"pressure": math.nan, "speed": 700}, "pressure is nan"),
        ({"pressure": -2, "speed": 700}, "pressure is -2"),
        ({"pressure": 20, "speed": 0}, "speed is 0"),
        ({"pressure": 2, "speed": 700, "stopped": 10}, "read the gauge stopped again"),
        ({"pressure": 20, "speed": 700, "clearance": 3}, "new-clearance is missing"),
        ({"pressure": 20, "speed": 700, "clearance": 3, "new_clearance": 0}, "new-clearance is 0"),
        ({"pressure": 20, "speed": 700, "journal": 0}, "journal is 0"),
    ],
)
def test_what_gives_no_honest_result_is_refused_by_name(
    values: dict[str, float], told: str
) -> None:
    with pytest.raises(Refused, match=told):
        work(**values)


def test_a_journal_beyond_its_bearing_is_refused() -> None:
    with pytest.raises(Refused, match="between 0 and 1"):
        oil.bearing_flow(oil.Bearing(1, 1, 1, 1.5), 1, 1)


def test_a_slot_without_height_is_refused() -> None:
    with pytest.raises(Refused, match="height is 0"):
        oil.slot_flow(oil.Slot(1, 0, 1), 1, 1)


def test_the_examples_hold() -> None:
    assert doctest.testmod(oil).failed == 0

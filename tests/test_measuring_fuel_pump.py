"""The fuel pump, checked on printed figures; the source stands beside each."""

import doctest
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.measuring import fuel_pump as pump
from diagnose.measuring.units import convert
from diagnose.measuring.worked import CONFORMS, FAILS, UNDECIDED, Refused, Worked

CALCULATION = pump.CALCULATIONS[0]
LIFTS = st.floats(50, 500)
WEARS = st.floats(0, 400)


def work(**values: float) -> Worked:
    return CALCULATION.work({n.replace("_", "-"): (v,) for n, v in values.items()})


def figure(found: Worked, start: str) -> float:
    return next(f.value for f in found.figures if f.name.startswith(start))


@pytest.mark.parametrize(("unit", "value", "digits"), [("gph", 7.9, 0.05), ("ml/min", 500, 0.5)])
def test_thirty_litres_an_hour_as_printed(unit: str, value: float, digits: float) -> None:
    """30 l/h = 7.9 US gal/h = 500 cc a minute: "Testing Pump Pressure",
    http://www.hillmanimages.com/912/fu_12.html"""
    assert convert(30, "l/h", unit) == pytest.approx(value, abs=digits)


def test_a_stroke_of_the_printed_delivery() -> None:
    """500 cc a minute at 4500 rpm, "Testing Pump Pressure",
    http://www.hillmanimages.com/912/fu_12.html ; the 0.222 cc a stroke is worked out here."""
    assert pump.per_stroke(500, 4500) == pytest.approx(0.222, abs=5e-4)


def test_the_arm_makes_more_of_the_lift_as_printed() -> None:
    """0.275 in x 1.5 is "over 0.400": "Do I have a fuel pump pushrod problem?" (a forum),
    https://www.forbbodiesonly.com/moparforum/goto/post?id=909830170"""
    assert pump.diaphragm_stroke(0.275, 1.5) == pytest.approx(0.41, abs=5e-3)


def test_a_rod_a_quarter_inch_short_gives_next_to_nothing() -> None:
    """No fuel: "Fuel pump issues" (a mailing list), http://forwardlook.net/iml-archive/
    msg93249.html ; the lift of 0.275 in is that of the page above, an engine of the same kind."""
    assert pump.arm_travel(0.275, 0.25) / 0.275 < 0.1


def test_the_rod_that_gave_no_fuel_leaves_no_stroke() -> None:
    """2.910 in, "should be 3.220": "worn fuel pump push rod" (a forum: no fuel),
    https://board.moparts.org/ubbthreads/ubbthreads.php/topics/1890180/1.html ; lift as above."""
    found = work(lift=275, rod=2.910, new_rod=3.220)
    assert figure(found, "travel left") == 0
    assert (found.verdict, figure(found, "stroke lost")) == (FAILS, 100)


def test_the_need_of_an_engine_as_printed() -> None:
    """400 hp at 0.60: 240 lb/h, at 6.2 lb a gallon 38.7 gal/h = 146.4 l/h. "How to calculate fuel
    pump flow requirements",
    https://asian-model-collection.com/how-to-calculate-fuel-pump-flow-requirements/ (the page
    cuts figures off: 146.5)"""
    flow = pump.fuel_need(400, 0.60, 6.2)
    assert convert(flow, "ml/min", "gph") == pytest.approx(38.7, abs=0.05)
    assert convert(flow, "ml/min", "l/h") == pytest.approx(146.4, abs=0.15)


@pytest.mark.parametrize(
    ("unit", "value", "digits"),
    [("gph", 49.02, 0.005), ("l/h", 185.56, 0.005), ("ml/min", 3092.66, 0.05)],
)
def test_pounds_an_hour_become_a_flow_as_printed(unit: str, value: float, digits: float) -> None:
    """294.12 lb/h = 49.02 gal/h = 185.56 l/h = 3092.66 cc a minute: "Fuel Pump Calculator",
    https://calculatorlib.com/fuel-pump-calculator (its 294.12 is 500 hp x 0.50 / 0.85)"""
    flow = pump.fuel_need(500, 0.50 / 0.85, 6.0)
    assert convert(flow, "ml/min", unit) == pytest.approx(value, abs=digits)


def test_lift_is_twice_the_offset() -> None:
    found = work(offset=137.5)
    assert figure(found, "lift") == 275
    assert found.figures[0].u == 2
    assert found.verdict is None


def test_a_measured_lift_counts_before_the_offset_and_both_are_shown() -> None:
    found = work(lift=250, offset=137.5)
    assert (figure(found, "travel left"), figure(found, "lift by the offset")) == (250, 275)


def test_the_preload_of_the_arm_is_used_up_before_any_stroke_is_lost() -> None:
    assert pump.arm_travel(275, 40, 40) == 275
    found = work(lift=275, wear=100, preload=40, ratio=1.5)
    assert figure(found, "travel left") == 215
    assert figure(found, "stroke of the diaphragm") == pytest.approx(322.5)


def test_a_rod_shorter_than_its_lift_within_the_doubt_can_not_be_told() -> None:
    found = work(lift=275, wear=274.5)
    assert (found.verdict, "Lay the rod" in (found.settles or "")) == (UNDECIDED, True)


@pytest.mark.parametrize(
    ("delivery", "speed", "verdict"),
    [
        (1500, 700, CONFORMS),  # enough as caught, slow as it was
        (480, 700, UNDECIDED),
        (150, 700, FAILS),  # 964 ml a minute at 4500 rpm at the most
        (1000, 4500, FAILS),
        (1320, 4500, UNDECIDED),  # within 5 %
        (1300, 5500, FAILS),  # no more than 1300 at 4500 rpm either, and 5 % do not reach
        (1800, 5500, CONFORMS),  # at 4500 rpm at least 1473
    ],
)
def test_a_delivery_is_judged_from_both_sides(delivery: float, speed: float, verdict: str) -> None:
    found = work(delivery=delivery, speed=speed, need=1380, need_speed=4500)
    assert found.verdict == verdict


def test_without_the_speed_of_the_need_a_small_delivery_proves_nothing() -> None:
    found = work(delivery=150, speed=700, power=250)
    assert figure(found, "need") == pytest.approx(250 * 0.5 / 6 * 3785.411784 / 60)
    assert found.verdict == UNDECIDED


def test_a_delivery_alone_is_worked_out_and_not_judged() -> None:
    found = work(delivery=500, speed=4500)
    assert (found.verdict, "0.22 ml a stroke" in found.says) == (None, True)


def test_stroke_and_delivery_that_contradict_are_told() -> None:
    found = work(lift=275, wear=310, delivery=480, speed=700)
    assert (found.verdict, "one of the readings is wrong" in found.says) == (UNDECIDED, True)
    assert work(lift=275, wear=310, delivery=0, speed=700).verdict == FAILS


def test_no_limit_is_made_up_for_a_worn_rod() -> None:
    found = work(lift=275, wear=60)
    assert found.verdict is None
    assert "No printed limit" in (found.caution or "")


@given(LIFTS, WEARS, WEARS, st.floats(0, 50))
def test_more_wear_never_gives_more_travel(
    lift: float, wear: float, more: float, preload: float
) -> None:
    left = pump.arm_travel(lift, wear, preload)
    assert pump.arm_travel(lift, wear + more, preload) <= left
    assert 0 <= left <= lift


@given(LIFTS, WEARS, st.floats(0.01, 100))
def test_the_unit_of_length_does_not_matter(lift: float, wear: float, factor: float) -> None:
    one = pump.arm_travel(lift, wear)
    assert pump.arm_travel(lift * factor, wear * factor) == pytest.approx(one * factor, abs=1e-6)


@given(st.floats(1, 5000), st.floats(300, 7000))
def test_strokes_a_minute_times_a_stroke_is_the_flow(flow: float, speed: float) -> None:
    assert pump.per_stroke(flow, speed) * speed / 2 == pytest.approx(flow)


@given(st.floats(1, 5000), st.floats(1, 5000), st.floats(1, 5000), st.floats(0, 0.3))
def test_a_delivery_judged_bad_is_never_judged_good_by_more_doubt(
    one: float, other: float, need: float, share: float
) -> None:
    pair = {pump.enough((one, other), need, s) for s in (share, share + 0.1)}
    assert pair != {CONFORMS, FAILS}


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({}, "lift is missing; give lift or offset"),
        ({"wear": 50}, "lift is missing beside wear"),
        ({"lift": 0}, "lift is 0"),
        ({"lift": math.nan}, "lift is nan"),
        ({"lift": 275, "wear": -5}, "wear is -5"),
        ({"lift": 275, "rod": 3.0}, "new-rod is missing; give it with rod"),
        ({"lift": 275, "new_rod": 3.0}, "rod is missing; give it with new-rod"),
        ({"lift": 275, "rod": 3.0, "new_rod": 3.1, "wear": 100}, "either the one or the two"),
        ({"lift": 275, "rod": 3.2, "new_rod": 3.1}, "look for the right rod"),
        ({"lift": 275, "rod": 0, "new_rod": 3.1}, "rod is 0"),
        ({"lift": 275, "ratio": 0}, "ratio is 0"),
        ({"need": 500}, "delivery is missing"),
        ({"delivery": 500}, "speed is missing"),
        ({"delivery": 500, "speed": 0}, "speed is 0"),
        ({"delivery": 500, "speed": 700, "need": 0}, "need is 0"),
        ({"delivery": 500, "speed": 700, "power": 0}, "power is 0"),
        ({"delivery": 500, "speed": 700, "need": 900, "need_speed": 0}, "need-speed is 0"),
    ],
)
def test_what_gives_no_honest_result_is_refused_by_name(
    values: dict[str, float], told: str
) -> None:
    with pytest.raises(Refused, match=told):
        work(**values)


def test_a_rod_longer_than_new_within_the_doubt_counts_as_new() -> None:
    assert figure(work(lift=275, rod=3.221, new_rod=3.220), "travel left") == 275


def test_the_formula_refuses_wear_below_zero() -> None:
    with pytest.raises(Refused, match="wrong rod"):
        pump.arm_travel(275, -1)


def test_the_examples_hold() -> None:
    assert doctest.testmod(pump).failed == 0

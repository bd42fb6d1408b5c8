"""Beats against engine speed, checked on printed figures; the source stands beside each."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.measuring import beats
from diagnose.measuring.worked import UNDECIDED, Refused, Worked

(BEATS,) = beats.CALCULATIONS
SPEEDS = st.floats(300, 6000)
ORDERS_PAGE = (
    "Doubt in NVH, "
    "https://www.physicsforums.com/threads/doubt-in-noise-vibration-and-harshness-nvh.743718/"
)


def work(**values: float) -> Worked:
    return BEATS.work({name.replace("_", "-"): (value,) for name, value in values.items()})


@pytest.mark.parametrize(("speed", "hertz"), [(600, 10), (1200, 20), (2400, 40)])
def test_crank_speed_as_printed(speed: float, hertz: float) -> None:
    assert beats.frequency(1, speed) == pytest.approx(hertz), ORDERS_PAGE


def test_an_order_from_a_frequency_as_printed() -> None:
    """216.66 Hz at 1000 rpm is order 13 (page named above)."""
    assert beats.order(216.66, 1, 1000) == pytest.approx(13, abs=0.005), ORDERS_PAGE


def test_the_firing_frequency_of_a_four_and_the_ripple_on_it_as_printed() -> None:
    """4 cylinders at 1000 rpm fire 33.33 times a second; 173 rpm from crest to trough on that is
    9.06 rad/s and 1897 rad/s2. "Approach to calculating engine angular acceleration",
    https://tr.scribd.com/document/367295164/approach-to-calculate-engine-angular-acceleration-from-rpm-fluctuation
    """
    firing = beats.frequency(beats.firing_order(4), 1000)
    swing = 173 / 2 * 2 * math.pi / 60
    assert firing == pytest.approx(33.33, abs=0.005)
    assert swing == pytest.approx(9.06, abs=0.005)
    assert swing * 2 * math.pi * firing == pytest.approx(1897, abs=0.5)


def test_the_firings_of_a_v8_as_printed() -> None:
    """At 2000 rpm 133.33 a second, 16.67 for each plug. "How is engine speed calculated",
    https://kennyspeeds.com/car-repair/how-do-you-calculate-piston-speed-in-an-engine.html"""
    assert beats.frequency(beats.firing_order(8), 2000) == pytest.approx(133.33, abs=0.005)
    assert beats.frequency(0.5, 2000) == pytest.approx(16.67, abs=0.005)


@pytest.mark.parametrize(("cylinders", "firing"), [(4, 2), (6, 3), (8, 4)])
def test_firing_orders_as_printed(cylinders: float, firing: float) -> None:
    """ "Engine Orders",
    http://www.diracdelta.co.uk/science/source/e/n/engine%20orders/source.html"""
    assert beats.firing_order(cylinders) == firing


def test_valve_noise_at_half_the_crank_speed_as_printed() -> None:
    """800 against 400 a minute. "Engine Knocking Ticking Noise",
    https://dannysengineportal.com/what-is-that-knocking-or-ticking-noise/"""
    assert 60 * beats.frequency(0.5, 800) == pytest.approx(400)
    assert work(beats=400, seconds=60, speed=800).verdict == beats.HALF


def test_forty_taps_in_six_seconds_are_half_crank_speed() -> None:
    """Worked here, not published: 40 taps in 6 s at 800 rpm are 0.50 +- 0.02 a turn."""
    found = work(beats=40, seconds=6, speed=800, speed_doubt=20)
    first = found.figures[0]
    assert (round(first.value, 2), round(first.u or 0, 2)) == (0.50, 0.02)
    assert found.verdict == beats.HALF


def test_half_speed_is_never_told_without_the_uneven_firing_trap() -> None:
    found = work(beats=40, seconds=6, speed=800)
    assert "uneven firing" in (found.caution or "")
    assert "timing light" in (found.settles or "")
    assert "firing stroke" in found.says


def test_whole_speed_needs_nothing_to_settle_it_but_no_ear_counts_so_fast() -> None:
    found = work(beats=80, seconds=6, speed=800)
    assert (found.verdict, found.settles) == (beats.WHOLE, None)
    assert "Nobody counts 13 a second" in (found.caution or "")
    assert "Nobody" not in (work(beats=40, seconds=6, speed=800).caution or "")


def test_a_speed_read_double_turns_the_answer_round_and_the_caution_says_so() -> None:
    right, double = work(beats=80, seconds=6, speed=800), work(beats=80, seconds=6, speed=1600)
    assert (right.verdict, double.verdict) == (beats.WHOLE, beats.HALF)
    assert "wrong cylinder setting" in (right.caution or "")


def test_a_count_between_the_speeds_fits_nothing_and_is_counted_again() -> None:
    found = work(beats=60, seconds=6, speed=800)
    assert found.verdict == UNDECIDED
    assert "Count again" in (found.settles or "")


def test_a_count_too_short_can_not_tell_half_from_whole() -> None:
    found = work(beats=2, seconds=0.2, speed=800)
    assert found.verdict == UNDECIDED
    assert "alike" in found.says
    assert beats.beats_needed(800, 10) == 4


def test_a_speed_too_doubtful_makes_every_count_too_short() -> None:
    assert beats.beats_needed(800, 150) is None
    found = work(beats=40, seconds=4, speed=800, speed_doubt=300)
    assert found.verdict == UNDECIDED
    assert "engine speed more closely" in (found.settles or "")


def test_firing_is_told_where_the_cylinders_are_known() -> None:
    assert work(beats=400, seconds=15, speed=800, cylinders=4).verdict == beats.FIRING
    assert work(beats=400, seconds=15, speed=800).verdict == UNDECIDED


def test_firing_of_a_twin_can_not_be_told_from_the_crank() -> None:
    assert work(beats=100, seconds=7.5, speed=800, cylinders=2).verdict == UNDECIDED


@given(st.floats(0.1, 10), SPEEDS, st.floats(1, 60))
def test_order_and_frequency_undo_each_other(order: float, speed: float, seconds: float) -> None:
    count = beats.frequency(order, speed) * seconds
    assert beats.order(count, seconds, speed) == pytest.approx(order)


@given(st.integers(2, 500), SPEEDS, st.floats(0, 50))
def test_a_longer_count_is_never_more_doubtful(count: int, speed: float, spread: float) -> None:
    longer = beats.order_spread(count + 1, speed, spread)
    assert longer < beats.order_spread(count, speed, spread)
    assert longer >= spread / speed


@given(SPEEDS, st.floats(0, 0.15))
def test_the_least_count_keeps_half_and_whole_apart(speed: float, share: float) -> None:
    least = beats.beats_needed(speed, share * speed)
    assert least is not None
    apart = 2 * beats.order_spread(least, speed, share * speed)
    assert 0.5 * (1 + apart) < 1 - apart
    if least > 1:
        assert 2 * beats.order_spread(least - 1, speed, share * speed) >= 1 / 3 - 1e-9


@pytest.mark.parametrize(
    ("values", "wrong"),
    [
        ({"seconds": 6, "speed": 800}, "beats is missing"),
        ({"beats": 40, "speed": 800}, "seconds is missing"),
        ({"beats": 40, "seconds": 0, "speed": 800}, "seconds is 0"),
        ({"beats": 40, "seconds": 6, "speed": 0}, "speed is 0"),
        ({"beats": -40, "seconds": 6, "speed": 800}, "beats is -40"),
        ({"beats": math.nan, "seconds": 6, "speed": 800}, "beats is nan"),
        ({"beats": 40, "seconds": math.inf, "speed": 800}, "seconds is inf"),
        ({"beats": 1, "seconds": 6, "speed": 800}, "at least two"),
        ({"beats": 40.5, "seconds": 6, "speed": 800}, "whole count"),
        ({"beats": 40, "seconds": 6, "speed": 800, "cylinders": 0}, "cylinders is 0"),
    ],
)
def test_what_gives_no_honest_order_is_refused(values: dict[str, float], wrong: str) -> None:
    with pytest.raises(Refused, match=wrong):
        work(**values)


def test_one_value_is_not_given_twice() -> None:
    with pytest.raises(Refused, match="speed is given 2 times"):
        BEATS.work({"beats": (40.0,), "seconds": (6.0,), "speed": (800.0, 820.0)})

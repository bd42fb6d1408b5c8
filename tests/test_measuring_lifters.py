"""Preload, pushrods and lash, checked on printed figures; the source stands beside each."""

import doctest
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.measuring import lifters
from diagnose.measuring.worked import CONFORMS, FAILS, UNDECIDED, Refused, Worked

CALCULATIONS = {entry.name: entry for entry in lifters.CALCULATIONS}
TRAIN = {"head_height": 4.0, "block_height": 5.5, "ratio": 1.5}
LENGTHS = st.floats(1, 12)
RATIOS = st.floats(1.1, 2.0)


def work(name: str, **values: float | tuple[float, ...]) -> Worked:
    rows = {n.replace("_", "-"): v if isinstance(v, tuple) else (v,) for n, v in values.items()}
    return CALCULATIONS[name].work(rows)


def figure(found: Worked, start: str) -> float:
    return next(f.value for f in found.figures if f.name.startswith(start))


@pytest.mark.parametrize(("pitch", "degrees"), [(1 / 25.4, 73.15), (0.055, 52.36), (1 / 18, 51.84)])
def test_the_turn_for_a_travel_as_printed(pitch: float, degrees: float) -> None:
    """0.008 in: 73.15 degrees at 1 mm, 52.36 at 0.055 in; 51.84 for the exact 1/18 in is worked out
    here. "Lifter pre-load measurements", https://ls1tech.com/forums/generation-iii-internal-engine/
    274125-lifter-pre-load-measurements.html (the page leaves the rocker ratio out)"""
    assert lifters.nut_angle(0.008, pitch) == pytest.approx(degrees, abs=5e-3)


def test_a_nut_on_the_stud_presses_the_plunger_further_than_itself() -> None:
    """Derived, nothing printed: 3/4 turn of 3/8-24 at ratio 1.5 is 52 thou, not 31."""
    nut = 0.75 / 24
    assert nut == pytest.approx(0.031, abs=5e-4)
    assert lifters.plunger_travel(nut, 1.5) == pytest.approx(0.052, abs=5e-4)


@given(st.floats(-0.1, 0.1), st.floats(0.5, 2), RATIOS)
def test_the_travel_of_the_pushrod_end_is_that_of_a_lever_held_at_the_valve(
    travel: float, arm: float, ratio: float
) -> None:
    """The other derivation: a straight lever through the held valve tip and the moved pivot."""
    slope = travel / (arm * ratio)
    assert lifters.plunger_travel(travel, ratio) == pytest.approx(slope * (arm + arm * ratio))


def test_valve_lift_as_printed() -> None:
    """0.35 x 1.6 = 0.560, 0.035 or 6.67 % more than at 1.5: "Rocker arm ratio calculator",
    https://calculatormom.com/?p=6607"""
    lift, stock = lifters.valve_lift(0.35, 1.6), lifters.valve_lift(0.35, 1.5)
    assert (lift, lift - stock) == pytest.approx((0.560, 0.035), abs=5e-4)
    assert 100 * (lift / stock - 1) == pytest.approx(6.67, abs=5e-3)


def test_another_valve_lift_as_printed() -> None:
    """0.310 x 1.6 = 0.496: "Cam Spec Terms",
    https://ro.scribd.com/document/389151894/Cam-Spec-Terms-Lunati-Power"""
    assert lifters.valve_lift(0.310, 1.6) == pytest.approx(0.496, abs=5e-4)


def test_expansion_as_printed() -> None:
    """100 in, 5 F, 7.2e-6: 0.0036 in. "Calculate thermal expansion of steel",
    http://classroom.synonym.com/calculate-thermal-expansion-steel-2705.html"""
    assert lifters.expansion(7.2e-6, 100, 5) == pytest.approx(0.0036, abs=5e-5)


def test_expansion_in_metres_and_kelvin_as_printed() -> None:
    """0.48 mm on 0.4 m over 80 K is 1.5e-5: "Materials Science and Engineering, problem 19.8",
    https://www.gradesaver.com/textbooks/engineering/other-engineering/materials-science-and-
    engineering-an-introduction/chapter-19-thermal-properties-questions-and-problems-page-800/19-8
    """
    assert lifters.expansion(1.5e-5, 400, 80) == pytest.approx(0.48, abs=5e-3)


@pytest.mark.parametrize(
    ("share", "per_hundred"),
    [
        (lifters.SHARES[lifters.ALUMINIUM], 0.00128),
        (lifters.SHARES[lifters.IRON], 0.00059),
        (lifters.STEEL, 0.00065),
    ],
)
def test_materials_grow_as_printed(share: float, per_hundred: float) -> None:
    """An inch over 100 F: "Thermal growth" (a handbook quoted),
    https://www.eng-tips.com/threads/thermal-growth.56544/post-224530"""
    assert lifters.expansion(share, 1, 100) == pytest.approx(per_hundred, abs=5e-6)


@pytest.mark.parametrize(
    ("head", "block", "more"),
    [
        (lifters.IRON, lifters.IRON, 2),
        (lifters.ALUMINIUM, lifters.IRON, -6),
        (lifters.ALUMINIUM, lifters.ALUMINIUM, -12),
    ],
)
def test_cold_lash_by_the_printed_rule(head: float, block: float, more: float) -> None:
    """Common practice: "Cold lash vs. hot lash", https://www.chevyhardcore.com/news/
    what-i-learned-today-with-jeff-smith-cold-lash-vs-hot-lash/"""
    assert lifters.cold_less_hot(head, block) == more
    growth = lifters.lash_growth(lifters.Train(head, block, **TRAIN), 150)
    assert (growth < 0) == (more > 0)
    assert abs(growth + more) < 2


def test_the_size_of_plain_expansion() -> None:
    """Own sizes, nothing printed: 4 in of head alone 5.7 thou, head and 5.5 in of block 13.5."""
    head = lifters.Train(lifters.ALUMINIUM, lifters.IRON, 4, 0, 1.5)
    both = lifters.Train(lifters.ALUMINIUM, lifters.ALUMINIUM, 4, 5.5, 1.5)
    assert lifters.lash_growth(head, 150) == pytest.approx(5.7, abs=0.05)
    assert lifters.lash_growth(both, 150) == pytest.approx(13.5, abs=0.05)


def test_the_usual_band_of_preload_as_printed() -> None:
    """0.020 to 0.060 in, common practice: "Getting to the bottom of hydraulic lifter preload",
    http://www.enginebuildermag.com/2011/06/getting-to-the-bottom-of-hydraulic-lifter-preload/"""
    usual = {asked.name: asked.usual for asked in CALCULATIONS["preload"].inputs}
    assert (usual["low"], usual["high"]) == (20, 60)


@pytest.mark.parametrize(
    ("turns", "verdict"),
    [(0.1, FAILS), (0.3, UNDECIDED), (0.5, CONFORMS), (0.75, CONFORMS), (0.85, UNDECIDED),
     (1.0, FAILS)],
)  # fmt: skip
def test_turns_of_a_stud_nut_are_judged_at_the_plunger(turns: float, verdict: str) -> None:
    assert work("preload", turns=turns, threads=24).verdict == verdict


def test_a_screw_at_the_pushrod_end_moves_by_its_own_pitch() -> None:
    found = work("preload", turns=1, pitch=1.0, place=2)
    assert figure(found, "preload") == pytest.approx(1000 / 25.4)


def test_turns_for_the_middle_of_the_band_give_the_middle() -> None:
    turns = figure(work("preload", turns=0, threads=24), "turns for 40 thou")
    assert figure(work("preload", turns=turns, threads=24), "preload") == pytest.approx(40)


def test_a_pushrod_is_ordered_in_the_steps_it_is_sold_in() -> None:
    found = work("pushrod-length", zero_lash=(7.811, 7.813))
    assert figure(found, "pushrod for") == pytest.approx(7.852)
    assert figure(found, "nearest") == pytest.approx(7.85)
    assert (found.verdict, "Order 7.850 in" in found.says) == (CONFORMS, True)


@pytest.mark.parametrize(
    ("fitted", "verdict", "said"),
    [(7.85, CONFORMS, "38 thou"), (7.90, FAILS, "88 thou"), (7.75, FAILS, "62 thou of lash left"),
     (7.83, UNDECIDED, "18 thou")],
)  # fmt: skip
def test_a_fitted_pushrod_is_judged_by_the_preload_it_gives(
    fitted: float, verdict: str, said: str
) -> None:
    found = work("pushrod-length", zero_lash=7.812, fitted=fitted)
    assert (found.verdict, said in found.says) == (verdict, True)


@pytest.mark.parametrize(
    ("cold", "verdict"), [(16, CONFORMS), (17, CONFORMS), (18, UNDECIDED), (20, FAILS)]
)
def test_lash_measured_cold_is_judged_by_the_rule(cold: float, verdict: str) -> None:
    found = work("lash", hot=22, head=2, block=1, cold=cold, lobe=350)
    assert found.verdict == verdict
    assert figure(found, "lift of the valve") == pytest.approx(503)


def test_lash_wanted_alone_is_worked_out_and_not_judged() -> None:
    found = work("lash", hot=22, head=1, block=1)
    assert (found.verdict, "Set 24 thou cold" in found.says) == (None, True)


@given(st.floats(0.001, 0.2), st.floats(0.01, 0.1))
def test_angle_and_travel_go_there_and_back(travel: float, pitch: float) -> None:
    assert lifters.nut_angle(travel, pitch) / 360 * pitch == pytest.approx(travel)


@given(LENGTHS, st.floats(0.001, 0.2))
def test_the_nearest_pushrod_is_within_half_a_step(length: float, step: float) -> None:
    sold = lifters.nearest_pushrod(length, step)
    assert abs(sold - length) <= step / 2 * (1 + 1e-9)
    assert sold / step == pytest.approx(round(sold / step), abs=1e-6)


@given(LENGTHS, st.floats(-0.1, 0.1))
def test_a_pushrod_gives_back_the_preload_it_was_made_for(zero: float, preload: float) -> None:
    assert lifters.pushrod_length(zero, preload) - zero == pytest.approx(preload, abs=1e-9)


@given(st.floats(0.01, 300), LENGTHS, LENGTHS, RATIOS)
def test_twice_the_heat_is_twice_the_growth(
    rise: float, head: float, block: float, ratio: float
) -> None:
    train = lifters.Train(lifters.ALUMINIUM, lifters.IRON, head, block, ratio)
    assert lifters.lash_growth(train, 2 * rise) == pytest.approx(
        2 * lifters.lash_growth(train, rise)
    )


@pytest.mark.parametrize(
    ("name", "values", "told"),
    [
        ("preload", {"threads": 24}, "turns is missing"),
        ("preload", {"turns": math.nan, "threads": 24}, "turns is nan"),
        ("preload", {"turns": -1, "threads": 24}, "turns is -1"),
        ("preload", {"turns": 1}, "threads is missing"),
        ("preload", {"turns": 1, "threads": 24, "pitch": 1}, "threads per inch, or the pitch"),
        ("preload", {"turns": 1, "threads": 0}, "threads is 0"),
        ("preload", {"turns": 1, "pitch": 0}, "pitch is 0"),
        ("preload", {"turns": 1, "threads": 24, "place": 3}, "place is 3"),
        ("preload", {"turns": 1, "threads": 24, "ratio": 0}, "ratio is 0"),
        ("preload", {"turns": 1, "threads": 24, "low": 70}, "low must be the smaller"),
        ("pushrod-length", {}, "zero-lash is missing"),
        ("pushrod-length", {"zero_lash": 0}, "zero-lash is 0"),
        ("pushrod-length", {"zero_lash": 7.8, "step": 0}, "step is 0"),
        ("lash", {"hot": 22, "head": 3, "block": 1}, "head is 3; give 1 for iron"),
        ("lash", {"hot": 22, "head": 1, "block": 0}, "block is 0"),
        ("lash", {"hot": 22, "head": 1, "block": 2}, "set lash hot"),
        ("lash", {"hot": 10, "head": 2, "block": 2}, "too little for a cold lash"),
        ("lash", {"hot": 22, "head": 2, "block": 1, "ratio": 0}, "ratio is 0"),
    ],
)
def test_what_gives_no_honest_result_is_refused_by_name(
    name: str, values: dict[str, float], told: str
) -> None:
    with pytest.raises(Refused, match=told):
        work(name, **values)


def test_the_examples_hold() -> None:
    assert doctest.testmod(lifters).failed == 0

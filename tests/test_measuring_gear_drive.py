"""The distributor drive, checked on printed figures; the source stands beside each."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.measuring import gear_drive as gd
from diagnose.measuring import gear_mesh as mesh
from diagnose.measuring.worked import CONFORMS, FAILS, UNDECIDED, Refused, Worked

CALCULATIONS = {entry.name: entry for entry in gd.CALCULATIONS + mesh.CALCULATIONS}
NOTEBOOK = (
    "Helical Gears, geometry chapter 3, https://github.com/drivetrainhub/notebooks-gears "
    "(commit 8f32185)"
)
WALKS = st.floats(0, 0.2)
DIAMETERS = st.floats(0.5, 5)
HELICES = st.floats(1, 89)


def work(name: str, **values: float | tuple[float, ...]) -> Worked:
    many = {n.replace("_", "-"): v if isinstance(v, tuple) else (v,) for n, v in values.items()}
    return CALCULATIONS[name].work(many)


def figure(found: Worked, start: str) -> float:
    return next(f.value for f in found.figures if f.name.startswith(start))


def test_diameter_lead_and_axial_pitch_as_printed() -> None:
    """Module 1, 17 teeth, helix 15 degrees (notebook named above)."""
    diameter = 17 / math.cos(math.radians(15))
    assert diameter == pytest.approx(17.599695, abs=5e-7), NOTEBOOK
    assert gd.lead(diameter, 15) == pytest.approx(206.349093, abs=5e-7), NOTEBOOK
    assert gd.axial_pitch(diameter, 15, 17) == pytest.approx(12.138182, abs=5e-7), NOTEBOOK


def test_the_lead_of_a_unit_radius_as_printed() -> None:
    """Radius 1, helix 30 degrees: 10.88 (notebook named above)."""
    assert gd.lead(2, 30) == pytest.approx(10.88, abs=0.005), NOTEBOOK


def test_the_push_of_a_torque_as_printed() -> None:
    """125 in-lb on a pitch diameter of 1.63 in: 153.37 lb. "Helical Gear Forces",
    https://vortarus.com/helical-gear-forces/"""
    assert gd.thrust_on_cam(125, 1.63) == pytest.approx(153.37, abs=0.005)
    found = work("pump-thrust", torque=125, diameter=1.63)
    assert "(153 lbf)" in found.says
    assert figure(found, "push") == pytest.approx(153.37 * 4.44822, abs=0.05)


@pytest.mark.parametrize(
    ("pressure", "volume", "torque"), [(500, 0.36, 28.647), (1250, 0.75, 149.207)]
)
def test_the_torque_of_a_pressure_as_printed(pressure: float, volume: float, torque: float) -> None:
    """psi, cubic inches a turn, in-lb. "Hydraulic motor torque",
    https://calculator.academy/hydraulic-motor-torque-calculator/"""
    assert gd.pump_torque(pressure, volume) == pytest.approx(torque, abs=0.001)


def test_backlash_on_the_pitch_circle_and_square_to_the_flank_as_printed() -> None:
    """Centres 0.484079 mm further apart, working angle 23.660563 degrees: 0.424197 mm, 0.388539
    in the plane across the axis and 0.376873 square to the flank (notebook named above); helix
    15 degrees and pressure angle 20 make the helix on the base circle."""
    angle = 23.660563
    base = math.degrees(math.asin(math.sin(math.radians(15)) * math.cos(math.radians(20))))
    backlash = mesh.backlash_of_spread(0.484079, angle)
    assert backlash == pytest.approx(0.424197, abs=1e-6), NOTEBOOK
    assert mesh.backlash_square(backlash, angle, 0) == pytest.approx(0.388539, abs=1e-6), NOTEBOOK
    assert mesh.backlash_square(backlash, angle, base) == pytest.approx(0.376873, abs=1e-6), (
        NOTEBOOK
    )


@pytest.mark.parametrize(("teeth", "turn"), [(17, 0.047183), (35, 0.022918)])
def test_the_turn_of_a_backlash_as_printed(teeth: int, turn: float) -> None:
    """0.424197 mm on gears of 17 and 35 teeth; the notebook calls the figures degrees, they are
    radians. The centres are 27.5 mm apart: worked back from its printed angles."""
    radius = 27.5 * teeth / (17 + 35)
    found = math.radians(mesh.turn_by_backlash(0.424197, radius))
    assert found == pytest.approx(turn, abs=1e-6), NOTEBOOK


@pytest.mark.parametrize(("walk", "crank"), [(0.004, 0.73), (0.010, 1.83)])
def test_the_spark_shift_of_a_common_gear(walk: float, crank: float) -> None:
    """Worked here, not published: pitch diameter 1.25 in."""
    assert 2 * gd.turn_by_cam_walk(walk, 1.25) == pytest.approx(crank, abs=0.005)
    found = work("spark-shift", walk=walk * 1000, diameter=1.25)
    assert figure(found, "spark shift") == pytest.approx(crank, abs=0.005)


def test_twenty_degrees_of_scatter_take_a_tenth_of_an_inch_of_walk() -> None:
    """A trade page tells 20 degrees "where the cam walks more than 0.010 in":
    https://www.chevyhardcore.com/tech-stories/enginelabs-blueprint-series-setting-retrofit-roller-cam-endplay/
    Ten thou give a tenth of that; 0.109 in would be needed (worked here, pitch diameter 1.25)."""
    assert 2 * gd.turn_by_cam_walk(0.109, 1.25) == pytest.approx(20, abs=0.05)
    found = work("spark-shift", walk=10, diameter=1.25, seen=20)
    assert found.verdict == gd.NOT_ENOUGH


@pytest.mark.parametrize(
    ("cam_teeth", "gear_teeth", "helix"),
    [(13, 13, 45.0), (13, 13, 60.0), (14, 14, 40.0), (16, 15, 52.0), (11, 12, 48.0)],
)
def test_the_helix_drops_out_of_the_spark_shift(
    cam_teeth: int, gear_teeth: int, helix: float
) -> None:
    """Two derivations agree, nothing published: 2 walk / diameter, and the lead of the cam gear
    with the ratio of the teeth; normal module 2, shafts at 90 degrees."""
    cam = 2 * cam_teeth / math.cos(math.radians(helix))
    gear = 2 * gear_teeth / math.cos(math.radians(90 - helix))
    by_lead = gd.turn_by_lead(0.25, cam, helix) * cam_teeth / gear_teeth
    assert gd.turn_by_cam_walk(0.25, gear) == pytest.approx(by_lead)


@given(WALKS, DIAMETERS, st.floats(0.1, 10))
def test_twice_the_walk_is_twice_the_shift_and_a_bigger_gear_shifts_less(
    walk: float, diameter: float, more: float
) -> None:
    one = gd.turn_by_cam_walk(walk, diameter)
    assert gd.turn_by_cam_walk(2 * walk, diameter) == pytest.approx(2 * one)
    assert gd.turn_by_cam_walk(walk, diameter + more) <= one


@given(WALKS, DIAMETERS, HELICES)
def test_the_unit_of_length_does_not_matter(walk: float, diameter: float, helix: float) -> None:
    mm = 25.4
    assert gd.turn_by_cam_walk(walk * mm, diameter * mm) == pytest.approx(
        gd.turn_by_cam_walk(walk, diameter)
    )
    assert gd.turn_by_lead(walk * mm, diameter * mm, helix) == pytest.approx(
        gd.turn_by_lead(walk, diameter, helix)
    )


def test_the_play_of_the_distributor_shaft_adds_by_its_lead() -> None:
    one = work("spark-shift", walk=4, diameter=1.25)
    two = work("spark-shift", walk=4, diameter=1.25, shaft_play=10, helix=45)
    more = figure(two, "spark shift") - figure(one, "spark shift")
    assert more == pytest.approx(2 * 360 * 0.010 / (math.pi * 1.25))


def test_the_doubt_of_the_end_play_goes_into_the_shift() -> None:
    found = work("spark-shift", walk=10, diameter=1.25, walk_doubt=1.0)
    shift = found.figures[1]
    assert shift.u == pytest.approx(shift.value * 0.10)
    assert work("spark-shift", walk=10, diameter=1.25).figures[1].u == pytest.approx(
        shift.value * 0.16
    )


def test_shift_of_the_cam_and_push_of_the_pump_carry_their_doubt() -> None:
    shift = work("cam-timing-shift", walk=10, gear_diameter=6, gear_helix=23).figures[1]
    push = work("pump-thrust", torque=125, diameter=1.63, doubt=10).figures[1]
    assert (shift.u, push.u) == pytest.approx((shift.value * 0.16, push.value * 0.1))


@pytest.mark.parametrize(
    ("seen", "verdict"), [(2, gd.ENOUGH), (3.6, UNDECIDED), (8, gd.NOT_ENOUGH)]
)
def test_the_wander_seen_is_weighed_against_the_play(seen: float, verdict: str) -> None:
    """20 thou on a gear of 1.25 in give 3.7 crank degrees."""
    assert work("spark-shift", walk=20, diameter=1.25, seen=seen).verdict == verdict


def test_the_way_of_the_shift_is_never_told_as_fixed() -> None:
    found = work("spark-shift", walk=10, diameter=1.25)
    assert "this engine's own rotation" in (found.caution or "")


def test_the_wear_band_moves_along_the_cam_gear_by_the_walk() -> None:
    found = work("spark-shift", walk=11, diameter=1.25)
    assert figure(found, "shift of the wear band") == 11


def test_helical_timing_gears_shift_the_cam_too() -> None:
    found = work("cam-timing-shift", walk=10, gear_diameter=6, gear_helix=23)
    lead = math.pi * 6 / math.tan(math.radians(23))
    assert figure(found, "turn of the cam") == pytest.approx(360 * 0.010 / lead)
    assert "chains shift nothing" in (found.caution or "")


def test_a_pump_not_measured_is_worked_out_from_pressure_and_delivery() -> None:
    """500 psi and 0.36 in3 a turn, as printed above; 5.899 l/min at 1000 rpm is that volume."""
    litres = 0.36 * 25.4**3 / 1e6 * 1000
    found = work(
        "pump-thrust",
        diameter=1.25,
        pressure=500,
        delivery=litres,
        pump_speed=1000,
        efficiency=100,
    )
    assert figure(found, "pump torque") == pytest.approx(28.647, abs=0.001)


@given(st.floats(1, 500), DIAMETERS)
def test_the_push_times_the_radius_is_the_torque(torque: float, diameter: float) -> None:
    assert gd.thrust_on_cam(torque, diameter) * diameter / 2 == pytest.approx(torque)


def test_the_push_is_told_with_its_way_and_what_it_leaves_out() -> None:
    found = work("pump-thrust", torque=50, diameter=1.25)
    assert "against the way the distributor teeth travel" in found.says
    assert "Cold oil" in (found.caution or "")


@pytest.mark.parametrize(
    ("reading", "verdict"),
    [((4.0, 4.0), CONFORMS), ((4.0, 4.5), UNDECIDED), ((4.0, 6.5), FAILS), ((1.5, 4.0), FAILS)],
)
def test_backlash_is_judged_by_its_tightest_and_slackest_tooth(
    reading: tuple[float, ...], verdict: str
) -> None:
    """0.003-0.005 in, TM 5-3895-347-14P,
    https://constructionrollers.tpub.com/TM-5-3895-347-14P/TM-5-3895-347-14P00554.html ; a dial of
    a thousandth leaves the very middle alone provable."""
    assert work("backlash", reading=reading, low=3, high=5).verdict == verdict


def test_the_older_band_is_wider_and_proves_more() -> None:
    """0.002-0.005 in, 1935 shop manual page, https://oldcarburetors.com/1935-Chevy/018.htm"""
    assert work("backlash", reading=3.1, low=2, high=5).verdict == CONFORMS
    assert work("backlash", reading=3.1, low=3, high=5).verdict == UNDECIDED


def test_without_limits_backlash_is_not_judged() -> None:
    assert work("backlash", reading=4).verdict is None


def test_a_dial_further_out_reads_more_than_the_pitch_circle() -> None:
    found = work("backlash", reading=6, dial_radius=3, radius=2)
    assert figure(found, "slackest") == pytest.approx(4)
    assert figure(found, "free turn") == pytest.approx(math.degrees(0.004 / 2))


def test_end_play_left_free_may_be_what_was_read() -> None:
    free = work("backlash", reading=6.5, low=3, high=5, end_play=10, helix=20)
    assert free.verdict == UNDECIDED
    assert "Hold the cam" in (free.settles or "")
    assert work("backlash", reading=6.5, low=3, high=5).verdict == FAILS


@given(st.floats(0.001, 0.05), st.floats(0.5, 5))
def test_backlash_free_by_end_play_is_that_of_the_lead(play: float, radius: float) -> None:
    """play x tan(helix) on the pitch circle is 360 x play / lead as an angle."""
    turned = mesh.turn_by_backlash(play * math.tan(math.radians(20)), radius)
    assert turned == pytest.approx(gd.turn_by_lead(play, 2 * radius, 20))


def test_a_high_band_adds_shim_and_a_low_one_takes_it_out() -> None:
    assert mesh.shim_for_band(above=20, below=80) == 30
    assert mesh.shim_for_band(above=80, below=20) == -30
    high, low = (
        work("gear-height", above=20, below=80, shims=10),
        work("gear-height", above=80, below=20, shims=40),
    )
    assert "rides low: put shims under the flange" in high.says
    assert figure(high, "shims and gasket then") == 40
    assert "rides high: take shims from under the flange" in low.says
    assert figure(low, "shims and gasket then") == 10


@given(st.floats(0, 300), st.floats(0, 300))
def test_after_the_shim_the_band_is_in_the_middle(above: float, below: float) -> None:
    shim = mesh.shim_for_band(above, below)
    assert above + shim == pytest.approx(below - shim)


def test_shims_that_are_not_there_can_not_be_taken_out() -> None:
    found = work("gear-height", above=80, below=20)
    assert "not enough shims" in found.says
    assert not [f for f in found.figures if f.name.startswith("shims and gasket")]


@pytest.mark.parametrize(
    ("above", "below", "verdict"),
    [(50, 60, CONFORMS), (5, 80, UNDECIDED), (0, 80, FAILS), (0, 0, FAILS)],
)
def test_the_band_must_keep_off_the_tooth_ends(above: float, below: float, verdict: str) -> None:
    assert work("gear-height", above=above, below=below).verdict == verdict


def test_a_band_in_the_middle_is_left_alone_and_one_from_end_to_end_is_no_matter_of_height() -> (
    None
):
    assert "leave the height alone" in work("gear-height", above=50, below=55).says
    assert "look at end play" in work("gear-height", above=0, below=5).says


@pytest.mark.parametrize(
    ("name", "values", "wrong"),
    [
        ("spark-shift", {"walk": 4}, "diameter is missing"),
        ("spark-shift", {"walk": 4, "diameter": 0}, "diameter is 0"),
        ("spark-shift", {"walk": -4, "diameter": 1}, "walk is -4"),
        ("spark-shift", {"walk": math.nan, "diameter": 1}, "walk is nan"),
        ("spark-shift", {"walk": 4, "diameter": 1, "shaft_play": 5}, "helix is missing"),
        (
            "spark-shift",
            {"walk": 4, "diameter": 1, "shaft_play": 5, "helix": 90},
            "between 0 and 90",
        ),
        ("cam-timing-shift", {"walk": 4, "gear_diameter": 6, "gear_helix": 0}, "between 0 and 90"),
        ("pump-thrust", {"diameter": 1}, "pressure is missing"),
        ("pump-thrust", {"diameter": 1, "torque": 0}, "torque is 0"),
        ("pump-thrust", {"diameter": 1, "pressure": 50, "delivery": 9}, "pump-speed is missing"),
        (
            "pump-thrust",
            {"diameter": 1, "pressure": 50, "delivery": 9, "pump_speed": 0},
            "pump-speed is 0",
        ),
        (
            "pump-thrust",
            {"diameter": 1, "pressure": 50, "delivery": 9, "pump_speed": 9, "efficiency": 120},
            "efficiency is 1.2",
        ),
        ("backlash", {}, "reading is missing"),
        ("backlash", {"reading": 4, "low": 5, "high": 3}, "low must be below high"),
        ("backlash", {"reading": 4, "dial_radius": 3}, "radius is missing"),
        ("backlash", {"reading": 4, "dial_radius": 0, "radius": 2}, "dial-radius is 0"),
        ("backlash", {"reading": 4, "end_play": 3}, "helix is missing"),
        ("gear-height", {"above": 20}, "below is missing"),
        ("gear-height", {"above": -20, "below": 20}, "above is -20"),
    ],
)
def test_what_gives_no_honest_result_is_refused(
    name: str, values: dict[str, float], wrong: str
) -> None:
    with pytest.raises(Refused, match=wrong):
        work(name, **values)


def test_free_tooth_below_nothing_is_refused() -> None:
    with pytest.raises(Refused, match="less than zero"):
        mesh.shim_for_band(-1, 5)

"""Degreeing a cam, checked on printed figures; the source stands beside each."""

import doctest
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.measuring import cam_teeth as teeth_of
from diagnose.measuring import cam_timing as cam
from diagnose.measuring.worked import CONFORMS, FAILS, UNDECIDED, Refused, Worked

CALCULATIONS = {entry.name: entry for entry in cam.CALCULATIONS + teeth_of.CALCULATIONS}
ANGLES = st.floats(-60, 120)


def work(name: str, **values: float | tuple[float, ...]) -> Worked:
    rows = {n.replace("_", "-"): v if isinstance(v, tuple) else (v,) for n, v in values.items()}
    return CALCULATIONS[name].work(rows)


def figure(found: Worked, start: str) -> float:
    return next(f.value for f in found.figures if f.name.startswith(start))


def test_a_centreline_from_equal_lift_as_printed() -> None:
    """60 and 145.5: 102.75. "Degree wheel" (a re-worded copy),
    https://blog.decatech.com/how-to-wos/degree-wheel-murah-5f8779"""
    assert cam.centreline(60, 145.5) == 102.75


def test_true_top_dead_centre_as_printed() -> None:
    """Stops at 36.75 and 35.25: 36. "Degree wheel" (a re-worded copy),
    https://blog.decatech.com/how-to-wos/degree-wheel-murah-5f8779"""
    assert cam.true_top(36.75, 35.25) == (36, -0.75)


@pytest.mark.parametrize(
    ("opens", "closes", "duration", "middle"),
    [
        # "How to figure out the intake centerline by just using cam card specs",
        # https://www.onallcylinders.com/2023/07/26/ask-away-with-jeff-smith-how-to-figure-out-
        # the-intake-centerline-by-just-using-cam-card-specs/
        (31, 63, 274, 106),
        # "Calculate Cam degree", http://www.b50.org/calculatecam.htm
        (40, 60, 280, 100),
        # "Degreeing a camshaft with no cam card",
        # https://forabodiesonly.com/mopar/posts/1970493881/printfriendly
        (6, 42, 228, 108),
        # "melayu cams", http://consdi.arthropoda.ru/melayu-cams-394.html : opens after top
        (-10, 39, 209, 114.5),
    ],
)
def test_intake_lobes_as_printed(
    opens: float, closes: float, duration: float, middle: float
) -> None:
    assert cam.intake_lobe(opens, closes) == (duration, middle)


def test_an_exhaust_lobe_as_printed() -> None:
    """EO 77, EC 29: 286, 114. "How to figure out the intake centerline by just using cam card
    specs", https://www.onallcylinders.com/2023/07/26/ask-away-with-jeff-smith-how-to-figure-out-
    the-intake-centerline-by-just-using-cam-card-specs/"""
    assert cam.exhaust_lobe(77, 29) == (286, 114)


@pytest.mark.parametrize(
    ("shift", "intake", "exhaust"),
    [(0, (20, 60), (60, 20)), (5, (25, 55), (65, 15)), (-5, (15, 65), (55, 25))],
)
def test_an_advanced_cam_keeps_its_duration_and_moves_its_middles_as_printed(
    shift: float, intake: tuple[float, float], exhaust: tuple[float, float]
) -> None:
    """20/60 lasts 260, and so do the cam advanced and retarded by 5 (their events as printed):
    "Valve timing diagrams", https://ausmini.com/forums/viewtopic.php?p=237565"""
    assert cam.intake_lobe(*intake) == (260, 110 - shift)
    assert cam.exhaust_lobe(*exhaust) == (260, 110 + shift)


def test_holes_make_a_vernier_as_printed() -> None:
    """11 x 12 holes: 132 positions, 2.7 cam or 5.4 crank degrees (twice the rounded 2.7): "Timing
    chain inspection",
    https://forum.viva-lancia.com/viewtopic.php?start=10&t=5957&view=print"""
    assert teeth_of.hole_positions(11, 12) == 132
    found = work("tooth", cam_teeth=36, gear_holes=11, cam_holes=12)
    assert figure(found, "one position") / 2 == pytest.approx(2.7, abs=0.05)
    assert figure(found, "one position") == pytest.approx(5.4, abs=0.1)


def test_the_marks_meet_again_as_printed() -> None:
    """36 teeth, 174 pitches: 6 turns of the chain, 58 of the crank. "Timing chain cycle vs sprocket
    marker position", https://mechanics.stackexchange.com/questions/19414/timing-chain-cycle-vs-
    sprocket-marker-position"""
    found = work("tooth", cam_teeth=36, links=174)
    assert figure(found, "turns of the chain") == 6
    assert figure(found, "turns of the crank") == 58


@pytest.mark.parametrize(("teeth", "degrees"), [(36, 20), (42, 17.1), (50, 14.4)])
def test_what_a_tooth_is_worth(teeth: float, degrees: float) -> None:
    """Plain arithmetic, both gears alike; no page that prints it for a named gear was found."""
    assert teeth_of.tooth(teeth) == pytest.approx(degrees, abs=0.05)
    assert teeth_of.tooth(teeth) == pytest.approx(360 / (teeth / 2))


def test_the_separation_is_the_middle_of_both_centrelines_in_cam_degrees() -> None:
    """106 and 114 of the card above; the 110 is worked out here."""
    found = work("centreline", opens=31, closes=63, exhaust_opens=77, exhaust_closes=29)
    assert figure(found, "lobe separation") == 110
    assert found.verdict is None


def test_cam_degrees_are_half_of_crank_degrees() -> None:
    assert teeth_of.crank_degrees(10) == 20
    assert figure(work("tooth", cam_teeth=36), "one tooth, cam degrees") == 10


def test_a_piston_stop_round_the_whole_wheel_gives_the_same_top() -> None:
    """The way of a scooter forum (https://modernvespa.com/forum/post1831251): zero at the first
    stop, back round to the other at n; top lies (360 - n) / 2 beyond n."""
    assert cam.true_top(0, 360 - 288).each == (360 - 288) / 2


@pytest.mark.parametrize(
    ("after", "verdict"),
    [(151, CONFORMS), (153.5, CONFORMS), (154, UNDECIDED), (157, UNDECIDED), (158, FAILS)],
)
def test_a_centreline_is_judged_against_the_card(after: float, verdict: str) -> None:
    found = work("centreline", before=60, after=after, card=105.75)
    assert found.verdict == verdict


@pytest.mark.parametrize(("card", "said"), [(106, "3.2 degrees early"), (100, "2.8 degrees late")])
def test_a_cam_is_told_late_or_early(card: float, said: str) -> None:
    assert said in work("centreline", before=60, after=145.5, card=card).says


def test_events_are_the_card_s_own_and_not_judged() -> None:
    found = work("centreline", opens=31, closes=63, card=100)
    assert (found.verdict, figure(found, "cam late")) == (None, 6)


def test_an_exhaust_lobe_alone_is_worked_out() -> None:
    found = work("centreline", exhaust_opens=77, exhaust_closes=29)
    assert "exhaust lobe" in found.says


def test_several_lifts_are_averaged_and_a_wandering_middle_is_told() -> None:
    found = work("centreline", before=(60.0, 70.0), after=(145.5, 141.5))
    assert figure(found, "intake centreline") == pytest.approx(104.25)
    assert "wanders by 3.0" in (found.caution or "")


@pytest.mark.parametrize(
    ("mark", "verdict"),
    [(-0.75, CONFORMS), (0.5, CONFORMS), (1.0, UNDECIDED), (3.0, FAILS), (-3.5, FAILS)],
)
def test_the_damper_s_mark_is_judged_by_true_top_dead_centre(mark: float, verdict: str) -> None:
    assert work("top-dead-centre", before=36.75, after=35.25, mark=mark).verdict == verdict


def test_top_dead_centre_alone_is_not_judged_and_its_side_is_told() -> None:
    found = work("top-dead-centre", before=35.25, after=36.75)
    assert (found.verdict, "0.75 degrees after" in found.says) == (None, True)


@pytest.mark.parametrize(
    ("late", "verdict"),
    [
        (3, teeth_of.IN_TIME),
        (21, "1 tooth late"),
        (-38, "2 teeth early"),
        (10, teeth_of.NO_TOOTH),
    ],
)
def test_a_whole_tooth_is_told_from_stretch(late: float, verdict: str) -> None:
    assert work("tooth", cam_teeth=36, late=late).verdict == verdict


def test_a_doubt_of_half_a_tooth_tells_nothing() -> None:
    found = work("tooth", cam_teeth=50, late=7.2, doubt=8)
    assert (found.verdict, bool(found.settles)) == (UNDECIDED, True)


@given(ANGLES, st.floats(1, 200), ANGLES)
def test_a_wheel_set_wrong_shifts_the_centreline_by_as_much(
    before: float, apart: float, shift: float
) -> None:
    one = cam.centreline(before, before + apart)
    assert cam.centreline(before + shift, before + apart + shift) == pytest.approx(one + shift)


@given(st.floats(10, 100), st.floats(10, 100))
def test_stops_read_alike_once_the_pointer_is_put_right(before: float, after: float) -> None:
    found = cam.true_top(before, after)
    assert before + found.offset == pytest.approx(found.each)
    assert after - found.offset == pytest.approx(found.each)
    assert cam.true_top(after, before).offset == pytest.approx(-found.offset)


@given(st.floats(-40, 80), st.floats(0, 100))
def test_equal_lift_at_the_events_gives_the_centreline_of_the_events(
    opens: float, closes: float
) -> None:
    lobe = cam.intake_lobe(opens, closes)
    assert cam.centreline(-opens, 180 + closes) == pytest.approx(lobe.centreline)


@given(st.integers(12, 80), st.integers(-3, 3), st.floats(-1, 1))
def test_a_cam_off_by_whole_teeth_is_recognised(teeth: int, count: int, more: float) -> None:
    verdict, _ = teeth_of.teeth_off(
        count * teeth_of.tooth(teeth) + more, teeth_of.tooth(teeth), 1.001
    )
    assert verdict.startswith(str(abs(count)) if count else teeth_of.IN_TIME)


@given(st.integers(1, 300), st.integers(1, 80))
def test_marks_that_meet_have_run_as_many_pitches(links: int, teeth: int) -> None:
    chain, crank = teeth_of.marks_return(links, teeth)
    assert chain * links == crank // 2 * teeth


@pytest.mark.parametrize(
    ("name", "values", "told"),
    [
        ("centreline", {}, "before is missing"),
        ("centreline", {"before": 60}, "one of each per lift"),
        ("centreline", {"before": 145, "after": 60}, "below zero"),
        ("centreline", {"before": math.nan, "after": 60}, "before is nan"),
        ("centreline", {"opens": 31}, "closes is missing"),
        ("centreline", {"closes": 31}, "opens is missing"),
        ("centreline", {"exhaust_opens": 31}, "exhaust-closes is missing"),
        ("centreline", {"opens": -100, "closes": -100}, "more than 0"),
        ("centreline", {"exhaust_opens": 77, "exhaust_closes": 29, "card": 106}, "card is the"),
        ("top-dead-centre", {"before": 36}, "after is missing"),
        ("top-dead-centre", {"before": 36, "after": -40}, "to its own side"),
        ("tooth", {}, "cam-teeth is missing"),
        ("tooth", {"cam_teeth": 0}, "cam-teeth is 0"),
        ("tooth", {"cam_teeth": 36.5}, "whole number"),
        ("tooth", {"cam_teeth": 36, "links": 58.5}, "links is 58.5"),
        ("tooth", {"cam_teeth": 36, "gear_holes": 0, "cam_holes": 12}, "gear-holes is 0"),
    ],
)
def test_what_gives_no_honest_result_is_refused_by_name(
    name: str, values: dict[str, float], told: str
) -> None:
    with pytest.raises(Refused, match=told):
        work(name, **values)


def test_the_examples_hold() -> None:
    assert doctest.testmod(cam).failed == 0

"""End play as the parts make it, against sums printed elsewhere; the source stands beside each."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.measuring.stack import (
    CALCULATIONS,
    CLOSES,
    LOOSE,
    OPENS,
    TOUCHES,
    Gap,
    Layer,
    change_needed,
    choose_shims,
    compare,
    shim_window,
    stack_up,
)
from diagnose.measuring.worked import CONFORMS, FAILS, UNDECIDED, Refused, Worked

SIZES = st.floats(0.01, 500)
PLAYS = st.floats(-50, 500)


@pytest.mark.parametrize(
    ("packing", "measured"),
    [(0.003, 0.062 - 0.060), (0.008, 0.062 - 0.065)],
)
def test_packing_below_a_pedestal_opens_as_printed(packing: float, measured: float) -> None:
    """0.062 - 0.060 = 0.002 in, packing 0.003 -> 0.005; 0.062 - 0.065 = -0.003, packing 0.008 ->
    0.005: "Distributor pedestal on a TR3",
    https://britishcarforum.com/community/threads/distributor-pedestal-on-a-tr3.17373"""
    assert change_needed(measured, 0.005, OPENS) == pytest.approx(packing)


def test_the_pedestal_without_packing_is_as_printed() -> None:
    """Same page: 0.002 and -0.003 in before any packing."""
    found = [
        stack_up([Layer("pedestal", OPENS, 0.062), Layer("gear", CLOSES, size)]).size
        for size in (0.060, 0.065)
    ]
    assert found == pytest.approx([0.002, -0.003])


def test_a_cam_support_takes_the_shims_printed() -> None:
    """Space 0.060 + 0.010 in of play: 0.070 in of shims; TM 10-4320-307-24,
    https://waterpumps.tpub.com/TM-10-4320-307-24/css/TM-10-4320-307-24_514.htm"""
    assert change_needed(-0.060, 0.010, OPENS) == pytest.approx(0.070)


def test_the_shims_of_the_cam_support_can_be_made_up_from_the_sizes_printed() -> None:
    """Same page: shims 0.002, 0.005, 0.010, 0.025 in; play 0.008 to 0.013 in."""
    window = shim_window(-0.060, (0.008, 0.013), OPENS)
    found = choose_shims(window, [0.002, 0.005, 0.010, 0.025])
    assert window == pytest.approx((0.068, 0.073))
    assert (found.total, found.fits) == (pytest.approx(0.070), True)


def test_a_shim_window_is_the_one_printed() -> None:
    """Measured 0.47, wanted 0.06-0.11 mm: shims 0.36-0.41; truck gearbox manual p. 90,
    https://www.easymanua.ls/eaton/fso-2105/manual?p=95"""
    assert shim_window(0.47, (0.06, 0.11), CLOSES) == pytest.approx((0.36, 0.41))


def test_a_play_below_the_target_can_not_be_shimmed_as_printed() -> None:
    """Same page: measured 0.02 mm: the reading is not valid."""
    with pytest.raises(Refused, match="no shim can help: the play of 0.02 lies past the target"):
        shim_window(0.02, (0.06, 0.11), CLOSES)


def test_a_stack_of_four_is_the_one_printed() -> None:
    """45.53 + 1.05 - (34.95 + 11.00) = 0.63 mm: ATV service manual 7-22, https://
    manualarchiveguide.com/manuals/Yamaha-YFM400FAR-Service-Manual-5809991?page=250"""
    opening = [Layer("a", OPENS, 45.53), Layer("b", OPENS, 1.05)]
    closing = [Layer("c", CLOSES, 34.95), Layer("d", CLOSES, 11.00)]
    assert stack_up(opening + closing).size == pytest.approx(0.63)


def test_a_thrust_shim_is_the_one_printed() -> None:
    """1.23 - 0.17 = 1.06 mm, the nearest shim 1.05 (the page misprints 1.93): mainshaft thrust
    clearance, https://garethcivicshopmanual.z21.web.core.windows.net/
    honda%20shop%20manual.7z:en/html/ZOOM000000000003508.html"""
    window = shim_window(1.23, (0.17, 0.17), CLOSES)
    found = choose_shims(window, [0.95, 1.00, 1.05, 1.10, 1.15])
    assert window == pytest.approx((1.06, 1.06))
    assert (found.sizes, found.fits) == ((1.05,), False)


def test_a_drive_shaft_shim_is_the_one_printed() -> None:
    """32.7 - 30.1 + 0.5 = 3.1 mm; shim 2.95-3.1 for 0-0.15: an overhaul page in an archive."""
    free = stack_up(
        [Layer("a", OPENS, 32.7), Layer("b", CLOSES, 30.1), Layer("c", OPENS, 0.5)]
    ).size
    assert free == pytest.approx(3.1)
    assert shim_window(free, (0, 0.15), CLOSES) == pytest.approx((2.95, 3.1))


def test_a_stack_up_with_tolerances_is_the_one_printed() -> None:
    """40 - 25 - 2 - 10 = 3.00 mm: "Tolerance stack-up: a worked example",
    https://metricmech.com/articles/tolerance-stackup-worked-example.html ; worst case 0.23 and
    root of squares 0.126 worked out from the tolerances printed there."""
    found = stack_up(
        [
            Layer("bore", OPENS, 40, 0.10),
            Layer("spacer", CLOSES, 25, 0.05),
            Layer("ring", CLOSES, 2, 0.03),
            Layer("shoulder", CLOSES, 10, 0.05),
        ]
    )
    assert found.size == pytest.approx(3.00)
    assert (found.worst, found.likely) == (
        pytest.approx(0.23),
        pytest.approx(0.126, abs=5e-4),
    )


@given(st.lists(st.floats(0, 10), min_size=1, max_size=6))
def test_chance_is_never_worse_than_the_worst_case(tolerances: list[float]) -> None:
    found = stack_up(Layer("a", CLOSES, 1.0, each) for each in tolerances)
    assert max(tolerances) - 1e-9 <= found.likely <= found.worst + 1e-9


@given(PLAYS, PLAYS, st.sampled_from([OPENS, CLOSES]))
def test_the_change_brings_the_play_to_the_target(play: float, target: float, side: int) -> None:
    change = change_needed(play, target, side)
    assert play + side * change == pytest.approx(target, abs=1e-9)


@given(PLAYS, PLAYS)
def test_what_one_side_grows_by_the_other_shrinks_by(play: float, target: float) -> None:
    assert change_needed(play, target, OPENS) == -change_needed(play, target, CLOSES)


@given(st.floats(5, 40), st.lists(st.floats(0.5, 30), min_size=1, max_size=6))
def test_shims_that_fit_bring_the_play_into_the_target(play: float, sizes: list[float]) -> None:
    found = choose_shims(shim_window(play, (2, 4), CLOSES), sizes)
    left = play - found.total
    assert (2 - 1e-6 <= left <= 4 + 1e-6) == found.fits or left == pytest.approx(2 + (left > 3) * 2)


@given(st.floats(5, 40), st.lists(st.floats(0.5, 30), min_size=1, max_size=6))
def test_one_shim_is_taken_where_one_fits(play: float, sizes: list[float]) -> None:
    single = [size for size in sizes if play - 4 <= size <= play - 2]
    found = choose_shims(shim_window(play, (2, 4), CLOSES), sizes)
    assert len(found.sizes) == 1 or not single


def test_the_shim_nearest_the_middle_is_taken() -> None:
    assert choose_shims((7, 9), [7.1, 8.2, 9]).sizes == (8.2,)


def test_no_shim_is_taken_where_none_is_needed() -> None:
    found = choose_shims(shim_window(3, (2, 4), CLOSES), [1.0, 2.0])
    assert (found.sizes, found.fits) == ((), True)


@pytest.mark.parametrize(
    ("measured", "found"),
    [(11.0, None), (9.3, None), (9.2, TOUCHES), (12.7, None), (12.8, LOOSE)],
)
def test_a_measured_play_is_held_up_against_the_parts(measured: float, found: str | None) -> None:
    """Parts 11 +- 0.7, measured +- 1.6: they differ beyond 1.75. Worked out, not published."""
    assert compare(measured, 1.6, Gap(11.0, 1.0, math.sqrt(0.5))) == found


@pytest.mark.parametrize(
    ("wrong", "why"),
    [
        (lambda: stack_up([Layer("plate", CLOSES, 0)]), "plate can't be 0"),
        (lambda: stack_up([Layer("plate", CLOSES, math.nan)]), "plate can't be nan"),
        (lambda: stack_up([Layer("plate", CLOSES, 1, -0.1)]), "tolerance of 0 or more"),
        (lambda: shim_window(5, (4, 2), CLOSES), "target 4 to 2 is upside down"),
        (lambda: shim_window(5, (math.nan, 2), CLOSES), "upside down"),
        (lambda: choose_shims((1, 2), []), "give 1 to 30 sizes above 0"),
        (lambda: choose_shims((1, 2), [1, 0]), "2 shim sizes from 0"),
        (lambda: choose_shims((1, 2), [1.0] * 31), "31 shim sizes"),
    ],
)
def test_what_can_not_be_stacked_is_refused(wrong: object, why: str) -> None:
    assert callable(wrong)
    with pytest.raises(Refused, match=why):
        wrong()


TARGET = {"target_low": (2.0,), "target_high": (4.0,)}


def work(spacer: float = 161.0, plate: float = 150.0, **values: tuple[float, ...]) -> Worked:
    values = {"spacer": (spacer,), "plate": (plate,), **values}
    return CALCULATIONS[0].work({name.replace("_", "-"): v for name, v in values.items()})


def figures(found: Worked) -> dict[str, float]:
    return {figure.name: pytest.approx(figure.value) for figure in found.figures}


def test_a_common_correction_is_worked_out_in_thou() -> None:
    """Common practice: 11 thou there, 2 to 4 aimed at: take up 8 with plate, shim or spacer."""
    found = work(shims=(2.0, 3.0, 5.0), **TARGET)
    assert figures(found) == {
        "play by the parts": 11,
        "least play, worst case": 10,
        "most play, worst case": 12,
        "plate to be thicker by": 8,
        "or spacer to be thicker by": -8,
        "shims": 8,
        "play with these shims": 3,
    }
    assert "shims of 5 + 3 beside the plate leave 3.0" in found.says
    assert found.verdict == FAILS


def test_a_bearing_stack_is_added_up() -> None:
    found = work(400.0, washers=(39.4, 39.4), bearings=(78.7,), tolerance=(0.2,))
    assert found.steps[0] == (
        "spacer 400 - (plate 150 + washer 39.4 + washer 39.4 + needle bearing 78.7) = 92.5"
    )
    assert "Measure every washer" in (found.caution or "")
    assert found.verdict is None


def test_a_play_in_the_target_needs_nothing() -> None:
    found = work(153.0, tolerance=(0.3,), **TARGET)
    assert found.verdict == CONFORMS
    assert found.says == ("The parts make 3.0 thou of end play; it lies in the target of 2 to 4.")
    assert "without a shim" in work(153.0, shims=(1.0,), **TARGET).says


def test_parts_measured_too_roughly_leave_it_open() -> None:
    found = work(154.0, **TARGET)
    assert found.verdict == UNDECIDED
    assert "judge those readings" in (found.settles or "")


def test_a_measured_play_that_agrees_is_corrected_from() -> None:
    found = work(measured=(10.0,), shims=(2.0, 5.0), **TARGET)
    assert "and 10.0 measured agree; shims of 5 + 2" in found.says
    assert figures(found)["measured less the parts"] == -1
    assert len(found.steps) == 4


def test_less_play_than_the_parts_make_means_something_touches() -> None:
    found = work(measured=(5.0,), shims=(2.0, 5.0), **TARGET)
    assert found.verdict == TOUCHES
    assert "a bolt head is the first to look at" in found.says
    assert "shims" not in figures(found)


def test_more_play_than_the_parts_make_means_a_part_is_not_what_it_seems() -> None:
    found = work(measured=(15.0,))
    assert found.verdict == LOOSE
    assert "not clamped" in found.says


def test_too_little_play_is_no_case_for_a_shim() -> None:
    found = work(151.0, shims=(1.0,), **TARGET)
    assert "no shim can help: a spacer 2.0 thicker" in found.says


def test_a_spacer_thinner_than_the_plate_leaves_no_play() -> None:
    found = work(149.0)
    assert found.says == "The spacer is 1.0 thou too thin to leave any play."
    assert "clamps the plate" in (found.caution or "")


def test_shims_that_do_not_fit_are_said_not_to() -> None:
    found = work(160.0, shims=(50.0,), **TARGET)
    assert "none of the shims at hand brings it there: a plate 7.0 thicker" in found.says
    assert "shims" not in figures(found)


def test_without_shims_the_plate_is_worked_out() -> None:
    assert "; a plate 8.0 thicker brings it to the middle" in work(**TARGET).says


@pytest.mark.parametrize(
    ("values", "wrong"),
    [
        ({"shims": (1.0,)}, "shims are given without a target"),
        ({"target_low": (2.0,)}, "the target has one end only"),
        ({"target_high": (2.0,)}, "the target has one end only"),
        ({"target_low": (4.0,), "target_high": (2.0,)}, "upside down"),
        ({"plate": ()}, "plate is missing"),
        ({"spacer": (-1.0,)}, "spacer is -1; it must be"),
        ({"plate": (0.0,)}, "plate can't be 0"),
        ({"washers": (math.nan,)}, "washers is nan; it must be"),
        ({"shims": (0.0,), "target_low": (2.0,), "target_high": (4.0,)}, "sizes above 0"),
    ],
)
def test_bad_input_is_named(values: dict[str, tuple[float, ...]], wrong: str) -> None:
    given_values = {"spacer": (161.0,), "plate": (150.0,), **values}
    with pytest.raises(Refused, match=wrong):
        CALCULATIONS[0].work({name.replace("_", "-"): v for name, v in given_values.items()})

"""End play as a sum, against worked figures printed elsewhere; the source stands beside each."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.measuring.endplay import end_play_correction

SIZES = st.floats(0.01, 1.0)


def test_packing_on_the_opening_side_as_printed() -> None:
    """Workshop manual quoted at britishcarforum.com (thread 17373, a pedestal and its packing):
    0.062 - 0.060 = 0.002 wants 0.003 in of packing for a play of 0.005. The part on the opening
    side grows by what the play must grow."""
    found = end_play_correction(0.002, (0.005, 0.005), plate=0.060, spacer=0.062)
    assert found.spacer == pytest.approx(0.062 + 0.003)


def test_a_shim_window_as_printed() -> None:
    """Gearbox manual p. 90 (easymanua.ls, fso-2105): measured 0.47 mm, wanted 0.06 to 0.11 mm:
    shims of 0.36 to 0.41 mm on the closing side; the middle of the window is aimed at."""
    found = end_play_correction(0.47, (0.06, 0.11), plate=0.0, spacer=None)
    assert found.plate == pytest.approx((0.36 + 0.41) / 2)


def test_a_single_thrust_shim_as_printed() -> None:
    """Shop manual, mainshaft thrust clearance: measured 1.23 mm, wanted 0.17 mm: 1.06 mm."""
    found = end_play_correction(1.23, (0.17, 0.17), plate=0.0, spacer=None)
    assert found.plate == pytest.approx(1.06)


def test_a_common_target_is_met_by_plate_or_by_spacer() -> None:
    """Common practice: 11 thou measured, 2 to 4 thou aimed at: take up 8 thou."""
    found = end_play_correction(11.0, (2.0, 4.0), plate=150.0, spacer=161.0)
    assert (found.target, found.change) == (3.0, -8.0)
    assert (found.plate, found.spacer, found.expected, found.gap) == (158.0, 153.0, 11.0, 0.0)


def test_parts_not_measured_are_not_made_up() -> None:
    found = end_play_correction(11.0, (2.0, 4.0), None, None)
    assert (found.plate, found.spacer, found.expected, found.gap) == (None,) * 4


@given(SIZES, SIZES, SIZES)
def test_the_new_part_gives_the_target_whatever_the_sizes(
    plate: float, play: float, target: float
) -> None:
    spacer = plate + play
    found = end_play_correction(play, (target, target), plate, spacer)
    assert found.plate is not None
    assert found.spacer is not None
    assert spacer - found.plate == pytest.approx(target, abs=1e-9)
    assert found.spacer - plate == pytest.approx(target, abs=1e-9)


@pytest.mark.parametrize(("play", "target"), [(-1.0, (2.0, 4.0)), (5.0, (4.0, 2.0))])
def test_what_can_not_be_is_refused(play: float, target: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="can't correct"):
        end_play_correction(play, target, None, None)

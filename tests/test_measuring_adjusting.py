"""How far to turn what is set by hand, against values printed elsewhere, source beside each."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.measuring.adjusting import CALCULATIONS, lash_travel, on_rim
from diagnose.measuring.lifters import plunger_travel
from diagnose.measuring.worked import CONFORMS, Refused, Worked

RATIOS = st.floats(1.0, 2.0)


def work(name: str, **values: float | tuple[float, ...]) -> Worked:
    rows = {n.replace("_", "-"): v if isinstance(v, tuple) else (v,) for n, v in values.items()}
    return next(c for c in CALCULATIONS if c.name == name).work(rows)


def figure(worked: Worked, name: str) -> float:
    return next(f.value for f in worked.figures if f.name == name)


def test_the_angle_of_a_metric_screw_is_as_printed() -> None:
    """0.008 in on a pitch of 1 mm: 73.15 degrees; "Lifter pre-load measurements", https://ls1tech.com
    /forums/generation-iii-internal-engine/274125-lifter-pre-load-measurements.html"""
    found = work("adjuster", measured=0.0, target_low=8.0, target_high=8.0, what=1.0, place=2.0,
                 pitch=1.0)  # fmt: skip
    assert figure(found, "degrees") == pytest.approx(73.15, abs=0.005)


def test_the_angle_of_an_inch_screw_is_as_printed() -> None:
    """The same page: 0.008 in on a pitch of 0.055 in: 52.36 degrees."""
    found = work("adjuster", measured=0.0, target_low=8.0, target_high=8.0, what=1.0, place=2.0,
                 pitch=0.055 * 25.4)  # fmt: skip
    assert figure(found, "degrees") == pytest.approx(52.36, abs=0.005)


def test_lash_too_wide_is_turned_in_and_preload_too_large_out() -> None:
    lash = work("adjuster", measured=25.0, target_low=15.0, target_high=15.0, what=2.0, place=2.0,
                threads=24.0)  # fmt: skip
    preload = work("adjuster", measured=110.0, target_low=20.0, target_high=60.0, what=1.0,
                   threads=24.0)  # fmt: skip
    assert "Turn it in 0.16 of a turn" in lash.says
    assert "Turn it out 1.01 of a turn" in preload.says


def test_without_the_thread_the_travel_is_told() -> None:
    found = work("adjuster", measured=25.0, target_low=15.0, target_high=15.0, what=2.0, place=2.0)
    assert [f.name for f in found.figures] == ["travel of the adjuster"]
    assert "threads per inch" in found.says


def test_lash_that_is_right_is_left_alone() -> None:
    found = work("adjuster", measured=15.0, target_low=14.0, target_high=16.0, what=2.0)
    assert "leave it" in found.says


@given(st.floats(0.1, 100), RATIOS)
def test_lash_is_the_ratio_times_what_the_plunger_makes_of_it(travel: float, ratio: float) -> None:
    """The valve end moves by the ratio more than the pushrod end, whatever is turned."""
    assert lash_travel(travel, ratio, True) == pytest.approx(ratio * plunger_travel(travel, ratio))
    assert lash_travel(travel, ratio, False) == pytest.approx(ratio * plunger_travel(travel, None))


@given(st.floats(0, 200), st.floats(1, 200), RATIOS, st.sampled_from([1.0, 2.0]))
def test_the_turns_bring_the_lash_to_its_aim(
    read: float, aim: float, ratio: float, place: float
) -> None:
    found = work("adjuster", measured=read, target_low=aim, target_high=aim, what=2.0, place=place,
                 ratio=ratio, threads=24.0)  # fmt: skip
    moved = lash_travel(figure(found, "turns") * 1000 / 24, ratio, place == 1.0)
    assert moved == pytest.approx(abs(aim - read), abs=1e-9)


def test_the_distributor_turns_half_of_the_crank() -> None:
    """2.7 cam degrees are 5.4 crank degrees: "Timing chain inspection",
    https://forum.viva-lancia.com/viewtopic.php?start=10&t=5957&view=print"""
    found = work("angle-to-set", measured=0.0, target_low=5.4, target_high=5.4, more_is=2.0)
    assert figure(found, "change, cam or distributor degrees") == pytest.approx(2.7)


@pytest.mark.parametrize(("more_is", "way"), [(1.0, "later"), (2.0, "earlier")])
def test_more_degrees_are_later_or_earlier_as_told(more_is: float, way: str) -> None:
    found = work("angle-to-set", measured=-5.0, target_low=-2.0, target_high=2.0, more_is=more_is)
    assert f"5.0 crank degrees {way}" in found.says


def test_the_nearest_offset_is_chosen_and_judged() -> None:
    found = work("angle-to-set", measured=5.0, target_low=-2.5, target_high=2.5, more_is=1.0,
                 offsets=(2.0, 4.0, 8.0))  # fmt: skip
    assert (figure(found, "offset to fit"), figure(found, "reading then")) == (4.0, 1.0)
    assert found.verdict == CONFORMS


def test_no_offset_is_fitted_where_doing_without_is_nearer() -> None:
    found = work("angle-to-set", measured=3.0, target_low=0.0, target_high=0.0, more_is=1.0,
                 offsets=(8.0,))  # fmt: skip
    assert "offset to fit" not in [f.name for f in found.figures]


def test_a_whole_turn_is_once_round_the_rim() -> None:
    assert on_rim(7.0, 360.0) == pytest.approx(math.pi * 7)


@pytest.mark.parametrize(
    ("name", "values", "word"),
    [
        ("adjuster", {"what": 3.0, "target_low": 1.0}, "what is 3"),
        ("adjuster", {"what": 1.0, "target_low": 1.0, "place": 3.0}, "place is 3"),
        ("adjuster", {"what": 1.0}, "both missing"),
        ("adjuster", {"what": 1.0, "target_low": 1.0, "threads": 24.0, "pitch": 1.0}, "threads"),
        ("angle-to-set", {"more_is": 3.0, "target_low": 1.0}, "more-is is 3"),
        ("angle-to-set", {"more_is": 1.0, "target_low": 2.0, "target_high": 1.0}, "upside down"),
        ("angle-to-set", {"more_is": 1.0, "target_low": 2.0, "rim": 0.0}, "rim is 0"),
    ],
)
def test_what_can_not_be_set_is_refused(name: str, values: dict[str, float], word: str) -> None:
    with pytest.raises(Refused, match=word):
        work(name, measured=11.0, **values)

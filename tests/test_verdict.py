"""What a reading proves, against worked examples from elsewhere; the source stands beside each."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.measuring.verdict import GUARD, Verdict, gauge_doubt, judge

VALUES = st.floats(-1e3, 1e3)
DOUBTS = st.floats(1e-3, 100)


def test_a_two_sided_band_as_in_the_published_example() -> None:
    """JCGM 106 section 7.4: y 13.6, u 1.8, limits 12.5 to 16.3; inputs as quoted at
    http://metrologyrules.com/2022/03/ ; its 0.66 from memory."""
    assert judge(13.6, 1.8, 12.5, 16.3).ok == pytest.approx(0.66, abs=0.005)


def test_a_one_sided_band_as_in_the_published_example() -> None:
    """JCGM 106 section 7.3.3: y -5.47, u 0.05, upper limit -5.40: 0.92. From memory."""
    assert judge(-5.47, 0.05, None, -5.40).ok == pytest.approx(0.92, abs=0.005)


@pytest.mark.parametrize(
    ("z", "share"),
    [(0.0, 0.5), (1.0, 0.8413), (1.96, 0.9750), (2.0, 0.9772), (2.5758, 0.9950), (3.0, 0.9987)],
)  # any printed table of the standard normal distribution
def test_the_share_below_a_limit_is_in_the_normal_table(z: float, share: float) -> None:
    assert judge(0.0, 1.0, None, z).ok == pytest.approx(share, abs=5e-5)
    assert judge(0.0, 1.0, -z, None).ok == pytest.approx(share, abs=5e-5)


def test_the_guard_band_leaves_the_middle_alone_provable() -> None:
    """A dial of 0.001 in read three times: U about 0.0016 in, so of a band of 0.001 to 0.006 in
    only 0.0026 to 0.0044 in can be called right (worked with the rule of ISO 14253-1)."""
    u = 0.0016 / GUARD
    sure = {v: judge(v / 1e4, u, 0.001, 0.006).sure for v in (25, 27, 43, 45)}
    assert sure == {25: False, 27: True, 43: True, 45: False}


def test_the_proof_rule_as_printed() -> None:
    """ISO 14253-1 as web pages tell it (the standard itself was not at hand): limit 20.05 and
    U 0.015: 20.035 conforms, 20.070 does not, 20.040 proves neither."""
    u = 0.015 / GUARD
    found = {v: judge(v, u, None, 20.05) for v in (20.034, 20.040, 20.070)}
    assert [found[v].sure for v in found] == [True, False, True]
    assert [found[v].state for v in found] == ["ok", "ok", "high"]


@given(VALUES, DOUBTS, VALUES, VALUES)
def test_the_three_chances_make_one(value: float, u: float, one: float, two: float) -> None:
    found = judge(value, u, min(one, two), max(one, two))
    assert found.low + found.ok + found.high == pytest.approx(1.0, abs=1e-9)
    assert getattr(found, found.state) == max(found.low, found.ok, found.high)


@given(VALUES, DOUBTS, VALUES)
def test_a_larger_reading_is_never_less_likely_too_large(
    value: float, u: float, high: float
) -> None:
    assert judge(value + 1, u, None, high).high >= judge(value, u, None, high).high


@given(VALUES, DOUBTS)
def test_without_any_limit_everything_is_right(value: float, u: float) -> None:
    assert judge(value, u, None, None) == Verdict(0.0, 1.0, 0.0, "ok", True)


@given(VALUES, DOUBTS, st.floats(0.1, 100), st.floats(0.01, 100))
def test_the_unit_does_not_matter(value: float, u: float, width: float, factor: float) -> None:
    one = judge(value, u, 0.0, width)
    two = judge(value * factor, u * factor, 0.0, width * factor)
    assert one.ok == pytest.approx(two.ok, abs=1e-9)


def test_a_negative_uncertainty_is_refused() -> None:
    with pytest.raises(ValueError, match="u=-1"):
        judge(1.0, -1, None, 7.0)


def test_the_doubt_of_a_gauge_is_its_division_at_both_ends_and_its_error() -> None:
    """JCGM 100:2008, F.2.2.1 (division / root 12, two ends) and 4.3.7 (error / root 3)."""
    assert gauge_doubt(1.0) == pytest.approx(math.sqrt(2 / 12 + 1 / 3))

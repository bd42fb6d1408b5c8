"""Verdicts and sums against values from outside the project; the source stands beside each."""

import pytest

from diagnose.measuring.endplay import end_play_correction
from diagnose.measuring.verdict import judge


@pytest.mark.parametrize(
    ("z", "chance"),
    [(0.842, 0.80), (1.282, 0.90), (1.645, 0.95), (2.326, 0.99)],
)  # quantiles of the standard normal distribution, any table
def test_the_chance_to_lie_under_a_limit_is_the_normal_distribution(
    z: float, chance: float
) -> None:
    assert judge(10 - z, 1.0, None, 10.0).ok == pytest.approx(chance, abs=5e-4)


def test_conformance_probability_of_a_one_sided_limit() -> None:
    """JCGM 106:2012, section 7: pc = Phi((TU - y) / u). Phi(1.5) is 0.9332 in any normal table."""
    assert judge(2.7, 0.2, None, 3.0).ok == pytest.approx(0.933, abs=5e-4)


def test_a_two_sided_band_takes_both_tails() -> None:
    """Within one standard uncertainty either side: 68.27 % of a normal distribution."""
    assert judge(5.0, 1.0, 4.0, 6.0).ok == pytest.approx(0.6827, abs=1e-4)


def test_a_reading_near_the_edge_is_not_sure() -> None:
    assert [judge(v, 0.5, 1.0, 7.0).sure for v in (5.0, 6.5, 7.0, 7.5, 9.0)] == [
        True, False, False, False, True,
    ]  # fmt: skip


def test_without_uncertainty_the_band_alone_decides() -> None:
    assert [judge(v, 0.0, 1.0, 7.0).state for v in (0.5, 1.0, 7.0, 7.1)] == [
        "low", "ok", "ok", "high",
    ]  # fmt: skip


def test_a_band_upside_down_is_refused() -> None:
    with pytest.raises(ValueError, match="band"):
        judge(1.0, 0.1, 7.0, 1.0)


def test_end_play_is_spacer_minus_plate() -> None:
    """Builder's figures of a plate-and-spacer V8: 0.005 in wanted; see s-shelf mark n05."""
    found = end_play_correction(0.011, (0.002, 0.004), plate=0.250, spacer=0.261)
    assert found.expected == pytest.approx(0.011)
    assert found.gap == pytest.approx(0.0)
    assert (found.change, found.plate) == (pytest.approx(-0.008), pytest.approx(0.258))


def test_a_thinner_spacer_does_what_a_thicker_plate_does() -> None:
    found = end_play_correction(11.0, (2.0, 4.0), plate=250.0, spacer=261.0)
    assert found.spacer is not None
    assert found.spacer - 250.0 == pytest.approx(3.0)
    assert found.plate is not None
    assert 261.0 - found.plate == pytest.approx(3.0)


def test_play_beyond_what_the_parts_explain_is_shown() -> None:
    found = end_play_correction(0.011, (0.002, 0.004), plate=0.2500, spacer=0.2545)
    assert found.gap == pytest.approx(0.0065)


def test_a_negative_play_is_refused() -> None:
    with pytest.raises(ValueError, match="play"):
        end_play_correction(-1.0, (2.0, 4.0), None, None)

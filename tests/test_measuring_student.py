"""Student's t against printed tables and scipy; the source stands beside each."""

import math

import pytest
from hypothesis import given as drawn
from hypothesis import strategies as st
from scipy import special

from diagnose.measuring.student import normal_cdf, student_cdf, student_quantile

FREEDOM = st.floats(1, 1e7)


@pytest.mark.parametrize(
    ("dof", "row"),
    [
        (1, (3.078, 6.314, 12.706, 31.821, 63.657)),
        (2, (1.886, 2.920, 4.303, 6.965, 9.925)),
        (3, (1.638, 2.353, 3.182, 4.541, 5.841)),
        (4, (1.533, 2.132, 2.776, 3.747, 4.604)),
        (9, (1.383, 1.833, 2.262, 2.821, 3.250)),
        (16, (1.337, 1.746, 2.120, 2.583, 2.921)),
        (29, (1.311, 1.699, 2.045, 2.462, 2.756)),
        (math.inf, (1.282, 1.645, 1.960, 2.326, 2.576)),
    ],
)
def test_the_factor_is_in_the_printed_table(dof: float, row: tuple[float, ...]) -> None:
    """ "Critical values for the t-distribution", columns 0.1, 0.05, 0.025, 0.01, 0.005,
    https://bookdown.org/pingapang9/linear_models_bookdown/appt.html ; last row: "Student's t
    distribution with n degrees of freedom", https://issuhub.com/view/index?id=4076&pageIndex=387"""
    found = [student_quantile(1 - tail, dof) for tail in (0.1, 0.05, 0.025, 0.01, 0.005)]
    assert found == pytest.approx(row, abs=5.01e-4)


@pytest.mark.parametrize("dof", [1, 1.3, 2, 2.9, 5, 16.7, 53.7, 333.3, 9999, 99_999, 100_001, 1e9])
def test_students_distribution_is_the_librarys(dof: float) -> None:
    """Against scipy, within a billionth, over the whole range a bench sum asks for."""
    ts = [s * t for t in (0, 1e-9, 1e-3, 0.1, 0.7, 1.5, 1.8, 2.5, 5, 12, 100, 1e4) for s in (1, -1)]
    assert [student_cdf(t, dof) for t in ts] == pytest.approx(
        [special.stdtr(dof, t) for t in ts], abs=1e-9
    )
    shares = [1e-6, 0.001, 0.025, 0.1, 0.49, 0.51, 0.9, 0.975, 0.999, 1 - 1e-6]
    assert [student_quantile(p, dof) for p in shares] == pytest.approx(
        [special.stdtrit(dof, p) for p in shares], rel=1e-9, abs=1e-9
    )


def test_the_normal_distribution_is_the_librarys() -> None:
    zs = [z / 10 for z in range(-80, 81)]
    assert [normal_cdf(z) for z in zs] == pytest.approx([special.ndtr(z) for z in zs], abs=1e-12)
    assert student_cdf(1.3, math.inf) == pytest.approx(normal_cdf(1.3), abs=1e-15)


@pytest.mark.parametrize("dof", [1, 3, 1e4, 1e6, math.inf])
def test_far_out_nothing_is_left(dof: float) -> None:
    assert student_cdf(-1e200, dof) == pytest.approx(0, abs=1e-12)
    assert student_cdf(1e200, dof) == pytest.approx(1, abs=1e-12)


@drawn(st.floats(1e-9, 1 - 1e-9), FREEDOM)
def test_the_quantile_undoes_the_share(share: float, dof: float) -> None:
    assert student_cdf(student_quantile(share, dof), dof) == pytest.approx(share, abs=1e-12)


@drawn(st.floats(-50, 50), st.floats(0.001, 10), FREEDOM)
def test_more_is_below_a_larger_value(t: float, step: float, dof: float) -> None:
    assert student_cdf(t + step, dof) >= student_cdf(t, dof)


@pytest.mark.parametrize(("share", "dof"), [(0.0, 3), (1.0, 3), (0.5, 0.5), (0.5, math.nan)])
def test_a_quantile_that_is_not_there_is_a_mistake(share: float, dof: float) -> None:
    with pytest.raises(ValueError, match="share|freedom"):
        student_quantile(share, dof)


def test_half_lies_below_zero() -> None:
    assert student_quantile(0.5, 3) == 0

"""Student's t distribution and the normal one it comes to, without a library; prints nothing.

scipy would take a third of a second to load for these two; the tests hold them to it.
"""

from __future__ import annotations

import math

_MANY = 1e5  # from here on the series in 1/dof is right to 1e-13
_FINEST = 1e-12  # the smallest share a quantile is worked out for
_FARTHEST = 40.0  # beyond this the normal distribution has nothing left


def normal_cdf(z: float) -> float:
    """Return the share of the standard normal distribution below z."""
    return 0.5 * math.erfc(-z / math.sqrt(2))


def student_cdf(t: float, dof: float) -> float:
    """Return the share of Student's distribution below t; the normal one for infinite dof."""
    _check_dof(dof)
    tail = _tail(abs(t), dof)
    return tail if t < 0 else 1 - tail


def student_quantile(share: float, dof: float) -> float:
    """Return the t below which `share` of Student's distribution lies.

    >>> round(student_quantile(0.975, 2), 3), round(student_quantile(0.975, math.inf), 3)
    (4.303, 1.96)
    """
    _check_dof(dof)
    if not _FINEST <= share <= 1 - _FINEST:
        raise ValueError(f"a share must lie between 0 and 1, not {share!r}")
    if share == 0.5:
        return 0.0
    t = _outside(min(share, 1 - share), dof)
    return t if share > 0.5 else -t


def _check_dof(dof: float) -> None:
    if not dof >= 1:
        raise ValueError(f"degrees of freedom must be 1 or more, not {dof!r}")


def _outside(tail: float, dof: float) -> float:
    """The positive t with `tail` above it: Newton's steps on the logarithm, kept in a bracket."""
    t, low, high = 1.0, 0.0, 1.0
    while _tail(high, dof) > tail:
        low, high = high, 2 * high
    for _ in range(200):  # pragma: no branch (stops on its own)
        here = _tail(t, dof)
        low, high = (t, high) if here > tail else (low, t)
        step = here * math.log(here / tail) / _density(t, dof)
        better = t + step if low < t + step < high else (low + high) / 2
        if abs(better - t) <= 1e-14 * better:
            break
        t = better
    return t


def _tail(t: float, dof: float) -> float:
    """Share above t >= 0: half the incomplete beta function, or the series for many dof."""
    if dof > _MANY:
        if t > _FARTHEST:
            return 0.0
        first = (t**3 + t) / (4 * dof)
        second = (3 * t**7 - 7 * t**5 - 5 * t**3 - 3 * t) / (96 * dof * dof)
        return normal_cdf(-t) + math.exp(-t * t / 2) / math.sqrt(2 * math.pi) * (first + second)
    a, square = dof / 2, min(t * t / dof, 1e300)
    if square == 0:
        return 0.5
    x, y = 1 / (1 + square), square / (1 + square)
    front = math.exp(
        math.lgamma(a + 0.5)
        - math.lgamma(a)
        - math.lgamma(0.5)
        - a * math.log1p(square)
        + 0.5 * math.log(y)
    )
    if x < (a + 1) / (a + 2.5):
        return 0.5 * front * _fraction(x, a, 0.5) / a
    return 0.5 - front * _fraction(y, 0.5, a)


def _fraction(x: float, a: float, b: float) -> float:
    """The continued fraction of the incomplete beta function (NIST handbook of functions, 8.17.22:
    https://dlmf.nist.gov/8.17#v), from the front."""
    c, d = 1.0, 1 / (1 - (a + b) * x / (a + 1))
    value, change, m = d, math.inf, 0
    while abs(change - 1) > 1e-15:
        m += 1
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        d, c = 1 / (1 + even * d), 1 + even / c
        value *= c * d
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        d, c = 1 / (1 + odd * d), 1 + odd / c
        change = c * d
        value *= change
    return value


def _density(t: float, dof: float) -> float:
    if dof > _MANY:
        return math.exp(-t * t / 2) / math.sqrt(2 * math.pi)
    front = math.lgamma((dof + 1) / 2) - math.lgamma(dof / 2) - math.log(dof * math.pi) / 2
    return math.exp(front - (dof + 1) / 2 * math.log1p(t * t / dof))

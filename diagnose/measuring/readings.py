"""Several readings of one size: mean, spread, and how far the true value may lie from the mean.

Type A is what the readings scatter by, Type B what the gauge leaves open (division, maximum error,
tilt). All lengths of one call are in one unit, angles in degrees. Knows no case, prints nothing.

    3, 4 and 4 thou on a dial of 1 thou: 3.7 thou, give or take 1.6 thou.

The sums are those of the guide to the expression of uncertainty in measurement (JCGM 100:2008,
clauses 4.2, 4.3, 5.1 and annex G.4), "4 Evaluating standard uncertainty",
http://www.iso.org/sites/JCGM/GUM/JCGM100/C045315e-html/C045315e_FILES/MAIN_C045315e/04_e.html
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from statistics import NormalDist
from typing import NamedTuple

from diagnose.measuring.worked import Calculation, Figure, Input, Refused, Values, Worked

GUM = (
    "Evaluation of measurement data - Guide to the expression of uncertainty in measurement, "
    "http://www.iso.org/sites/JCGM/GUM/JCGM100/C045315e-html/C045315e_FILES/MAIN_C045315e/04_e.html"
)
ONE_DIVISION = (
    "About standards and specifications, http://www.longislandindicator.com/p2.html "
    "(a dial is right to one division over its first two and a third turns)"
)
SURE = 0.95
_MANY = 1e5  # from here on the series in 1/dof is right to 1e-13
_FINEST = 1e-12  # the smallest share a quantile is worked out for
_FARTHEST = 40.0  # beyond this the normal distribution has nothing left
_STEEPEST = 45.0  # degrees; a dial leaning more than this measures something else


class Part(NamedTuple):
    """One share of the doubt: its standard uncertainty and its degrees of freedom."""

    name: str
    u: float
    dof: float = math.inf


class Gauge(NamedTuple):
    """A dial: its division, its maximum error (plus or minus) and its largest believable tilt."""

    division: float
    error: float
    tilt: float = 0.0


class Measured(NamedTuple):
    """Readings worked up: the true value lies in mean +- expanded in 95 of 100 cases."""

    mean: float
    spread: float
    taken: int
    parts: tuple[Part, ...]
    u: float
    dof: float
    factor: float
    expanded: float


def measure(readings: Sequence[float], gauge: Gauge) -> Measured:
    """Work up two or more readings of one size taken with one gauge.

    Refused for fewer than two readings, one that is no number, or a gauge that can't be.
    """
    mean, spread = mean_and_spread(readings)
    return budget(mean, spread, len(readings), gauge)


def mean_and_spread(readings: Sequence[float]) -> tuple[float, float]:
    """Return the mean and the standard deviation of one reading (n - 1); JCGM 100, 4.2.1, 4.2.2.

    >>> mean_and_spread([3, 5, 4])
    (4.0, 1.0)
    """
    wrong = [reading for reading in readings if not math.isfinite(reading)]
    if wrong:
        raise Refused(f"the reading {wrong[0]!r} is no number; give each reading as a number")
    if len(readings) < 2:
        raise Refused(
            f"{len(readings)} reading shows no spread; take two or more, better five, "
            "moving the part to its stops each time"
        )
    mean = math.fsum(readings) / len(readings)
    scatter = math.hypot(*(reading - mean for reading in readings))
    return mean, scatter / math.sqrt(len(readings) - 1)


def budget(mean: float, spread: float, count: int, gauge: Gauge) -> Measured:
    """Put the shares of the doubt together, for readings taken or only thought of."""
    known = 0 < gauge.division < math.inf and 0 <= gauge.error < math.inf
    if not known or not 0 <= gauge.tilt < _STEEPEST:
        raise Refused(
            f"a gauge with division {gauge.division:g}, maximum error {gauge.error:g} and tilt "
            f"{gauge.tilt:g} can't be; the division must be above 0, the error 0 or more and the "
            f"tilt from 0 to below {_STEEPEST:g} degrees"
        )
    parts = (
        Part("scatter", spread / math.sqrt(count), count - 1),
        Part("division", division_doubt(gauge.division)),
        Part("maximum error", error_doubt(gauge.error)),
        Part("tilt", tilt_doubt(abs(mean), 0.0, gauge.tilt)),
    )
    u, dof = combine(parts)
    factor = coverage_factor(dof)
    return Measured(mean, spread, count, parts, u, dof, factor, factor * u)


def division_doubt(division: float) -> float:
    """Standard uncertainty of a travel read at both ends on a dial of this division.

    Each end is rounded (division / sqrt 12, JCGM 100, F.2.2.1); zero and far stop are two ends. It
    is not made smaller by many readings: equal readings may all be rounded the same way.
    """
    return division / math.sqrt(12) * math.sqrt(2)


def error_doubt(error: float) -> float:
    """Standard uncertainty of a maximum error +- `error`, any value alike; JCGM 100, 4.3.7."""
    return error / math.sqrt(3)


def true_travel(reading: float, tilt: float) -> float:
    """Return the travel along a face's normal from a reading taken `tilt` degrees off it.

    A plunger or lever on a flat face reads too much. Source: "Cosine Error in Indicator Readings",
    http://cncexpo.com/IndCosine.aspx

    >>> round(true_travel(0.004, 60), 6)
    0.002
    """
    return reading * math.cos(math.radians(tilt))


def tilt_doubt(reading: float, tilt: float, doubt: float) -> float:
    """Standard uncertainty of a travel whose tilt is `tilt`, known to +- `doubt` degrees.

    For a known tilt this is reading x sin(tilt) x doubt; at no tilt, where that vanishes, it is the
    whole over-reading, reading x doubt^2 / 2 (angles in radians there, in degrees here).
    """
    return abs(true_travel(reading, tilt) - true_travel(reading, tilt + doubt))


def combine(parts: Iterable[Part]) -> tuple[float, float]:
    """Return the combined standard uncertainty and its effective degrees of freedom.

    Root of the sum of squares (JCGM 100, 5.1.2) and Welch-Satterthwaite (G.4.1), not rounded down.
    """
    shares = [part for part in parts if part.u > 0]
    u = math.hypot(*(part.u for part in shares))
    if not shares:
        return 0.0, math.inf
    weights = [(part.u / u) * (part.u / u) for part in shares]  # a power would fail on tiny ones
    loose = math.fsum(w * w / part.dof for w, part in zip(weights, shares, strict=True))
    return u, 1 / loose if loose > 0 else math.inf


def coverage_factor(dof: float, sure: float = SURE) -> float:
    """Return how many standard uncertainties either side hold the value in `sure` of all cases."""
    return student_quantile((1 + sure) / 2, dof)


def spread_doubt(count: int) -> float:
    """Share by which a spread of `count` readings is itself uncertain; JCGM 100, annex G."""
    return 1 / math.sqrt(2 * (count - 1))


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
    t = max(-NormalDist().inv_cdf(tail), 0.0)
    low, high = 0.0, max(t, 1.0)
    while _tail(high, dof) > tail:
        low, high = high, 2 * high
    for _ in range(200):  # pragma: no branch (stops on its own within about ten)
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


def given(
    inputs: tuple[Input, ...], values: Values, name: str, least: float = 0.0
) -> tuple[float, ...]:
    """Return the values of one input, its usual one where none is given, () where it may lack.

    Refused when it is missing, no number, below `least`, or several where one is asked for.
    """
    asked = next(each for each in inputs if each.name == name)
    found = tuple(values.get(name, ()))
    if not found and asked.usual is not None:
        return (asked.usual,)
    if not found and not asked.optional:
        raise Refused(f"{name} is missing; {asked.asks}")
    for value in found:
        if not math.isfinite(value) or value < least:
            raise Refused(f"{name} can't be {value:g}; it must be a number of {least:g} or more")
    if len(found) > 1 and not asked.many:
        raise Refused(f"{name} is given {len(found)} times; give one value")
    return found


def one(inputs: tuple[Input, ...], values: Values, name: str) -> float:
    """Return the single value of an input that must be there or has a usual value."""
    return given(inputs, values, name)[0]


def perhaps(inputs: tuple[Input, ...], values: Values, name: str) -> float | None:
    """Return the single value of an input, None where it is not given."""
    return next(iter(given(inputs, values, name)), None)


GAUGE_INPUTS = (
    Input(
        "division",
        "what is one division of the dial?",
        "length",
        "thou",
        usual=1.0,
        source="common-practice",
    ),
    Input(
        "maximum-error",
        "how far can the dial be wrong, either way? (one division, if unknown)",
        "length",
        "thou",
        source=ONE_DIVISION,
        optional=True,
    ),
    Input(
        "tilt",
        "how far may the plunger lean from the way the part moves?",
        "angle",
        "deg",
        usual=5.0,
        source="common-practice",
    ),
)
INPUTS = (
    Input("readings", "what did each reading show? (two or more)", "length", "thou", many=True),
    *GAUGE_INPUTS,
)


def gauge_of(inputs: tuple[Input, ...], values: Values) -> Gauge:
    """Return the gauge the values describe; its error is one division where none is given."""
    division = one(inputs, values, "division")
    error = perhaps(inputs, values, "maximum-error")
    return Gauge(division, division if error is None else error, one(inputs, values, "tilt"))


def budget_steps(found: Measured, gauge: Gauge) -> tuple[str, ...]:
    """Return how the doubt was put together, one line a share, all in thou."""
    scatter, division, error, tilt = (part.u for part in found.parts)
    freedom = f"{found.dof:.3g}" if math.isfinite(found.dof) else "unlimited"
    return (
        f"mean of {found.taken} = {found.mean:.4g}, spread {found.spread:.3g}",
        f"scatter: {found.spread:.3g} / sqrt {found.taken} = {scatter:.3g}",
        f"division: {gauge.division:g} / sqrt 12 x sqrt 2 = {division:.3g}",
        f"maximum error: {gauge.error:g} / sqrt 3 = {error:.3g}",
        f"tilt: {found.mean:.4g} x (1 - cos {gauge.tilt:g} deg) = {tilt:.3g}",
        f"together: root of the sum of squares = {found.u:.3g}, degrees of freedom {freedom}",
        f"give or take: {found.factor:.3g} x {found.u:.3g} = {found.expanded:.3g}",
    )


def scatter_caution(found: Measured, gauge: Gauge) -> str | None:
    """Say so when the readings scatter more than this gauge can.

    From about there on three readings hold the true value in less than 94 of 100 cases (simulated).
    """
    if found.spread <= 1.5 * gauge.division:
        return None
    return (
        f"The readings scatter by {found.spread:.3g} thou, more than a dial of "
        f"{gauge.division:g} thou does by itself: something moves; look at the stand and the stops "
        "and take five readings or more, since few make the give-or-take look too small."
    )


def _work(values: Values) -> Worked:
    gauge = gauge_of(INPUTS, values)
    found = measure(given(INPUTS, values, "readings", -math.inf), gauge)
    return Worked(
        title="What several readings of one size say",
        formula="true size = mean +- t x root of (scatter^2 + division^2 + error^2 + tilt^2)",
        steps=budget_steps(found, gauge),
        figures=(
            Figure("mean", found.mean, "thou", found.expanded),
            Figure("spread", found.spread, "thou"),
            Figure("standard uncertainty", found.u, "thou"),
        ),
        verdict=None,
        says=f"The size is {found.mean:.3g} thou, give or take {found.expanded:.2g}, "
        f"as far as {found.taken} readings with this dial can tell.",
        source=GUM,
        caution=scatter_caution(found, gauge),
    )


CALCULATIONS = (Calculation("readings", "What several readings of one size say", INPUTS, _work),)

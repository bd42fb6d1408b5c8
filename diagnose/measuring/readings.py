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

from diagnose.measuring.asking import Given
from diagnose.measuring.student import student_quantile
from diagnose.measuring.verdict import division_doubt as division_doubt
from diagnose.measuring.verdict import error_doubt as error_doubt
from diagnose.measuring.worked import Calculation, Figure, Input, Refused, Values, Worked
from diagnose.named import Named

GUM = (
    "Evaluation of measurement data - Guide to the expression of uncertainty in measurement, "
    "http://www.iso.org/sites/JCGM/GUM/JCGM100/C045315e-html/C045315e_FILES/MAIN_C045315e/04_e.html"
)
THREE_READINGS = f"three readings with a dial of 0.001 in, worked as in {GUM}"
ONE_DIVISION = (
    "About standards and specifications, http://www.longislandindicator.com/p2.html "
    "(a dial is right to one division over its first two and a third turns)"
)
SURE = 0.95
_STEEPEST = 45.0  # degrees; a dial leaning more than this measures something else


class Part(Named):
    """One share of the doubt: its standard uncertainty and its degrees of freedom."""

    name: str
    u: float
    dof: float = math.inf


class Gauge(Named):
    """A dial: its division, its maximum error (plus or minus) and its largest believable tilt."""

    division: float
    error: float
    tilt: float = 0.0


class Measured(Named):
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


def gauge_of(given: Given) -> Gauge:
    """Return the gauge the values describe; its error is one division where none is given."""
    division, error = given.one("division"), given.perhaps("maximum-error")
    return Gauge(division, division if error is None else error, given.one("tilt"))


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
    given = Given(INPUTS, values)
    gauge = gauge_of(given)
    found = measure(given.row("readings", -math.inf), gauge)
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

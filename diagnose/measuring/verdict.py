"""What one reading proves against a band, given the gauge that took it; knows no case.

The stated word comes from the proof rule of `asking.prove`: the whole give-or-take is the guard
band, here that of one reading with a normal distribution, 1.96 standard uncertainties. The
probabilities from the normal distribution: P(true value below y) = Phi((y - reading) / u), as in
JCGM 106:2012, section 7.
"""

from __future__ import annotations

import math

from diagnose.named import Named

GUARD = 1.959964  # standard uncertainties that hold 95 % of a normal distribution


class Verdict(Named):
    """Chances that the true value lies below, in and above the band; `sure` by guard band."""

    low: float
    ok: float
    high: float
    state: str
    sure: bool


def judge(value: float, u: float, low: float | None, high: float | None) -> Verdict:
    """Judge `value` with standard uncertainty `u` against a band; all in one unit.

    A side that is None is open. Raises ValueError for a negative `u` or a band upside down.
    """
    if u < 0 or (low is not None and high is not None and low > high):
        raise ValueError(f"can't judge with u={u!r} and the band {low!r} to {high!r}")
    below = 0.0 if low is None else _phi((low - value) / u) if u else float(value < low)
    above = 0.0 if high is None else _phi((value - high) / u) if u else float(value > high)
    inside = max(1 - below - above, 0.0)
    chances = {"low": below, "ok": inside, "high": above}
    state = max(chances, key=lambda s: chances[s])
    near = [abs(value - edge) for edge in (low, high) if edge is not None]
    return Verdict(below, inside, above, state, all(d >= GUARD * u for d in near))


def division_doubt(division: float) -> float:
    """Standard uncertainty of a travel read at both ends on a dial of this division.

    Each end is rounded (division / sqrt 12, JCGM 100, F.2.2.1); zero and far stop are two ends. It
    is not made smaller by many readings: equal readings may all be rounded the same way.
    """
    return division / math.sqrt(12) * math.sqrt(2)


def error_doubt(error: float) -> float:
    """Standard uncertainty of a maximum error +- `error`, any value alike; JCGM 100, 4.3.7."""
    return error / math.sqrt(3)


def gauge_doubt(division: float) -> float:
    """Standard uncertainty of one travel on a gauge right to, and read to, one division."""
    return math.hypot(division_doubt(division), error_doubt(division))


def _phi(z: float) -> float:
    return 0.5 * math.erfc(-z / math.sqrt(2))

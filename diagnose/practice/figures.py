"""The figures behind the states: what a part truly measures, and what a gauge makes of it."""

from __future__ import annotations

from collections.abc import Mapping
from random import Random

from diagnose.cases.assess import Workbench
from diagnose.cases.state import limit_of
from diagnose.knowledge.model import Finding
from diagnose.measuring.units import convert
from diagnose.named import Named
from diagnose.practice.scenario import step_of

_CLEAR = 4.0  # a wrong figure lies this many standard uncertainties outside its band, at least
_LEAST, _MOST = 0.15, 0.7  # and this share of the band beyond it
_WIDE_OPEN = 0.6  # a band with one end reaches this share of that end to the other side


class Band(Named):
    """The ends of a band and of what is possible, in the unit of the finding."""

    low: float
    high: float
    least: float
    most: float


def true_values(bench: Workbench, truth: Mapping[str, str], seed: str) -> dict[str, float]:
    """A true figure for every reading, on the side of its band that its state says."""
    out = {}
    for finding in bench.knowledge.findings.values():
        if finding.is_reading and finding.id in truth:
            chance = Random(f"{seed}/{finding.id}/value")
            out[finding.id] = _value(finding, _band(bench, finding), truth[finding.id], chance)
    for parts in bench.knowledge.words.sums.values():
        if any(parts[p] not in out for p in ("reading", "plate", "spacer")):
            continue
        out.update(_summed(bench, parts, truth, out))
    return out


def read_gauge(finding: Finding, true: float, spread: float, chance: Random) -> float:
    """One reading of a true figure: the gauge errs, and shows whole divisions."""
    if finding.gauge is None or finding.unit is None:
        return true
    u = convert(finding.gauge.u, finding.gauge.unit, finding.unit)
    step = step_of(u)
    seen = round((true + chance.gauss(0.0, u) * spread) / step) * step
    least, most = _possible(finding)
    return round(min(max(seen, least), most), 6)


def _band(bench: Workbench, finding: Finding) -> Band:
    limit = limit_of(finding, bench.sheet)
    unit = finding.unit or ""
    ends = [
        None if limit is None or end is None else convert(end, limit.unit, unit)
        for end in (getattr(limit, "low", None), getattr(limit, "high", None))
    ]
    least, most = _possible(finding)
    low, high = ends
    if low is None and high is None:
        middle = max(least, 0.0) + (most - max(least, 0.0)) / 6
        low, high = middle * 0.995, middle * 1.005
    elif low is None:
        low = max(least, 0.0) if high is not None and high > 0 else least
    elif high is None:
        high = min(low * (1 + _WIDE_OPEN), most)
    return Band(float(low or 0.0), float(high or 0.0), least, most)


def _possible(finding: Finding) -> tuple[float, float]:
    band, unit = finding.possible, finding.unit or ""
    low, high = (None, None) if band is None else (band.low, band.high)
    least = 0.0 if low is None or band is None else convert(low, band.unit, unit)
    most = 1e6 if high is None or band is None else convert(high, band.unit, unit)
    return least, most


def _value(finding: Finding, band: Band, state: str, chance: Random) -> float:
    width = band.high - band.low
    gauge = finding.gauge
    u = convert(gauge.u, gauge.unit, finding.unit or "") if gauge is not None else 0.0
    away = max(_CLEAR * u, width * chance.uniform(_LEAST, _MOST))
    if state == "high":
        return min(band.high + away, band.most)
    if state == "low":
        return max(band.low - away, band.least)
    edge = min(2 * u, 0.45 * width)
    return chance.uniform(band.low + edge, band.high - edge)


def _summed(
    bench: Workbench,
    parts: Mapping[str, str],
    truth: Mapping[str, str],
    values: Mapping[str, float],
) -> dict[str, float]:
    """The parts of a sum: they make the play where one of them is wrong or the play is right.

    Where play is wrong and its parts are right, something else takes it up or gives it.
    """
    reading, plate, spacer = (parts[p] for p in ("reading", "plate", "spacer"))
    findings = bench.knowledge.findings
    unit = findings[plate].unit or ""
    right = _band(bench, findings[reading])
    play = values[reading]
    wrong_part = "ok" not in (truth[plate], truth[spacer]) or truth[plate] != truth[spacer]
    if truth[reading] != "ok" and not wrong_part:
        play = (right.low + right.high) / 2
    usual = (right.low + right.high) / 2
    gap, middle = (convert(x, findings[reading].unit or "", unit) for x in (play, usual))
    thick = values[plate]
    if truth[plate] != "ok":  # the spacer is right; the plate makes the play
        long = convert(thick + middle, unit, _unit(findings[spacer]))
        return {plate: thick + middle - gap, spacer: long}
    return {plate: thick, spacer: convert(thick + gap, unit, _unit(findings[spacer]))}


def _unit(finding: Finding) -> str:
    return finding.unit or ""

"""Whether a figure can be such a reading, and what to ask where it can't or has no unit."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from diagnose.knowledge.model import Finding
from diagnose.language.quantities import Quantity, unit_of
from diagnose.language.understanding import Context, Option, Unclear
from diagnose.language.wordlists import Alone
from diagnose.measuring.units import convert, read_unit, units_of

_MOST_OPTIONS = 3
_ASKED_UNITS = {
    "length": ("thou", "mm", "in"),
    "pressure": ("psi", "bar", "kPa"),
    "torque": ("ft-lb", "Nm"),
    "flow": ("pt/min", "l/min", "gph"),
    "distance": ("miles", "km"),
    "time": ("hours", "min", "days"),
}
_FINEST = 20
_POINTS = (10, 100, 1000)  # where a point may have been left out


def only_unit(finding: Finding) -> str | None:
    """The unit of a dimension that has only one in use, such as degrees."""
    units = units_of(finding.dimension or "")
    return units[0] if len(units) == 1 else None


def asked_units(finding: Finding, value: float, context: Context) -> tuple[str, ...]:
    """The units to offer for a bare number: those in which it could be such a reading."""
    dimension = finding.dimension or ""
    preferred = (context.units.get(dimension), finding.unit)
    usual = [u for u in preferred if u] + list(_ASKED_UNITS.get(dimension, ()))
    possible = [u for u in dict.fromkeys(usual) if is_possible(value, u, finding)]
    return tuple(possible[:_MOST_OPTIONS] or list(dict.fromkeys(usual))[:2])


def is_possible(value: float, unit: str, finding: Finding) -> bool:
    """False when the value can't be such a reading."""
    try:
        return _within(value, unit, finding)
    except ValueError:
        return True


def is_of_the_build(
    quantity: Quantity, finding: Finding, said: Collection[str], alone: Alone
) -> bool:
    """False for the years of a car, and for a while of one run: more must be said for these."""
    if finding.id not in alone.readings.values() or alone.late & set(said):
        return True
    if read_unit(quantity.unit, None) in alone.short:
        return bool(alone.break_in & set(said))
    unit, usual = unit_of(quantity, finding.dimension or ""), finding.usual
    if unit is None or usual is None or usual.high is None:
        return True
    return convert(quantity.value, unit, usual.unit) < usual.high


def is_readable(value: float, unit: str, finding: Finding) -> bool:
    """False for a bare number so small in the agreed unit that no gauge could show it."""
    gauge = finding.gauge
    if gauge is None or not value:
        return True
    return abs(convert(value, unit, gauge.unit)) >= gauge.u / _FINEST


def _within(value: float, unit: str, finding: Finding) -> bool:
    band = finding.possible
    if band is None:
        return True
    there = convert(value, unit, band.unit)
    slack = 1e-9 + 1e-6 * abs(there)
    above = band.low is None or there >= band.low - slack
    return above and (band.high is None or there <= band.high + slack)


def which_figure(value: float, unit: str, finding: Finding, words: str) -> Unclear:
    """Question a number that can't be: another unit, or a point that was left out."""
    usual = _ASKED_UNITS.get(finding.dimension or "", ())
    meant = [(value, one) for one in usual if is_possible(value, one, finding)]
    meant += [(value / by, unit) for by in _POINTS if is_possible(value / by, unit, finding)]
    options: dict[float, Option] = {}  # one of those that are the same in two units
    for number, one in meant:
        if is_readable(number, one, finding):
            same = round(convert(number, one, finding.unit or one), 6)
            options.setdefault(same, _figure(number, one, finding))
    return Unclear(words, tuple(options.values())[:_MOST_OPTIONS])


def which_unit(value: float, finding: Finding, units: Sequence[str], words: str) -> Unclear:
    """Ask in which unit a number was meant."""
    return Unclear(words, tuple(_figure(value, unit, finding) for unit in units))


def _figure(value: float, unit: str, finding: Finding) -> Option:
    return Option(finding.id, None, f"{value:g} {unit} ({finding.title})", value, unit)

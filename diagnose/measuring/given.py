"""Values as people type them for a sum: numbers with their unit, alone or in a row.

Refuses what can't be honestly read: a missing unit, two units in one row, a figure that is none.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence

from diagnose.measuring.units import convert, read_unit, units_of
from diagnose.measuring.worked import Input, Refused

MOST_VALUES = 10_000
_YES_OR_NO = {"yes": 1.0, "y": 1.0, "no": 0.0, "n": 0.0}
_VALUE = re.compile(
    r"([-+]?\d+ \d+/\d+|[-+]?\d+/\d+|[-+]?\d*[.,]?\d+(?:e[-+]?\d+)?)", re.IGNORECASE
)


def read_values(text: str, wanted: Input) -> tuple[float, ...]:
    """The values in a text such as ``4 4.5 5 thou``, in the unit the sum is worked in.

    A unit at the end holds for the whole row. Raises `Refused`.
    """
    plain = text.strip().lower()
    if not wanted.dimension and plain in _YES_OR_NO:
        return (_YES_OR_NO[plain],)
    parts = [p for p in re.split(r"[;\s]\s*(?=[-+.\d])|;", text.strip()) if p.strip()]
    parts = _fractions_joined(parts)
    if len(parts) > MOST_VALUES:
        raise Refused(f"{wanted.name} has {len(parts)} values; {MOST_VALUES} are the most")
    pairs = [number_and_unit(part, wanted) for part in parts]
    if not pairs:
        raise Refused(f"{wanted.name} is empty; give {example(wanted)}")
    if len(pairs) > 1 and not wanted.many:
        raise Refused(f"{wanted.name} takes one value and has {len(pairs)}: {text.strip()}")
    units = one_unit((unit for _, unit in pairs), wanted)
    return tuple(_converted(value, units[0] if units else "", wanted) for value, _ in pairs)


def has_number(text: str) -> bool:
    """Whether a text starts with a figure."""
    return bool(_VALUE.match(text.strip()))


def one_unit(units: Iterable[str], wanted: Input) -> list[str]:
    """The unit that all values of a row or table share, if they name any; two are refused."""
    found = list(dict.fromkeys(read_unit(u, wanted.dimension) or u for u in units if u))
    if len(found) > 1:
        two = f"{wanted.name} has two units, {found[0]} and {found[1]}"
        raise Refused(f"{two}; give all its values in one")
    return found


def unit_named(text: str, wanted: Input) -> str:
    """The first unit in a text or table that measures what is wanted; "" where there is none."""
    words = re.findall(r"[^\s;,()\[\]\d.+-][^\s;()\[\]]*", text)
    found = (read_unit(word, wanted.dimension) for word in words)
    return next((unit for unit in found if unit), "")


def number_and_unit(text: str, wanted: Input) -> tuple[float, str]:
    """The figure in front of a text, and what follows it; Refused for what is no number."""
    part = text.strip().rstrip(",")
    found = _VALUE.match(part)
    if not found:
        raise Refused(f"{wanted.name}: '{part[:40]}' is no number; give {example(wanted)}")
    value = _value(found.group(1).replace(",", "."))
    if not math.isfinite(value):
        raise Refused(f"{wanted.name}: '{part[:40]}' is beyond all measure; give {example(wanted)}")
    return value, part[found.end() :].strip()


def _value(text: str) -> float:
    whole, _, fraction = text.rpartition(" ")
    if "/" not in fraction:
        return float(text)
    above, below = fraction.split("/")
    if not float(below):
        return math.nan
    share = float(above) / float(below)
    return math.copysign(abs(float(whole or 0)) + abs(share), -1 if text.startswith("-") else 1)


def _fractions_joined(parts: Sequence[str]) -> list[str]:
    """ "1 1/2" is one value."""
    out: list[str] = []
    for part in parts:
        if out and re.match(r"\d+/\d+", part) and re.fullmatch(r"[-+]?\d+", out[-1]):
            out[-1] += f" {part}"
        else:
            out.append(part)
    return out


def _converted(value: float, unit: str, wanted: Input) -> float:
    if not wanted.dimension:
        if unit:
            raise Refused(f"{wanted.name} is a plain number; take out '{unit}'")
        return value
    if not unit:
        raise Refused(f"{wanted.name}: {value:g} has no unit; write {example(wanted, value)}")
    name = read_unit(unit, wanted.dimension)
    if name is None:
        right = ", ".join(units_of(wanted.dimension))
        raise Refused(f"{wanted.name}: '{unit}' does not measure {wanted.dimension}; use {right}")
    return convert(value, name, wanted.unit)


def example(wanted: Input, value: float = 4.0) -> str:
    """Such a value as it is typed."""
    if not wanted.dimension and "yes or no" in wanted.asks:
        return "yes or no"
    return f"{value:g} {wanted.unit}".strip()

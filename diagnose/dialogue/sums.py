"""The wording of a sum of the bench: what it asks for, and what came out, in both systems."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.dialogue.wording import DEFER, number
from diagnose.measuring.units import convert
from diagnose.measuring.worked import Calculation, Figure, Input, Worked

# the same figure in the other system: unit, then the units to show it in
_ALSO = {
    "length": {"mm": ("thou",), "thou": ("mm",), "in": ("mm",)},
    "pressure": {"kPa": ("psi",), "psi": ("kPa",), "bar": ("psi",), "inHg": ("kPa",)},
    "force": {"N": ("lbf",)},
    "torque": {"Nm": ("ft-lb",), "ft-lb": ("Nm",), "in-lb": ("Nm",)},
}
_POUND_FORCE = 4.4482216152605  # N, NIST SP 811: 0.45359237 kg x 9.80665 m/s2, exact
_ALSO_BY_UNIT = {unit: also for table in _ALSO.values() for unit, also in table.items()}


def figure(value: float, unit: str, first: str = "") -> str:
    """A figure in both systems; `first` is the person's own unit, shown first where it fits."""
    shown = [unit, *_ALSO_BY_UNIT.get(unit, ())]
    if first in shown or first in _ALSO_BY_UNIT.get(shown[-1], ()):
        shown = [first, *(u for u in shown if u != first)][:2]
    texts = [f"{_places(_in(value, unit, u), u)} {u}".strip() for u in shown]
    return texts[0] + (f" ({texts[1]})" if len(texts) > 1 else "")


def _in(value: float, unit: str, to: str) -> float:
    """The value in another unit; forces too, which are figures of results and never typed."""
    if unit == to:
        return value
    return value / _POUND_FORCE if unit == "N" else convert(value, unit, to)


def asked_lines(sum_: Calculation) -> list[str]:
    """What a sum asks for, one line a value."""
    lines = [f"{sum_.title}.", "It asks for:"]
    width = max(len(i.name) for i in sum_.inputs)
    lines += [f"  {i.name:{width}}  {_asked(i)}" for i in sum_.inputs]
    given = [f'{i.name}="{_sample(i)}"' for i in sum_.inputs if i.usual is None and not i.optional]
    return [*lines, f"So: diagnose work-out {sum_.name} {' '.join(given)}"]


def worked_lines(worked: Worked, first: Sequence[str]) -> list[str]:
    """The outcome first, then the figures, then how they were worked out."""
    lines = [f"{worked.title}: {worked.says}"]
    if worked.verdict:
        lines.append(f"Verdict: {worked.verdict}.")
    lines += [f"  {figure_line(f, first)}" for f in worked.figures]
    if worked.settles:
        lines.append(f"What would settle it: {worked.settles}")
    if worked.caution:
        lines.append(f"Take care: {worked.caution}")
    lines.append(f"How: {worked.formula}")
    lines += [f"  {step}" for step in worked.steps]
    return [*lines, f"Source: {worked.source}", DEFER]


def figure_line(one: Figure, first: Sequence[str]) -> str:
    """One figure by its name, with its give-or-take."""
    own = next((u for u in first if u in (one.unit, *_ALSO_BY_UNIT.get(one.unit, ()))), "")
    doubt = f", give or take {figure(one.u, one.unit, own)}" if one.u is not None else ""
    return f"{one.name}: {figure(one.value, one.unit, own)}{doubt}"


def _asked(one: Input) -> str:
    parts = [one.asks]
    if one.many:
        parts.append("one or several readings")
    if one.usual is not None:
        parts.append(f"{_usual(one)} when left out" + (f" ({one.source})" if one.source else ""))
    elif one.optional:
        parts.append("may be left out")
    return "; ".join(parts)


def _usual(one: Input) -> str:
    return f"{number(one.usual or 0.0)} {one.unit}".strip()


def _sample(one: Input) -> str:
    return f"... {one.unit}".strip() if one.unit else "..."


def _places(value: float, unit: str) -> str:
    """Figures to the places that a workshop reads: tenths of a thou, thousandths of a mm."""
    places = {"thou": 2, "mm": 4, "in": 5, "N": 0, "lbf": 0, "kPa": 1, "psi": 1}.get(unit, 3)
    return number(round(value, places)) if abs(value) < 1e6 else f"{value:.4g}"


def by_name(sums: Sequence[Calculation]) -> Iterator[str]:
    """One line a sum, for the list of all."""
    width = max(len(s.name) for s in sums)
    yield "Sums of the measuring bench:"
    yield from (f"  {s.name:{width}}  {s.title}" for s in sums)
    yield "What one asks for: diagnose work-out NAME"

"""The paper a sum is drawn on: lines, boxes, hatching and words as SVG text, and its scales.

Drawn for a phone held upright: 400 units wide with letters of 12, so that it can still be read at
360 pixels. No colour carries meaning: hatching, line styles and words do.
"""

from __future__ import annotations

import html
import math
import re
import textwrap
from collections.abc import Iterable, Iterator, Sequence

from diagnose.measuring.units import convert, dimension_of, other_system
from diagnose.measuring.worked import Refused
from diagnose.named import Named

WIDE, EDGE, LETTERS = 400.0, 12.0, 12.0
AXIS_END = WIDE - EDGE - 44  # what is right of it holds the name of the unit
_LETTER = 0.57  # width of a letter over its height; wide for most fonts, so that words fit in any
_APART = 5.0  # between the lines of a hatching
_NOT_IN_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
Point = tuple[float, float]


class Scale(Named):
    """Where on the paper a value lies: `low` at `start`, `high` at `end`."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """The place of a value; one beyond the scale is put at its end."""
        inside = min(max(value, self.low), self.high)
        return self.start + (inside - self.low) / (self.high - self.low) * (self.end - self.start)

    def ticks(self, most: int = 5) -> tuple[float, ...]:
        """Round values along the scale, `most` of them or fewer."""
        rough = (self.high - self.low) / most
        power = 10.0 ** math.floor(math.log10(rough))
        step = next(m * power for m in (1, 2, 5, 10) if m * power >= rough * (1 - 1e-9))
        first = math.ceil(self.low / step - 1e-9)
        last = math.floor(self.high / step + 1e-9)
        return tuple(step * n for n in range(first, last + 1))


class Units(Named):
    """The unit a drawing is worked in, the person's own, and that of the other system, if any."""

    unit: str
    own: str
    other: str | None

    def say(self, value: float) -> str:
        """A size in both systems, the person's own first."""
        said = f"{_places(self.to(value, self.own), self.own)} {self.own}".strip()
        if self.other is None:
            return said
        return f"{said} ({_places(self.to(value, self.other), self.other)} {self.other})"

    def say_known(self, value: float, u: float) -> str:
        """A size with its give-or-take, where it has one."""
        return f"{self.say(value)}, give or take {self.say(u)}" if u else self.say(value)

    def to(self, value: float, unit: str) -> float:
        """A value of the drawing in another unit."""
        return convert(value, self.unit, unit) if unit != self.unit else value


def scale_of(low: float, high: float, start: float, end: float) -> Scale:
    """A scale; Refused where the sizes can't be drawn on one."""
    if not (low < high and math.isfinite(high - low) and high - low > 1e-12 * abs(high)):
        raise Refused(f"sizes from {low:g} to {high:g} can't be drawn on one scale")
    return Scale(low, high, start, end)


def units_for(unit: str, first: Sequence[str]) -> Units:
    """The units to draw in: the first a person wrote that suits the sum, as in its words."""
    same = [u for u in first if unit and dimension_of(u) == dimension_of(unit)]
    fits = [u for u in same if u in (unit, other_system(unit))]
    fits += [_FINER.get(u, u) for u in same]
    own = fits[0] if fits else unit
    return Units(unit, own, other_system(own))


_FINER = {"in": "thou", "cm": "mm"}  # what is drawn on a bench is small


def _places(value: float, unit: str) -> str:
    """A figure as finely as a workshop reads it, at least to two figures."""
    if not value or not math.isfinite(value):
        return "0"
    usual = {"in": 4, "mm": 3, "N": 0, "lbf": 0, "psi": 1, "kPa": 1, "ml/min": 0}.get(unit, 2)
    least = 1 - math.floor(math.log10(abs(value)))
    return plain(round(value, max(usual, min(least, 12))), 6)


def plain(value: float, figures: int = 4) -> str:
    """A number to so many figures, without an exponent where a workshop would write none."""
    if not value:
        return "0"
    rounded = round(value, figures - 1 - math.floor(math.log10(abs(value))))
    return f"{rounded:.10g}" if 1e-5 <= abs(rounded) < 1e9 else f"{rounded:.3g}"


class Paper:
    """Elements drawn so far; `y` is how far down the paper is used."""

    def __init__(self) -> None:
        self.elements: list[str] = []
        self.y = EDGE

    def line(self, start: Point, end: Point, style: str = "", part: str = "") -> None:
        """A line; `style` is one of STYLES by name."""
        (x1, y1), (x2, y2) = start, end
        place = f'x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}"'
        self.elements.append(f"<line {place} {STYLES[style]}{_part(part)}/>")

    def box(self, left: float, top: float, right: float, bottom: float, part: str = "") -> None:
        """A box with an outline, white inside."""
        size = f'width="{_n(right - left)}" height="{_n(bottom - top)}"'
        place = f'x="{_n(left)}" y="{_n(top)}" {size}'
        self.elements.append(f'<rect {place} fill="#fff" stroke="#000"{_part(part)}/>')

    def shape(self, points: Sequence[Point], fill: str = "#fff", part: str = "") -> None:
        """A closed outline."""
        path = " ".join(f"{_n(x)},{_n(y)}" for x, y in points)
        style = f'fill="{fill}" stroke="#000"'
        self.elements.append(f'<polygon points="{path}" {style}{_part(part)}/>')

    def ring(self, centre: Point, radius: float, style: str = "") -> None:
        """A circle, open inside."""
        place = f'cx="{_n(centre[0])}" cy="{_n(centre[1])}" r="{_n(radius)}"'
        self.elements.append(f'<circle {place} fill="none" {STYLES[style]}/>')

    def hatch(self, corners: Sequence[Point], angles: Iterable[float]) -> None:
        """Lines at these angles (degrees) within a convex outline."""
        path = " ".join(
            f"M{_n(x1)} {_n(y1)}L{_n(x2)} {_n(y2)}"
            for angle in angles
            for (x1, y1), (x2, y2) in _strokes(corners, angle)
        )
        if path:
            self.elements.append(f'<path d="{path}" stroke="#000" stroke-width="0.6"/>')

    def write(self, at: Point, words: str, anchor: str = "start", bold: bool = False) -> None:
        """Words on one line."""
        place = f'x="{_n(at[0])}" y="{_n(at[1])}"'
        style = (f' text-anchor="{anchor}"' if anchor != "start" else "") + (
            ' font-weight="bold"' if bold else ""
        )
        self.elements.append(f"<text {place}{style}>{clean(words)}</text>")

    def say(self, words: str, bold: bool = False, left: float = EDGE) -> None:
        """Words below all that is drawn, over as many lines as they take."""
        for row in textwrap.wrap(words, letters_in(WIDE - EDGE - left, bold)):
            self.y += LETTERS * 1.25
            self.write((left, self.y), row, bold=bold)
        self.y += 4

    def svg(self, title: str, told: str) -> str:
        """All of it as one SVG element, to be saved as a file or put into a page."""
        body = "\n".join(self.elements)
        size = f'viewBox="0 0 {_n(WIDE)} {_n(self.y + EDGE)}"'
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img" '
            f'font-family="sans-serif" font-size="{_n(LETTERS)}" fill="#000">\n'
            f"<title>{clean(title)}</title>\n<desc>{clean(told)}</desc>\n"
            f'<rect width="100%" height="100%" fill="#fff"/>\n{body}\n</svg>\n'
        )


STYLES = {
    "": 'stroke="#000" stroke-width="1"',
    "bold": 'stroke="#000" stroke-width="2.5"',
    "thin": 'stroke="#000" stroke-width="0.6"',
    "dashed": 'stroke="#000" stroke-width="1" stroke-dasharray="5 3"',
    "dotted": 'stroke="#000" stroke-width="1" stroke-dasharray="1.5 3"',
    "chain": 'stroke="#000" stroke-width="1" stroke-dasharray="10 3 2 3"',
}


def box_corners(left: float, top: float, right: float, bottom: float) -> tuple[Point, ...]:
    """The corners of a box, one after the other."""
    return (left, top), (right, top), (right, bottom), (left, bottom)


def letters_in(width: float, bold: bool = False) -> int:
    """How many letters surely fit into a width."""
    return max(int(width / (LETTERS * _LETTER * (1.12 if bold else 1))), 1)


def axis(paper: Paper, scale: Scale, units: Units) -> None:
    """A scale below all that is drawn, in the person's own unit and under it in the other."""
    for unit in dict.fromkeys((units.own, units.other)):
        if unit is not None:
            _axis(paper, scale, units, unit)


def _axis(paper: Paper, scale: Scale, units: Units, unit: str) -> None:
    factor = units.to(1.0, unit)
    shown = Scale(scale.low * factor, scale.high * factor, scale.start, scale.end)
    paper.y += 8
    paper.line((scale.start, paper.y), (scale.end, paper.y), part=f"axis {unit}".strip())
    for value in shown.ticks():
        x = shown.at(value)
        paper.line((x, paper.y), (x, paper.y + 4), part="tick")
        words = plain(value)
        inside = max(x, LETTERS * _LETTER * len(words) / 2 + 2)
        paper.write((inside, paper.y + 6 + LETTERS), words, "middle")
    paper.y += 6 + LETTERS
    if unit:
        paper.write((scale.end + 5, paper.y - LETTERS - 2), unit)
    paper.y += 4


def clean(words: str) -> str:
    """Words as they may stand in XML."""
    return html.escape(_NOT_IN_XML.sub(" ", words))


def _part(name: str) -> str:
    return f' data-part="{clean(name)}"' if name else ""


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _strokes(corners: Sequence[Point], angle: float) -> Iterator[tuple[Point, Point]]:
    """The pieces of parallel lines that lie within a convex outline."""
    across = -math.sin(math.radians(angle)), math.cos(math.radians(angle))
    far = [x * across[0] + y * across[1] for x, y in corners]
    for step in range(math.ceil(min(far) / _APART), math.floor(max(far) / _APART) + 1):
        met = list(_crossings(corners, far, step * _APART))
        if len(met) >= 2 and min(met) != max(met):
            yield min(met), max(met)


def _crossings(corners: Sequence[Point], far: Sequence[float], at: float) -> Iterator[Point]:
    for place, (x, y) in enumerate(corners):
        after = (place + 1) % len(corners)
        here, there = far[place] - at, far[after] - at
        if here * there <= 0 and here != there:
            share = here / (here - there)
            yield x + share * (corners[after][0] - x), y + share * (corners[after][1] - y)

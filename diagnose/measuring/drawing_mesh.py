"""The skew gears in mesh and their wear band: how far it wanders, where on the teeth it lies."""

from __future__ import annotations

import math

from diagnose.measuring.drawing_paper import (
    AXIS_END,
    EDGE,
    LETTERS,
    Paper,
    Scale,
    Units,
    axis,
    box_corners,
    scale_of,
)
from diagnose.measuring.shown import BandHeight, BandWalk

_RING, _STRIP = 34.0, 54.0  # radius of the other gear, height of the strip of teeth
_TALL = 160.0  # the teeth of the upright gear, top to bottom
_GEAR = 168.0, 244.0  # its left and right edge
_UNMEASURED = 0.3  # share of the teeth a band takes on the drawing when it was not measured


def walk(paper: Paper, picture: BandWalk, units: Units) -> None:
    """Draw the mesh seen along the other gear's shaft, at both ends of the walk."""
    paper.say(f"Wear band along the {picture.gear}", bold=True)
    scale = scale_for(picture)
    near, far = scale.at(0.0), scale.at(picture.walk.size)
    strip = paper.y + 2 * _RING + 10
    _strip(paper, scale, strip)
    wear = near, strip, far, strip + _STRIP
    paper.box(*wear, part="wear band")
    paper.hatch(box_corners(*wear), (45, -45))
    for x, style, word in ((near, "", "one end"), (far, "dashed", "other end")):
        paper.ring((x, strip - _RING), _RING, style)
        paper.line((x, strip - _RING - 3), (x, strip - _RING + 3), "thin")
        paper.line((x, strip), (x, strip + _STRIP + 6), style, f"contact {word}")
        paper.write((x, strip + _STRIP + 8 + LETTERS), word, "middle")
    paper.y = strip + _STRIP + 10 + LETTERS
    axis(paper, scale, units)
    size = units.say_known(picture.walk.size, picture.walk.u)
    paper.say(f"{picture.walk.name}: {size}; the contact wanders as far along the {picture.gear}.")
    paper.say(f"{picture.turn.name}: {_degrees(picture.turn.size, picture.turn.u)}")
    paper.say(f"Rings: the {picture.other} seen along its shaft, not to scale; the walk is.")


def scale_for(picture: BandWalk) -> Scale:
    """The scale with both ends of the walk well inside."""
    way = picture.walk.size or 1.0
    return scale_of(-0.6 * way, 1.6 * way, EDGE, AXIS_END)


def _degrees(size: float, u: float) -> str:
    return f"{size:.2f} deg" + (f", give or take {u:.2f}" if u else "")


def _strip(paper: Paper, scale: Scale, top: float) -> None:
    paper.box(scale.start, top, scale.end, top + _STRIP, "teeth")
    lean = _STRIP * math.tan(math.radians(20))
    x = scale.start + 4
    while x + lean < scale.end:
        paper.line((x, top + _STRIP), (x + lean, top), "thin")
        x += 20


def height(paper: Paper, picture: BandHeight, units: Units) -> None:
    """Draw the upright gear seen along the cam, with its band now and after shimming."""
    paper.say("Wear band on the distributor gear, seen along the cam", bold=True)
    top = paper.y + 24
    above, band, below = _parts(picture)
    ends = top + above, top + above + band
    left, right = _GEAR
    _upright(paper, top)
    wear = left, ends[0], right, ends[1]
    paper.box(*wear, part="wear band")
    paper.hatch(box_corners(*wear), (45, -45))
    paper.ring((left - 62, sum(ends) / 2), 62)
    paper.write((left - 62, sum(ends) / 2 + 4), "cam gear", "middle")
    middle = top + _TALL / 2
    for edge in (middle - band / 2, middle + band / 2):
        paper.line((left - 8, edge), (right + 18, edge), "dashed", "band after shimming")
    _letters(paper, (top, *ends, top + _TALL))
    _bar(paper, picture, units, top)
    paper.y = top + _TALL + 26
    paper.say(f"A  free tooth above the band: {units.say(picture.above)}")
    told = units.say(picture.band) if picture.band is not None else "not measured, not to scale"
    paper.say(f"W  wear band now: {told}")
    paper.say(f"B  free tooth below the band: {units.say(picture.below)}")
    paper.say(f"Dashed: where the band lies with {_shims(picture, units)}.")


def _parts(picture: BandHeight) -> tuple[float, float, float]:
    """Free tooth above, band, and free tooth below, as long as they are drawn."""
    free = picture.above + picture.below
    band = picture.band
    if band is None:
        share = _UNMEASURED if free else 1.0
    else:
        share = band / (free + band) if free + band else 1.0
    each = _TALL * (1 - share) / free if free else 0.0
    return picture.above * each, _TALL * share, picture.below * each


def _upright(paper: Paper, top: float) -> None:
    left, right = _GEAR
    middle = (left + right) / 2
    for start, end in ((top - 18, top), (top + _TALL, top + _TALL + 18)):
        paper.box(middle - 10, start, middle + 10, end, "shaft")
    paper.box(left, top, right, top + _TALL, "teeth")
    lean = (right - left) * math.tan(math.radians(20))
    y = top + 4
    while y + lean < top + _TALL:
        paper.line((left, y + lean), (right, y), "thin")
        y += 14


def _letters(paper: Paper, ends: tuple[float, float, float, float]) -> None:
    """A, W and B beside what they name, moved apart where they would meet."""
    x, last = _GEAR[1] + 26, -math.inf
    for letter, start, end in zip("AWB", ends, ends[1:], strict=False):
        last = max((start + end) / 2 + 4, last + LETTERS)
        paper.write((x, last), letter, bold=True)


def _bar(paper: Paper, picture: BandHeight, units: Units, top: float) -> None:
    """A bar to measure by, as long as a round size of the free tooth."""
    free = picture.above + picture.below
    if not free:
        return
    above, _, below = _parts(picture)
    factor = units.to(1.0, units.own)
    size = Scale(0.0, free * factor, 0.0, 1.0).ticks(3)[1] / factor
    x, length = _GEAR[1] + 52, size / free * (above + below)
    paper.line((x, top), (x, top + length), "bold", "measure")
    for end in (top, top + length):
        paper.line((x - 4, end), (x + 4, end))
    said = units.say(size).split(" (")
    paper.write((x + 8, top + 10), said[0])
    for rest in said[1:]:
        paper.write((x + 8, top + 12 + LETTERS), f"({rest}")


def _shims(picture: BandHeight, units: Units) -> str:
    shim = picture.shim
    if not shim.size:
        return "the shims as they are"
    what = "more" if shim.size > 0 else "less"
    return f"{units.say_known(abs(shim.size), shim.u)} of shims {what}"

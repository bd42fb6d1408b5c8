"""Values with their give-or-take, drawn on the limits they are judged by."""

from __future__ import annotations

import math
from collections.abc import Iterator

from diagnose.measuring.drawing_paper import (
    AXIS_END,
    EDGE,
    Paper,
    Scale,
    Units,
    axis,
    box_corners,
    scale_of,
)
from diagnose.measuring.shown import Known, Limits, OnBand

MOST_VALUES = 16  # more rows are no drawing; those nearest a limit are kept
_HATCHINGS = ((45,), (-45,), (45, -45), (0,), (90,))
_EDGES = ("dashed", "dotted", "chain")


def band(paper: Paper, picture: OnBand, units: Units) -> None:
    """Draw each limit as a bar, each value as a mark with its span, and a scale for all."""
    kept = _nearest(picture)
    scale = scale_for(picture._replace(values=kept))
    paper.say(picture.title, bold=True)
    for place, limits in enumerate(picture.limits):
        _limits(paper, limits, scale, units, place)
    for value in kept:
        _value(paper, value, scale, units)
        for place, limits in enumerate(picture.limits):
            _edges(paper, limits, scale, _EDGES[place % len(_EDGES)])
    axis(paper, scale, units)
    if len(kept) < len(picture.values):
        paper.say(f"{len(picture.values) - len(kept)} more, further from the limits, left out.")


def scale_for(picture: OnBand) -> Scale:
    """The scale that holds all values with their spans and all limits, with room beside them."""
    ends = [end for limits in picture.limits for end in _ends(limits)]
    for value in picture.values:
        ends += [value.least, value.most]
    low, high = min(ends), max(ends)
    room = 0.08 * (high - low) or 0.1 * abs(high) or 1.0
    return scale_of(low - room, high + room, EDGE, AXIS_END)


def _nearest(picture: OnBand) -> tuple[Known, ...]:
    """The values to draw, in their order."""
    ends = [end for limits in picture.limits for end in _ends(limits)]

    def room(value: Known) -> float:
        return min((abs(value.size - end) for end in ends), default=math.inf)

    kept = sorted(range(len(picture.values)), key=lambda n: room(picture.values[n]))[:MOST_VALUES]
    return tuple(picture.values[n] for n in sorted(kept))


def _ends(limits: Limits) -> Iterator[float]:
    yield from dict.fromkeys(end for end in (limits.low, limits.high) if end is not None)


def _limits(paper: Paper, limits: Limits, scale: Scale, units: Units, place: int) -> None:
    paper.say(f"{limits.name}: {span(limits, units)}")
    left = scale.start if limits.low is None else scale.at(limits.low)
    right = scale.end if limits.high is None else scale.at(limits.high)
    top, bottom = paper.y, paper.y + 12
    if limits.low == limits.high:
        paper.line((left, top), (left, bottom), "bold", f"limit {limits.name}")
    else:
        paper.box(left, top, right, bottom, f"limits {limits.name}")
        paper.hatch(box_corners(left, top, right, bottom), _HATCHINGS[place % len(_HATCHINGS)])
    paper.y = bottom


def _edges(paper: Paper, limits: Limits, scale: Scale, style: str) -> None:
    """The ends of a limit across the row of a value just drawn, clear of any words."""
    for end in _ends(limits):
        x = scale.at(end)
        paper.line((x, paper.y - 15), (x, paper.y + 3), style, f"end {limits.name}")


def span(limits: Limits, units: Units) -> str:
    """Limits in words."""
    if limits.low is None:
        return "no limit" if limits.high is None else f"up to {units.say(limits.high)}"
    if limits.high is None:
        return f"from {units.say(limits.low)} on"
    if limits.low == limits.high:
        return units.say(limits.low)
    return f"{units.say(limits.low)} to {units.say(limits.high)}"


def _value(paper: Paper, value: Known, scale: Scale, units: Units) -> None:
    less = f", or {units.say(value.less)} less" if value.less else ""
    paper.say(f"{value.name}: {units.say_known(value.size, value.u)}{less}")
    middle = paper.y + 9
    low, high, x = (scale.at(v) for v in (value.least, value.most, value.size))
    if low < high:
        paper.line((low, middle), (high, middle), "bold", f"span {value.name}")
        for end in (low, high):
            paper.line((end, middle - 5), (end, middle + 5))
    corners = ((x - 5, middle), (x, middle - 5), (x + 5, middle), (x, middle + 5))
    paper.shape(corners, "#000", f"value {value.name}")
    paper.y += 16

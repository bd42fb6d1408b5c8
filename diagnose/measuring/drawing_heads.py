"""Bolt heads standing proud of the thrust plate, against the gear or its bearing."""

from __future__ import annotations

from diagnose.measuring.drawing_paper import (
    AXIS_END,
    EDGE,
    WIDE,
    Paper,
    Scale,
    Units,
    axis,
    box_corners,
    scale_of,
)
from diagnose.measuring.shown import Known, OverHeads

_LEFT, _DEEP = 64.0, 26.0  # where the plate's face may lie, and how high a row is
_PLATE, _HEAD, _GEAR, _CLASH = (45,), (-45,), (60, -60), (0, 90)


def heads(paper: Paper, picture: OverHeads, units: Units) -> None:
    """Draw a row a head: plate, head, and the gear's face pushed in and pulled out."""
    room = picture.stack + picture.recess
    paper.say(
        "Bolt heads between plate (left) and gear (right), to scale along the bolt", bold=True
    )
    scale = scale_for(picture)
    for head in picture.heads:
        paper.say(f"{head.name}: {_stands(head, room, units)}")
        _row(paper, head, (scale, room), picture.end_play)
    if picture.stack:
        paper.say(f"needle bearing and washers: {units.say(picture.stack)}")
        _row(paper, Known("bearing", picture.stack), (scale, picture.stack), picture.end_play)
    axis(paper, scale, units)
    if picture.recess:
        paper.say(f"The gear is relieved by {units.say(picture.recess)} over the heads.")
    told = "Gear drawn pushed in, end play used up"
    if picture.end_play:
        told += f"; dashed: its face pulled out by {units.say(picture.end_play)}"
    paper.say(f"{told}. Thickness of plate and gear: not to scale.")


def scale_for(picture: OverHeads) -> Scale:
    """The scale from the plate's face, or the deepest head sunk in it, to beyond the gear's."""
    proud = [head.size + head.u for head in picture.heads]
    sunk = [head.size - head.u for head in picture.heads]
    far = max(*proud, picture.stack + picture.recess + picture.end_play, 0.0)
    near = min(*sunk, 0.0)
    return scale_of(near, far + 0.1 * (far - near or 1.0), _LEFT, AXIS_END)


def _stands(head: Known, room: float, units: Units) -> str:
    if head.size < 0:
        stands = f"sunk by {units.say_known(-head.size, head.u)}"
    elif head.size == 0:
        stands = "flush"
    else:
        stands = f"proud by {units.say_known(head.size, head.u)}"
    gap = room - head.size
    if gap < 0:
        return f"{stands}; in the way by {units.say(-gap)}"
    return f"{stands}; gap {units.say(gap)}"


def _row(paper: Paper, head: Known, where: tuple[Scale, float], end_play: float) -> None:
    scale, room = where
    top, bottom = paper.y, paper.y + _DEEP
    face, end, gear = scale.at(0.0), scale.at(head.size), scale.at(room)
    _filled(paper, (EDGE, top, face, bottom), _PLATE, "plate")
    _filled(paper, (gear, top, WIDE - EDGE, bottom), _GEAR, "gear")
    left, right = min(face, end), max(face, end)
    inside = (left, top + 4, right, bottom - 4)
    if head.size < 0:
        paper.box(*inside, part=f"sunk {head.name}")
    elif head.size > 0:
        _filled(paper, inside, _HEAD, f"head {head.name}")
    if end > gear:
        _filled(paper, (gear, top + 4, end, bottom - 4), _CLASH, f"clash {head.name}")
    if head.u:
        middle, low, high = (top + bottom) / 2, head.size - head.u, head.size + head.u
        paper.line((scale.at(low), middle), (scale.at(high), middle), "bold", f"span {head.name}")
    if end_play:
        out = scale.at(room + end_play)
        paper.line((out, top - 2), (out, bottom + 2), "dashed", "gear pulled out")
    paper.y = bottom + 3


def _filled(
    paper: Paper, box: tuple[float, float, float, float], angles: tuple[int, ...], part: str
) -> None:
    paper.box(*box, part=part)
    paper.hatch(box_corners(*box), angles)

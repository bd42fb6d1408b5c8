"""A stack of parts in section along the shaft, and the play it leaves at the gear."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.measuring.drawing_paper import (
    EDGE,
    LETTERS,
    WIDE,
    Paper,
    Scale,
    Units,
    axis,
    box_corners,
    scale_of,
)
from diagnose.measuring.shown import InSection, Known
from diagnose.measuring.worked import Refused

MOST_PARTS = 24
_LEFT, _RIGHT = 60.0, 340.0  # where the stack begins, and where the gear does at the latest
_DEEP = 44.0  # height of a row of parts
_NUMBER = 15.0  # room a part's number takes
_STEEL, _GEAR = ((45,), (-45,)), (60, -60)


def section(paper: Paper, picture: InSection, units: Units) -> None:
    """Draw plate, washers and bearings over the spacer, journal to the left, gear to the right."""
    parts = (*picture.closes, *picture.opens)
    if len(parts) > MOST_PARTS:
        raise Refused(f"{len(parts)} parts are too many to draw; {MOST_PARTS} are the most")
    paper.say("In section along the shaft, each thickness to scale", bold=True)
    closed, opened = (sum(p.size for p in row) for row in (picture.closes, picture.opens))
    scale = scale_of(0.0, max(closed, opened), _LEFT, _RIGHT)
    top = paper.y + LETTERS + 10
    _row(paper, picture.closes, (scale, top), 1)
    _row(paper, picture.opens, (scale, top + _DEEP), 1 + len(picture.closes))
    _ends(paper, top)
    _gap(paper, (scale.at(closed), scale.at(opened)), top)
    paper.y = top + 2 * _DEEP + 32
    paper.line((EDGE, paper.y), (WIDE - EDGE, paper.y), "chain", "centre line")
    axis(paper, scale, units)
    for number, part in enumerate(parts, 1):
        paper.say(f"{number}  {part.name}: {units.say_known(part.size, part.u)}")
    paper.say(f"A  {_play(picture, units)}", bold=True)
    paper.say("Left: shoulder of the cam. Right: gear. Chain line: middle of the shaft.")


def _row(paper: Paper, parts: Sequence[Known], where: tuple[Scale, float], number: int) -> None:
    """Parts side by side from the shoulder on, numbered above or, in the lower row, below."""
    scale, top = where
    edges = [0.0]
    for part in parts:
        edges.append(edges[-1] + part.size)
    upper = number == 1
    numbers = tuple(_apart([scale.at((a + b) / 2) for a, b in zip(edges, edges[1:], strict=False)]))
    for place, part in enumerate(parts):
        left, right = scale.at(edges[place]), scale.at(edges[place + 1])
        paper.box(left, top, right, top + _DEEP, f"part {part.name}")
        angles = _STEEL[(place + (not upper)) % 2]
        paper.hatch(box_corners(left, top, right, top + _DEEP), angles)
        foot = top if upper else top + _DEEP
        away = -8.0 if upper else 8.0
        paper.line(((left + right) / 2, foot), (numbers[place], foot + away), "thin")
        words = foot - 10 if upper else foot + 9 + LETTERS
        paper.write((numbers[place], words), str(number + place), "middle")


def _apart(places: Sequence[float]) -> Iterator[float]:
    """Places for numbers, moved along where two would lie on each other."""
    room = (_RIGHT - _LEFT) / max(len(places) - 1, 1)
    least, last = min(_NUMBER, room), -1e9
    for n, place in enumerate(places):
        latest = _RIGHT - (len(places) - 1 - n) * least
        last = max(min(place, latest), last + least)
        yield last


def _ends(paper: Paper, top: float) -> None:
    for left, right, name in (
        (EDGE, _LEFT, "shoulder of the cam"),
        (_RIGHT, WIDE - EDGE, "gear"),
    ):
        paper.box(left, top, right, top + 2 * _DEEP, name)
        paper.hatch(box_corners(left, top, right, top + 2 * _DEEP), _GEAR)


def _gap(paper: Paper, ends: tuple[float, float], top: float) -> None:
    """The room left at the gear, in the row that is short, with its letter."""
    closed, opened = ends
    row = top if closed <= opened else top + _DEEP
    left = min(closed, opened)
    paper.box(left, row, _RIGHT, row + _DEEP, "gap")
    middle = row + _DEEP / 2
    paper.line((left, middle), (_RIGHT, middle), "bold")
    high = top - 10
    foot = row if closed <= opened else top
    if closed <= opened:
        paper.line(((left + _RIGHT) / 2, foot), (_RIGHT + 8, high + 3), "thin")
        paper.write((_RIGHT + 10, high), "A", bold=True)
    else:
        low = top + 2 * _DEEP + 9 + LETTERS
        paper.line(((left + _RIGHT) / 2, top + 2 * _DEEP), (_RIGHT + 8, low - 10), "thin")
        paper.write((_RIGHT + 10, low), "A", bold=True)


def _play(picture: InSection, units: Units) -> str:
    play = picture.play
    if play.size < 0:
        return f"no play: the spacer is short by {units.say_known(-play.size, play.u)}"
    return f"{play.name}: {units.say_known(play.size, play.u)}"

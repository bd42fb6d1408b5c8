"""A sum worked out, drawn as plain SVG text; loaded only when a drawing is asked for.

`draw` gives one `<svg>` element, fit for a file of its own or to stand in a page; nothing in it has
an id, so several can stand in one page.
"""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.measuring.drawing_band import band
from diagnose.measuring.drawing_heads import heads
from diagnose.measuring.drawing_mesh import height, walk
from diagnose.measuring.drawing_paper import EDGE, WIDE, Paper, Units, units_for
from diagnose.measuring.drawing_section import section
from diagnose.measuring.shown import BandHeight, BandWalk, InSection, OnBand, OverHeads, Picture
from diagnose.measuring.worked import Refused, Worked


def draw(worked: Worked, first: Sequence[str] = ()) -> str:
    """Draw all that a sum has to show; `first` are the person's own units.

    Refused where there is nothing to draw.
    """
    if not worked.shows:
        raise Refused(
            "there is nothing to draw: this sum, with these values, holds no size against a limit"
        )
    paper = Paper()
    paper.say(worked.title, bold=True)
    for picture in worked.shows:
        paper.y += 8
        paper.line((EDGE, paper.y), (WIDE - EDGE, paper.y), "thin")
        _one(paper, picture, units_for(picture.unit, first))
    paper.y += 6
    verdict = f"Verdict: {worked.verdict}." if worked.verdict else ""
    if verdict:
        paper.say(verdict, bold=True)
    paper.say(worked.says)
    return paper.svg(worked.title, f"{worked.says} {verdict}".strip())


def draw_one(picture: Picture, title: str, told: str, first: Sequence[str] = ()) -> str:
    """Draw one picture by itself, with a title and the words a screen reader reads out."""
    paper = Paper()
    _one(paper, picture, units_for(picture.unit, first))
    return paper.svg(title, told)


def _one(paper: Paper, picture: Picture, units: Units) -> None:
    if isinstance(picture, OnBand):
        band(paper, picture, units)
    elif isinstance(picture, InSection):
        section(paper, picture, units)
    elif isinstance(picture, OverHeads):
        heads(paper, picture, units)
    elif isinstance(picture, BandWalk):
        walk(paper, picture, units)
    elif isinstance(picture, BandHeight):
        height(paper, picture, units)

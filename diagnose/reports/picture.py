"""The causes over the turns as plain SVG: each line has its own dashes, mark and figure.

Colour adds nothing that a grey print would lose. The picture is narrow, so that its letters can be
read on a phone; the names stand beside it in the page.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape

from diagnose.reports import wording
from diagnose.reports.course import Course

WIDE, TALL = 360.0, 210.0
LEFT, RIGHT, TOP, BOTTOM = 38.0, 332.0, 12.0, 172.0
_DASHES = ("", "7 3", "2 3", "9 3 2 3", "4 2 1 2")
_APART = 11.0


def picture_of(course: Course) -> str:
    """One `<svg>` element; empty when nothing was told."""
    if not course.turns:
        return ""
    told = escape(wording.course_told(course.leads))
    body = [*_frame(course), *_lines(course)]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_n(WIDE)} {_n(TALL)}" role="img" '
        f'class="course"><title>{escape(wording.HEADINGS["course"])}</title><desc>{told}</desc>'
        f"{''.join(body)}</svg>"
    )


def mark_of(place: int) -> str:
    """A sample of one line with its mark, to stand before the name of the cause."""
    line = _path([(2.0, 8.0), (34.0, 8.0)], place)
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 36 16" class="mark" aria-hidden='
        f'"true">{line}{_mark(18.0, 8.0, place)}</svg>'
    )


def x_of(course: Course, step: int) -> float:
    """Where a step lies across."""
    last = len(course.turns) - 1
    return LEFT + 8 + (RIGHT - LEFT - 16) * (step / last if last else 0.5)


def y_of(p: float) -> float:
    """Where a probability lies, 0 at the bottom."""
    return BOTTOM - (BOTTOM - TOP) * min(max(p, 0.0), 1.0)


def _frame(course: Course) -> Iterator[str]:
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        y = _n(y_of(share))
        yield f'<line x1="{_n(LEFT)}" y1="{y}" x2="{_n(RIGHT)}" y2="{y}" class="grid"/>'
        yield _text(LEFT - 4, y_of(share) + 3.5, wording.percent(share), "end")
    every = max(1, -(-len(course.turns) // 10))
    for step in range(0, len(course.turns), every):
        yield _text(x_of(course, step), BOTTOM + 15, str(course.turns[step]), "middle")
    yield _text((LEFT + RIGHT) / 2, TALL - 8, "turn", "middle")


def _lines(course: Course) -> Iterator[str]:
    ends = _spread([y_of(line.ps[-1]) for line in course.causes])
    for place, line in enumerate(course.causes):
        points = [(x_of(course, step), y_of(p)) for step, p in enumerate(line.ps)]
        yield f'<g class="c{place}">{_path(points, place)}'
        yield "".join(_mark(x, y, place) for x, y in points)
        yield _text(RIGHT + 6, ends[place] + 3.5, str(place + 1), "start") + "</g>"


def _spread(heights: Sequence[float]) -> list[float]:
    """Heights moved apart so that no figure covers another."""
    order = sorted(range(len(heights)), key=lambda n: heights[n])
    out = list(heights)
    for before, here in zip(order, order[1:], strict=False):
        out[here] = max(out[here], out[before] + _APART)
    over = max(0.0, max(out, default=0.0) - BOTTOM)
    return [y - over for y in out]


def _path(points: Sequence[tuple[float, float]], place: int) -> str:
    dashes = _DASHES[place % len(_DASHES)]
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'<polyline points="{" ".join(f"{_n(x)},{_n(y)}" for x, y in points)}"{dashed}/>'


def _mark(x: float, y: float, place: int) -> str:
    kind = place % len(_DASHES)
    if kind == 0:
        return f'<circle cx="{_n(x)}" cy="{_n(y)}" r="3"/>'
    if kind == 1:
        return f'<rect x="{_n(x - 3)}" y="{_n(y - 3)}" width="6" height="6"/>'
    corners = {
        2: ((0, -4), (4, 3), (-4, 3)),
        3: ((0, -4), (4, 0), (0, 4), (-4, 0)),
        4: ((-4, -3), (4, -3), (0, 4)),
    }[kind]
    points = " ".join(f"{_n(x + dx)},{_n(y + dy)}" for dx, dy in corners)
    return f'<polygon points="{points}"/>'


def _text(x: float, y: float, words: str, anchor: str) -> str:
    return f'<text x="{_n(x)}" y="{_n(y)}" text-anchor="{anchor}">{escape(words)}</text>'


def _n(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".")

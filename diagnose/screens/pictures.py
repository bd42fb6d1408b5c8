"""Pictures made of letters: the causes as bars, a reading on its band; SVG where it is asked for.

Every picture says the same in words beside it, and is made of letters that any terminal has.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from diagnose.cases.state import Judged
from diagnose.screens import wording
from diagnose.screens.cells import cells, cut, filled

_BESIDE, _MOST_BAR, _LEAST_BAR = 72, 30, 8
_LEAST_TITLE, _SAYS = 24, 40  # cells for a cause's name at least, and for the words after a bar
_ROOM = 0.25  # of the band's width, at either side of what is drawn

Shares = Mapping[str, tuple[float, str]]


def shares(causes: Sequence[Mapping[str, Any]]) -> dict[str, tuple[float, str]]:
    """The share and its word of each cause, to compare a later turn with."""
    return {c["id"]: (c["p"], c["band"]) for c in causes}


def bars(causes: Sequence[Mapping[str, Any]], before: Shares, columns: int) -> list[str]:
    """A bar for each cause, how sure in words, and how it moved; two lines each when narrow."""
    if not causes:
        return [wording.NO_BARS]
    beside = columns >= _BESIDE
    most = max(columns // 2 - 10, _LEAST_TITLE) if beside else columns - 3
    titles = [cut(c["title"], most) for c in causes]
    wide = max(map(cells, titles))
    room = min(max(columns - wide - _SAYS if beside else columns - 8, _LEAST_BAR), _MOST_BAR)
    lines = []
    for cause, title in zip(causes, titles, strict=True):
        was = before.get(cause["id"])
        bar = _bar(cause["p"], was[0] if was else cause["p"], room)
        says = f"{cause['band'].partition(' (')[0]}"
        if before:
            says += f", {_moved(cause, was)}"
        if beside:
            lines.append(f"  {filled(title, wide)} {bar} {says}")
        else:
            lines += [f"  {title}", f"    {bar}", f"    {says}"]
    return [*lines, *([f"  {wording.LEGEND}"] if before else [])]


def _moved(cause: Mapping[str, Any], was: tuple[float, str] | None) -> str:
    return wording.moved(cause["p"], was[0] if was else None, cause["band"], was[1] if was else "")


def _bar(now: float, before: float, room: int) -> str:
    """`=` for what stays, `+` for what was gained since, `-` for what was lost."""
    held, full = sorted((round(now * room), round(before * room)))
    mark = "+" if now > before else "-"
    return f"[{('=' * held + mark * (full - held)).ljust(room, '.')}]"


def band(title: str, judged: Judged, columns: int) -> list[str]:
    """A reading on its band: `=` inside it, `#` aimed at, `.` outside; the mark is the reading."""
    room = min(max(columns - 4, _LEAST_BAR), 2 * _MOST_BAR)
    scale = _Scale(judged, room)
    row = "".join(scale.letter(n) for n in range(room))
    least, most = (scale.at(judged.value + far * judged.u) for far in (-2, 2))
    place = scale.place()
    mark = "".join("^" if n == place else "~" if least <= n <= most else " " for n in range(room))
    lines = [f"{wording.on_band(title, judged)}.", f"  {row}", f"  {mark.rstrip()}"]
    return [*lines, *(f"  {line}" for line in wording.band_legend(judged))]


class _Scale:
    """The cells of a picture of one reading, and what lies in each."""

    def __init__(self, judged: Judged, room: int) -> None:
        self._judged = judged
        spread = 2 * judged.u
        edges = [e for e in (judged.low, judged.high) if e is not None]
        marks = [*edges, judged.value - spread, judged.value + spread]
        wide = max(marks) - min(marks) or abs(judged.value) or 1.0
        self._start = min(marks) - _ROOM * wide
        self._step = wide * (1 + 2 * _ROOM) / (room - 1)
        self._band = self._cells(judged.low, judged.high, room)
        self._aim = self._cells(*judged.target, room) if judged.target else range(0)

    def at(self, value: float) -> int:
        """The cell of a value."""
        return round((value - self._start) / self._step)

    def letter(self, cell: int) -> str:
        """What is shown in a cell."""
        if cell in self._aim:
            return "#"
        return "=" if cell in self._band else "."

    def place(self) -> int:
        """The cell of the reading; never one of the band when it lies outside, however near."""
        judged = self._judged
        place = self.at(judged.value)
        if judged.high is not None and judged.value > judged.high:
            return max(place, self._band.stop)
        if judged.low is not None and judged.value < judged.low:
            return min(place, self._band.start - 1)
        return place

    def _cells(self, low: float | None, high: float | None, room: int) -> range:
        return range(
            0 if low is None else self.at(low), room if high is None else self.at(high) + 1
        )


def drawing(title: str, judged: Judged) -> str:
    """The reading on its band as SVG."""
    from diagnose.measuring.drawing import draw_one
    from diagnose.measuring.shown import Known, Limits, OnBand

    limits = [Limits(wording.BAND, judged.low, judged.high)]
    if judged.target:
        limits.append(Limits(wording.AIM, *judged.target))
    values = (Known(wording.READING, judged.value, 2 * judged.u),)
    picture = OnBand(title, judged.unit, values, tuple(limits))
    return draw_one(picture, title, wording.on_band(title, judged), (judged.unit,))

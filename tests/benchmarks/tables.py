"""The one form all benchmark tables are printed in."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from statistics import median
from typing import Any, NamedTuple


class Table(NamedTuple):
    """What was measured, one row a way of doing it; the first column names the way."""

    title: str
    columns: tuple[str, ...]
    rows: list[tuple[Any, ...]]

    def figure(self, row: str, column: str) -> float:
        """One figure by the names of its row and column."""
        place = self.columns.index(column)
        return next(float(r[place]) for r in self.rows if r[0] == row)

    def __str__(self) -> str:
        cells = [self.columns, *([_text(cell) for cell in row] for row in self.rows)]
        widths = [max(len(row[n]) for row in cells) for n in range(len(self.columns))]
        lines = ["  ".join(c.ljust(w) for c, w in zip(r, widths, strict=True)) for r in cells]
        return "\n".join([self.title, *(line.rstrip() for line in lines)])


def _text(cell: Any) -> str:
    if not isinstance(cell, float):
        return str(cell)
    return f"{cell:.2e}" if 0 < abs(cell) < 1e-3 else f"{cell:.4f}" if cell < 10 else f"{cell:.1f}"


def milliseconds(
    work: Callable[[], Any], times: int = 5, clock: Callable[[], float] = time.process_time
) -> float:
    """The middle of several runs, in ms of the processor: others on the machine count little."""
    spent = []
    for _ in range(times):
        start = clock()
        work()
        spent.append((clock() - start) * 1e3)
    return median(spent)


def share(values: Sequence[float], part: float) -> float:
    """The value below which this part of the values lies."""
    return sorted(values)[min(int(part * len(values)), len(values) - 1)]

"""How far a long run is and how long it will still take, on one line of a terminal's stderr.

Nothing is written where stderr is no terminal, or one that can't go back to the line's start.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from typing import TextIO, TypeVar

from diagnose.cli.output import columns

T = TypeVar("T")
_CELLS = 20
_LEAST_WAIT = 0.1  # seconds between two drawings: a terminal far away is slow
_LEAST_DONE = 3  # before that, nobody knows how long it takes


class Progress:
    """Counts what is done of `total` things called `what`."""

    def __init__(
        self,
        total: int,
        what: str,
        target: TextIO | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.total, self.what, self.done = total, what, 0
        self._target, self._clock = target or sys.stderr, clock
        self._begun, self._drawn = clock(), float("-inf")
        self._shown = self._target.isatty() and os.environ.get("TERM") != "dumb"

    def step(self) -> None:
        """One more is done."""
        self.done += 1
        now = self._clock()
        if self._shown and (now - self._drawn >= _LEAST_WAIT or self.done == self.total):
            self._drawn = now
            self._write(self.line(now - self._begun))

    def over(self) -> None:
        """Leave the line clean for what comes."""
        if self._shown and self.done:
            self._write("")
            self._target.write("\r")
            self._target.flush()

    def line(self, seconds: float) -> str:
        """The line after so many seconds."""
        full = _CELLS * self.done // max(self.total, 1)
        line = f"[{'#' * full}{'.' * (_CELLS - full)}] {self.done} of {self.total} {self.what}"
        if _LEAST_DONE <= self.done < self.total:
            line += f", {duration(seconds * (self.total - self.done) / self.done)} left"
        return line

    def _write(self, line: str) -> None:
        wide = columns() - 1
        self._target.write("\r" + line[:wide].ljust(wide))
        self._target.flush()


def counted(things: Iterable[T], total: int, what: str) -> Iterator[T]:
    """The things as they come, each counted when the next is wanted."""
    progress = Progress(total, what)
    try:
        for thing in things:
            yield thing
            progress.step()
    finally:
        progress.over()


def duration(seconds: float) -> str:
    """A time to wait, in words of the size that matters."""
    if seconds < 90:
        return f"about {max(round(seconds), 1)} s"
    return f"about {round(seconds / 60)} min" if seconds < 5400 else f"about {seconds / 3600:.1f} h"

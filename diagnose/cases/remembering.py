"""Assessments of one workbench, remembered by the log they were made from.

An assessment depends on the statements that stand and on the workbench, and on nothing else; so a
log that is looked at again, as every step of an exercise is when it is judged, is worked out once.
"""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.cases.assess import Assessment, Workbench
from diagnose.cases.log import Statement

_MOST_KEPT = 128


class Remembering:
    """The assessments of a workbench last asked for, by the statements that stood."""

    def __init__(self, bench: Workbench) -> None:
        self.bench = bench
        self._kept: dict[tuple[Statement, ...], Assessment] = {}

    def assess(self, statements: Iterable[Statement]) -> Assessment:
        """The same as `Workbench.assess`."""
        log = tuple(statements)
        found = self._kept.pop(log, None) or self.bench.assess(log)
        self._kept[log] = found  # last: the one used longest ago stands first
        if len(self._kept) > _MOST_KEPT:
            del self._kept[next(iter(self._kept))]
        return found

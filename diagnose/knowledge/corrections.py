"""How a reading is put right, as plain frozen records: the sums of the bench and their values."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from diagnose.named import Named

Take = Literal["reading", "doubt", "low", "high", "aim", "sheet_low", "sheet_high"]


class Filled(Named):
    """Where one value of a sum comes from; what comes first and is known counts.

    `take` is of the reading to be corrected: its value, its give-or-take, the ends of its target or
    their middle; `sheet_low` and `sheet_high` only where the engine sheet has them, for a reading
    whose usual band is far wider than what one engine asks for.
    `finding` is another reading of the case, `size` one of the engine sheet, `values` the usual
    ones with `unit` and `source`. Where none is known and there is an `ask`, the sum can't be
    worked out before that was measured; without one it is left out.
    """

    take: Take | None = None
    finding: str | None = None
    size: str | None = None
    values: tuple[float, ...] = ()
    unit: str = ""
    source: str | None = None
    ask: str | None = None


STANDING: Mapping[str, Filled] = {
    "measured": Filled(take="reading"),
    "measured-doubt": Filled(take="doubt"),
    "target-low": Filled(take="low"),
    "target-high": Filled(take="high"),
}
"""What is filled in without being written out, where the sum has such a value."""


class Way(Named):
    """One way to put a reading right: a sum of the bench and where its values come from."""

    title: str
    sum: str
    fill: Mapping[str, Filled]


class Correction(Named):
    """How a reading is put right, by the sums of the bench; a cause names it in `work_out`."""

    id: str
    reading: str
    ways: tuple[Way, ...]

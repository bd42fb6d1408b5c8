"""What a sum hands over to be drawn, as data; how it is drawn is settled elsewhere.

All sizes of one record are in the unit it names.
"""

from __future__ import annotations

from diagnose.named import Named


class Limits(Named):
    """What a value is held against: a range, open where an end is None; a line if both are one."""

    name: str
    low: float | None
    high: float | None


class Known(Named):
    """One size, how far it may be wrong either way, and how much it may be less beside that."""

    name: str
    size: float
    u: float = 0.0
    less: float = 0.0

    @property
    def least(self) -> float:
        """The least it may be."""
        return self.size - self.u - self.less

    @property
    def most(self) -> float:
        """The most it may be."""
        return self.size + self.u


class OnBand(Named):
    """Values with their give-or-take on the limits they are judged by."""

    title: str
    unit: str
    values: tuple[Known, ...]
    limits: tuple[Limits, ...]


class InSection(Named):
    """A stack along the shaft: what opens the gap, what closes it, and the play it makes."""

    unit: str
    opens: tuple[Known, ...]
    closes: tuple[Known, ...]
    play: Known


class OverHeads(Named):
    """Bolt heads against the gear or its bearing: how far each stands proud, and the room there."""

    unit: str
    heads: tuple[Known, ...]
    stack: float
    recess: float
    end_play: float


class BandWalk(Named):
    """How far the contact of a gear mesh wanders along one gear, and how far that turns it."""

    gear: str
    other: str
    unit: str
    walk: Known
    turn: Known


class BandHeight(Named):
    """Where the wear band lies on the upright distributor gear; `band` is None if not measured.

    `shim` is what to put under its flange (below zero: take out).
    """

    unit: str
    above: float
    below: float
    band: float | None
    shim: Known


Picture = OnBand | InSection | OverHeads | BandWalk | BandHeight

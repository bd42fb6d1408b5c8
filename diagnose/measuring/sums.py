"""Which module works out which sum of the bench; only the one that is wanted is loaded."""

from __future__ import annotations

from importlib import import_module

from diagnose.measuring.worked import Calculation, Worked

_MODULES = {
    "readings": ("readings",),
    "judging": ("end-play",),
    "stack": ("stack",),
    "fitting": ("part-to-fit",),
    "bolt_heads": ("bolt-head",),
    "gear_drive": ("spark-shift", "cam-timing-shift", "pump-thrust"),
    "gear_mesh": ("backlash", "gear-height"),
    "chain": ("chain", "chain-midspan", "chain-cam-play", "chain-rocking"),
    "clamp": ("clamp", "bolt-reach"),
    "beats": ("beats",),
    "fuel_pump": ("fuel-pump",),
    "cam_timing": ("centreline", "top-dead-centre"),
    "cam_teeth": ("tooth",),
    "adjusting": ("adjuster", "angle-to-set"),
    "lifters": ("preload", "pushrod-length", "lash"),
    "oil": ("oil-pressure",),
    "cylinders": ("compression-test", "leak-down"),
    "lobes": ("lobe-lift",),
}
SUMS = {
    name: f"diagnose.measuring.{module}" for module, names in _MODULES.items() for name in names
}


def calculation(name: str) -> Calculation:
    """The sum of this name; KeyError for another."""
    found: tuple[Calculation, ...] = import_module(SUMS[name]).CALCULATIONS
    return next(c for c in found if c.name == name)


def as_dict(worked: Worked) -> dict[str, object]:
    """A sum worked out as plain data; what can be drawn of it is in the figures too."""
    plain = {**worked._asdict(), "figures": [f._asdict() for f in worked.figures]}
    del plain["shows"]
    return plain

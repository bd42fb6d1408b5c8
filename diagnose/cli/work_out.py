"""The command `work-out`: one sum of the measuring bench by itself, from values or a table."""

from __future__ import annotations

import argparse
import json
import sys
from importlib import import_module

from diagnose.knowledge.problems import DiagnoseError
from diagnose.measuring.given import read_table, read_values
from diagnose.measuring.units import read_unit
from diagnose.measuring.worked import Calculation, Input, Refused, Worked

# Which module works out which sum: only that one is loaded.
_MODULES = {
    "readings": ("readings",),
    "judging": ("end-play",),
    "stack": ("stack",),
    "bolt_heads": ("bolt-head",),
    "gear_drive": ("spark-shift", "cam-timing-shift", "pump-thrust", "backlash", "gear-height"),
    "chain": ("chain", "chain-midspan", "chain-cam-play", "chain-rocking"),
    "clamp": ("clamp", "bolt-reach"),
    "beats": ("beats",),
    "fuel_pump": ("fuel-pump",),
    "cam_timing": ("centreline", "top-dead-centre", "tooth"),
    "lifters": ("preload", "pushrod-length", "lash"),
    "oil": ("oil-pressure",),
    "cylinders": ("compression-test", "leak-down"),
    "lobes": ("lobe-lift",),
}
SUMS = {
    name: f"diagnose.measuring.{module}" for module, names in _MODULES.items() for name in names
}


class NoSuchSum(DiagnoseError):
    """The name of a sum, or of a value of it, that is not known; or a value that can't be used."""


def run(given: argparse.Namespace) -> int:
    """List the sums, tell what one asks for, or work it out."""
    from diagnose.dialogue import sums

    if given.what is None:
        lines = list(sums.by_name([find(name) for name in SUMS]))
    elif not given.values:
        lines = sums.asked_lines(find(given.what))
    else:
        calculation = find(given.what)
        worked = _work(calculation, dict(map(_parted, given.values)))
        if given.json:
            print(json.dumps(as_dict(worked), ensure_ascii=False))
            return 0
        lines = sums.worked_lines(worked, _units(given.values))
    print("\n".join(lines))
    return 0


def find(name: str) -> Calculation:
    """The sum of this name."""
    if name not in SUMS:
        known = ", ".join(SUMS)
        raise NoSuchSum(f"no sum is called '{name}'; there are: {known}")
    calculations: tuple[Calculation, ...] = import_module(SUMS[name]).CALCULATIONS
    return next(c for c in calculations if c.name == name)


def as_dict(worked: Worked) -> dict[str, object]:
    """A sum worked out as plain data."""
    return {**worked._asdict(), "figures": [f._asdict() for f in worked.figures]}


def _work(calculation: Calculation, given: dict[str, str]) -> Worked:
    inputs = {i.name: i for i in calculation.inputs}
    strange = next((name for name in given if name not in inputs), None)
    if strange is not None:
        asked = ", ".join(inputs)
        raise NoSuchSum(f"{calculation.name} asks for no '{strange}'; it asks for: {asked}")
    try:
        return calculation.work({name: _values(text, inputs[name]) for name, text in given.items()})
    except Refused as fault:
        raise NoSuchSum(f"{calculation.name}: {fault}") from fault


def _values(text: str, wanted: Input) -> tuple[float, ...]:
    if not text.startswith("@"):
        return read_values(text, wanted)
    if text == "@-":
        return read_table(sys.stdin, wanted)
    try:
        with open(text[1:], encoding="utf-8-sig") as table:
            return read_table(table.read().splitlines(), wanted)
    except (OSError, UnicodeDecodeError) as fault:
        raise Refused(f"{wanted.name}: can't read {text[1:]}: {fault}") from fault


def _parted(word: str) -> tuple[str, str]:
    name, mark, text = word.partition("=")
    if not mark or not name:
        raise NoSuchSum(f"'{word}' is no value; write NAME=VALUE, such as reading=\"5 thou\"")
    return name.strip(), text.strip()


def _units(values: list[str]) -> list[str]:
    """The units the person wrote, in order: their own system is shown first."""
    words = [w.strip("0123456789.,/+-") for v in values for w in v.partition("=")[2].split()]
    return [unit for w in words if (unit := read_unit(w, None))]

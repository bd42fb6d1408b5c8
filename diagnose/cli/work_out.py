"""The command `work-out`: one sum of the measuring bench by itself, from values or a table."""

from __future__ import annotations

import argparse
import sys

from diagnose.knowledge.problems import DiagnoseError
from diagnose.measuring.given import read_values, unit_named
from diagnose.measuring.sums import SUMS, as_dict, calculation
from diagnose.measuring.worked import Calculation, Input, Refused, Worked


class NoSuchSum(DiagnoseError):
    """The name of a sum, or of a value of it, that is not known; or a value that can't be used."""


def run(given: argparse.Namespace) -> int:
    """List the sums, tell what one asks for, or work it out."""
    from diagnose.dialogue import sums

    if given.draw and not given.values:
        raise NoSuchSum("there is nothing to draw yet; give the sum and its values with --draw")
    if not given.values and given.json:
        _json_of(list(SUMS) if given.what is None else [given.what])
        return 0
    if given.what is None:
        lines = list(sums.by_name([find(name) for name in SUMS]))
    elif not given.values:
        lines = sums.asked_lines(find(given.what))
    else:
        wanted = find(given.what)
        texts = _texts(given.values)
        worked, first = _work(wanted, texts), _units(wanted, texts)
        lines = list(sums.worked_lines(worked, first))
        if given.json:
            import json

            lines = [json.dumps(as_dict(worked), ensure_ascii=False)]
        if given.draw:
            print("\n".join(lines))
            _save_drawing(worked, first, given.draw)
            return 0
    print("\n".join(lines))
    return 0


def _json_of(names: list[str]) -> None:
    """What these sums are and ask for, one JSON line each."""
    from diagnose.cli.output import json_line

    for one in map(find, names):
        inputs = [i._asdict() for i in one.inputs]
        json_line({"name": one.name, "title": one.title, "inputs": inputs})


def _save_drawing(worked: Worked, first: list[str], file: str) -> None:
    """Save the drawing; the result is on the screen by then, whatever comes of it."""
    from diagnose.measuring.drawing import draw

    try:
        drawn = draw(worked, first)
    except Refused as fault:
        raise NoSuchSum(f"no drawing: {fault}") from fault
    try:
        with open(file, "w", encoding="utf-8") as out:
            out.write(drawn)
    except OSError as fault:
        raise NoSuchSum(f"can't write the drawing to '{file}': {fault.strerror}") from fault


def find(name: str) -> Calculation:
    """The sum of this name."""
    if name not in SUMS:
        known = ", ".join(SUMS)
        raise NoSuchSum(f"no sum is called '{name}'; there are: {known}")
    return calculation(name)


def _work(wanted: Calculation, given: dict[str, str | list[str]]) -> Worked:
    inputs = {i.name: i for i in wanted.inputs}
    strange = next((name for name in given if name not in inputs), None)
    if strange is not None:
        asked = ", ".join(inputs)
        raise NoSuchSum(f"{wanted.name} asks for no '{strange}'; it asks for: {asked}")
    try:
        return wanted.work({name: _values(text, inputs[name]) for name, text in given.items()})
    except Refused as fault:
        raise NoSuchSum(f"{wanted.name}: {fault}") from fault


def _values(text: str | list[str], wanted: Input) -> tuple[float, ...]:
    if isinstance(text, str):
        return read_values(text, wanted)
    from diagnose.measuring.table import read_table

    return read_table(text, wanted)


def _texts(words: list[str]) -> dict[str, str | list[str]]:
    texts: dict[str, str | list[str]] = {}
    for name, text in map(_parted, words):
        if name in texts:
            raise NoSuchSum(f'{name} is given twice; write several readings as one: "4 5 thou"')
        texts[name] = _text(text)
    return texts


def _text(text: str) -> str | list[str]:
    """What was typed for a value; the lines of the table where a file is named."""
    if not text.startswith("@"):
        return text
    if text == "@-":
        return sys.stdin.read().splitlines()
    try:
        with open(text[1:], encoding="utf-8-sig") as table:
            return table.read().splitlines()
    except OSError as fault:
        raise NoSuchSum(f"can't read {text[1:]}: {fault.strerror}; give a table") from fault
    except UnicodeDecodeError as fault:
        raise NoSuchSum(f"can't read {text[1:]}: it is no text; save it as CSV in UTF-8") from fault


def _parted(word: str) -> tuple[str, str]:
    name, mark, text = word.partition("=")
    if not mark or not name:
        raise NoSuchSum(f"'{word}' is no value; write NAME=VALUE, such as reading=\"5 thou\"")
    return name.strip().replace("_", "-"), text.strip()


def _units(wanted: Calculation, texts: dict[str, str | list[str]]) -> list[str]:
    """The units the person wrote, in order: their own system is shown first."""
    asked = {i.name: i for i in wanted.inputs if i.dimension}
    named = [
        unit_named(text if isinstance(text, str) else "\n".join(text), asked[name])
        for name, text in texts.items()
        if name in asked
    ]
    return [unit for unit in named if unit]

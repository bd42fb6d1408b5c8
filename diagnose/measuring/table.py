"""Readings in a table: which column holds them, and which of its cells can't be honestly read.

Takes commas, semicolons (then with decimal commas) or tabs between columns, headings, blank lines
and blank cells. What is no number, or could be read two ways, is refused with its line.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from diagnose.measuring.given import (
    MOST_VALUES,
    example,
    has_number,
    number_and_unit,
    one_unit,
    read_values,
)
from diagnose.measuring.units import read_unit
from diagnose.measuring.worked import Input, Refused
from diagnose.named import Named

_WHOLE = re.compile(r"\s*[-+]?\d+\s*[^\d\s.,]*\s*")
_COUNTED = 3  # lines from which 1, 2, 3 ... in front are taken for the number of the reading


class _Row(Named):
    line: int
    cells: list[str]


def read_table(lines: Iterable[str], wanted: Input) -> tuple[float, ...]:
    """The values of the column of readings; a heading may name the unit. Raises `Refused`."""
    rows = _rows(lines)
    first = next((i for i, row in enumerate(rows) if any(map(has_number, row.cells))), None)
    if first is None:
        raise Refused(f"the table has no number for {wanted.name}; one value a line is expected")
    head, body = rows[:first], rows[first:]
    column = _column(head, body[0], wanted)
    found = [(r.line, r.cells[column].strip()) for r in body if len(r.cells) > column]
    found = [(line, cell) for line, cell in found if cell]  # an empty cell is no reading
    if not found:
        raise Refused(
            f"the table has no number for {wanted.name} in the column whose heading names its "
            f"unit, column {column + 1}; put the heading over the readings"
        )
    if len(found) > MOST_VALUES:
        raise Refused(f"{wanted.name} has {len(found)} values; {MOST_VALUES} are the most")
    for line, cell in found:
        _check_number(line, cell, wanted)
    return _values([cell for _, cell in found], _unit_of(head, column, wanted), wanted)


def _values(cells: Sequence[str], unit: str, wanted: Input) -> tuple[float, ...]:
    own = [number_and_unit(cell, wanted)[1] for cell in cells]
    one_unit((each or unit for each in own), wanted)
    values: list[float] = []
    for cell, each in zip(cells, own, strict=True):
        values += read_values(cell if each or not unit else f"{cell} {unit}", wanted)
    if len(values) > 1 and not wanted.many:
        raise Refused(f"{wanted.name} takes one value and the table has {len(values)}")
    return tuple(values)


def _rows(lines: Iterable[str]) -> list[_Row]:
    import csv  # only a table needs it

    texts = [(n, text) for n, text in enumerate(lines, start=1) if text.strip()]
    delimiter = next((mark for mark in ";\t" if any(mark in text for _, text in texts)), ",")
    try:  # line by line, so that a lone quote can't swallow the lines after it
        rows = [_Row(n, next(csv.reader([text], delimiter=delimiter))) for n, text in texts]
    except csv.Error as fault:
        raise Refused(f"the table can't be read: {fault}; one value a line is expected") from fault
    if delimiter == "," and _is_decimal_comma(rows):
        return [_Row(n, [text]) for n, text in texts]
    return rows


def _is_decimal_comma(rows: Sequence[_Row]) -> bool:
    """Whether the commas are those of figures, and no columns: one heading over two halves.

    Two whole numbers with a comma between can be either; without a heading that tells, or lines
    numbered in front, they are refused.
    """
    first = next((i for i, row in enumerate(rows) if any(map(has_number, row.cells))), len(rows))
    body = rows[first:]
    halves = [row for row in body if len(row.cells) == 2 and all(map(_WHOLE.fullmatch, row.cells))]
    if not halves or any(len(row.cells) > 2 for row in body):
        return False
    if first:
        return all(len(row.cells) == 1 for row in rows[:first])
    in_front = [row.cells[0].strip() for row in halves]
    counted = [str(n) for n in range(1, len(halves) + 1)]
    if len(halves) == len(body) >= _COUNTED and in_front == counted:
        return False
    if len(halves) == len(body) or any(len(row.cells) == 1 for row in body):
        line, cells = halves[0]
        raise Refused(
            f"line {line}: '{','.join(cells)}' can be one value or two; put a heading over each "
            "column, or a point in place of the comma"
        )
    return False


def _column(head: Sequence[_Row], first: _Row, wanted: Input) -> int:
    """The column whose heading names a unit of the value, else the last one with a number."""
    named = [
        i
        for row in head
        for i, cell in enumerate(row.cells)
        if wanted.dimension and _unit_in(cell, wanted)
    ]
    numbers = [i for i, cell in enumerate(first.cells) if has_number(cell)]
    return named[-1] if named else numbers[-1]


def _unit_of(head: Sequence[_Row], column: int, wanted: Input) -> str:
    own = [row.cells[column] for row in head if len(row.cells) > column]
    every = [" ".join(row.cells) for row in head]
    return next((u for text in [*own, *every] if (u := _unit_in(text, wanted))), "")


def _unit_in(heading: str, wanted: Input) -> str:
    words = re.findall(r"[^\s,;()\[\]]+", heading)
    return next((w for w in words if read_unit(w, wanted.dimension or None)), "")


def _check_number(line: int, cell: str, wanted: Input) -> None:
    if not has_number(cell):
        raise Refused(
            f"line {line}: '{cell[:40]}' is no number for {wanted.name}; give {example(wanted)}, "
            "or leave the cell empty"
        )

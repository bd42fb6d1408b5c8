"""What must hold for a correction and for the sizes of an engine sheet that its sums take.

The sums themselves say what they ask for, so a value no sum has, or one it can't do without, is
found here and not by the person at the bench.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.checks_known import unless_sourced
from diagnose.knowledge.corrections import STANDING, Correction, Filled, Way
from diagnose.knowledge.load import Book
from diagnose.knowledge.model import EngineSheet
from diagnose.knowledge.problems import Problem
from diagnose.measuring.sums import SUMS, calculation
from diagnose.measuring.units import dimension_of, read_unit
from diagnose.measuring.worked import Input

_ONE_VALUE = "this takes one value"
_NOT_A_READING = "a reading is expected"


def correction_problems(book: Book) -> Iterator[Problem]:
    """Everything wrong with the corrections of the rule base, and causes that name none of them."""
    known = book.table("corrections")
    for key, cause in book.table("causes").items():
        if cause.work_out is not None and cause.work_out not in known:
            place = book.place("causes", key, "work_out")
            yield Problem("unknown_word", place, (cause.work_out, ", ".join(known)))
    for key, correction in known.items():
        yield from _reading(book, key, correction.reading, "reading")
        for i, way in enumerate(correction.ways):
            yield from _way(book, correction, way, i)


def size_problems(book: Book, sheet: EngineSheet) -> Iterator[Problem]:
    """Sizes of a sheet that no correction takes, or in a unit of something else."""
    taken = _sizes(book)
    for i, size in enumerate(sheet.sizes):
        at = ("engines", sheet.id, "sizes", i)
        place = book.place(*at)
        if size.name not in taken:
            yield Problem("unknown_word", place, (size.name, ", ".join(sorted(taken))))
        elif not size.values:
            yield Problem("missing_key", place, ("values",))
        else:
            yield from _fits(book, taken[size.name], (size.values, size.unit), *at)
        yield from unless_sourced(book, size.source, *at)


def _sizes(book: Book) -> dict[str, Input]:
    """Every size that a correction takes, with the value of the sum it goes to."""
    out: dict[str, Input] = {}
    for correction in book.table("corrections").values():
        for way in correction.ways:
            asked = {i.name: i for i in calculation(way.sum).inputs} if way.sum in SUMS else {}
            for name, fill in way.fill.items():
                if fill.size is not None and name in asked:
                    out[fill.size] = asked[name]
    return out


def _way(book: Book, correction: Correction, way: Way, i: int) -> Iterator[Problem]:
    at = ("corrections", correction.id, "ways", i)
    if way.sum not in SUMS:
        yield Problem("unknown_word", book.place(*at, "sum"), (way.sum, ", ".join(SUMS)))
        return
    asked = {each.name: each for each in calculation(way.sum).inputs}
    for name, fill in way.fill.items():
        if name not in asked:
            place = book.place(*at, "fill", name)
            yield Problem("unknown_word", place, (name, ", ".join(asked)))
        else:
            yield from _fill(book, asked[name], fill, *at, "fill", name)
    for name, each in asked.items():
        if not (name in way.fill or name in STANDING or each.optional or each.usual is not None):
            yield Problem("missing_key", book.place(*at, "fill"), (name,))


def _fill(book: Book, asked: Input, fill: Filled, *at: str | int) -> Iterator[Problem]:
    place = book.place(str(at[0]), str(at[1]), *at[2:])
    if fill.finding is not None:
        yield from _reading(book, str(at[1]), fill.finding, *at[2:], "finding")
    if fill.values:
        yield from _fits(book, asked, (fill.values, fill.unit), *at)
        if fill.source is None:
            yield Problem("missing_key", place, ("source",))
        else:
            yield from unless_sourced(book, fill.source, *at)
    known = fill.take or fill.finding or fill.size or fill.values or fill.ask
    if not known:
        yield Problem("missing_key", place, ("take",))


def _fits(
    book: Book, asked: Input, given: tuple[tuple[float, ...], str], *at: str | int
) -> Iterator[Problem]:
    """Whether values and unit are such as the sum asks for."""
    values, unit = given
    place = book.place(str(at[0]), str(at[1]), *at[2:])
    found = dimension_of(unit) if unit and read_unit(unit, asked.dimension or None) else ""
    if (found if unit else "") != asked.dimension or (unit and not found):
        yield Problem("unit_of_other_kind", place, (unit, asked.dimension or "a plain number"))
    if len(values) > 1 and not asked.many:
        yield Problem("wrong_type", place, (f"{len(values)} values", _ONE_VALUE))


def _reading(book: Book, key: str, finding: str, *where: str | int) -> Iterator[Problem]:
    place = book.place("corrections", key, *where)
    record = book.table("findings").get(finding)
    if record is None:
        yield Problem("unknown_finding", place, (finding, "; add it or use another"))
    elif not record.is_reading:
        yield Problem("wrong_type", place, (finding, _NOT_A_READING))

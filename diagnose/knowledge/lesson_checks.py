"""What must hold for a lesson: it names what exists, and its answers lead to its faults."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.checks_known import unless_known, unless_sourced
from diagnose.knowledge.load import Book
from diagnose.knowledge.model import READING_STATES, Finding, Lesson
from diagnose.knowledge.problems import Problem
from diagnose.measuring.units import convert, dimension_of, read_unit

_NOT_BEHIND = "no cause of this lesson has it behind it"
_NOT_A_READING = "a figure with its unit is expected, such as 9 thou"
_NOT_CONFIRMED = "the fault shows in '{}', so the lesson could not be solved"
_NO_SHEET = "no engine sheet has this name"
_IMPOSSIBLE = "no such reading is possible"


def all_lesson_problems(book: Book) -> Iterator[Problem]:
    """The problems of every lesson in the rule base."""
    for key, lesson in book.table("lessons").items():
        place = book.place("lessons", key, "id")
        stem = place.file.rsplit("/", 1)[-1].removesuffix(".yaml")
        if stem != key:
            yield Problem("id_not_file_name", place, (key, stem))
        yield from lesson_problems(book, lesson)


def lesson_problems(book: Book, lesson: Lesson) -> Iterator[Problem]:
    """Everything that one lesson gets wrong."""
    yield from unless_sourced(book, lesson.source, "lessons", lesson.id, "source")
    named = (("causes", "faults"), ("findings", "moves"), ("access", "open"))
    for kind, name in named:
        for key in getattr(lesson, name):
            yield from unless_known(book, kind, key, "lessons", lesson.id, name)
    if lesson.sheet is not None and lesson.sheet not in book.table("engines"):
        yield _unusable(book, lesson, (lesson.sheet, _NO_SHEET), "sheet")
    for name in ("known", "answers", "put_right", "before", "misread"):
        for finding, value in getattr(lesson, name).items():
            yield from _value(book, lesson, name, (finding, value))
    yield from _faults(book, lesson)


def amount(text: str, dimension: str | None) -> tuple[float, str] | None:
    """ "9 thou" as a figure and its unit; None when it is no such reading."""
    figure, _, rest = text.strip().partition(" ")
    unit = read_unit(rest, dimension)
    try:
        value = float(figure)
    except ValueError:
        return None
    return (value, unit) if unit is not None and dimension_of(unit) == dimension else None


def _faults(book: Book, lesson: Lesson) -> Iterator[Problem]:
    if not lesson.faults:
        yield _unusable(book, lesson, ("faults", "at least one is expected"), "faults")
    causes = book.table("causes")
    behind = {b.cause for f in lesson.faults if f in causes for b in causes[f].behind_it}
    roots = [a for r in book.table("rules").values() for a in r.then if "root" in a]
    behind |= {str(a["root"]) for a in roots if a["of"] in lesson.faults}
    if lesson.root is not None and not (lesson.root in lesson.faults and lesson.root in behind):
        yield _unusable(book, lesson, (lesson.root, _NOT_BEHIND), "root")
    for fault in lesson.faults:
        if fault in causes:
            yield from _confirmed(book, lesson, causes[fault].confirm)


def _confirmed(book: Book, lesson: Lesson, confirm: tuple[str, str, str]) -> Iterator[Problem]:
    """An answer must not hide the one look that proves a fault."""
    finding, state, _ = confirm
    told = lesson.answers.get(finding)
    record = book.table("findings").get(finding)
    if told is None or record is None or record.is_reading or told == state:
        return
    shown = {c.confirm.state for c in book.table("causes").values() if c.id in lesson.faults}
    if told not in shown:
        problem = (told, _NOT_CONFIRMED.format(f"{finding} {state}"))
        yield _unusable(book, lesson, problem, "answers", finding)


def _value(book: Book, lesson: Lesson, name: str, told: tuple[str, str]) -> Iterator[Problem]:
    finding, value = told
    yield from unless_known(book, "findings", finding, "lessons", lesson.id, name, finding)
    record: Finding | None = book.table("findings").get(finding)
    if record is None:
        return
    if record.is_reading and value not in READING_STATES:
        yield from _figure(book, lesson, record, (name, value))
    elif not record.is_reading and value not in record.states:
        place = book.place("lessons", lesson.id, name, finding)
        yield Problem("unknown_state", place, (finding, value, ", ".join(record.states)))


def _figure(
    book: Book, lesson: Lesson, record: Finding, told: tuple[str, str]
) -> Iterator[Problem]:
    name, text = told
    found = amount(text, record.dimension)
    if found is None:
        yield _unusable(book, lesson, (text, _NOT_A_READING), name, record.id)
        return
    band = record.possible
    value = found[0] if band is None else convert(*found, band.unit)
    low, high = (None, None) if band is None else (band.low, band.high)
    if (low is not None and value < low) or (high is not None and value > high):
        yield _unusable(book, lesson, (text, _IMPOSSIBLE), name, record.id)


def _unusable(book: Book, lesson: Lesson, told: tuple[str, str], *where: str | int) -> Problem:
    return Problem("wrong_type", book.place("lessons", lesson.id, *where), told)

"""What must hold for the weights fitted to counted messages."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.checks_known import unless_known, unless_sourced
from diagnose.knowledge.load import Book
from diagnose.knowledge.model import Told
from diagnose.knowledge.problems import Problem

_MOST = 20.0  # e to the 20: odds of half a milliard are no weight of a word
_SOME = "one message or more, met or written, is expected"
_WANTED = f"a weight above 0, at most {_MOST:g}, is expected"


def told_problems(book: Book) -> Iterator[Problem]:
    """Weights of a cause or finding that is not there, without a source, or beyond all reason.

    Nor may they rest on no message at all, neither met nor written.
    """
    for key, told in book.table("told").items():
        yield from unless_known(book, "causes", key, "told", key, "id")
        yield from unless_sourced(book, told.source, "told", key, "source")
        if not told.messages + told.written:
            yield Problem("wrong_type", book.place("told", key, "messages"), ("0", _SOME))
        yield from _of_nothing(book, told)
        for table in ("words", "shown"):
            for name, weight in getattr(told, table).items():
                if not 0 < weight <= _MOST:
                    place = book.place("told", told.id, table, name)
                    yield Problem("wrong_type", place, (f"{weight:g}", _WANTED))


def _of_nothing(book: Book, told: Told) -> Iterator[Problem]:
    for name in told.shown:
        finding, _, state = name.partition(" ")
        known = book.table("findings").get(finding)
        where = ("told", told.id, "shown", name)
        if known is None:
            yield from unless_known(book, "findings", finding, *where)
        elif state not in known.states:
            wanted = f"one of {', '.join(known.states)} is expected"
            yield Problem("wrong_type", book.place(*where), (state, wanted))

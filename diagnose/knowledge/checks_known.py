"""Whether what one record names is there, and which name that is there comes nearest."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator

from diagnose.knowledge.load import Book
from diagnose.knowledge.model import WITHOUT_ADDRESS
from diagnose.knowledge.problems import Problem

_UNKNOWN = {
    "access": "unknown_access",
    "causes": "unknown_cause",
    "cautions": "unknown_caution",
    "findings": "unknown_finding",
    "sources": "unknown_source",
}


def unless_known(book: Book, kind: str, key: str, *where: str | int) -> Iterator[Problem]:
    """A problem when no record of this kind has this key; `where` is table, record and path."""
    if key not in book.table(kind):
        place = book.place(str(where[0]), str(where[1]), *where[2:])
        yield Problem(_UNKNOWN[kind], place, (key, nearest(key, book.table(kind))))


def unless_sourced(book: Book, key: str, *where: str | int) -> Iterator[Problem]:
    """A problem when a source is neither listed nor one of those without an address."""
    if key not in WITHOUT_ADDRESS:
        yield from unless_known(book, "sources", key, *where)


def nearest(key: str, known: Iterable[str]) -> str:
    """What to do about an unknown key: use the one that looks like it, or add it."""
    close = difflib.get_close_matches(key, list(known), n=1)
    return f"; did you mean '{close[0]}'?" if close else "; add it or use another"

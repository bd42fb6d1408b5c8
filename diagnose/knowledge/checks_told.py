"""What must hold for the words counted in messages."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.load import Book
from diagnose.knowledge.model import WITHOUT_ADDRESS, Told
from diagnose.knowledge.problems import Problem

_ADD_IT = "; add it or use another"


def told_problems(book: Book) -> Iterator[Problem]:
    """Counts of a cause that is not there, without a source, or of more than was counted."""
    for key, told in book.table("told").items():
        if key not in book.table("causes"):
            yield Problem("unknown_cause", book.place("told", key, "id"), (key, _ADD_IT))
        if told.source not in WITHOUT_ADDRESS and told.source not in book.table("sources"):
            place = book.place("told", key, "source")
            yield Problem("unknown_source", place, (told.source, _ADD_IT))
        yield from _too_many(book, told)


def _too_many(book: Book, told: Told) -> Iterator[Problem]:
    wanted = f"at most the {told.messages} messages counted are expected"
    for word, times in told.words.items():
        if times > told.messages:
            place = book.place("told", told.id, "words", word)
            yield Problem("wrong_type", place, (str(times), wanted))

"""What must hold for the words counted in messages."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.checks_known import unless_known, unless_sourced
from diagnose.knowledge.load import Book
from diagnose.knowledge.model import Told
from diagnose.knowledge.problems import Problem


def told_problems(book: Book) -> Iterator[Problem]:
    """Counts of a cause that is not there, without a source, or of more than was counted."""
    for key, told in book.table("told").items():
        yield from unless_known(book, "causes", key, "told", key, "id")
        yield from unless_sourced(book, told.source, "told", key, "source")
        yield from _too_many(book, told)


def _too_many(book: Book, told: Told) -> Iterator[Problem]:
    wanted = f"at most the {told.messages} messages counted are expected"
    for word, times in told.words.items():
        if times > told.messages:
            place = book.place("told", told.id, "words", word)
            yield Problem("wrong_type", place, (str(times), wanted))

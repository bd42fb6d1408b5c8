"""Everyday wordings that can't be made, or that two states share unawares."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.composing import Unfit, composed
from diagnose.knowledge.load import Book
from diagnose.knowledge.problems import Place, Problem

_Owner = tuple[str, str]


def problems_of_phrases(book: Book) -> Iterator[Problem]:
    """Wordings shared by two states, and patterns that are no patterns.

    What is written out stands before what is composed: there the pattern gives way.
    """
    first: dict[str, _Owner] = {}
    for key, finding in book.table("findings").items():
        for state, phrases in finding.phrases.items():
            for i, phrase in enumerate(phrases):
                place = book.place("findings", key, "phrases", state, i)
                yield from _shared(phrase, (key, state), first, place)
    written = frozenset(first)
    for key, finding in book.table("findings").items():
        for state, patterns in finding.composed.items():
            for i, pattern in enumerate(patterns):
                place = book.place("findings", key, "composed", state, i)
                try:
                    wordings = list(composed(pattern, book.words.word_classes))
                except Unfit as fault:
                    yield Problem("unknown_word", place, fault.args)
                    continue
                for text in wordings:
                    if _sorted(text) not in written:
                        yield from _shared(text, (key, state), first, place)


def _shared(text: str, own: _Owner, first: dict[str, _Owner], place: Place) -> Iterator[Problem]:
    owner = first.setdefault(_sorted(text), own)
    if owner != own:
        yield Problem("phrase_shared", place, (text, " ".join(owner), " ".join(own)))


def _sorted(text: str) -> str:
    return " ".join(sorted(text.lower().split()))

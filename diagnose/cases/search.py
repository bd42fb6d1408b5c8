"""Finding cases by words: by what the store offers, then by words that are near in spelling."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from sqlalchemy import Connection, bindparam, select, text

from diagnose.cases.entries import Head
from diagnose.cases.plain import words_of
from diagnose.cases.schema import cases
from diagnose.cases.store import Store

_CLOSE_ENOUGH = 70
_MOST_NEAR = 6
_QUERY = {
    "sqlite": "SELECT rowid FROM case_words WHERE case_words MATCH :q ORDER BY rowid DESC LIMIT :n",
    "postgresql": "SELECT rowid FROM case_words WHERE vector @@ CAST(:q AS tsquery)"
    " ORDER BY rowid DESC LIMIT :n",
}
_VOCABULARY = {  # words of about the length, from one word on and before another
    "sqlite": "SELECT term FROM case_vocabulary WHERE term >= :first AND term < :after"
    " AND length(term) BETWEEN :low AND :high",
    "postgresql": "SELECT word FROM ts_stat('SELECT vector FROM case_words')"
    ' WHERE word COLLATE "C" >= :first AND word COLLATE "C" < :after'
    " AND length(word) BETWEEN :low AND :high",
}
_NO_FIGURES = {"sqlite": " AND term NOT GLOB '*[0-9]*'", "postgresql": " AND word !~ '[0-9]'"}
_LAST = "\U0010ffff"


class Hits(NamedTuple):
    """The cases found, newest first; `instead` says which words stood for one nobody wrote."""

    heads: tuple[Head, ...]
    instead: tuple[tuple[str, tuple[str, ...]], ...] = ()


def search(store: Store, wanted: str, most: int = 20) -> Hits:
    """The cases that hold all the words, or the beginnings of words."""
    words = words_of(wanted)
    if not words:
        return Hits(())
    with store.reading() as db:
        groups: list[tuple[str, ...]] = [(word,) for word in words]
        found = _matching(db, groups, most)
        instead: list[tuple[str, tuple[str, ...]]] = []
        if not found:
            groups = [_forms(db, word, instead) for word in words]
            found = _matching(db, groups, most) if instead and all(groups) else []
        return Hits(tuple(_heads(db, found)), tuple(instead) if found else ())


def _forms(
    db: Connection, word: str, instead: list[tuple[str, tuple[str, ...]]]
) -> tuple[str, ...]:
    """The word itself where it is known, else those near it."""
    if _matching(db, [(word,)], 1):
        return (word,)
    near = _near(db, word)
    if near:
        instead.append((word, near))
    return near


def _near(db: Connection, word: str) -> tuple[str, ...]:
    """Words near in spelling: those with the same first letter, and only without them all others.

    Many words are numbers of jobs and plates; they are left out where no figure was typed.
    """
    after = chr(ord(word[0]) + 1)
    return _nearest(db, word, (word[0], after)) or _nearest(db, word, ("", _LAST))


def _nearest(db: Connection, word: str, between: tuple[str, str]) -> tuple[str, ...]:
    from rapidfuzz import fuzz, process

    room = max(1, len(word) // 3)
    figures = any(c.isdigit() for c in word)
    line = _VOCABULARY[db.dialect.name] + ("" if figures else _NO_FIGURES[db.dialect.name])
    wanted: dict[str, object] = {"low": len(word) - room, "high": len(word) + room}
    wanted |= {"first": between[0], "after": between[1]}
    known = db.execute(text(line), wanted).scalars().all()
    best = process.extract(
        word, known, scorer=fuzz.ratio, score_cutoff=_CLOSE_ENOUGH, limit=_MOST_NEAR
    )
    return tuple(term for term, _, _ in best)


def _matching(db: Connection, groups: Sequence[Sequence[str]], most: int) -> list[int]:
    """The numbers of cases that hold a word of each group; words are letters and figures only."""
    if db.dialect.name == "sqlite":
        query = " AND ".join("(" + " OR ".join(f'"{w}"*' for w in g) + ")" for g in groups)
    else:
        query = " & ".join("(" + " | ".join(f"'{w}':*" for w in g) + ")" for g in groups)
    line = text(_QUERY[db.dialect.name])
    return list(db.execute(line, {"q": query, "n": most}).scalars())


def _heads(db: Connection, numbers: Sequence[int]) -> list[Head]:
    query = select(cases).where(cases.c.number.in_(bindparam("some", expanding=True)))
    heads = [Head(**row) for row in db.execute(query, {"some": list(numbers)}).mappings()]
    return sorted(heads, key=lambda h: -h.number)

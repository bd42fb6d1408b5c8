"""Finding cases by words: by what the store offers, then by words that are near in spelling."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection, bindparam, select, text

from diagnose.cases.entries import Head
from diagnose.cases.plain import words_of
from diagnose.cases.schema import cases
from diagnose.cases.store import Store
from diagnose.named import Named

_CLOSE_ENOUGH = 70
_MOST_WEIGHED = 60
_MOST_NEAR = 6
_QUERY = {
    "sqlite": "SELECT rowid FROM case_words WHERE case_words MATCH :q ORDER BY rowid DESC LIMIT :n",
    "postgresql": "SELECT rowid FROM case_words WHERE vector @@ CAST(:q AS tsquery)"
    " ORDER BY rowid DESC LIMIT :n",
}
# Words of about the length with the same beginning or the same end. They are kept in a table of
# their own: the index of SQLite counts every place of a word before it tells the word.
_ALIKE = (
    "SELECT word FROM known_words WHERE {side} >= :part AND {side} < :after"
    " AND length(word) BETWEEN :low AND :high"
)
_KNOWN = "SELECT 1 FROM known_words WHERE word >= :part AND word < :after LIMIT 1"
_NO_FIGURES = {"sqlite": " AND word NOT GLOB '*[0-9]*'", "postgresql": " AND word !~ '[0-9]'"}


class Hits(Named):
    """The cases found, newest first; `instead` says which words stood for one nobody wrote."""

    heads: tuple[Head, ...]
    instead: tuple[tuple[str, tuple[str, ...]], ...] = ()


def search(store: Store, wanted: str, most: int = 20) -> Hits:
    """The cases that hold all the words, or the beginnings of words."""
    words = words_of(wanted)
    if not words:
        return Hits(())
    with store.reading() as db:
        instead: list[tuple[str, tuple[str, ...]]] = []
        groups = [_forms(db, word, instead) for word in words]
        found = _matching(db, groups, most) if all(groups) else []
        return Hits(tuple(_heads(db, found)), tuple(instead) if found else ())


def _forms(
    db: Connection, word: str, instead: list[tuple[str, tuple[str, ...]]]
) -> tuple[str, ...]:
    """The word itself where a word that begins so is known, else those near it."""
    if db.execute(text(_KNOWN), {"part": word, "after": _after(word)}).scalar():
        return (word,)
    near = _near(db, word)
    if near:
        instead.append((word, near))
    return near


def _after(part: str) -> str:
    """What comes first behind all words that begin so."""
    return part[:-1] + chr(ord(part[-1]) + 1)


def _near(db: Connection, word: str) -> tuple[str, ...]:
    """Words near in spelling: those that begin alike, and only without them those that end alike.

    Many words are numbers of jobs and plates: they are left out where no figure was typed, and
    where one was, more of them must be alike.
    """
    alike = len(word) // 3 or 1
    first, last = (alike, alike) if any(c.isdigit() for c in word) else (1, 2)
    backwards = word[::-1]
    return _nearest(db, word, "word", word[:first]) or _nearest(db, word, "back", backwards[:last])


def _nearest(db: Connection, word: str, side: str, part: str) -> tuple[str, ...]:
    from rapidfuzz import fuzz, process
    from rapidfuzz.distance import OSA

    room = max(1, len(word) // 3)
    figures = any(c.isdigit() for c in word)
    line = _ALIKE.format(side=side) + ("" if figures else _NO_FIGURES[db.dialect.name])
    wanted: dict[str, object] = {"low": len(word) - room, "high": len(word) + room}
    known = db.execute(text(line), {**wanted, "part": part, "after": _after(part)}).scalars().all()
    near = process.extract(
        word, known, scorer=fuzz.ratio, score_cutoff=_CLOSE_ENOUGH, limit=_MOST_WEIGHED
    )
    slips = {term: OSA.distance(word, term) for term, _, _ in near}  # two letters changed over: one
    fewest = min(slips.values(), default=0)
    return tuple(term for term, count in slips.items() if count == fewest)[:_MOST_NEAR]


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

"""Cases that were begun twice for one engine: finding them, and going on in one of them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from sqlalchemy import Connection, select

from diagnose.cases import schema
from diagnose.cases.entries import CLOSED, MERGED, Entry, Head, fold, search_words
from diagnose.cases.faults import StoreError
from diagnose.cases.log import Statement
from diagnose.cases.plain import words_of
from diagnose.cases.store import Store, numbered, write_entries, write_head
from diagnose.named import Named

DAYS = 14


class Twins(Named):
    """Two cases that seem to be one; `by` says in which fields they agree."""

    first: Head
    second: Head
    by: tuple[str, ...]


def twins(store: Store, days: float = DAYS) -> list[Twins]:
    """Pairs that agree in registration, in job number, or in caller and engine, begun in `days`."""
    c = schema.cases.c
    query = select(schema.cases).where(c.status.not_in((MERGED, CLOSED))).order_by(c.number)
    query = query.where((c.registration != "") | (c.job != "") | (c.caller != ""))
    with store.reading() as db:
        heads = [Head(**row) for row in db.execute(query).mappings()]
    return list(_pairs(heads, days))


def _pairs(heads: list[Head], days: float) -> Iterator[Twins]:
    first: dict[tuple[str, str], Head] = {}
    for head in heads:
        marks = dict(_marks(head))
        found = {first[m].number: first[m] for m in marks.items() if m in first}
        for other in list(found.values())[:1]:
            if _days_between(other, head) <= days:
                by = tuple(name for name, v in marks.items() if first.get((name, v)) == other)
                yield Twins(other, head, by)
        for mark in marks.items():
            first.setdefault(mark, head)


def _marks(head: Head) -> Iterator[tuple[str, str]]:
    """What two cases of one engine agree in, however it was typed."""
    for name in ("registration", "job"):
        if value := "".join(words_of(getattr(head, name))):
            yield name, value
    caller, engine = "".join(words_of(head.caller)), " ".join(words_of(head.engine))
    if caller and engine:
        yield "caller and engine", f"{caller}/{engine}"


def _days_between(one: Head, other: Head) -> float:
    return abs((_time(other.opened) - _time(one.opened)).total_seconds()) / 86400


def _time(at: str) -> datetime:
    return datetime.fromisoformat(at.replace("Z", "+00:00"))


def merge(store: Store, first: int, second: int, who: str = "") -> Head:
    """Go on in the first case with all that was said in the second, which stays to be read."""
    if first == second:
        raise StoreError(f"case {first} is already one case")
    with store.writing() as db:
        low, high = (store.locked(db, n) for n in sorted((first, second)))  # no two wait crosswise
        into, gone = (low, high) if first < second else (high, low)
        for head in (into, gone):
            if head.status == MERGED:
                raise StoreError(f"case {head.number} went on as case {head.merged_into} already")
        moved = [_moved(e, into) for e in schema.read_entries(db, gone.number)]
        end = Statement("merged", "", gone.turns, value=float(into.number))
        _write(db, gone, numbered([end], who, gone.last))
        return _write(db, into, moved)


def _moved(entry: Entry, into: Head) -> Entry:
    """An entry behind those of the other case; its turns are counted on, so that undo holds."""
    said, on = entry.statement, into.turns + 1
    said = said._replace(turn=said.turn + on)
    if said.kind == "undone":
        said = said._replace(value=(said.value or 0.0) + on)
    if said.kind in ("field", "closed", "handed_over"):  # the first case keeps its own head
        words = f"{said.name}: {said.text}".strip(": ")
        said = said._replace(kind="note", name="", text=words)
    return entry._replace(seq=entry.seq + into.last, statement=said)


def _write(db: Connection, head: Head, entries: list[Entry]) -> Head:
    write_entries(db, head.number, entries)
    after = fold(head, entries)
    write_head(db, after)
    schema.put_words(db, head.number, search_words(entries))
    return after

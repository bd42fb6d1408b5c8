"""Cases as JSON lines, to hand on or to keep: an export read into an empty store makes it equal.

The first line says what the file is; each further line is one case with all its entries. What
stands at the head of a case is not in it: it is folded from the entries again. What else a store
keeps (practice, the counts of other shops) is only written when everything is asked for.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from typing import Any, TextIO

from sqlalchemy import Connection, func, select, text

from diagnose.cases import beside, schema
from diagnose.cases.entries import ABOUT, Entry, Head, fold, search_words
from diagnose.cases.faults import StoreError
from diagnose.cases.log import KINDS, MORE_KINDS, Statement
from diagnose.cases.plain import MOST_TEXT, storable
from diagnose.cases.store import Store, new_head, write_entries, write_head
from diagnose.named import Named

_FORM = {"file": "cases of diagnose", "form": 1}
_FIELDS = {"number": (int,), "key": (str,), "entries": (list,)}
_MOST = 1e15  # no figure of an engine comes near it, and a case has no such number
_TYPES = {
    "kind": (str,),
    "name": (str,),
    "turn": (int,),
    "state": (str, type(None)),
    "value": (int, float, type(None)),
    "unit": (str, type(None)),
    "text": (str,),
    "low": (int, float, type(None)),
    "high": (int, float, type(None)),
    "bound": (str, type(None)),
}


class Taken(Named):
    """What became of the cases of a file: how many, and the numbers here of those that differ."""

    new: int = 0
    continued: int = 0
    known: int = 0
    differ: tuple[int, ...] = ()


def export(
    store: Store, target: TextIO, numbers: Sequence[int] = (), everything: bool = False
) -> int:
    """Write cases (all, if none is named) in the order of their numbers; how many."""
    print(json.dumps({**_FORM, "form": 2} if everything else _FORM), file=target)
    c = schema.cases.c
    query = select(c.number, c.key).order_by(c.number)
    count = 0
    with store.reading() as db:  # all as they stood at one moment
        for number, key in db.execute(query).all():
            if not numbers or number in numbers:
                entries = [_as_data(e) for e in schema.read_entries(db, number)]
                line = {"number": number, "key": key, "entries": entries}
                print(json.dumps(line, ensure_ascii=False), file=target)
                count += 1
        for row in beside.rows(db) if everything else ():
            print(json.dumps(row, ensure_ascii=False), file=target)
    return count


def _as_data(entry: Entry) -> dict[str, Any]:
    said = {k: v for k, v in entry.statement._asdict().items() if v is not None and v != ""}
    return {"who": entry.who, "at": entry.at, **said}


def read_in(store: Store, lines: Iterable[str]) -> Taken:
    """Take in the cases of an export, all or none; raises `StoreError` with the line at fault."""
    taken = Taken()
    with store.writing() as db:
        for case in _cases(lines):
            if isinstance(case, beside.Row):
                beside.put(db, case)
                continue
            key, number, entries = case
            taken = _take(db, taken, (key, number), entries)
        if db.dialect.name == "postgresql":  # numbers were given by hand
            line = "SELECT setval(pg_get_serial_sequence('cases', 'number'), :n)"
            last = db.execute(select(func.max(schema.cases.c.number))).scalar()
            if last:
                db.execute(text(line), {"n": last})
    return taken


def _take(db: Connection, taken: Taken, name: tuple[str, int], entries: Sequence[Entry]) -> Taken:
    key, number = name
    c = schema.cases.c
    row = db.execute(select(schema.cases).where(c.key == key)).mappings().one_or_none()
    if row is None:
        used = db.execute(select(c.number).where(c.number == number)).scalar()
        head = new_head(db, None if used else number, key)
        _grow(db, head, entries)
        return taken._replace(new=taken.new + 1)
    head = Head(**row)
    here = schema.read_entries(db, head.number)
    if list(entries[: len(here)]) != here[: len(entries)]:
        return taken._replace(differ=(*taken.differ, head.number))
    if len(entries) <= len(here):
        return taken._replace(known=taken.known + 1)
    _grow(db, head, entries[len(here) :])
    return taken._replace(continued=taken.continued + 1)


def _grow(db: Connection, head: Head, entries: Sequence[Entry]) -> None:
    write_entries(db, head.number, entries)
    write_head(db, fold(head, entries))
    schema.put_words(db, head.number, search_words(entries))


def _cases(lines: Iterable[str]) -> Iterator[tuple[str, int, list[Entry]] | beside.Row]:
    numbered = enumerate(lines, start=1)
    first = next(numbered, (1, ""))
    if _json(*first) not in (_FORM, {**_FORM, "form": 2}):
        raise _bad(1, f"an export begins with {json.dumps(_FORM)}")
    for place, line in numbered:
        if line.strip():
            data = _json(place, line)
            try:
                row = beside.row_of(data)
            except (ValueError, RecursionError) as fault:
                raise _bad(place, str(fault)) from fault
            yield row or _case(place, data)


def _json(place: int, line: str) -> Any:
    try:
        return json.loads(line)
    except (ValueError, RecursionError) as fault:
        raise _bad(place, f"it is not JSON ({fault})") from fault


def _case(place: int, data: Any) -> tuple[str, int, list[Entry]]:
    _hold(place, data, _FIELDS)
    if not data["entries"] or not 0 < data["number"] < 2**31:
        raise _bad(place, "a case has a number and at least one entry")
    entries = [_entry(place, seq, entry) for seq, entry in enumerate(data["entries"], 1)]
    return data["key"], data["number"], entries


def _entry(place: int, seq: int, data: Any) -> Entry:
    _hold(place, data, {"who": (str,), "at": (str,), "kind": (str,), "turn": (int,)})
    if data["kind"] not in (*KINDS, *MORE_KINDS, *ABOUT):
        raise _bad(place, f"entry {seq} is of the kind '{data['kind']}', which is not known")
    strange = next((k for k in data if k not in _TYPES and k not in ("who", "at")), None)
    if strange:
        raise _bad(place, f"entry {seq} has '{strange}', which no entry has")
    _hold(place, data, {k: v for k, v in _TYPES.items() if k in data})
    if not _is_time(data["at"]) or not 0 <= data["turn"] < 2**31:
        raise _bad(place, f"entry {seq} needs a time with its zone, and a turn from 0")
    if not all(abs(data.get(name) or 0) < _MOST for name in ("value", "low", "high")):
        raise _bad(place, f"entry {seq} has a figure beyond all reason")
    if len(data.get("text", "")) > MOST_TEXT:
        raise _bad(place, f"entry {seq} holds more than {MOST_TEXT} letters")
    values = {k: _clean(v) for k, v in data.items() if k in _TYPES}
    return Entry(seq, Statement(**{"name": "", **values}), storable(data["who"]), data["at"])


def _is_time(text: str) -> bool:
    try:
        return datetime.fromisoformat(text.replace("Z", "+00:00")).tzinfo is not None
    except ValueError:
        return False


def _clean(value: Any) -> Any:
    return storable(value) if isinstance(value, str) else value


def _hold(place: int, data: Any, types: dict[str, Any]) -> None:
    if not isinstance(data, dict):
        raise _bad(place, "a case and each of its entries is an object")
    for name, wanted in types.items():
        if not isinstance(data.get(name), wanted) or isinstance(data.get(name), bool):
            raise _bad(place, f"'{name}' is missing or of the wrong kind")


def _bad(place: int, why: str) -> StoreError:
    return StoreError(f"line {place}: {why}; nothing was taken in")

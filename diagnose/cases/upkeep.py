"""Looking after a store: proving it whole, copying it, bringing a copy back, forgetting a case."""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from itertools import groupby
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, RowMapping, Select, delete, select, text

from diagnose.cases import faults, schema
from diagnose.cases.entries import Entry, Head, fold
from diagnose.cases.store import Store

_NO_COPY = "{} is not there; name a file made by 'diagnose cases backup'"
_OWN_TOOLS = (
    "a shared database is copied by its own tools (pg_dump); 'diagnose cases export FILE' writes "
    "every case"
)


def check(store: Store) -> list[str]:
    """What is wrong in the store, a line each; nothing when it is whole."""
    with store.reading() as db:
        return list(_check(db))


def _check(db: Connection) -> Iterator[str]:
    if db.dialect.name == "sqlite":
        lines = db.execute(text("PRAGMA integrity_check")).scalars().all()
        yield from (f"the file: {line}" for line in lines if line != "ok")
    groups = groupby(_each(db, _ENTRIES), key=lambda row: row["case_number"])
    number, rows = next(groups, _NO_MORE)
    for row in _each(db, select(schema.cases).order_by(schema.cases.c.number)):
        head, entries = Head(**row), []
        while 0 < number < head.number:
            yield f"case {number}: is not there, but statements of it are"
            number, rows = next(groups, _NO_MORE)
        if number == head.number:
            entries = [schema.entry_of(one) for one in rows]
            number, rows = next(groups, _NO_MORE)
        yield from _check_case(head, entries)
    lost = "SELECT count(*) FROM cases WHERE number NOT IN (SELECT rowid FROM case_words)"
    if count := db.execute(text(lost)).scalar_one():
        yield f"{count} cases can't be found by words"
    for name in ("result FROM practice_results", "what FROM practice_begun"):
        kept = db.execute(text(f"SELECT {name}")).scalars()
        if count := sum(not _is_data(one) for one in kept):
            yield f"practice: {count} rows can't be read"


_ENTRIES = select(schema.statements).order_by(
    schema.statements.c.case_number, schema.statements.c.seq
)
_NO_MORE: tuple[int, Iterator[RowMapping]] = (0, iter(()))  # no case has the number 0


def _each(db: Connection, query: Select[Any]) -> Iterator[RowMapping]:
    """The rows one after the other, so that a big store needs no more memory than a small one."""
    return iter(db.execution_options(yield_per=2000).execute(query).mappings())


def _check_case(head: Head, entries: list[Entry]) -> Iterator[str]:
    if [e.seq for e in entries] != list(range(1, head.last + 1)):
        yield f"case {head.number}: has {len(entries)} statements, its head says {head.last}"
    elif fold(Head(head.number, head.key), entries) != head:
        yield f"case {head.number}: its head is not what its statements say"


def _is_data(kept: str) -> bool:
    try:
        return isinstance(json.loads(kept), dict)
    except ValueError:
        return False


def backup(store: Store, target: Path) -> None:
    """Copy the store, others may go on writing; the copy is whole or not there."""
    file = store.file
    if file is None:
        raise faults.StoreError(_OWN_TOOLS)
    if target.exists():
        raise faults.StoreError(f"{target} is there already; name a new file")
    part = target.with_name(f"{target.name}.part")
    try:
        os.close(os.open(part, os.O_CREAT | os.O_WRONLY, 0o600))  # for this user's eyes, as it is
        with closing(sqlite3.connect(file)) as source, closing(sqlite3.connect(part)) as copy:
            source.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")  # one file, nothing beside it
        part.replace(target)
    except (sqlite3.Error, OSError) as fault:
        with suppress(OSError):
            part.unlink()
        raise _fault(fault, target) from fault


def restore(store: Store, source: Path) -> Path:
    """Put a copy in place of what is in the store; gives the file the present was kept in."""
    file = store.file
    if file is None:
        raise faults.StoreError(_OWN_TOOLS)
    _prove(source)
    kept = free_path(file.with_name(f"{file.stem}-before-restore{file.suffix}"))
    backup(store, kept)
    store.close()
    try:
        with closing(sqlite3.connect(source)) as copy, closing(sqlite3.connect(file)) as target:
            target.execute("PRAGMA busy_timeout = 30000")
            copy.backup(target)
    except sqlite3.Error as fault:
        raise _fault(fault, file) from fault
    return kept


def _prove(source: Path) -> None:
    """Refuse a file that is no whole store of a form that is known."""
    if not source.is_file():
        raise faults.StoreError(_NO_COPY.format(source))
    try:
        with closing(sqlite3.connect(f"file:{source}?mode=ro", uri=True)) as copy:
            whole = copy.execute("PRAGMA integrity_check").fetchone()[0]
            version = copy.execute("SELECT version FROM store_form").fetchone()[0]
    except sqlite3.Error as fault:
        raise faults.told("damaged", where=source, why=fault) from fault
    if whole != "ok":
        raise faults.told("damaged", where=source, why=whole)
    if version > schema.VERSION:
        raise faults.told("newer", where=source, theirs=version, ours=schema.VERSION)


def free_path(path: Path) -> Path:
    """The path, or the first like it with a number that is not taken."""
    number, free = 1, path
    while free.exists():
        number += 1
        free = path.with_name(f"{path.stem}-{number}{path.suffix}")
    return free


def _fault(fault: Exception, where: Path) -> faults.StoreError:
    return faults.told(faults.code_of(str(fault), True), where=where, why=fault)


def forget(store: Store, number: int) -> None:
    """Remove a case for good: its rows, its words, and what they leave behind in the file."""
    with store.writing() as db:
        store.locked(db, number)
        if db.dialect.name == "sqlite":
            db.execute(text("PRAGMA secure_delete = ON"))
        words = db.execute(text("SELECT words FROM case_words WHERE rowid = :n"), {"n": number})
        gone = (words.scalar() or "").split()
        db.execute(text("DELETE FROM case_words WHERE rowid = :n"), {"n": number})
        schema.unlearn_words(db, gone)
        db.execute(delete(schema.statements).where(schema.statements.c.case_number == number))
        db.execute(delete(schema.cases).where(schema.cases.c.number == number))
        if db.dialect.name == "sqlite":  # the index of words keeps deleted ones until it is merged
            db.execute(text("INSERT INTO case_words (case_words) VALUES ('optimize')"))
    sweep(store)


def sweep(store: Store) -> None:
    """Give the room of deleted rows back, so that their bytes are gone."""
    if store.file is None:
        with store.told(), store.engine.connect() as plain:
            db = plain.execution_options(isolation_level="AUTOCOMMIT")
            db.execute(
                text(
                    "VACUUM FULL cases, statements, case_words, known_words,"
                    " practice_results, practice_begun"
                )
            )
        return
    store.close()
    try:
        with closing(sqlite3.connect(store.file, timeout=30, isolation_level=None)) as raw:
            raw.execute("VACUUM")
            raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    except sqlite3.Error as fault:
        raise _fault(fault, store.file) from fault

"""Looking after a store: proving it whole, copying it, bringing a copy back, forgetting a case."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from pathlib import Path

from sqlalchemy import Connection, delete, select, text

from diagnose.cases import faults, schema
from diagnose.cases.entries import Head, fold
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
    for row in db.execute(select(schema.cases).order_by(schema.cases.c.number)).mappings().all():
        head = Head(**row)
        entries = schema.read_entries(db, head.number)
        if [e.seq for e in entries] != list(range(1, head.last + 1)):
            yield f"case {head.number}: has {len(entries)} statements, its head says {head.last}"
        elif fold(Head(head.number, head.key), entries) != head:
            yield f"case {head.number}: its head is not what its statements say"
    lost = "SELECT count(*) FROM cases WHERE number NOT IN (SELECT rowid FROM case_words)"
    if count := db.execute(text(lost)).scalar_one():
        yield f"{count} cases can't be found by words"


def backup(store: Store, target: Path) -> None:
    """Copy the store, others may go on writing; the copy is whole or not there."""
    file = store.file
    if file is None:
        raise faults.StoreError(_OWN_TOOLS)
    if target.exists():
        raise faults.StoreError(f"{target} is there already; name a new file")
    part = target.with_name(f"{target.name}.part")
    try:
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
    kept = _free(file.with_name(f"{file.stem}-before-restore{file.suffix}"))
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


def _free(path: Path) -> Path:
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
        db.execute(text("DELETE FROM case_words WHERE rowid = :n"), {"n": number})
        db.execute(delete(schema.statements).where(schema.statements.c.case_number == number))
        db.execute(delete(schema.cases).where(schema.cases.c.number == number))
        if db.dialect.name == "sqlite":  # the index of words keeps deleted ones until it is merged
            db.execute(text("INSERT INTO case_words (case_words) VALUES ('optimize')"))
    _sweep(store)


def _sweep(store: Store) -> None:
    """Give the room of deleted rows back, so that their bytes are gone."""
    if store.file is None:
        with store.told(), store.engine.connect() as plain:
            db = plain.execution_options(isolation_level="AUTOCOMMIT")
            db.execute(text("VACUUM FULL cases, statements, case_words"))
        return
    store.close()
    try:
        with closing(sqlite3.connect(store.file, timeout=30, isolation_level=None)) as raw:
            raw.execute("VACUUM")
            raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    except sqlite3.Error as fault:
        raise _fault(fault, store.file) from fault

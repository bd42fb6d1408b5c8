"""The store of cases: entries are only ever added, each turn whole or not at all.

A file (SQLite) for one bench, a shared database (PostgreSQL) for several desks; the address alone
tells which. This module and its neighbours own SQLAlchemy; nothing else may import it.
"""

from __future__ import annotations

import os
import sqlite3
import time
import uuid
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, insert, select, text, update
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError

from diagnose.cases import faults, schema
from diagnose.cases.entries import CLOSED, MERGED, Entry, Head, fold, is_reasoned, search_words
from diagnose.cases.faults import StoreError
from diagnose.cases.log import Statement
from diagnose.cases.place import store_address
from diagnose.cases.plain import storable
from diagnose.named import Named

_PATIENCE, _A_MOMENT = 30, 0.01  # seconds to wait for another writer, and between two tries
_LOCK = 7_301_966  # any number; the key that two programs making the tables at once agree on


class Wanted(Named):
    """Which cases to list; what is left empty does not matter."""

    status: str = ""
    tag: str = ""
    owner: str = ""
    caller: str = ""
    since: str = ""
    until: str = ""


class Store:
    """A store that is open; every method is one transaction."""

    def __init__(self, engine: Engine, where: str) -> None:
        self.engine, self.where = engine, where

    @property
    def file(self) -> Path | None:
        """The file it lies in, if it lies in one."""
        name = self.engine.url.database
        return Path(name) if self.engine.dialect.name == "sqlite" and name else None

    def close(self) -> None:
        """Let go of the connections; the next use opens new ones."""
        self.engine.dispose()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """One transaction to read in."""
        with self.told(), self.engine.begin() as db:
            yield db

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """One transaction to write in; of a file there is one at a time."""
        with self.told(), self.engine.connect() as plain:
            db = plain.execution_options(writing=True)
            with db.begin():
                yield db

    @contextmanager
    def told(self) -> Iterator[None]:
        """Turn what the database complains of into one sentence with what to do."""
        try:
            yield
        except DBAPIError as fault:
            why = str(fault.orig).strip().splitlines()[0] if str(fault.orig).strip() else "no word"
            lost = fault.connection_invalidated or type(fault).__name__ in _LOST
            code = faults.code_of(why, self.file is not None)
            if self.file is None and not lost:
                code = "refused"
            raise faults.told(code, where=self.where, why=why) from fault

    def begin(self, statements: Sequence[Statement], who: str = "") -> Head:
        """A new case with its first statements."""
        with self.writing() as db:
            return self._add(db, new_head(db), numbered(statements, who))

    def append(
        self, number: int, statements: Sequence[Statement], who: str = "", seen: int | None = None
    ) -> Head:
        """Add statements to a case, all or none; the head of the case after it.

        With `seen`, the place up to which the writer has read, raises `StaleView` if somebody
        else wrote since.
        """
        with self.writing() as db:
            head = self.locked(db, number)
            if seen is not None and head.last != seen:
                raise faults.StaleView
            if head.status in (CLOSED, MERGED) and any(map(is_reasoned, statements)):
                raise faults.case_closed(number, head.status, head.merged_into)
            return self._add(db, head, numbered(statements, who, head.last))

    def entries(self, number: int, after: int = 0) -> list[Entry]:
        """The entries of a case from behind a place on."""
        with self.reading() as db:
            return schema.read_entries(db, number, after)

    def head(self, number: int) -> Head:
        """The head of a case; raises `NoSuchCase`."""
        with self.reading() as db:
            return _head(db, number, select(schema.cases))

    def listed(self, wanted: Wanted, most: int = 20) -> list[Head]:
        """The cases wanted, those last written in first."""
        c = schema.cases.c
        query = select(schema.cases).order_by(c.changed.desc(), c.number.desc()).limit(most)
        query = query.where(c.status == wanted.status if wanted.status else c.status != MERGED)
        for column, value in ((c.owner, wanted.owner), (c.caller, wanted.caller)):
            query = query.where(column == value) if value else query
        if wanted.tag:
            query = query.where(c.tags != "")  # few have any, and those stand in an index
            query = query.where((" " + c.tags + " ").contains(f" {wanted.tag} ", autoescape=True))
        query = query.where(c.changed >= wanted.since) if wanted.since else query
        query = query.where(c.opened < wanted.until) if wanted.until else query
        with self.reading() as db:
            return [Head(**row) for row in db.execute(query).mappings()]

    def locked(self, db: Connection, number: int) -> Head:
        """The head of a case that nobody else may add to before this transaction ends."""
        return _head(db, number, select(schema.cases).with_for_update())

    def _add(self, db: Connection, head: Head, entries: Sequence[Entry]) -> Head:
        write_entries(db, head.number, entries)
        after = fold(head, entries)
        write_head(db, after)
        words = search_words(entries)
        if words or not head.last:
            schema.put_words(db, head.number, words)
        return after


_LOST = ("OperationalError", "InterfaceError")


def open_store(address: str | None = None) -> Store:
    """Open the store, making it or bringing it to the present form; raises `StoreError`."""
    url = _url(address or store_address())
    where = url.database or "" if url.drivername == "sqlite" else url.render_as_string()
    if url.drivername == "sqlite":
        _make_place(Path(where))
    try:
        store = Store(create_engine(url, pool_pre_ping=url.drivername != "sqlite"), where)
    except ModuleNotFoundError as fault:
        raise faults.told("no_driver") from fault
    if url.drivername == "sqlite":
        event.listen(store.engine, "connect", _prepare)
        event.listen(store.engine, "begin", _begin)
    try:
        _bring_up(store)
    except StoreError:
        store.close()
        raise
    return store


def _url(address: str) -> URL:
    try:
        url = make_url(address)
        port = url.port  # an address may be read and still be of no use
        del port
    except (ArgumentError, ValueError, NoSuchModuleError) as fault:
        raise faults.told("address", where=address) from fault
    if url.drivername in ("postgres", "postgresql"):
        url = url.set(drivername="postgresql+psycopg")
    if url.drivername not in ("sqlite", "postgresql+psycopg") or not url.database:
        raise faults.told("address", where=url.render_as_string())
    if url.drivername != "sqlite" and "connect_timeout" not in url.query:
        url = url.update_query_dict({"connect_timeout": "10"})
    return url


def _make_place(file: Path) -> None:
    try:
        file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        if not file.exists():  # what callers told is for this user's eyes
            os.close(os.open(file, os.O_CREAT | os.O_WRONLY, 0o600))
    except OSError as fault:
        raise faults.told("no_place", where=file, why=fault.strerror) from fault


def _prepare(raw: Any, _record: object) -> None:
    """Each connection to a file: wait for other writers, and reach the disk before answering."""
    raw.isolation_level = None  # transactions begin as `_begin` says
    raw.execute(f"PRAGMA busy_timeout = {_PATIENCE * 1000}")
    _write_ahead(raw)
    raw.execute("PRAGMA synchronous = FULL")
    raw.execute("PRAGMA foreign_keys = ON")


def _write_ahead(raw: Any) -> None:
    """Let readers and a writer work side by side; the file remembers it.

    SQLite does not wait by itself where two open a new file at once: it calls the file locked.
    """
    until = time.monotonic() + _PATIENCE
    while True:
        try:
            raw.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError as fault:
            if "locked" not in str(fault) or time.monotonic() > until:
                raise
            time.sleep(_A_MOMENT)


def _begin(db: Connection) -> None:
    writes = db.get_execution_options().get("writing")
    db.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _bring_up(store: Store) -> None:
    with store.reading() as db:
        version = schema.version_of(db)
    if version > schema.VERSION:
        raise faults.told("newer", where=store.where, theirs=version, ours=schema.VERSION)
    if version < schema.VERSION:
        if version and store.file is not None:
            _copy_before(store, version)
        with store.writing() as db:
            if store.file is None:
                db.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _LOCK})
            schema.bring_up(db)


def _copy_before(store: Store, version: int) -> None:
    """A copy of a store in an older form, for the case that the change is regretted."""
    from diagnose.cases.upkeep import backup

    file = store.file
    assert file is not None
    copy = file.with_name(f"{file.stem}-form-{version}{file.suffix}")
    if not copy.exists():
        backup(store, copy)


def new_head(db: Connection, number: int | None = None, key: str | None = None) -> Head:
    """A case with nothing in it yet, under the next number or one that is free."""
    key = key or uuid.uuid4().hex
    values: dict[str, object] = {"key": key, "opened": "", "changed": "", "turns": 0, "last": 0}
    if number is not None:
        values["number"] = number
    made = db.execute(insert(schema.cases).values(**values))
    return Head(number=int((made.inserted_primary_key or (0,))[0]), key=key)


def write_entries(db: Connection, number: int, entries: Iterable[Entry]) -> None:
    """Write entries into a case."""
    rows = [
        {"case_number": number, "seq": e.seq, "who": e.who, "at": e.at, **e.statement._asdict()}
        for e in entries
    ]
    if rows:
        db.execute(insert(schema.statements), rows)


def write_head(db: Connection, head: Head) -> None:
    """Write what the entries of a case fold to."""
    values = head._asdict()
    db.execute(update(schema.cases).where(schema.cases.c.number == head.number).values(**values))


def numbered(statements: Iterable[Statement], who: str, last: int = 0) -> list[Entry]:
    """Statements as the entries that follow the last one, written now."""
    at = datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
    return [
        Entry(seq, said._replace(text=storable(said.text), name=storable(said.name)), who, at)
        for seq, said in enumerate(statements, start=last + 1)
    ]


def _head(db: Connection, number: int, query: Any) -> Head:
    if not 0 <= number < 2**31:
        raise faults.no_such_case(number)
    row = db.execute(query.where(schema.cases.c.number == number)).mappings().one_or_none()
    if row is None:
        raise faults.no_such_case(number)
    return Head(**row)

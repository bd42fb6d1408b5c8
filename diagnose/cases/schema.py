"""The tables of the store and the steps from an older form of them to this one.

`VERSION` goes up by one for every change; a step is never edited once a store was written with it.
"""

from __future__ import annotations

from collections.abc import Callable

from sqlalchemy import (
    Column,
    Connection,
    Double,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    delete,
    insert,
    select,
    text,
)
from sqlalchemy import inspect as inspect_store

from diagnose.cases.entries import Entry, search_words
from diagnose.cases.log import Statement

VERSION = 2
meta = MetaData()
form = Table("store_form", meta, Column("version", Integer, nullable=False))
cases = Table(
    "cases",
    meta,
    Column("number", Integer, primary_key=True),
    Column("key", Text, nullable=False, unique=True),
    *(Column(name, Text, nullable=False, server_default="") for name in ("title", "sheet")),
    *(
        Column(name, Text, nullable=False, server_default="")
        for name in ("caller", "engine", "registration", "job", "tags", "owner", "status", "cause")
    ),
    Column("opened", Text, nullable=False),
    Column("changed", Text, nullable=False),
    Column("turns", Integer, nullable=False),
    Column("last", Integer, nullable=False),
    Column("merged_into", Integer),
    sqlite_autoincrement=True,
)
Index("cases_changed", cases.c.changed)
Index("cases_status", cases.c.status, cases.c.changed)
statements = Table(
    "statements",
    meta,
    Column("case_number", Integer, ForeignKey("cases.number"), primary_key=True),
    Column("seq", Integer, primary_key=True),
    Column("turn", Integer, nullable=False),
    Column("kind", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("state", Text),
    Column("value", Double),
    Column("unit", Text),
    Column("text", Text, nullable=False, server_default=""),
    Column("low", Double),
    Column("high", Double),
    Column("bound", Text),
    Column("at", Text, nullable=False),
    Column("who", Text, nullable=False, server_default=""),
    sqlite_with_rowid=False,
)
_WORDS = {
    "sqlite": (
        "CREATE VIRTUAL TABLE case_words USING fts5(words)",
        "CREATE VIRTUAL TABLE case_vocabulary USING fts5vocab(case_words, row)",
    ),
    "postgresql": (
        "CREATE TABLE case_words (rowid INTEGER PRIMARY KEY, words TEXT NOT NULL, vector TSVECTOR"
        " GENERATED ALWAYS AS (array_to_tsvector(string_to_array(words, ' '))) STORED)",
        "CREATE INDEX case_words_vector ON case_words USING gin (vector)",
    ),
}


def version_of(db: Connection) -> int:
    """The form a store is in; 0 when there is none yet."""
    if not inspect_store(db).has_table("store_form"):
        return 0
    return int(db.execute(select(form.c.version)).scalar_one())


def bring_up(db: Connection) -> None:
    """Make the tables, or take the older ones step by step to the present form."""
    version = version_of(db)  # read again: another program may just have done it
    if version == VERSION:
        return
    if version == 0:
        meta.create_all(db)
        _make_words(db)
    for step in range(version or VERSION, VERSION):
        _STEPS[step](db)
    db.execute(delete(form))
    db.execute(insert(form).values(version=VERSION))


def _make_words(db: Connection) -> None:
    for line in _WORDS[db.dialect.name]:
        db.execute(text(line))


def _add_desk(db: Connection) -> None:
    """From 1: who wrote it, tags, the desk it lies on, merged cases, and search by words."""
    for column in ("tags", "owner"):
        db.execute(text(f"ALTER TABLE cases ADD COLUMN {column} TEXT NOT NULL DEFAULT ''"))
    db.execute(text("ALTER TABLE cases ADD COLUMN merged_into INTEGER"))
    db.execute(text("ALTER TABLE statements ADD COLUMN who TEXT NOT NULL DEFAULT ''"))
    db.execute(text("CREATE INDEX IF NOT EXISTS cases_changed ON cases (changed)"))
    db.execute(text("CREATE INDEX IF NOT EXISTS cases_status ON cases (status, changed)"))
    _make_words(db)
    for number in db.execute(text("SELECT number FROM cases ORDER BY number")).scalars().all():
        put_words(db, number, search_words(read_entries(db, number)))


_STEPS: dict[int, Callable[[Connection], None]] = {1: _add_desk}


def read_entries(db: Connection, number: int, after: int = 0) -> list[Entry]:
    """The entries of a case in order, from behind a place on."""
    s = statements.c
    wanted = select(statements).where(s.case_number == number, s.seq > after).order_by(s.seq)
    return [entry_of(row) for row in db.execute(wanted).mappings()]


def entry_of(row: object) -> Entry:
    """An entry from its row."""
    values = dict(row)  # type: ignore[call-overload]
    said = Statement(**{name: values[name] for name in Statement._fields})
    return Entry(values["seq"], said, values["who"], values["at"])


def put_words(db: Connection, number: int, words: list[str]) -> None:
    """Make a case findable by some more words."""
    kept = db.execute(text("SELECT words FROM case_words WHERE rowid = :n"), {"n": number}).scalar()
    if kept is None:
        line = "INSERT INTO case_words (rowid, words) VALUES (:n, :w)"
    else:
        have = kept.split()
        new = set(words) - set(have)
        if not new:
            return
        words = have + [w for w in words if w in new]
        line = "UPDATE case_words SET words = :w WHERE rowid = :n"
    db.execute(text(line), {"n": number, "w": " ".join(words)})

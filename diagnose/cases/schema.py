"""The tables of the store and the steps from an older form of them to this one.

`VERSION` goes up by one for every change; a step is never edited once a store was written with it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

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

VERSION = 3
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
Index("cases_cause", cases.c.status, cases.c.cause)
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
        "CREATE TABLE known_words (word TEXT NOT NULL PRIMARY KEY, back TEXT NOT NULL)"
        " WITHOUT ROWID",
        "CREATE INDEX known_words_back ON known_words (back)",
    ),
    "postgresql": (
        "CREATE TABLE case_words (rowid INTEGER PRIMARY KEY, words TEXT NOT NULL, vector TSVECTOR"
        " GENERATED ALWAYS AS (array_to_tsvector(string_to_array(words, ' '))) STORED)",
        "CREATE INDEX case_words_vector ON case_words USING gin (vector)",
        'CREATE TABLE known_words (word TEXT COLLATE "C" NOT NULL PRIMARY KEY,'
        ' back TEXT COLLATE "C" NOT NULL)',
        "CREATE INDEX known_words_back ON known_words (back)",
    ),
}
_QUICKER = {  # a caller or a tag may be longer than PostgreSQL keeps in order
    "sqlite": (
        "CREATE INDEX cases_caller ON cases (caller, changed)",
        "CREATE INDEX cases_tagged ON cases (changed, number, tags) WHERE tags <> ''",
    ),
    "postgresql": (
        "CREATE INDEX cases_caller ON cases USING hash (caller)",
        "CREATE INDEX cases_tagged ON cases (changed) WHERE tags <> ''",
    ),
}
_NUMBER = {
    "sqlite": "INTEGER PRIMARY KEY AUTOINCREMENT",
    "postgresql": "INTEGER GENERATED ALWAYS AS IDENTITY PRIMARY KEY",
}
_BESIDE = (
    "CREATE TABLE practice_results (number {number}, key TEXT NOT NULL UNIQUE,"
    " learner TEXT NOT NULL, result TEXT NOT NULL)",
    "CREATE INDEX practice_of ON practice_results (learner, number)",
    "CREATE TABLE practice_begun (learner TEXT NOT NULL, what TEXT NOT NULL, texts TEXT NOT NULL,"
    " changed TEXT NOT NULL, PRIMARY KEY (learner, what))",
    "CREATE TABLE counts_elsewhere (shop TEXT NOT NULL, cause TEXT NOT NULL,"
    " cases INTEGER NOT NULL, PRIMARY KEY (shop, cause))",
)


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
        _make_rest(db)
    for step in range(version or VERSION, VERSION):
        _STEPS[step](db)
    db.execute(delete(form))
    db.execute(insert(form).values(version=VERSION))


def _make_words(db: Connection) -> None:
    for line in _WORDS[db.dialect.name]:
        db.execute(text(line))


def _make_rest(db: Connection) -> None:
    """Practice, the counts of other shops, and what makes finding quick."""
    for line in _QUICKER[db.dialect.name]:
        db.execute(text(line))
    for line in _BESIDE:
        db.execute(text(line.format(number=_NUMBER[db.dialect.name])))


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


def _add_rest(db: Connection) -> None:
    """From 2: practice, counts of other shops, a table of all words, quicker lists."""
    _make_rest(db)
    db.execute(text("CREATE INDEX IF NOT EXISTS cases_cause ON cases (status, cause)"))
    if db.dialect.name == "postgresql":
        _number_by_itself(db)
    if inspect_store(db).has_table("known_words"):
        return  # it came from 1, and the step before this one made them
    if db.dialect.name == "sqlite":
        db.execute(text("DROP TABLE case_vocabulary"))
    for line in _WORDS[db.dialect.name][-2:]:
        db.execute(text(line))
    known: set[str] = set()
    for words in db.execute(text("SELECT words FROM case_words")).scalars():
        known.update(words.split())
    learn_words(db, known)


def _number_by_itself(db: Connection) -> None:
    """The first form left the numbers of cases to the file it came from."""
    if db.execute(text("SELECT pg_get_serial_sequence('cases', 'number')")).scalar() is None:
        line = "ALTER TABLE cases ALTER number ADD GENERATED BY DEFAULT AS IDENTITY"
        db.execute(text(line))
        line = "SELECT setval(pg_get_serial_sequence('cases', 'number'), max(number)) FROM cases"
        db.execute(text(line))


_STEPS: dict[int, Callable[[Connection], None]] = {1: _add_desk, 2: _add_rest}


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
    new = set(words).difference((kept or "").split())
    if kept is not None and not new:
        return
    line = "INSERT INTO case_words (rowid, words) VALUES (:n, :w)"
    if kept is not None:
        line = "UPDATE case_words SET words = :w WHERE rowid = :n"
    whole = [*(kept or "").split(), *(w for w in words if w in new)]
    db.execute(text(line), {"n": number, "w": " ".join(whole)})
    learn_words(db, new)


def learn_words(db: Connection, words: Iterable[str]) -> None:
    """Add to the words that are known, forwards and backwards.

    They are written in one order, so that no two writers wait crosswise.
    """
    rows = [{"w": word, "b": word[::-1]} for word in sorted(words)]
    if rows:
        line = "INSERT INTO known_words (word, back) VALUES (:w, :b) ON CONFLICT DO NOTHING"
        db.execute(text(line), rows)


def unlearn_words(db: Connection, words: Iterable[str]) -> None:
    """Take those out of the words known that no case holds any more."""
    held = {"sqlite": "case_words MATCH :q", "postgresql": "vector @@ CAST(:q AS tsquery)"}
    quote = {"sqlite": '"{}"', "postgresql": "'{}'"}[db.dialect.name]
    look = text(f"SELECT 1 FROM case_words WHERE {held[db.dialect.name]} LIMIT 1")
    for word in sorted(words):
        if db.execute(look, {"q": quote.format(word)}).scalar() is None:
            db.execute(text("DELETE FROM known_words WHERE word = :w"), {"w": word})

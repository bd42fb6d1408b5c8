"""B9: what finding, listing, counting and opening cost in a store of 100,000 cases."""

from __future__ import annotations

import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import postgres
from sqlalchemy import insert, text

from diagnose.cases import schema
from diagnose.cases.assess import Workbench, load_workbench
from diagnose.cases.entries import Entry, Head, fold, search_words
from diagnose.cases.log import Statement
from diagnose.cases.record import Record
from diagnose.cases.search import search
from diagnose.cases.statistics import counts_in
from diagnose.cases.store import Store, Wanted, open_store, write_entries
from diagnose.cases.upkeep import check
from diagnose.dialogue.conversation import Conversation
from diagnose.dialogue.recording import RecordedConversation
from diagnose.language.index import load_index
from diagnose.reports.content import report_of
from diagnose.reports.page import html

from .growth import logs
from .tables import Table, milliseconds

_SYLLABLES = (
    "ba ben cor da dol fen gar hol im jor kel lan mar nes ol per quin ros sa tor ul vin wes"
)
_AT_ONCE = 2000
_DESKS = ("Ann", "Bo", "Cy", "")


def fill(store: Store, bench: Workbench, cases: int, seed: int = 9) -> None:
    """So many cases as a shop has them; the last one open, with 60 statements."""
    chance = random.Random(seed)
    for first in range(1, cases + 1, _AT_ONCE):
        with store.writing() as db:
            numbers = range(first, min(first + _AT_ONCE, cases))
            made = [(n, list(_case(bench, chance, n))) for n in numbers]
            heads = [fold(Head(n, f"{n:032x}"), entries) for n, entries in made]
            if heads:
                db.execute(insert(schema.cases), [h._asdict() for h in heads])
            for number, entries in made:
                write_entries(db, number, entries)
            _put_words(db, made)
    if store.file is None:
        with store.writing() as db:
            line = "SELECT setval(pg_get_serial_sequence('cases', 'number'), max(number))"
            db.execute(text(f"{line} FROM cases"))
            db.execute(text("ANALYZE"))
    said = logs(bench.knowledge, 1)[0]
    store.begin([Statement("typed", "", 1, text="the long one"), *said], "Ann")


def _put_words(db: Any, made: Sequence[tuple[int, list[Entry]]]) -> None:
    rows, known = [], set()
    for number, entries in made:
        words = search_words(entries)
        known.update(words)
        rows.append({"n": number, "w": " ".join(words)})
    if rows:
        db.execute(text("INSERT INTO case_words (rowid, words) VALUES (:n, :w)"), rows)
        schema.learn_words(db, known)


def _case(bench: Workbench, chance: random.Random, number: int) -> Iterator[Entry]:
    knowledge, who = bench.knowledge, chance.choice(_DESKS)
    cause = knowledge.causes[chance.choice(_CAUSES)]
    said = [Statement("field", "caller", 0, text=f"{_name(chance)} {_name(chance)}")]
    said.append(Statement("field", "job", 0, text=f"J{number}"))
    said.append(Statement("field", "registration", 0, text=f"{_name(chance)[:3]} {number % 9973}"))
    for turn, sign in enumerate(cause.signs[:3], start=1):
        phrase = chance.choice(knowledge.findings[sign.finding].phrases.get(sign.state) or ("it",))
        typed = " ".join(_slipped(chance, word) for word in phrase.split())
        said.append(Statement("typed", "", turn, text=typed))
        said.append(Statement("said", sign.finding, turn, state=sign.state, text=phrase))
    if chance.random() < 0.97:
        said.append(Statement("closed", cause.id, 3, state=cause.id, value=0.7, low=30.0))
    day = f"{2000 + number // 5000}-{number // 400 % 12 + 1:02d}-{number // 20 % 28 + 1:02d}"
    at = f"{day}T{number % 24:02d}:00:00.000Z"
    return (Entry(seq, one, who, at) for seq, one in enumerate(said, start=1))


def _name(chance: random.Random) -> str:
    return "".join(chance.choices(_SYLLABLES.split(), k=3)).title()


def _slipped(chance: random.Random, word: str) -> str:
    """One word in thirty has a wrong letter, as in life; each makes one word more to look over."""
    if chance.random() > 1 / 30:
        return word
    place = chance.randrange(len(word))
    return word[:place] + chance.choice("abcdefghijklmnopqrstuvwxyz") + word[place + 1 :]


_CAUSES = sorted(load_workbench().knowledge.causes)


def measured(store: Store, bench: Workbench) -> dict[str, float]:
    """Each figure by what was done."""
    talk = Conversation(bench, load_index(bench.knowledge))
    last = store.listed(Wanted(owner="Ann", status="open"), 1)[0]
    number = search(store, "the long one").heads[0].number
    caller = store.head(7).caller
    acts: dict[str, Callable[[], Any]] = {
        "list": lambda: store.listed(Wanted()),
        "list --status held (there is none)": lambda: store.listed(Wanted("held")),
        "list --caller": lambda: store.listed(Wanted(caller=caller)),
        "list --caller (nobody)": lambda: store.listed(Wanted(caller="Nobody")),
        "list --tag (no such)": lambda: store.listed(Wanted(tag="boat")),
        "search: a common word": lambda: search(store, "knock"),
        "search: three words": lambda: search(store, "knock cold oil"),
        "search: a job": lambda: search(store, "J5021"),
        "search: a caller": lambda: search(store, caller),
        "search: a slip in a word": lambda: search(store, "distribtuor"),
        "search: a slip in a caller": lambda: search(store, f"{caller}q"),
        "search: a word nobody wrote": lambda: search(store, "zzyzxqqk"),
        "search: a job nobody wrote": lambda: search(store, "X99999999"),
        "counts of closed cases": lambda: counts_in(store),
        "head of a case": lambda: store.head(last.number),
        "opening 60 statements": lambda: _opened(talk, store, number),
        "a turn more on them": lambda: _turn(talk, store, number),
        "report of 60 statements": lambda: _report(bench, store, number),
    }
    return {name: milliseconds(work, 11, time.perf_counter) for name, work in acts.items()}


def _opened(talk: Conversation, store: Store, number: int) -> RecordedConversation:
    kept = RecordedConversation(talk, Record(store, store.head(number)))
    kept.go_on(store.entries(number))
    return kept if kept.greeting else kept


def _turn(talk: Conversation, store: Store, number: int) -> None:
    talk.log.statements[:] = [e.statement for e in store.entries(number)][1:]
    talk.bench.where(talk.log)


def _report(bench: Workbench, store: Store, number: int) -> str:
    return html(report_of(bench, store.head(number), store.entries(number)), None)


def table(cases: int = 100_000) -> Table:
    """One row an act; a column for each kind of store that is here."""
    bench = load_workbench()
    columns, found = ["what, ms (median of 11)"], []
    with tempfile.TemporaryDirectory() as folder:
        found.append(_filled(f"sqlite:///{Path(folder) / 'cases.db'}", bench, cases))
        columns.append("SQLite")
    if postgres.is_here():
        with postgres.server() as address:
            found.append(_filled(address, bench, cases))
            columns.append("PostgreSQL")
    rows: list[tuple[Any, ...]] = [(name, *(f[name] for f in found)) for name in found[0]]
    return Table(f"B9 a store of {cases} cases", tuple(columns), rows)


def _filled(address: str, bench: Workbench, cases: int) -> dict[str, float]:
    store = open_store(address)
    start = time.perf_counter()
    fill(store, bench, cases)
    print(f"filled in {time.perf_counter() - start:.0f} s", file=sys.stderr)
    with store.reading() as db:
        words = db.execute(text("SELECT count(*) FROM known_words")).scalar_one()
    print(f"{words} different words", file=sys.stderr)
    if cases <= _AT_ONCE:
        assert check(store) == []
    try:
        return measured(store, bench)
    finally:
        store.close()

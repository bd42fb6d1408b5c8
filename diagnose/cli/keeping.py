"""Begin or take up a kept case for a command that talks."""

from __future__ import annotations

import argparse
from pathlib import Path

from diagnose.cases.elsewhere import all_counts
from diagnose.cases.entries import FIELDS, HELD, Head
from diagnose.cases.faults import StoreError
from diagnose.cases.log import Statement
from diagnose.cases.place import is_begun, who_writes
from diagnose.cases.plain import MOST_TEXT, one_line
from diagnose.cases.record import Record, Start, open_case, opened
from diagnose.cases.statistics import learned
from diagnose.cases.store import Store, Wanted, open_store
from diagnose.cli.talk import new_conversation
from diagnose.dialogue import wording
from diagnose.dialogue.recording import RecordedConversation

_OFFERED = 3


def kept_conversation(given: argparse.Namespace) -> RecordedConversation:
    """The case asked for, else the one left open at this desk, else a new one."""
    try:
        store = open_store()
    except StoreError as fault:
        raise StoreError(wording.without_record(fault)) from fault
    start = _start(given)
    head = None if given.new else _head(store, given.case, start)
    talk = new_conversation(start.sheet or (head.sheet if head else "") or None, given.phone)
    talk.bench = learned(talk.bench, all_counts(store))
    kept = RecordedConversation(talk, Record(store, head, start))
    if head is None:
        kept.offer(_earlier(store, start.fields.get("caller", "")))
        return kept
    kept.go_on(store.entries(head.number))
    new = [s for s in start.statements() if getattr(head, s.name) != s.text]
    if head.status == HELD:
        new.append(Statement("reopened", "", head.turns))
    if new:
        kept.record.keep(new)
    return kept


def kept_titles(most: int = 20) -> list[tuple[int, str]]:
    """The cases last written in, by number and title; nothing where no store was begun."""
    if not is_begun():
        return []
    store = open_store()
    try:
        return [(h.number, one_line(h.title, 60)) for h in store.listed(Wanted(), most)]
    finally:
        store.close()


def _earlier(store: Store, caller: str) -> list[tuple[int, str]]:
    """The last cases of a caller."""
    heads = store.listed(Wanted(caller=caller), _OFFERED) if caller else []
    return [(h.number, one_line(h.title, 60)) for h in heads]


def _start(given: argparse.Namespace) -> Start:
    """What was given to stand at the head of the case; a sheet in a file by its whole path."""
    sheet = given.engine or ""
    if sheet and Path(sheet).is_file():
        sheet = str(Path(sheet).resolve())
    named = {name: getattr(given, name, None) or "" for name in FIELDS if name != "engine"}
    for text in named.values():
        if len(text) > MOST_TEXT:
            raise StoreError(wording.field_too_long(len(text), MOST_TEXT))
    return Start(sheet, named)


def _head(store: Store, number: int | None, start: Start) -> Head | None:
    """The case with this number, else the open one unless it is plainly of another engine."""
    if number is not None:
        return opened(store, number)
    head = open_case(store, who_writes())
    if head is None or (start.sheet and start.sheet != head.sheet):
        return None
    theirs = [(text, getattr(head, name)) for name, text in start.fields.items()]
    return None if any(mine and old and mine != old for mine, old in theirs) else head

"""The commands `ask` and `chat`: text or JSON lines in, replies out."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING, TextIO

from diagnose.cases.assess import load_workbench
from diagnose.cli.output import columns, json_line, patience
from diagnose.dialogue.conversation import Conversation, TurnError
from diagnose.dialogue.reply import Reply
from diagnose.knowledge.problems import DiagnoseError
from diagnose.language.index import load_index

if TYPE_CHECKING:
    import argparse

    from diagnose.screens.calls import Shelf

_CAN_ONLY_PRINT = ("dumb", "unknown", "")


class NotJson(DiagnoseError):
    """A line that should be JSON and is not."""


def new_conversation(engine: str | None, phone: bool = False) -> Conversation:
    """A fresh conversation on the named engine sheet."""
    bench = load_workbench(engine)
    return Conversation(bench, load_index(bench.knowledge), phone)


def conversation_of(given: argparse.Namespace) -> Conversation:
    """The conversation a command asks for, kept or not."""
    if given.no_record or not (given.case is not None or given.new or given.keeps):
        return new_conversation(given.engine, given.phone)
    from diagnose.cli.keeping import kept_conversation  # the store takes long to load

    return kept_conversation(given)


def ask(given: argparse.Namespace) -> int:
    """Each text is one turn of one case; the last reply is shown, with --json every one."""
    talk = given.talk = conversation_of(given)  # lives as long as the question: see `main`
    replies = [talk.say(text) for text in given.texts]
    if given.json:
        for reply in replies:
            json_line(reply.as_dict())
        return 0
    print(_shown(replies[-1].text))
    if given.bars:
        _print_pictures(talk, replies)
    return 0


def _shown(text: str) -> str:
    """The text, without what a terminal would obey: a person's words are said back in it."""
    if text.isprintable() or "\x1b" not in text:
        return text
    from diagnose.screens.cells import clean

    return clean(text)


def _print_pictures(talk: Conversation, replies: list[Reply]) -> None:
    """The causes as bars with how the last turn moved them, and each reading on its band."""
    from diagnose.screens import pictures

    wide = columns()
    before = pictures.shares(replies[-2].causes) if len(replies) > 1 else {}
    print("\n".join(["", *pictures.bars(replies[-1].causes[:5], before, wide)]))
    for name, judged in talk.last.state.judged.items():
        if judged.possible and judged.has_band:
            title = talk.bench.knowledge.findings[name].title
            print("\n".join(["", *pictures.band(title, judged, wide)]))


def chat(given: argparse.Namespace) -> int:
    """Talk until the person stops or the input ends; kept, but for a program's JSON lines."""
    given.keeps, given.phone = not given.json, given.phone or given.manner == "phone"
    live = sys.stdin.isatty() and sys.stdout.isatty()
    can_move = live and not given.plain and os.environ.get("TERM") not in _CAN_ONLY_PRINT
    # the store of cases takes as long to load as all else: it may come behind the first prompt
    late = can_move and given.keeps and not given.no_record and given.case is None
    with patience(sys.stderr):
        talk = new_conversation(given.engine, given.phone) if late else conversation_of(given)
    if given.json:
        return _json_lines(talk, sys.stdin, sys.stdout)
    from diagnose.screens.desk import Desk
    from diagnose.screens.manner import DESK, MANNERS, PLAIN

    usual = DESK if live else PLAIN
    manner = MANNERS["phone"] if given.phone else MANNERS.get(given.manner, usual)
    desk = Desk(talk, manner, given.guess_first, lambda: _other(given), _shelf(given))
    desk.call.name = given.caller or ""
    if can_move:
        from diagnose.screens.terminal import run

        return run(desk, (lambda: conversation_of(given)) if late else None)
    from diagnose.screens import plain

    return plain.run(desk, sys.stdin, sys.stdout, live)


def _other(given: argparse.Namespace, number: int | None = None) -> Conversation:
    """The talk of another call: of a new case, or of the kept one with that number."""
    own = dict.fromkeys(("caller", "registration", "job"))
    changed = {**vars(given), **own, "case": number, "new": number is None}
    return conversation_of(type(given)(**changed))


def _shelf(given: argparse.Namespace) -> Shelf | None:
    """The kept cases, where this talk is kept."""
    if given.no_record:
        return None
    from diagnose.screens.calls import Shelf

    def titles() -> list[tuple[int, str]]:
        from diagnose.cli.keeping import kept_titles

        return kept_titles()

    return Shelf(titles, lambda number: _other(given, number))


def _json_lines(talk: Conversation, source: TextIO, target: TextIO) -> int:
    code = 0
    for number, line in enumerate(source, start=1):
        if not line.strip():
            continue
        try:
            out = talk.say(turn_of(line)).as_dict()
        except (TurnError, NotJson) as fault:
            out, code = {"id": None, "line": number, "error": str(fault)}, 1
        json_line(out, target)
    return code


def turn_of(line: str) -> object:
    """One line as a turn: JSON when it is, else the text as typed."""
    text = line.strip()
    if text[:1] in ('"', "{", "["):
        return read_json(text)
    return text


def read_json(text: str) -> object:
    """The JSON value of a text; raises `NotJson` whatever is wrong with it."""
    import json  # a plain question has none

    try:
        return json.loads(text)
    except json.JSONDecodeError as fault:
        raise NotJson(f"not JSON: {fault.msg} at character {fault.pos + 1}") from fault
    except (ValueError, RecursionError) as fault:  # a figure or a nesting beyond all reason
        raise NotJson(f"not usable as JSON: {fault}") from fault

"""The commands `ask` and `chat`: text or JSON lines in, replies out."""

from __future__ import annotations

import argparse
import json
import sys
from typing import TextIO

from diagnose.cases.assess import load_workbench
from diagnose.dialogue.conversation import Conversation, TurnError
from diagnose.knowledge.problems import DiagnoseError
from diagnose.language.index import load_index


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
    talk = conversation_of(given)
    replies = [talk.say(text) for text in given.texts]
    if given.json:
        for reply in replies:
            print(json.dumps(reply.as_dict(), ensure_ascii=False))
    else:
        print(replies[-1].text)
    return 0


def chat(given: argparse.Namespace) -> int:
    """Talk until the person stops or the input ends; kept, but for a program's JSON lines."""
    given.keeps = not given.json
    talk = conversation_of(given)
    if given.json:
        return _json_lines(talk, sys.stdin, sys.stdout)
    if sys.stdin.isatty() and sys.stdout.isatty():
        from diagnose.screens.terminal import run

        return run(talk)
    return _plain_lines(talk, sys.stdin, sys.stdout)


def _plain_lines(talk: Conversation, source: TextIO, target: TextIO) -> int:
    print(talk.greeting, file=target, flush=True)
    code = 0
    for line in source:
        try:
            reply = talk.say(line.rstrip("\n"))
        except TurnError as fault:  # it could not be kept; the talk may go on
            print(fault, file=sys.stderr, flush=True)
            code = 1
            continue
        print(f"\n{reply.text}", file=target, flush=True)
        if reply.done:
            break
    return code


def _json_lines(talk: Conversation, source: TextIO, target: TextIO) -> int:
    code = 0
    for number, line in enumerate(source, start=1):
        if not line.strip():
            continue
        try:
            out = talk.say(turn_of(line)).as_dict()
        except (TurnError, NotJson) as fault:
            out, code = {"id": None, "line": number, "error": str(fault)}, 1
        print(json.dumps(out, ensure_ascii=False), file=target, flush=True)
    return code


def turn_of(line: str) -> object:
    """One line as a turn: JSON when it is, else the text as typed."""
    text = line.strip()
    if text[:1] in ('"', "{", "["):
        return read_json(text)
    return text


def read_json(text: str) -> object:
    """The JSON value of a text; raises `NotJson` whatever is wrong with it."""
    try:
        return json.loads(text)
    except json.JSONDecodeError as fault:
        raise NotJson(f"not JSON: {fault.msg} at character {fault.pos + 1}") from fault
    except (ValueError, RecursionError) as fault:  # a figure or a nesting beyond all reason
        raise NotJson(f"not usable as JSON: {fault}") from fault

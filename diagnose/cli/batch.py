"""The command `batch`: many cases from a JSON Lines file; a bad line never stops the others."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from typing import Any

from diagnose.cli.output import json_line
from diagnose.cli.progress import counted
from diagnose.cli.talk import new_conversation, read_json
from diagnose.dialogue.conversation import Conversation
from diagnose.knowledge.problems import DiagnoseError

_SHAPE = 'a line is {"id": text, "turns": [...], "engine": sheet or null, "open": [access, ...]}'
_BENCHES: dict[str | None, Any] = {}


class BatchError(DiagnoseError):
    """The batch file itself can't be used."""


def run(given: argparse.Namespace) -> int:
    """Play every line of the file; exit code 1 when one could not be used."""
    if given.jobs < 1:
        raise BatchError(f"--jobs takes a whole number from 1, not {given.jobs}")
    lines = list(_lines(given.source))
    bad = 0
    try:
        with open(given.out, "w", encoding="utf-8") as target:
            for out in counted(_played(lines, given.jobs), len(lines), "cases"):
                bad += "error" in out
                target.write(json.dumps(out, ensure_ascii=False) + "\n")
    except OSError as fault:
        raise BatchError(f"{given.out} can't be written: {fault.strerror}") from fault
    if given.json:
        json_line({"cases": len(lines), "unusable": bad, "out": given.out})
    if bad:
        print(f"{bad} of {len(lines)} lines could not be used; see {given.out}", file=sys.stderr)
    return 1 if bad else 0


def _lines(source: str) -> Iterator[tuple[int, str]]:
    try:
        with open(source, "rb") as file:
            for number, raw in enumerate(file, start=1):
                text = raw.decode("utf-8", errors="replace").strip()
                if text:
                    yield number, text
    except OSError as fault:
        raise BatchError(f"{source} can't be read: {fault.strerror}") from fault


def _played(lines: list[tuple[int, str]], jobs: int) -> Iterable[dict[str, Any]]:
    if jobs == 1:
        yield from map(play_line, lines)
        return
    with ProcessPoolExecutor(jobs) as pool:
        yield from pool.map(play_line, lines, chunksize=8)


def play_line(numbered: tuple[int, str]) -> dict[str, Any]:
    """One line of the file: its replies, or what was wrong with it."""
    number, text = numbered
    key: str | None = None
    try:
        case = read_json(text)
        if isinstance(case, dict) and case.get("id") is not None:
            key = str(case["id"])
        return {"id": key, "replies": _replies(case)}
    except DiagnoseError as fault:
        return {"id": key, "line": number, "error": str(fault)}


def _replies(case: object) -> list[dict[str, Any]]:
    if not isinstance(case, dict) or not isinstance(case.get("turns"), list):
        raise BatchError(_SHAPE)
    engine, open_ = case.get("engine"), case.get("open") or []
    if not isinstance(engine, str | None) or not isinstance(open_, list):
        raise BatchError(_SHAPE)
    talk = _conversation(engine)
    for access in open_:
        talk.open_access(access)
    return [talk.say(turn).as_dict() for turn in case["turns"]]


def _conversation(engine: str | None) -> Conversation:
    if engine not in _BENCHES:
        _BENCHES[engine] = new_conversation(engine)
    first: Conversation = _BENCHES[engine]
    return Conversation(first.bench, first.index)

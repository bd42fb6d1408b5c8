"""Conversation files: what a person types, what must hold after it, and the words of the answer.

    # title = the promise
    # who: bench   ends at: some_cause
    > text typed
    = understood: some_finding some_state
    < the answer, line by line

The `=` lines are the contract, written by hand; the `<` lines are refreshed, never judged.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from diagnose.dialogue.conversation import Conversation
from diagnose.dialogue.expectations import fault_of, unmet
from diagnose.knowledge.model import Knowledge
from diagnose.knowledge.problems import DiagnoseError

_SHEET = re.compile(r"# engine: (\S+)")
_END = re.compile(r"ends at: (\S+)")


class ConversationFileError(DiagnoseError):
    """A conversation file that can't be read; says where and what would be right."""


@dataclass(slots=True)
class Turn:
    """One typed text, the notes before it, the expectations after it by line, and the wording."""

    line: int
    text: str
    notes: list[str] = field(default_factory=list)
    expects: list[tuple[int, str]] = field(default_factory=list)
    wording: list[str] = field(default_factory=list)


@dataclass(slots=True)
class Script:
    """One conversation file; `notes` stand after the last turn."""

    path: Path
    heading: list[str]
    turns: list[Turn]
    notes: list[str] = field(default_factory=list)

    @property
    def title(self) -> str:
        """The promise the conversation makes."""
        return self.heading[0].removeprefix("#").strip()

    @property
    def engine(self) -> str | None:
        """The engine sheet it is played on."""
        return next((m[1] for line in self.heading if (m := _SHEET.match(line))), None)

    @property
    def ends_at(self) -> str | None:
        """The cause it ends at, None for none."""
        found = next((m[1] for line in self.heading if (m := _END.search(line))), "none")
        return None if found == "none" else found


def read_script(path: Path) -> Script:
    """Read one file; raises `ConversationFileError` for what can't be read in it."""
    script = Script(path, [], [])
    for number, line in enumerate(_lines_of(path), start=1):
        if line.strip():
            _take(script, number, line)
    if not script.turns:
        raise ConversationFileError(f"{path}:1: nothing is typed; add a > line")
    if not script.heading:
        raise ConversationFileError(f"{path}:1: the title is missing; begin with '# title'")
    return script


def play(script: Script, talk: Conversation) -> list[str]:
    """Play the script; the failures, each with the dialogue so far. Refreshes the wording."""
    check_script(script, talk.bench.knowledge)
    failures: list[str] = []
    so_far: list[str] = []
    for turn in script.turns:
        reply = talk.say(turn.text).as_dict()
        turn.wording = reply["text"].splitlines()
        so_far += [f"> {turn.text}", *(f"< {line}" for line in turn.wording)]
        for number, words in turn.expects:
            wrong = unmet(words, reply)
            if wrong is not None:
                place = f"{script.path}:{number}"
                failures.append("\n".join([f"{place}: = {words}", f"  {wrong}", *so_far]))
    return failures


def check_script(script: Script, knowledge: Knowledge) -> None:
    """Raise `ConversationFileError` when something in it could never be held to."""
    if script.ends_at is not None and script.ends_at not in knowledge.causes:
        raise ConversationFileError(f"{script.path}:1: it ends at '{script.ends_at}', no cause")
    for turn in script.turns:
        for number, words in turn.expects:
            fault = fault_of(words, knowledge)
            if fault is not None:
                raise ConversationFileError(f"{script.path}:{number}: {fault}")


def write_script(script: Script) -> None:
    """Write the file back with the wording it had when it was last played."""
    lines = [*script.heading, *_turn_lines(script)]
    if script.notes:
        lines += ["", *script.notes]
    script.path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def _turn_lines(script: Script) -> Iterator[str]:
    for turn in script.turns:
        yield ""
        yield from turn.notes
        yield f"> {turn.text}".rstrip()
        yield from (f"= {words}" for _, words in turn.expects)
        yield from (f"< {line}".rstrip() for line in turn.wording)


def _lines_of(path: Path) -> list[str]:
    try:
        return path.read_text(encoding="utf-8").splitlines()
    except OSError as fault:
        raise ConversationFileError(f"{path}: it can't be read: {fault.strerror}") from fault
    except UnicodeDecodeError as fault:
        raise ConversationFileError(f"{path}: it can't be read: not UTF-8 text") from fault


def _take(script: Script, number: int, line: str) -> None:
    mark, rest = line[0], line[1:].removeprefix(" ")
    if mark == "#":
        (script.notes if script.turns else script.heading).append(line)
    elif mark == ">":
        script.turns.append(Turn(number, rest, script.notes))
        script.notes = []
    elif mark == "=" and script.turns:
        script.turns[-1].expects.append((number, rest))
    elif mark == "<" and script.turns:
        script.turns[-1].wording.append(rest)
    else:
        raise ConversationFileError(
            f"{script.path}:{number}: '{line[:30]}' begins with no known mark; a line begins with "
            "#, >, = or <, and = and < stand after a > line"
        )

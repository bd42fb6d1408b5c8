"""Conversation files: what a person types, what must hold after it, and the words of the answer.

    # title = the promise
    # who: bench   ends at: some_cause
    > text typed
    = understood: some_finding some_state
    < the answer, line by line

The `=` lines are the contract, written by hand; the `<` lines are refreshed, never judged.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from diagnose.dialogue.conversation import Conversation
from diagnose.knowledge.problems import DiagnoseError
from diagnose.measuring.units import UnitError, convert

_ACCUSED = 0.3
_NEAR = 0.01
_SHEET = re.compile(r"# engine: (\S+)")
_END = re.compile(r"ends at: (\S+)")


class ConversationFileError(DiagnoseError):
    """A conversation file that can't be read; says where and what would be right."""


@dataclass(slots=True)
class Turn:
    """One typed text, the expectations after it as (line number, words), and the wording."""

    line: int
    text: str
    expects: list[tuple[int, str]] = field(default_factory=list)
    wording: list[str] = field(default_factory=list)


@dataclass(slots=True)
class Script:
    """One conversation file."""

    path: Path
    heading: list[str]
    turns: list[Turn]

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
    """Read one file; raises `ConversationFileError` for a line of no known kind."""
    script = Script(path, [], [])
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        mark, rest = line[:1], line[2:]
        if mark == "#" or not line.strip():
            if not script.turns and line.strip():
                script.heading.append(line)
        elif mark == ">":
            script.turns.append(Turn(number, rest))
        elif mark in ("=", "<") and script.turns:
            turn = script.turns[-1]
            if mark == "=":
                turn.expects.append((number, rest))
            else:
                turn.wording.append(rest)
        else:
            raise ConversationFileError(
                f"{path.name}:{number}: a line begins with #, >, = or <, after the first > line"
            )
    if not script.turns:
        raise ConversationFileError(f"{path.name}:1: nothing is typed; add a > line")
    return script


def play(script: Script, talk: Conversation) -> list[str]:
    """Play the script; the failures, each with the dialogue so far. Refreshes the wording."""
    failures: list[str] = []
    so_far: list[str] = []
    for turn in script.turns:
        reply = talk.say(turn.text).as_dict()
        turn.wording = reply["text"].splitlines()
        so_far += [f"> {turn.text}", *(f"< {line}" for line in turn.wording)]
        for number, words in turn.expects:
            wrong = _held(words, reply, f"{script.path.name}:{number}")
            if wrong is not None:
                talked = "\n".join(so_far)
                failures.append(f"{script.path}:{number}: = {words}\n  {wrong}\n{talked}")
    return failures


def write_script(script: Script) -> None:
    """Write the file back with the wording it had when it was last played."""
    lines = list(script.heading)
    for turn in script.turns:
        lines += ["", f"> {turn.text}".rstrip(), *(f"= {words}" for _, words in turn.expects)]
        lines += [f"< {line}".rstrip() for line in turn.wording]
    script.path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def _held(words: str, reply: dict[str, Any], place: str) -> str | None:
    """None when the expectation holds, else what was found instead."""
    kind, _, rest = words.partition(":")
    items = [item.strip() for item in rest.split(",") if item.strip()]
    check = _CHECKS.get(kind.strip())
    if check is None:
        raise ConversationFileError(
            f"{place}: unknown expectation '{kind.strip()}'; use one of {', '.join(_CHECKS)}"
        )
    wrong = [found for found in check(items, reply) if found]
    return "; ".join(wrong) if wrong else None


Found = Iterator[str]


def _understood(items: Sequence[str], reply: dict[str, Any]) -> Found:
    for item in items:
        name, *rest = item.split()
        taken = [u for u in reply["understood"] if u["finding"] == name]
        if not any(_same(u, rest) for u in taken):
            told = [f"{u['finding']} {u['value'] or u['state']}" for u in reply["understood"]]
            yield f"{item} was not understood; understood: {', '.join(told) or 'nothing'}"


def _same(taken: dict[str, Any], wanted: Sequence[str]) -> bool:
    if len(wanted) < 2:
        return not wanted or taken["state"] == wanted[0]
    try:
        value = convert(float(wanted[0]), wanted[1], taken["unit"] or "")
    except (UnitError, ValueError):
        return False
    return taken["value"] is not None and math.isclose(taken["value"], value, rel_tol=_NEAR)


def _not_understood(items: Sequence[str], reply: dict[str, Any]) -> Found:
    taken = {u["finding"] for u in reply["understood"]}
    return (f"{item} was taken" for item in items if item in taken)


def _asks(items: Sequence[str], reply: dict[str, Any]) -> Found:
    asked = (reply["next"] or {}).get("settles", [])
    return (
        f"{i} is not asked; asked: {', '.join(asked) or 'nothing'}" for i in items if i not in asked
    )


def _leads(items: Sequence[str], reply: dict[str, Any]) -> Found:
    first = [c["id"] for c in reply["causes"][:1]]
    return (f"{i} does not lead; {first} does" for i in items if i not in first)


def _among(items: Sequence[str], reply: dict[str, Any]) -> Found:
    first = [c["id"] for c in reply["causes"][:3]]
    return (f"{i} is not among {first}" for i in items if i not in first)


def _not_leading(items: Sequence[str], reply: dict[str, Any]) -> Found:
    first = [c["id"] for c in reply["causes"][:1]]
    return (f"{i} leads" for i in items if i in first)


def _caution(items: Sequence[str], reply: dict[str, Any]) -> Found:
    held = [c["id"] for c in reply["cautions"]]
    return (f"{i} is not warned of; {held} is" for i in items if i not in held)


def _no_stop(items: Sequence[str], reply: dict[str, Any]) -> Found:
    return (f"{c['id']} stops the engine" for c in reply["cautions"] if c["stop_engine"])


def _invalid(items: Sequence[str], reply: dict[str, Any]) -> Found:
    kept = [i["finding"] for i in reply["invalid"]]
    return (f"{i} is not refused; refused: {kept}" for i in items if i not in kept)


def _concludes(items: Sequence[str], reply: dict[str, Any]) -> Found:
    named = (reply["conclusion"] or {}).get("causes", [])
    leading = [(c["id"], c["p"]) for c in reply["causes"][:3]]
    return (
        f"{i} is not concluded but {named}; leading: {leading}" for i in items if i not in named
    )


def _behind(items: Sequence[str], reply: dict[str, Any]) -> Found:
    behind = [b["id"] for b in (reply["conclusion"] or {}).get("behind_it", [])]
    return (f"{i} is not behind it but {behind}" for i in items if i not in behind)


def _worked_out(items: Sequence[str], reply: dict[str, Any]) -> Found:
    figures = (reply["conclusion"] or {}).get("worked_out", {})
    for item in items:
        name, value, unit = item.split()
        found = figures.get(name)
        wanted = convert(float(value), unit, figures["unit"]) if figures else 0.0
        if found is None or not math.isclose(found, wanted, rel_tol=_NEAR, abs_tol=1e-9):
            yield f"{item} was not worked out; {figures}"


def _unclear(items: Sequence[str], reply: dict[str, Any]) -> Found:
    if not reply["unclear"]:
        yield "nothing was asked back"


def _nothing_wrong(items: Sequence[str], reply: dict[str, Any]) -> Found:
    if reply["conclusion"]:
        yield f"it concludes {reply['conclusion']['causes']}"
    yield from (f"{c['id']} is accused" for c in reply["causes"] if c["p"] > _ACCUSED)


_CHECKS: dict[str, Callable[[Sequence[str], dict[str, Any]], Found]] = {
    "understood": _understood,
    "not understood": _not_understood,
    "asks": _asks,
    "leads": _leads,
    "among": _among,
    "not leading": _not_leading,
    "caution": _caution,
    "no stop": _no_stop,
    "invalid": _invalid,
    "concludes": _concludes,
    "behind": _behind,
    "worked out": _worked_out,
    "unclear": _unclear,
    "nothing wrong": _nothing_wrong,
}

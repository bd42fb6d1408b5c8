"""How a reply is set out for each of the three people; the words of the reply stay as they are.

A reply is cut into blocks at its lines that are not indented; a manner leaves blocks out, sets them
apart, or marks them. What a manner leaves out can always be asked for.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.dialogue.wording import (
    CARE,
    CONCLUSION,
    NEXT,
    READ_OUT,
    STOP_FIRST,
    THINK,
    TOO_EARLY,
    TOOK,
)
from diagnose.named import Named
from diagnose.screens import wording

_KINDS = {
    TOOK: "took",
    THINK: "think",
    TOO_EARLY: "think",
    f"{NEXT}: ": "question",
    f"{READ_OUT}: ": "question",
    f"{STOP_FIRST}: ": "stop",
    f"{CARE}: ": "care",
    f"{CONCLUSION}: ": "conclusion",
}


class Block(Named):
    """Lines that belong together: the first, and those indented under it."""

    kind: str
    lines: tuple[str, ...]


class Manner(Named):
    """How one person wants a reply: set apart, narrow, answers in rows, causes at most."""

    name: str
    apart: bool = True
    widest: int = 100
    rows: bool = False
    causes: int = 3
    guess_first: bool = False
    read_out: bool = False


PLAIN = Manner("plain", apart=False, widest=10_000)
DESK = Manner("desk")
MANNERS = {
    "bench": Manner("bench", widest=56, rows=True, causes=1),
    "phone": Manner("phone", read_out=True),
    "student": Manner("student", guess_first=True),
}


def blocks(text: str) -> list[Block]:
    """The blocks of a reply in their order."""
    found: list[Block] = []
    for line in text.splitlines():
        if found and line.startswith(" "):
            found[-1] = found[-1]._replace(lines=(*found[-1].lines, line))
        else:
            kind = next((k for head, k in _KINDS.items() if line.startswith(head)), "said")
            found.append(Block(kind, (line,)))
    return found


def set_out(parts: Sequence[Block], manner: Manner, labels: Sequence[str]) -> str:
    """The text as this person wants it, with the answers that may be picked under the question."""
    lines: list[str] = []
    for before, part in zip((None, *parts), parts, strict=False):
        if manner.apart and before and not before.kind == part.kind == "stop":
            lines.append("")
        lines += _lines(part, manner)
        if part.kind == "question" and labels:
            lines += wording.choices_rows(labels) if manner.rows else [wording.choices_line(labels)]
    return "\n".join(lines)


def _lines(part: Block, manner: Manner) -> Iterator[str]:
    """The lines of a block; a warning is read out on the phone like the question."""
    lines = part.lines[: 1 + manner.causes] if part.kind == "think" else part.lines
    first = lines[0]
    mark = manner.read_out and part.kind in ("stop", "care")
    yield f"{READ_OUT}: {first}" if mark else first
    for line in lines[1:]:
        care = manner.read_out and line.lstrip().startswith(CARE)
        yield f"  {READ_OUT}: {line.lstrip()}" if care else line


def is_warning(line: str) -> bool:
    """Whether a line warns of harm, read out or not."""
    return line.lstrip().removeprefix(f"{READ_OUT}: ").startswith((STOP_FIRST, CARE))

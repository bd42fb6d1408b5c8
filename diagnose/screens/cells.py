"""Text measured in cells of a terminal: wrapped, cut and cleaned; knows nothing of what it says."""

from __future__ import annotations

import re
import textwrap
import unicodedata
from collections.abc import Iterator

NARROWEST = 20
# what a terminal would obey instead of show: ESC [ ... m, ESC ] ... BEL, ESC and a letter
_ORDERS = re.compile(
    r"\x1b\[[0-?]*[ -/]*[@-~]|\x1b[\]PX^_].*?(?:\x07|\x1b\\|$)|\x1b[ -/]*[0-~]?", re.DOTALL
)
_UNSHOWN = dict.fromkeys((*range(9), *range(11, 32), *range(127, 160)))


def clean(text: str) -> str:
    """The text without what would move a cursor or change a colour; lines and tabs stay."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    return _ORDERS.sub("", lines).translate(_UNSHOWN)


def cells(text: str) -> int:
    """How many cells a line takes: two for a wide letter, none for one that joins the last."""
    return len(text) if text.isascii() else sum(map(_cells_of, text))


def _cells_of(letter: str) -> int:
    if unicodedata.combining(letter) or unicodedata.category(letter) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(letter) in "WF" else 1


def cut(text: str, columns: int) -> str:
    """The text, shortened with dots where it is wider than that."""
    if cells(text) <= columns:
        return text
    dots = "..."[: max(columns, 0)]
    kept, room = "", columns - len(dots)
    for letter in text:
        room -= _cells_of(letter)
        if room < 0:
            break
        kept += letter
    return kept.rstrip() + dots


def filled(text: str, columns: int) -> str:
    """The text with blanks after it up to that many cells."""
    return text + " " * max(columns - cells(text), 0)


def wrapped(text: str, columns: int) -> Iterator[str]:
    """The lines of a text, none wider than the window; what is indented stays so."""
    for line in text.splitlines():
        yield from pieces(line, columns)


def pieces(line: str, columns: int) -> list[str]:
    """One line as the lines it takes; what is hung over stands two further in."""
    width = max(columns - 1, NARROWEST)  # a full last column would make a line of its own
    body = line.lstrip(" ")
    start = " " * min(len(line) - len(body), width // 2)
    hang = start + "  " if start else ""
    if line.isascii():
        return textwrap.wrap(body, width, initial_indent=start, subsequent_indent=hang) or [""]
    return _wide_pieces(body, width, start, hang)


def _wide_pieces(body: str, width: int, start: str, hang: str) -> list[str]:
    """As `textwrap` does, with letters of any width."""
    lines = [start]
    for word in body.split():
        joined = f"{lines[-1]} {word}" if lines[-1].strip() else lines[-1] + word
        if cells(joined) <= width:
            lines[-1] = joined
            continue
        if lines[-1].strip():
            lines.append(hang)
        for letter in word:
            if cells(lines[-1] + letter) > width:
                lines.append(hang)
            lines[-1] += letter
    return lines

"""What leaves the program: JSON lines, and streams that can't write every letter."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, TextIO

_USUAL_WIDTH = 80
_READING_IN = "Reading in the rule base, once after each change of it ..."


def columns() -> int:
    """How wide the terminal is; looked up without `shutil`, which takes long to load."""
    told = os.environ.get("COLUMNS", "")
    if told.isdigit() and int(told):
        return int(told)
    try:
        return os.get_terminal_size(1).columns or _USUAL_WIDTH
    except (OSError, ValueError):
        return _USUAL_WIDTH


def fit_streams() -> None:
    """A code page that lacks a letter shows `?` for it; nothing fails for the sake of a letter."""
    for stream in (sys.stdout, sys.stderr):
        if not _holds_all(stream) and hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


def json_line(value: Any, target: TextIO | None = None) -> None:
    """Write one value as one JSON line, escaped where the stream can't write every letter."""
    import json  # costs time, and most commands write none

    out = target or sys.stdout
    print(json.dumps(value, ensure_ascii=not _holds_all(out)), file=out, flush=True)


@contextmanager
def patience(target: TextIO, seconds: float = 0.7) -> Iterator[None]:
    """Say why nothing comes, where somebody waits for it: the rule base is read anew once."""
    if not target.isatty():
        yield
        return
    from threading import Timer

    timer = Timer(seconds, lambda: print(_READING_IN, file=target, flush=True))
    timer.start()
    try:
        yield
    finally:
        timer.cancel()


def _holds_all(stream: TextIO) -> bool:
    """Whether the stream can write any letter there is."""
    name = (getattr(stream, "encoding", None) or "utf-8").lower().replace("-", "").replace("_", "")
    return name.startswith("utf")

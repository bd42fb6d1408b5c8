"""Plain lines, one after the other: for pipes, screen readers and terminals that can only print."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from shutil import get_terminal_size
from typing import TextIO

from diagnose.screens import wording
from diagnose.screens.cells import wrapped
from diagnose.screens.desk import Desk
from diagnose.screens.unbroken import unbroken


def run(desk: Desk, source: TextIO, target: TextIO, live: bool = False) -> int:
    """Talk until the person stops or the input ends; 1 when a turn could not be told.

    With `live` somebody sits there: a prompt is shown, lines are wrapped, Ctrl-C ends nothing.
    """
    code = 0
    columns = min(get_terminal_size().columns, desk.manner.widest) if live else 0
    desk.columns = columns or desk.columns
    _write(desk.greeting, target, columns)
    for line in _lines(source, target, live):
        with unbroken():
            said = desk.take(line)
        if said.failed and not live:
            print(said.text, file=sys.stderr, flush=True)
            code = 1
        elif said.text:
            target.write("\n")
            _write(said.text, target, columns)
        if said.done:
            return code
    if live:
        _write(f"\n{desk.farewell}", target, columns)
    return code


def _lines(source: TextIO, target: TextIO, live: bool) -> Iterator[str]:
    while True:
        if live:
            target.write(wording.PROMPT)
            target.flush()
        try:
            line = source.readline()
        except KeyboardInterrupt:
            if not live:
                raise
            _write(f"\n{wording.TO_END}", target, 0)
            continue
        except OSError:  # the terminal is gone
            return
        if not line:
            return
        yield line.rstrip("\n")


def _write(text: str, target: TextIO, columns: int) -> None:
    lines = wrapped(text, columns) if columns else text.splitlines()
    target.write("".join(f"{line}\n" for line in lines))
    target.flush()

"""Every sentence about the record of practice and where it is kept."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from diagnose.practice.older import Moved

LEFT_UNKEPT = "You leave it; nothing of it is kept, as you asked."


def without_record(why: object) -> str:
    """The store can't be opened; it can be played without."""
    return f"{why}; to play without keeping it: diagnose practice --no-record"


def not_kept(why: object, over: bool) -> str:
    """What was said last could not be kept, and what becomes of it."""
    if over:
        return f"the result is not kept: {why}; 'diagnose practice' goes on before the last words"
    return f"not kept yet: {why}; it is kept with the next thing you say"


def taken_in(moved: Moved) -> str:
    """The record of an older program was taken into the store."""
    files = ", ".join(str(file) for file in moved.aside)
    told = f"your practice record is in the store now: {_count(moved.results, 'result')} taken in"
    unread = f"; {_count(moved.unread, 'line')} could not be read" if moved.unread else ""
    return f"{told}{unread} (the old files stay: {files})"


def long_name(most: int) -> str:
    """A learner's name is no book."""
    return f"a learner's name has at most {most} letters"


def needs_yes(name: str) -> str:
    """Asked before a record is removed."""
    whose = f"the record of {name}" if name else "your record"
    return f"this removes {whose} of practice for good; say so with --yes"


def forgotten(name: str, count: int, older: Sequence[Path]) -> str:
    """A record was removed, and where an older program may have left some of it."""
    whose = f"the record of {name}" if name else "your record"
    told = f"{_count(count, 'thing')} removed for good from {whose} of practice"
    files = ", ".join(str(file) for file in older)
    return (
        f"{told}; remove these yourself, they are older than the store: {files}" if files else told
    )


def _count(count: int, thing: str) -> str:
    return f"{count} {thing}{'' if count == 1 else 's'}"

"""The small language of `when` and `only_if`: "FINDING is STATE", read into records.

cam_drive is chain           cam_drive is chain or belt      cam_drive is not gears
cam_end_play is read         cam_drive is known              cam_drive is not known
note oil_at_risk             note oil_at_risk is not set
"""

from __future__ import annotations

import re

from diagnose.named import Named

_NOTE = re.compile(r"note ([a-z][a-z0-9_]*)( is not set)?")
_FINDING = re.compile(r"([a-z][a-z0-9_]*) is (.+)")
_STATE = re.compile(r"[a-z][a-z0-9_]*")


class Condition(Named):
    """One condition; `kind` is is, is_not, read, known, not_known, note or no_note."""

    kind: str
    name: str
    states: tuple[str, ...] = ()


def parse(text: str) -> Condition | None:
    """Read one condition; None when it can't be read."""
    note = _NOTE.fullmatch(text)
    if note:
        return Condition("no_note" if note[2] else "note", note[1])
    match = _FINDING.fullmatch(text)
    return _about_finding(match[1], match[2]) if match else None


def _about_finding(name: str, rest: str) -> Condition | None:
    plain = {"read": "read", "known": "known", "not known": "not_known"}
    if rest in plain:
        return Condition(plain[rest], name)
    kind, rest = ("is_not", rest[4:]) if rest.startswith("not ") else ("is", rest)
    states = tuple(rest.split(" or "))
    usable = all(_STATE.fullmatch(s) for s in states)
    return Condition(kind, name, states) if usable else None

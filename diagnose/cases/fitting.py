"""Which kept statements the present rule base can still read.

A case may be older than the rules, or come from another shop: what they no longer name is kept in
the store, and left out of the reasoning.
"""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.cases.log import Statement
from diagnose.knowledge.model import READING_STATES, Knowledge
from diagnose.measuring.units import UnitError, convert

_OF_A_FINDING = (
    "said",
    "measured",
    "asked",
    "cannot",
    "dont_know",
    "set_aside",
    "dropped",
    "gauge",
)
_OF_A_CAUSE = ("guessed", "talked", "likened")


def fitting(knowledge: Knowledge, statements: Iterable[Statement]) -> list[Statement]:
    """The statements that can be reasoned with."""
    return [s for s in statements if _fits(knowledge, s)]


def _fits(knowledge: Knowledge, said: Statement) -> bool:
    if said.kind in _OF_A_FINDING:
        return said.name in knowledge.findings and _is_whole(knowledge, said)
    if said.kind in _OF_A_CAUSE:
        return said.name in knowledge.causes
    if said.kind == "open":
        return said.name in knowledge.access
    return said.kind in ("unit", "undone")


def _is_whole(knowledge: Knowledge, said: Statement) -> bool:
    finding = knowledge.findings[said.name]
    if said.kind == "said":
        return said.state in (READING_STATES if finding.is_reading else finding.states)
    if said.kind != "measured":
        return True
    try:
        convert(said.value or 0.0, said.unit or "", finding.unit or "")
    except UnitError:
        return False
    return finding.is_reading

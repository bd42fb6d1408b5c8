"""Turns given as data (batch files, other programs) into statements; every mistake is named."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from diagnose.cases.log import Statement
from diagnose.knowledge.model import READING_STATES, Finding, Knowledge
from diagnose.knowledge.problems import DiagnoseError
from diagnose.measuring.units import UnitError, dimension_of, read_unit

_MOST = 1e12  # no reading of an engine comes near it


class TurnError(DiagnoseError):
    """A statement that can't be used; says what would be right."""


def statements_of(knowledge: Knowledge, turn: object, number: int) -> tuple[list[Statement], int]:
    """The statements of one turn, and how many earlier turns it takes back."""
    items = turn if isinstance(turn, list) else [turn]
    statements, undo = [], 0
    for item in items:
        if not isinstance(item, Mapping):
            raise TurnError(f"a turn is a text or a statement, not {item!r}")
        if "undo" in item:
            undo += _count(item["undo"])
        else:
            statements.append(_statement(knowledge, item, number))
    return statements, undo


def _count(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or value < 1:
        raise TurnError(f"'undo' takes a whole number from 1, not {value!r}")
    return value


def _statement(knowledge: Knowledge, item: Mapping[str, Any], turn: int) -> Statement:
    for kind in ("cannot", "dont_know"):
        if kind in item:
            return Statement(kind, _finding(knowledge, item[kind]).id, turn)
    if "open" in item:
        access = _known(item["open"], knowledge.access, "access")
        return Statement("open", access, turn)
    if "ask" in item:
        finding = _finding(knowledge, item["ask"])
        return Statement("asked", finding.id, turn, unit=_asked_unit(finding, item.get("unit")))
    if "finding" in item:
        return _about(_finding(knowledge, item["finding"]), item, turn)
    raise TurnError(
        f"a statement needs one of finding, cannot, dont_know, ask, open, undo; it has {list(item)}"
    )


def _about(finding: Finding, item: Mapping[str, Any], turn: int) -> Statement:
    if "value" in item:
        return _measured(finding, item, turn)
    states = READING_STATES if finding.is_reading else finding.states
    state = _known(item.get("state"), states, f"state of {finding.id}")
    return Statement("said", finding.id, turn, state=state, text="")


def _measured(finding: Finding, item: Mapping[str, Any], turn: int) -> Statement:
    value, unit = item["value"], item.get("unit")
    if not finding.is_reading:
        raise TurnError(f"{finding.id} is not a reading; give a state: {', '.join(finding.states)}")
    if isinstance(value, bool) or not isinstance(value, int | float) or not _is_near(value):
        raise TurnError(f"the value of {finding.id} must be a number, not {value!r}")
    known = read_unit(str(unit or ""), finding.dimension)
    if known is None or _dimension(known) != finding.dimension:
        raise TurnError(f"{finding.id} needs a unit of {finding.dimension}, not {unit!r}")
    return Statement("measured", finding.id, turn, value=float(value), unit=known)


def _is_near(value: float) -> bool:
    return abs(value) <= _MOST  # never true of "not a number"


def _asked_unit(finding: Finding, unit: object) -> str | None:
    if unit is None:
        return None
    known = read_unit(str(unit), finding.dimension)
    if known is None:
        raise TurnError(f"{finding.id} can't be asked in {unit!r}")
    return known


def _dimension(unit: str) -> str | None:
    try:
        return dimension_of(unit)
    except UnitError:
        return None


def _finding(knowledge: Knowledge, key: object) -> Finding:
    return knowledge.findings[_known(key, knowledge.findings, "finding")]


def _known(key: object, known: Iterable[str], what: str) -> str:
    names = list(known)
    if isinstance(key, str) and key in names:
        return key
    import difflib  # only for a mistake in a statement

    close = difflib.get_close_matches(str(key), names, n=1)
    hint = f"did you mean '{close[0]}'?" if close else f"one of {', '.join(names[:8])}"
    raise TurnError(f"unknown {what} {key!r}; {hint}")

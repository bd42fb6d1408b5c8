"""What is whole in itself and still of no use: nothing uses it, proves it or can tell it apart.

Ids and shapes are looked at in `checks.py`; what is unknown there is passed over here.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.conditions import Condition, parse
from diagnose.knowledge.load import Book
from diagnose.knowledge.model import UNKNOWN, Cause, EngineSheet, Finding, Limit
from diagnose.knowledge.problems import Problem
from diagnose.measuring.units import UnitError, convert

_HARDLY = ("never", "rarely", "seldom")
_NOT_SHOWN = ("never", "rarely")
_ABOUT_NOTES = ("note", "no_note")
_USING = ("derive", "invalid", "ask_first", "contradiction")


def problems_of_use(book: Book) -> Iterator[Problem]:
    """Unused findings, unproved causes, signs out of place, bands with holes or at odds."""
    yield from _unused(book)
    settled = {f for check in book.table("checks").values() for f in check.settles}
    for key, cause in book.table("causes").items():
        fault = _unproved(cause, settled)
        if fault:
            yield Problem("cause_unconfirmed", book.place("causes", key, "confirm"), (key, fault))
        yield from _out_of_place(book, cause)
    for key, finding in book.table("findings").items():
        for fault in _beyond_possible(finding):
            place = book.place("findings", key, "usual")
            yield Problem("band_with_hole", place, (key, fault))


def problems_of_limits(book: Book, sheet: EngineSheet) -> Iterator[Problem]:
    """Limits of an engine sheet that leave a reading without a verdict, or give it two."""
    for i, limit in enumerate(sheet.limits):
        place = book.place("engines", sheet.id, "limits", i)
        for code, faults in (("band_with_hole", _holes), ("bands_at_odds", _at_odds)):
            yield from (Problem(code, place, (limit.finding, fault)) for fault in faults(limit))


def _unused(book: Book) -> Iterator[Problem]:
    used = {part for parts in book.words.sums.values() for part in parts.values()}
    ways = [way for each in book.table("corrections").values() for way in each.ways]
    used |= {fill.finding for way in ways for fill in way.fill.values() if fill.finding}
    for cause in book.table("causes").values():
        used |= {sign.finding for sign in cause.signs}
        used |= {condition.name for condition in _about_findings(cause.only_if)}
    for rule in book.table("rules").values():
        used |= {condition.name for condition in _about_findings(rule.when)}
        used |= {name for action in rule.then for name in _named(dict(action))}
    for key in book.table("findings"):
        if key not in used:
            yield Problem("finding_unused", book.place("findings", key, "id"), (key,))


def _about_findings(texts: tuple[str, ...]) -> list[Condition]:
    conditions = (parse(text) for text in texts)
    return [c for c in conditions if c is not None and c.kind not in _ABOUT_NOTES]


def _named(action: dict[str, object]) -> Iterator[str]:
    for verb in _USING:
        value = action.get(verb, ())
        yield from (str(v) for v in value) if isinstance(value, list | tuple) else (str(value),)


def _unproved(cause: Cause, settled: set[str]) -> str | None:
    finding, state = cause.confirm.finding, cause.confirm.state
    if finding not in settled:
        return f"nothing settles '{finding}'"
    if state == UNKNOWN:
        return f"'{finding}' is confirmed by nobody knowing"
    shown = [s.how_often for s in cause.signs if (s.finding, s.state) == (finding, state)]
    hardly = next((word for word in shown if word in _HARDLY), None)
    return f"it shows '{finding} {state}' {hardly}" if hardly else None


def _out_of_place(book: Book, cause: Cause) -> Iterator[Problem]:
    """Signs in a state that its own `only_if`, or a rule that rules it out, does not allow."""
    barred = [(text, c) for text in cause.only_if if (c := parse(text)) is not None]
    out = [(key, c) for key, c in _ruling_out(book, cause.id)]
    for i, sign in enumerate(cause.signs):
        if sign.how_often in _NOT_SHOWN:
            continue
        reasons = [text for text, c in barred if c.name == sign.finding and _denies(c, sign.state)]
        reasons += [
            f"the rule '{key}'" for key, c in out if c.name == sign.finding and _is(c, sign.state)
        ]
        for reason in reasons:
            place = book.place("causes", cause.id, "signs", i)
            yield Problem("sign_not_applicable", place, (sign.finding, sign.state, reason))


def _ruling_out(book: Book, cause: str) -> Iterator[tuple[str, Condition]]:
    """The rules that rule a cause out for one state alone."""
    for key, rule in book.table("rules").items():
        condition = parse(rule.when[0]) if len(rule.when) == 1 else None
        if condition is not None and any(a.get("rules_out") == cause for a in rule.then):
            yield key, condition


def _denies(condition: Condition, state: str) -> bool:
    allowed = condition.kind != "is" or state in condition.states
    return not allowed or (condition.kind == "is_not" and state in condition.states)


def _is(condition: Condition, state: str) -> bool:
    return condition.kind == "is" and state in condition.states


def _beyond_possible(finding: Finding) -> Iterator[str]:
    """Ends of the usual band that no reading is taken at."""
    usual, possible = finding.usual, finding.possible
    if usual is None or possible is None:
        return
    for value in (usual.low, usual.high):
        try:
            there = None if value is None else convert(value, usual.unit, possible.unit)
        except UnitError:
            return  # reported with the unit itself
        if there is not None and not _within(there, possible.low, possible.high):
            yield f"{value:g} {usual.unit} is usual and not possible"


def _holes(limit: Limit) -> Iterator[str]:
    ends = (limit.low, limit.high, limit.target_low, limit.target_high, limit.wear_limit)
    if all(end is None for end in ends):
        yield "it has no figure at all"
    if (limit.target_low is None) != (limit.target_high is None):
        yield "its target has one end only"


def _at_odds(limit: Limit) -> Iterator[str]:
    for target in (limit.target_low, limit.target_high):
        if target is not None and not _within(target, limit.low, limit.high):
            yield f"the target {target:g} is outside the band"
    wear, ends = limit.wear_limit, (limit.low, limit.high)
    inside = wear is not None and wear not in ends and _within(wear, *ends)
    if wear is not None and inside and ends != (None, None):
        yield f"the wear limit {wear:g} is inside the band for new parts"


def _within(value: float, low: float | None, high: float | None) -> bool:
    return (low is None or value >= low) and (high is None or value <= high)

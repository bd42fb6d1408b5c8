"""What one text was taken to mean, as records; this module understands nothing itself."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from diagnose.named import Named


class Context(Named):
    """What the conversation knows when a text arrives.

    `asked` is the finding just asked for (None when nothing was), `asked_unit` the unit that was
    named in that question, `also_asked` further findings of the same question, `known` the state
    of every finding said so far, `units` the unit the person prefers for a dimension, `agreed`
    the unit the question named, by its dimension, `limits` the readings the sheet has a limit for.
    """

    asked: str | None = None
    asked_unit: str | None = None
    also_asked: tuple[str, ...] = ()
    known: Mapping[str, str] = MappingProxyType({})
    units: Mapping[str, str] = MappingProxyType({})
    agreed: Mapping[str, str] = MappingProxyType({})
    limits: frozenset[str] = frozenset()


class Taken(Named):
    """One thing taken from a text: a finding in a state, or a reading with value and unit.

    `text` is the words it rests on. A reading has `value` and `unit` (as the person gave them) and
    no state, unless it was told in words ("far too much"), then a state and no value. `bound` is
    "above" or "below" for "more than 15 thou"; `low` and `high` are the ends of a range.
    """

    finding: str
    state: str | None
    text: str
    value: float | None = None
    unit: str | None = None
    confidence: float = 1.0
    low: float | None = None
    high: float | None = None
    bound: str | None = None


class Option(Named):
    """One meaning offered for an ambiguous word."""

    finding: str
    state: str | None
    label: str
    value: float | None = None
    unit: str | None = None


class Unclear(Named):
    """Words that could mean several things, with the meanings to choose from."""

    text: str
    options: tuple[Option, ...]


class Understanding(Named):
    """Everything taken from one text.

    `intent` is one of tell, dont_know, cannot, why, why_not, what_if, how, undo, restart, stop,
    help, list, change_unit, greeting, not_that, how_sure, settle, otherwise, other. `target` is
    the cause or finding a question names.
    `guesses` are causes the person named as a guess: heard as a guess, never as a finding.
    """

    taken: tuple[Taken, ...] = ()
    unclear: tuple[Unclear, ...] = ()
    not_understood: tuple[str, ...] = ()
    intent: str = "tell"
    target: str | None = None
    guesses: tuple[str, ...] = ()

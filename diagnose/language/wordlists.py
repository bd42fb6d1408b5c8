"""The word lists of `rules/language.yaml` as frozen records; they hold words and decide nothing.

Every field is a key of the file, read by its type: a set of words, patterns, or a small table.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from diagnose.language.patterns import Patterns
from diagnose.language.stems import stem
from diagnose.named import Named

Stems = tuple[str, ...]
StemSet = frozenset[str]
Kinds = Mapping[str, frozenset[str]]
Same = Mapping[str, tuple[tuple[Stems, Stems], ...]]


class Doubt(Named):
    """A wording with several meanings: when it is met, and the meanings to offer."""

    when: Patterns
    unless: frozenset[str]
    of_noise: bool
    of_number: bool
    options: tuple[tuple[str, str | None, str], ...]


class AnswerWords(Named):
    """Words of an answer: yes, no, the other way about, the second one."""

    yes: frozenset[str]
    firm: frozenset[str]
    no: frozenset[str]
    yes_phrases: Patterns
    no_phrases: Patterns
    hold: Patterns
    of_all: frozenset[str]
    order: Mapping[str, float]


class QuestionWords(Named):
    """Words a question starts with, those that take its matter for granted, and its ends."""

    start: frozenset[str]
    presume: frozenset[str]
    ends: Patterns


class Compounds(Named):
    """Words that before one of `last` only say which thing is meant."""

    first: StemSet
    last: StemSet


class SpokenOf(Named):
    """Topics of findings that are only taken where the topic is spoken of."""

    topics: frozenset[str]
    places: frozenset[str]
    ties: frozenset[str]
    words: frozenset[str]


class Alone(Named):
    """The reading a number is of that stands alone in its clause, by its dimension.

    More than is usual must be told of the build (`late`), a `short` unit of its `break_in`.
    """

    readings: Mapping[str, str]
    units: frozenset[str]
    beside: frozenset[str]
    behind: frozenset[str]
    never: frozenset[str]
    late: frozenset[str]
    short: frozenset[str]
    break_in: frozenset[str]


class Conditions(Named):
    """Words that open a condition, and the times that exclude each other."""

    unless: frozenset[str]
    until: frozenset[str]
    sound: frozenset[str]
    opposite: Mapping[str, str]


class EquipmentWords(Named):
    """Kinds of tool and open accesses by the words for them; having none, all, or leave to open."""

    tools: Mapping[str, Patterns]
    access: Mapping[str, Patterns]
    none: Patterns
    everything: Patterns
    shut: Patterns
    not_open: frozenset[str]
    cues: frozenset[str]
    with_any: frozenset[str]


class WordLists(Named):
    """Everything language.yaml says, in the form the steps use."""

    negators: frozenset[str]
    late_negators: frozenset[str]
    bare_negators: frozenset[str]
    denial_ends: frozenset[str]
    denial_through: frozenset[str]
    modal_negators: frozenset[str]
    having: frozenset[str]
    after_negator: frozenset[str]
    after_no: frozenset[str]
    eases: frozenset[str]
    idioms: Patterns
    fillers: frozenset[str]
    light: StemSet
    plain: frozenset[str]
    ordinary: frozenset[str]
    same: Same
    spelt: Mapping[str, Stems]
    standing: frozenset[str]
    other_things: frozenset[str]
    numbers: Mapping[str, float]
    shares: Mapping[str, float]
    multiples: Mapping[str, float]
    above: Patterns
    below: Patterns
    behind_zero: Patterns
    own_units: frozenset[str]
    beside_units: frozenset[str]
    openers: frozenset[str]
    breaks: frozenset[str]
    soft_breaks: frozenset[str]
    labels: frozenset[str]
    never_reading: frozenset[str]
    sizes: frozenset[str]
    number_ties: frozenset[str]
    contrasts: tuple[frozenset[str], ...]
    changes: frozenset[str]
    conditions: Conditions
    finite_verbs: frozenset[str]
    list_verbs: frozenset[str]
    list_joins: frozenset[str]
    list_openers: StemSet
    list_holders: frozenset[str]
    history: frozenset[str]
    stances: Mapping[str, Patterns]
    began: frozenset[str]
    questions: QuestionWords
    intents: Mapping[str, Patterns]
    corrections: Mapping[str, Patterns]
    relayed: Patterns
    equipment: EquipmentWords
    answers: AnswerWords
    state_words: Mapping[str, tuple[Stems, ...]]
    doubts: tuple[Doubt, ...]
    time_words: StemSet
    tests: Mapping[str, tuple[str, ...]]
    outcomes: Mapping[str, tuple[str, ...]]
    kinds_of: Mapping[str, tuple[str, ...]]
    told_apart: Kinds
    compounds: Compounds
    gauges: frozenset[str]
    spoken_of: SpokenOf
    alone: Alone
    units_in_doubt: Mapping[str, tuple[str, ...]]

    @property
    def all_well(self) -> tuple[Stems, ...]:
        """What says of anything that it is as it should be: "fine", "no problem"."""
        return self.state_words.get("normal", ())


def read_words(content: Mapping[str, Any]) -> WordLists:
    """Turn the content of language.yaml into the record; `KeyError` names a missing list."""
    return WordLists(**_values(WordLists, content))


def _values(record: type, content: Mapping[str, Any]) -> dict[str, Any]:
    kinds = record.__annotations__
    return {name: _READERS[kind](content[name]) for name, kind in kinds.items()}


def _set(words: str | Iterable[str]) -> frozenset[str]:
    return frozenset(words.split() if isinstance(words, str) else map(str, words))


def _patterns(table: Mapping[str, Iterable[str]]) -> dict[str, Patterns]:
    return {name: Patterns.of(lines) for name, lines in table.items()}


def _numbers(table: Mapping[str, object]) -> dict[str, float]:
    return {str(word): float(str(value)) for word, value in table.items()}


def _texts(table: Mapping[str, Iterable[str]]) -> dict[str, tuple[str, ...]]:
    return {str(name): tuple(map(str, texts)) for name, texts in table.items()}


def _spelt(table: Mapping[str, str]) -> dict[str, Stems]:
    return {str(typed): tuple(str(meant).split()) for typed, meant in table.items()}


def _state_words(table: Mapping[str, Iterable[str]]) -> dict[str, tuple[Stems, ...]]:
    return {state: tuple(_stems(text) for text in texts) for state, texts in table.items()}


def _stems(words: str) -> Stems:
    return tuple(stem(word) for word in str(words).split())


def _same(rows: Mapping[str, str]) -> dict[str, tuple[tuple[Stems, Stems], ...]]:
    """By first stem: the wordings and what stands for them, the longest wording first."""
    table: dict[str, dict[Stems, Stems]] = {}
    for first, others in rows.items():
        for wording in others.split(","):
            stems = _stems(wording)
            table.setdefault(stems[0], {})[stems] = _stems(first)
    return {
        start: tuple(sorted(found.items(), key=lambda item: -len(item[0])))
        for start, found in table.items()
    }


def _kinds(rows: Mapping[str, str]) -> dict[str, StemSet]:
    return {stem(thing): frozenset(map(stem, _set(kinds))) for thing, kinds in rows.items()}


def _doubts(rows: Iterable[Mapping[str, Any]]) -> tuple[Doubt, ...]:
    return tuple(_doubt(row) for row in rows)


def _doubt(row: Mapping[str, Any]) -> Doubt:
    return Doubt(
        when=Patterns.of(row["when"]),
        unless=_set(row.get("unless", "")),
        of_noise=bool(row.get("of_noise", False)),
        of_number=bool(row.get("of_number", False)),
        options=tuple((o["finding"], o.get("state"), o["label"]) for o in row["options"]),
    )


_READERS: dict[str, Callable[[Any], object]] = {
    "frozenset[str]": _set,
    "Patterns": Patterns.of,
    "StemSet": lambda words: frozenset(map(stem, _set(words))),
    "Same": _same,
    "Kinds": _kinds,
    "tuple[frozenset[str], ...]": lambda rows: tuple(frozenset(map(stem, _set(r))) for r in rows),
    "Mapping[str, Stems]": _spelt,
    "Mapping[str, str]": dict,
    "Mapping[str, float]": _numbers,
    "Mapping[str, Patterns]": _patterns,
    "Mapping[str, tuple[str, ...]]": _texts,
    "Mapping[str, tuple[Stems, ...]]": _state_words,
    "tuple[Doubt, ...]": _doubts,
    "QuestionWords": lambda content: QuestionWords(**_values(QuestionWords, content)),
    "AnswerWords": lambda content: AnswerWords(**_values(AnswerWords, content)),
    "Conditions": lambda content: Conditions(**_values(Conditions, content)),
    "EquipmentWords": lambda content: EquipmentWords(**_values(EquipmentWords, content)),
    "Compounds": lambda content: Compounds(**_values(Compounds, content)),
    "SpokenOf": lambda content: SpokenOf(**_values(SpokenOf, content)),
    "Alone": lambda content: Alone(**_values(Alone, content)),
}

"""The word lists of `rules/language.yaml` as one frozen record; holds words, decides nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from diagnose.language.patterns import Patterns
from diagnose.language.stems import stem

Stems = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Doubt:
    """A wording with several meanings: when it is met, and the meanings to offer."""

    when: Patterns
    unless: frozenset[str]
    of_noise: bool
    of_number: bool
    options: tuple[tuple[str, str | None, str], ...]


@dataclass(frozen=True, slots=True)
class WordLists:
    """Everything language.yaml says, in the form the steps use."""

    negators: frozenset[str]
    late_negators: frozenset[str]
    fillers: frozenset[str]
    light: frozenset[str]
    plain: frozenset[str]
    standing: frozenset[str]
    topics: frozenset[str]
    spoken_of: frozenset[str]
    ties: frozenset[str]
    other_things: frozenset[str]
    idioms: Patterns
    same: Mapping[str, tuple[tuple[Stems, Stems], ...]]
    spelt: Mapping[str, tuple[str, ...]]
    numbers: Mapping[str, float]
    shares: Mapping[str, float]
    multiples: Mapping[str, float]
    above: Patterns
    below: Patterns
    breaks: frozenset[str]
    soft_breaks: frozenset[str]
    labels: frozenset[str]
    never_reading: frozenset[str]
    stances: Mapping[str, Patterns]
    question_starts: frozenset[str]
    question_presumes: frozenset[str]
    question_ends: Patterns
    intents: Mapping[str, Patterns]
    yes: frozenset[str]
    no: frozenset[str]
    yes_phrases: Patterns
    no_phrases: Patterns
    hold: Patterns
    order: Mapping[str, int]
    state_words: Mapping[str, tuple[Stems, ...]]
    doubts: tuple[Doubt, ...]
    units_in_doubt: Mapping[str, tuple[str, ...]]


def read_words(content: Mapping[str, Any]) -> WordLists:
    """Turn the content of language.yaml into the record; `KeyError` names a missing list."""
    answers, questions = content["answers"], content["questions"]
    simple = ("negators", "late_negators", "plain", "standing", "other_things")
    return WordLists(
        **{name: _set(content[name]) for name in simple},
        **{name: _set(content[name]) for name in ("breaks", "soft_breaks", "labels")},
        **{name: _numbers(content[name]) for name in ("numbers", "shares", "multiples")},
        **{name: Patterns.of(content[name]) for name in ("idioms", "above", "below")},
        fillers=_set(content["fillers"]) - _set(content["light"]),
        light=frozenset(map(stem, _set(content["light"]))),
        topics=_set(content["spoken_of"]["topics"]),
        spoken_of=_set(content["spoken_of"]["words"]),
        ties=_set(content["spoken_of"]["ties"]),
        never_reading=_set(content["never_reading"]),
        same=_same(content["same"]),
        spelt={str(k): tuple(str(v).split()) for k, v in content["spelt"].items()},
        stances={k: Patterns.of(v) for k, v in content["stances"].items()},
        question_starts=_set(questions["start"]),
        question_presumes=_set(questions["presume"]),
        question_ends=Patterns.of(questions["ends"]),
        intents={k: Patterns.of(v) for k, v in content["intents"].items()},
        yes=_set(answers["yes"]),
        no=_set(answers["no"]),
        yes_phrases=Patterns.of(answers["yes_phrases"]),
        no_phrases=Patterns.of(answers["no_phrases"]),
        hold=Patterns.of(answers["hold"]),
        order={str(k): int(v) for k, v in answers["order"].items()},
        state_words={k: tuple(_stems(w) for w in v) for k, v in content["state_words"].items()},
        doubts=tuple(_doubt(d) for d in content["doubts"]),
        units_in_doubt={k: tuple(v) for k, v in content["units_in_doubt"].items()},
    )


def _set(words: str | Iterable[str]) -> frozenset[str]:
    return frozenset(words.split() if isinstance(words, str) else map(str, words))


def _numbers(table: Mapping[str, object]) -> dict[str, float]:
    return {str(word): float(str(value)) for word, value in table.items()}


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


def _doubt(row: Mapping[str, Any]) -> Doubt:
    options = tuple((o["finding"], o.get("state"), o["label"]) for o in row["options"])
    return Doubt(
        when=Patterns.of(row["when"]),
        unless=_set(row.get("unless", "")),
        of_noise=bool(row.get("spoken", False)),
        of_number=bool(row.get("needs_number", False)),
        options=options,
    )

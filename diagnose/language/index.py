"""Everything the understanding of a text needs, made once from the rule base and kept compiled.

Plain dictionaries and tuples only, so that a kept copy is read back quickly.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from diagnose.knowledge.cache import compiled
from diagnose.knowledge.model import Finding, Knowledge
from diagnose.language.shortening import short_forms
from diagnose.language.spelling import Spelling, read_stems
from diagnose.language.wordlists import WordLists, read_words

STATE, NAME, CAUSE = "state", "name", "cause"
NOT = "not"
Row = tuple[str, str, str | None, tuple[str, ...]]
LIGHT, _ALL_LIGHT = 0.4, 1.0
_FEW = 2
_SHORT_TRUST = 0.8
_ARTICLES = frozenset({"a", "an", "the", "its", "it", "is", "some"})
_FORM = "1"


@dataclass(frozen=True, slots=True)
class Phrase:
    """One everyday wording: its stems, their weights, and what it speaks of."""

    stems: tuple[str, ...]
    weights: tuple[float, ...]
    total: float
    kind: str
    target: str
    state: str | None
    telling: frozenset[str]
    trust: float = 1.0


@dataclass(frozen=True, eq=False)
class LanguageIndex:
    """The phrases of the rule base by stem, the word lists, and the findings they speak of."""

    words: WordLists
    spelling: Spelling
    phrases: tuple[Phrase, ...]
    by_stem: Mapping[str, tuple[tuple[int, float], ...]]
    weights: Mapping[str, float]
    findings: Mapping[str, Finding]
    heard: frozenset[str]
    standing: frozenset[str]
    needs_topic: frozenset[str]
    topic_words: frozenset[str]
    name_stems: frozenset[str]
    shared: Mapping[tuple[str, ...], tuple[tuple[str, str | None], ...]]


def load_index(knowledge: Knowledge) -> LanguageIndex:
    """The index for a loaded rule base, with the word lists beside it; kept compiled."""

    def build() -> LanguageIndex:
        from diagnose.knowledge.load import rules_folder
        from diagnose.knowledge.yamltext import read

        document = read(rules_folder() / "language.yaml", "rules/language.yaml")
        return build_index(knowledge, document.data)

    if not knowledge.digest:
        return build()
    return compiled(f"language{_FORM}", knowledge.digest, build)


def build_index(knowledge: Knowledge, words: Mapping[str, Any]) -> LanguageIndex:
    """Make the index from the rule base and the content of language.yaml."""
    lists = read_words(words)
    wordings = list(_wordings(knowledge))
    spelling = Spelling.of(lists, (text for _, _, _, text in wordings))
    stemmed: list[Row] = [
        (kind, target, state, tuple(dict.fromkeys(read_stems(text, lists, spelling))))
        for kind, target, state, text in wordings
    ]
    wide, in_topic = _wide(stemmed), _in_topic(knowledge, lists)
    stemmed = [
        row
        for row, (_, _, _, text) in zip(stemmed, wordings, strict=True)
        if (_says_enough(row[3], text, wide) or row[1] in in_topic)
    ]
    names = {(row[1], one) for row in stemmed if row[0] == NAME for one in row[3]}
    stemmed = [r for r in stemmed if r[0] != STATE or any((r[1], s) not in names for s in r[3])]
    weights = _weights(((target, stems) for _, target, _, stems in stemmed), lists)
    telling, none = _telling(stemmed), frozenset[str]()
    whole = [_phrase(row, weights, telling.get(row[1:3], none)) for row in dict.fromkeys(stemmed)]
    short = short_forms(
        [((p.target, p.state), p.stems, p.telling) for p in whole if p.kind == STATE],
        weights,
        lists.light | {NOT},
    )
    phrases = (*whole, *_shortened(short, weights, telling))
    return LanguageIndex(
        words=lists,
        spelling=spelling,
        phrases=phrases,
        by_stem=_by_stem(phrases),
        weights=weights,
        findings=dict(knowledge.findings),
        heard=_heard(knowledge),
        standing=_stem_set(lists.standing, lists, spelling),
        needs_topic=in_topic,
        topic_words=_stem_set(lists.spoken_of, lists, spelling),
        name_stems=frozenset(s for p in phrases if p.kind == NAME for s in p.stems),
        shared={stems: owners for stems, owners in short.items() if len(owners) > 1},
    )


def _in_topic(knowledge: Knowledge, lists: WordLists) -> frozenset[str]:
    """Findings that are only taken where their topic is spoken of."""
    return frozenset(f.id for f in knowledge.findings.values() if f.topic in lists.topics)


def _wordings(knowledge: Knowledge) -> Iterator[tuple[str, str, str | None, str]]:
    for finding in knowledge.findings.values():
        for state, texts in finding.phrases.items():
            kind = NAME if finding.is_reading and state == NAME else STATE
            for text in texts:
                yield kind, finding.id, None if kind == NAME else state, text
    for cause in knowledge.causes.values():
        for text in (*cause.phrases, cause.title):
            yield CAUSE, cause.id, None, text


def _wide(rows: Iterable[Row]) -> frozenset[str]:
    """Stems that speak of more than a few things."""
    speaks_of: dict[str, set[str]] = {}
    for _, target, _, stems in rows:
        for one in stems:
            speaks_of.setdefault(one, set()).add(target)
    return frozenset(one for one, found in speaks_of.items() if len(found) > _FEW)


def _says_enough(stems: tuple[str, ...], text: str, wide: frozenset[str]) -> bool:
    """False for a phrase of which only one common word is left without its fillers."""
    content = [one for one in stems if one != NOT]
    typed = [w for w in text.split() if w not in _ARTICLES]
    return bool(content) and not (len(stems) == 1 < len(typed) and content[0] in wide)


def _weights(rows: Iterable[tuple[str, tuple[str, ...]]], lists: WordLists) -> dict[str, float]:
    """How telling a stem is: the fewer things it speaks of, the more."""
    speaks_of: dict[str, set[str]] = {}
    targets = set()
    for target, stems in rows:
        targets.add(target)
        for one in stems:
            speaks_of.setdefault(one, set()).add(target)
    count = max(len(targets), 1)
    weights = {
        one: 0.5 + math.log((count + 1) / len(found)) / 2 for one, found in speaks_of.items()
    }
    light = {one: LIGHT for one in lists.light if one in weights}
    return {**weights, NOT: 1.0, **light}


def _telling(rows: Iterable[Row]) -> dict[tuple[str, str | None], frozenset[str]]:
    """The stems that only one state of a finding has, by finding and state."""
    by_state: dict[tuple[str, str | None], set[str]] = {}
    states: dict[tuple[str, str], set[str | None]] = {}
    for kind, target, state, stems in rows:
        if kind == STATE:
            by_state.setdefault((target, state), set()).update(stems)
            for one in stems:
                states.setdefault((target, one), set()).add(state)
    return {
        key: frozenset(one for one in stems if len(states[key[0], one]) == 1)
        for key, stems in by_state.items()
    }


def _phrase(row: Row, weights: Mapping[str, float], telling: frozenset[str]) -> Phrase:
    kind, target, state, stems = row
    content = [one for one in stems if weights[one] > LIGHT]
    plain = {one: weights[one] if content else _ALL_LIGHT for one in stems}
    ordered = tuple(sorted(stems, key=lambda one: -plain[one]))
    heavy = tuple(plain[one] for one in ordered)
    return Phrase(ordered, heavy, sum(heavy), kind, target, state, telling & set(stems))


def _shortened(
    short: Mapping[tuple[str, ...], tuple[tuple[str, str | None], ...]],
    weights: Mapping[str, float],
    telling: Mapping[tuple[str, str | None], frozenset[str]],
) -> Iterator[Phrase]:
    """The short forms that can mean one thing only, a little less trusted."""
    for stems, owners in short.items():
        if len(owners) == 1 and telling[owners[0]] & set(stems):
            row = (STATE, *owners[0], stems)
            yield replace(_phrase(row, weights, telling[owners[0]]), trust=_SHORT_TRUST)


def _by_stem(phrases: tuple[Phrase, ...]) -> dict[str, tuple[tuple[int, float], ...]]:
    table: dict[str, list[tuple[int, float]]] = {}
    for number, phrase in enumerate(phrases):
        for one, weight in zip(phrase.stems, phrase.weights, strict=True):
            table.setdefault(one, []).append((number, weight))
    return {one: tuple(numbers) for one, numbers in table.items()}


def _stem_set(words: Iterable[str], lists: WordLists, spelling: Spelling) -> frozenset[str]:
    return frozenset(one for word in words for one in read_stems(word, lists, spelling))


def _heard(knowledge: Knowledge) -> frozenset[str]:
    """Findings that anybody hears or feels with the engine running, no part looked at."""
    running = {a.id for a in knowledge.access.values() if a.engine_running}
    checks = knowledge.checks.values()
    return frozenset(f for c in checks if c.access in running for f in c.settles)

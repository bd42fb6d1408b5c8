"""Which words of a sentence a "no" can deny, before any wording is met."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnose.language.index import LanguageIndex
from diagnose.language.sentences import Sentence
from diagnose.language.shortening import NOT
from diagnose.language.wordlists import WordLists

_MOST_WORDS, _REACH = 400, 12  # of a sentence; words a denial reaches
Tied = Mapping[int, frozenset[int]]
"""By the place of each bare "no" the places of the words it can deny."""


def bare_negators(sentence: Sentence, index: LanguageIndex) -> frozenset[int]:
    """Where a thing is denied: "no oil", "doesn't have oil", but not "it wasn't the oil"."""
    having = {n for n, c in enumerate(sentence.clauses) if index.words.having & set(c.raw)}
    return frozenset(
        place
        for place, word in enumerate(sentence.words)
        if word.stem == NOT and (word.raw in index.words.bare_negators or word.clause in having)
    )


def denied_by(sentence: Sentence, index: LanguageIndex) -> Tied:
    """Which words each "no" can deny: "no sign of oil", but not the oil of "no dirt in the oil"."""
    lists = index.words
    tied: dict[int, frozenset[int]] = {}
    for place, word in enumerate(sentence.words[:_MOST_WORDS]):
        if word.stem == NOT and word.raw in lists.bare_negators:
            raw = sentence.clauses[word.clause].raw
            at = raw.index(word.raw) if word.raw in raw else len(raw)
            behind = raw[at + 1 : at + 1 + _REACH]
            end = next((n for n, w in enumerate(behind) if _ends_denial(behind, n, lists)), None)
            reached = set(behind[:end])
            near = enumerate(sentence.words[place + 1 : place + 1 + _REACH], start=place + 1)
            tied[place] = frozenset(
                p for p, one in near if one.clause == word.clause and one.raw in reached
            )
    return tied


def _ends_denial(words: Sequence[str], at: int, lists: WordLists) -> bool:
    return words[at] in lists.denial_ends and not (at and words[at - 1] in lists.denial_through)

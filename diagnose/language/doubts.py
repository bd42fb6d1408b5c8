"""Wordings that mean two things: asked back with the meanings to choose from, never assumed."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.language.index import LanguageIndex
from diagnose.language.observations import Observed
from diagnose.language.sentences import Sentence
from diagnose.language.stances import Stance
from diagnose.language.understanding import Option, Unclear


def find_doubts(
    text: str,
    sentence: Sentence,
    stances: Sequence[Stance],
    observed: Observed,
    index: LanguageIndex,
) -> list[Unclear]:
    """The questions one sentence leaves open."""
    found = []
    told = {t.finding for t in observed.taken}
    for number, clause in enumerate(sentence.clauses):
        if stances[number].takes_nothing:
            continue
        for doubt in index.words.doubts:
            if doubt.when.find(clause.raw) is None or doubt.unless & set(clause.raw):
                continue
            options = tuple(Option(f, s, label) for f, s, label in doubt.options)
            if not told & {o.finding for o in options}:
                found.append(Unclear(text[clause.start : clause.end], options))
    return found

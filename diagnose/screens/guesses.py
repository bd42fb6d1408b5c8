"""A student's guess held against the ranking; nothing of it is told to the engine's case."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rapidfuzz import fuzz, process

from diagnose.dialogue.conversation import Conversation
from diagnose.screens import wording

_CLOSE_ENOUGH = 70


def guessed(text: str, talk: Conversation, ranked: Sequence[Mapping[str, Any]]) -> str:
    """What becomes of the guess: its place and how sure, or that it is near no cause."""
    if not text:
        return wording.NO_GUESS
    key = nearest_cause(text, talk)
    if key is None:
        return wording.NOT_A_CAUSE
    title = talk.bench.knowledge.causes[key].title
    place = next((n for n, cause in enumerate(ranked, 1) if cause["id"] == key), None)
    return wording.guess_line(title, place, ranked[place - 1]["band"] if place else "")


def nearest_cause(text: str, talk: Conversation) -> str | None:
    """The cause whose title or wording is nearest to the text."""
    told = {
        wording_: cause.id
        for cause in talk.bench.knowledge.causes.values()
        for wording_ in (cause.title.lower(), *(phrase.lower() for phrase in cause.phrases))
    }
    hit = process.extractOne(
        text.lower(), told.keys(), scorer=fuzz.token_sort_ratio, score_cutoff=_CLOSE_ENOUGH
    )
    return told[hit[0]] if hit else None

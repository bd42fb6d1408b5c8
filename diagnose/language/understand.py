"""Read one text against the rule base: what it says, what stays unclear, what it asks for.

The steps, each in its own module: tokens, spelling, sentences, stances, matches, negation,
readings, answers, intents, doubts. Nothing is remembered between two texts.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from diagnose.language.answers import read_answer
from diagnose.language.doubts import find_doubts
from diagnose.language.index import CAUSE, LanguageIndex
from diagnose.language.intents import OTHER, TELL, WHAT_IF, find_intent, is_put_aside
from diagnose.language.matches import choose, find_matches
from diagnose.language.observations import Observed, observe
from diagnose.language.readings import read_numbers
from diagnose.language.sentences import Sentence, sentences
from diagnose.language.stances import Stance, stances
from diagnose.language.understanding import Context, Taken, Unclear, Understanding

_MOST_TEXT = 6000
_MOST_LEFT = 3


def understand(text: str, index: LanguageIndex, context: Context) -> Understanding:
    """Understand one text; never raises, whatever the text is."""
    text = text[:_MOST_TEXT]
    found = sentences(text, index)
    intent = find_intent(found, index)
    if intent is not None and intent != WHAT_IF:
        target, guesses = _named(found, index)
        return Understanding(intent=intent, target=target, guesses=guesses)
    observed = _observe(text, found, index, context, intent == WHAT_IF)
    if intent == WHAT_IF:
        return Understanding(taken=tuple(observed.taken), intent=WHAT_IF)
    return _with_answer(text, found, observed, index, context)


def _observe(
    text: str,
    found: Sequence[Sentence],
    index: LanguageIndex,
    context: Context,
    what_if: bool,
) -> Observed:
    """Everything the sentences say, whatever was asked."""
    whole = Observed([], [], [], [])
    before: Sentence | None = None
    for sentence in found:
        how = stances(sentence, index)
        if what_if:
            how = [Stance() for _ in how]
        elif any(s.what_if for s in how):
            how = [replace(s, drop=True) for s in how]
        numbers = read_numbers(text, sentence, before, how, (index, context))
        part = observe(text, sentence, how, index)
        doubts = find_doubts(text, sentence, how, part, index)
        whole.add(numbers.taken, [*numbers.unclear, *doubts], part, index)
        before = sentence
    return whole


def _with_answer(
    text: str,
    found: Sequence[Sentence],
    observed: Observed,
    index: LanguageIndex,
    context: Context,
) -> Understanding:
    taken, unclear = list(observed.taken), list(observed.unclear)
    aside = None
    if context.asked and not any(t.finding == context.asked for t in taken):
        aside = is_put_aside(found, index) if context.asked else None
        answer = read_answer(text, found, index, context) if aside is None else None
        if answer is not None and answer.taken is not None:
            taken.append(answer.taken)
        if answer is not None and answer.unclear is not None:
            unclear.append(answer.unclear)
    said = bool(taken or unclear or observed.guesses)
    return Understanding(
        taken=tuple(taken),
        unclear=tuple(_still_open(unclear, taken)),
        not_understood=tuple(observed.left[:_MOST_LEFT]) if aside is None else (),
        intent=aside or (TELL if said or observed.left else OTHER),
        guesses=tuple(dict.fromkeys(observed.guesses)),
    )


def _still_open(unclear: Iterable[Unclear], taken: Sequence[Taken]) -> list[Unclear]:
    """Questions that were not settled by something else in the same text."""
    told = {t.finding for t in taken}
    return [u for u in unclear if not all(o.finding in told for o in u.options)]


def _named(found: Sequence[Sentence], index: LanguageIndex) -> tuple[str | None, tuple[str, ...]]:
    """The cause or finding a question names, and the causes among them."""
    matches = [m for s in found for m in choose(find_matches(s, index), s, index)]
    causes = [m for m in matches if m.phrase.kind == CAUSE]
    best = max(causes or matches, key=lambda m: m.score, default=None)
    return (best.phrase.target if best else None), ()

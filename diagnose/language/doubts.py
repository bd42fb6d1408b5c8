"""Wordings that mean two things: asked back with the meanings to choose from, never assumed.

Some stand in a short table of the language; others are found by themselves: words that several
findings, or several states of one, have in common, with the word missing that would tell.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from diagnose.language.index import LanguageIndex
from diagnose.language.observations import Observed
from diagnose.language.phrasebook import LIGHT
from diagnose.language.quantities import Quantity, unit_of
from diagnose.language.sentences import COUNT, Sentence
from diagnose.language.shortening import NOT
from diagnose.language.stances import Stance
from diagnose.language.understanding import Option, Unclear
from diagnose.language.wordlists import Doubt

_MOST_WORDS, _SIZES, _SHARE = 7, (3, 2), 0.6
_SHORT_TEXT = 80


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
        if stances[number].takes_nothing or stances[number].guess:
            continue
        said = text[clause.start : clause.end]
        for options in _options(number, sentence, observed, index, len(text) <= _SHORT_TEXT):
            if options and not told & {o.finding for o in options}:
                found.append(Unclear(said, options))
                break
    return found


def _options(
    number: int, sentence: Sentence, observed: Observed, index: LanguageIndex, is_short: bool
) -> Iterator[tuple[Option, ...]]:
    raw = sentence.clauses[number].raw
    counted = [p.quantity for p in sentence.placed if sentence.words[p.at].clause == number]
    words = {word for clause in sentence.clauses for word in clause.raw}
    for doubt in index.words.doubts:
        if _is_met(doubt, raw, words, bool(counted), _is_of_noise(sentence, index)):
            quantity = counted[0] if counted else None
            yield tuple(_option(*option, quantity, index) for option in doubt.options)
    if is_short:
        yield _shared(number, sentence, index, _told_weight(number, sentence, observed, index))


def _is_met(
    doubt: Doubt, raw: Sequence[str], words: set[str], has_number: bool, of_noise: bool
) -> bool:
    if (doubt.of_number and not has_number) or (doubt.of_noise and not of_noise):
        return False
    return doubt.when.find(raw) is not None and not doubt.unless & words


def _is_of_noise(sentence: Sentence, index: LanguageIndex) -> bool:
    return any(word.stem in index.topic_words for word in sentence.words)


def _option(
    finding: str, state: str | None, label: str, quantity: Quantity | None, index: LanguageIndex
) -> Option:
    known = index.findings.get(finding)
    if quantity is None or known is None or not known.is_reading or not quantity.dimensions:
        return Option(finding, state, label)
    unit = unit_of(quantity, known.dimension or "")
    return Option(finding, state, label, quantity.value if unit else None, unit)


def _told_weight(
    number: int, sentence: Sentence, observed: Observed, index: LanguageIndex
) -> float:
    """The weight of the words of a clause that were understood already."""
    own = [p for p in observed.places if sentence.words[p].clause == number]
    return sum(index.book.weights.get(sentence.words[p].stem, 0.0) for p in own)


def _shared(
    number: int, sentence: Sentence, index: LanguageIndex, told: float
) -> tuple[Option, ...]:
    """Several things that have the words of this clause in common."""
    own = [w.stem for w in sentence.words if w.clause == number and w.stem not in (NOT, COUNT)]
    stems = [one for one in dict.fromkeys(own) if index.book.weights.get(one, LIGHT + 1) > LIGHT]
    if len(stems) > _MOST_WORDS:
        return ()
    whole = sum(index.book.weights.get(one, 1.0) for one in stems)
    for size in _SIZES:
        for short in combinations(sorted(stems), size):
            owners = index.book.shared.get(" ".join(short), ())
            owners = () if set(short) <= index.words.time_words else owners
            weight = sum(index.book.weights[one] for one in short) if owners else 0.0
            if owners and weight >= _SHARE * whole and weight > told:
                return _meanings(owners, index)
    return ()


def _meanings(owners: Sequence[tuple[str, str | None]], index: LanguageIndex) -> tuple[Option, ...]:
    """The meanings to offer; none where only "is it so or not" would be asked."""
    states: dict[str, set[str | None]] = {}
    for finding, state in owners:
        states.setdefault(finding, set()).add(state)
    for finding, found in states.items():
        if index.findings[finding].normal in found and len(found) > 1:
            return ()
    return tuple(_labelled(f, s, index) for f, s in owners if s is not None)


def _labelled(finding: str, state: str, index: LanguageIndex) -> Option:
    known = index.findings[finding]
    return Option(finding, state, f"{known.title}: {known.say.get(state, state)}")

"""Phrases of the rule base met in a sentence, and the best set of them that do not overlap.

Words may stand in any order with a few others between them; rare words count for more. A longer,
more telling match beats a shorter one that uses the same words.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagnose.language.index import CAUSE, LIGHT, NAME, NOT, LanguageIndex, Phrase
from diagnose.language.sentences import Sentence, Word

_COVERED = 0.8
_LEAST_WEIGHT = 1.6
_EXTRA_COST = 0.12
_CROSSING_COST, _JOINED_COST = 0.3, 0.12
_LEAST_CLOSE, _FEW_CLOSE, _FEW = 0.42, 0.62, 2
_FREE_SHARE = 0.5
_NEGATOR_REACH = 6
_LIGHT_REACH = 4
_MOST_WORDS = 400
Scope = tuple[Sequence[Word], frozenset[int]]


@dataclass(frozen=True, slots=True)
class Match:
    """A phrase met: the words it rests on (by place in the sentence) and how well it fits."""

    phrase: Phrase
    places: tuple[int, ...]
    score: float
    cover: float

    @property
    def first(self) -> int:
        """Place of its first word."""
        return self.places[0]

    @property
    def last(self) -> int:
        """Place of its last word."""
        return self.places[-1]


def find_matches(sentence: Sentence, index: LanguageIndex) -> list[Match]:
    """Every phrase that is met well enough, names of readings left out, best first."""
    words = sentence.words[:_MOST_WORDS]
    places = places_of(words)
    joined = frozenset(n for n, clause in enumerate(sentence.clauses) if clause.is_joined)
    found = []
    for number, weight in weigh(places, index).items():
        phrase = index.phrases[number]
        if phrase.kind == NAME or weight < _COVERED * phrase.total or weight < _LEAST_WEIGHT:
            continue
        match = _locate(phrase, places, (words, joined))
        if match is not None:
            found.append(match)
    return sorted(found, key=lambda m: (-m.score, m.phrase.target, m.phrase.state or ""))


def places_of(words: Sequence[Word]) -> dict[str, list[int]]:
    """Where each stem stands."""
    places: dict[str, list[int]] = {}
    for place, word in enumerate(words):
        places.setdefault(word.stem, []).append(place)
    return places


def weigh(stems: Iterable[str], index: LanguageIndex) -> dict[int, float]:
    """How much of each phrase the stems make up, by phrase number."""
    total: dict[int, float] = {}
    for one in stems:
        for number, weight in index.by_stem.get(one, ()):
            total[number] = total.get(number, 0.0) + weight
    return total


def choose(matches: Sequence[Match], sentence: Sentence, index: LanguageIndex) -> list[Match]:
    """The best matches, each resting on words that no better one of its kind has used up."""
    chosen: list[Match] = []
    for match in matches:
        rivals = [m for m in chosen if m.phrase.kind == match.phrase.kind]
        own = {p for m in rivals if m.phrase.target == match.phrase.target for p in m.places}
        used = {p for m in rivals for p in m.places}
        is_free = _free_share(match, used, sentence, index) >= _FREE_SHARE
        if is_free and not own & set(match.places) and not _is_within_cause(match, chosen):
            chosen.append(match)
    return chosen


def _is_within_cause(match: Match, chosen: Sequence[Match]) -> bool:
    """True for a word that is only part of the name of a cause, as the knock in "rod knock"."""
    causes = (set(m.places) for m in causes_named(chosen))
    return match.phrase.kind != CAUSE and any(set(match.places) < places for places in causes)


def _free_share(match: Match, used: set[int], sentence: Sentence, index: LanguageIndex) -> float:
    """How much of a match rests on words still free; words that stand alone are always free."""
    free = total = 0.0
    for place in match.places:
        one = sentence.words[place].stem
        weight = index.weights.get(one, 0.0)
        total += weight
        if place not in used or (one in index.standing and len(match.places) == 1):
            free += weight
    return free / total if total else 0.0


def _locate(phrase: Phrase, places: Mapping[str, list[int]], scope: Scope) -> Match | None:
    """The closest run of words that makes up a phrase, if it is close enough."""
    stems = [one for one in phrase.stems if one in places and one != NOT]
    if not stems or (NOT in phrase.stems and NOT not in places):
        return None
    best: Match | None = None
    for anchor in places[stems[0]]:
        match = _around(anchor, phrase, stems, places, scope)
        if match is not None and (best is None or match.score > best.score):
            best = match
    return best


def _around(
    anchor: int,
    phrase: Phrase,
    stems: Sequence[str],
    places: Mapping[str, list[int]],
    scope: Scope,
) -> Match | None:
    words, joined = scope
    weights = dict(zip(phrase.stems, phrase.weights, strict=True))
    chosen, met = [anchor], [stems[0]]
    for one in stems[1:]:
        near = [p for p in places[one] if p not in chosen]
        place = min(near, key=lambda p: abs(p - anchor), default=None)
        if place is not None and (weights[one] > LIGHT or _is_by(place, anchor, words)):
            chosen.append(place)
            met.append(one)
    if NOT in phrase.stems:
        negator = _negator(chosen, places[NOT], words)
        if negator is None:
            return None
        chosen.append(negator)
        met.append(NOT)
    cover = sum(weights[one] for one in met) / phrase.total
    if cover < _COVERED or not _is_enough(phrase, met, weights):
        return None
    chosen.sort()
    close = _closeness(chosen, words, joined)
    if close < (_LEAST_CLOSE if len(met) > _FEW and phrase.trust == 1 else _FEW_CLOSE):
        return None
    return Match(phrase, tuple(chosen), phrase.total * cover**2 * close * phrase.trust, cover)


def _is_by(place: int, anchor: int, words: Sequence[Word]) -> bool:
    return abs(place - anchor) <= _LIGHT_REACH and words[place].clause == words[anchor].clause


def _is_enough(phrase: Phrase, met: Sequence[str], weights: Mapping[str, float]) -> bool:
    """A word may lack only in a long phrase, and never the one that tells the state."""
    content = [one for one in phrase.stems if weights[one] > LIGHT and one != NOT]
    lacking = [one for one in content if one not in met]
    if lacking and len(content) - len(lacking) < 3:
        return False
    if len(content) == 1 and len(met) < len(phrase.stems):
        return False
    return not phrase.telling or bool(phrase.telling & set(met))


def _negator(chosen: Sequence[int], negators: Sequence[int], words: Sequence[Word]) -> int | None:
    """The negator a denying phrase needs: before its last word, in the same clause, near by."""
    first, last = min(chosen), max(chosen)
    clauses = {words[p].clause for p in chosen}
    fitting = [
        p for p in negators if words[p].clause in clauses and first - _NEGATOR_REACH <= p <= last
    ]
    return min(fitting, key=lambda p: abs(first - p), default=None)


def _closeness(chosen: Sequence[int], words: Sequence[Word], joined: frozenset[int]) -> float:
    extra = chosen[-1] - chosen[0] + 1 - len(set(chosen))
    crossed = range(words[chosen[0]].clause + 1, words[chosen[-1]].clause + 1)
    crossing = sum(_JOINED_COST if number in joined else _CROSSING_COST for number in crossed)
    return max(0.0, 1.0 - _EXTRA_COST * extra - crossing)


def causes_named(matches: Sequence[Match]) -> Iterator[Match]:
    """The matches that name a cause."""
    return (m for m in matches if m.phrase.kind == CAUSE)

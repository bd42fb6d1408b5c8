"""Phrases of the rule base met in a sentence, and the best set of them that do not overlap.

Words may stand in any order with a few others between them; rare words count for more. A longer,
more telling match beats a shorter one that uses the same words.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import chain

from diagnose.language.denials import Tied, bare_negators, denied_by
from diagnose.language.index import LanguageIndex
from diagnose.language.phrasebook import (
    CAUSE,
    COMPOSED_TRUST,
    LIGHT,
    SHORT_TRUST,
    STATE,
    Phrase,
    Row,
)
from diagnose.language.sentences import COUNT, Sentence, Word
from diagnose.language.shortening import NOT
from diagnose.named import Named

_COVERED = 0.8
_LEAST_WEIGHT = 1.6
_EXTRA_COST = 0.12
_CROSSING_COST, _JOINED_COST = 0.36, 0.12
_LEAST_CLOSE, _FEW_CLOSE, _SHORT_CLOSE, _FEW = 0.5, 0.66, 0.86, 2
_FREE_SHARE = 0.5
_NEGATOR_REACH = 6
_LIGHT_REACH = 4
_SHORT_CLAUSE = 4
_PARTED = 0.4
_OWN_SHARE, _LEAST_OWN, _MOST_MISSING, _CARRIED_TRUST = 0.45, 2, 2, 0.7
_MOST_BESIDE, _MOST_NAMED = 0.6, 4
_SUBJECT_REACH = 2  # sentences back in which the thing spoken of may have been named
_MOST_WORDS = 400
Scope = tuple[Sequence[Word], frozenset[int], frozenset[int], Tied]


class Match(Named):
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


def find_matches(
    sentence: Sentence, index: LanguageIndex, before: Sequence[Sentence] = ()
) -> list[Match]:
    """Every phrase that is met well enough, names of readings left out, best first.

    What a clause is about may have been named in an earlier one, or in the sentences `before`: the
    last ones, and of a "pump" in all of them which pump was spoken of.
    """
    words = sentence.words[:_MOST_WORDS]
    places = places_of(words)
    joined = frozenset(
        n
        for n, clause in enumerate(sentence.clauses)
        if clause.is_joined and len(clause.raw) <= _SHORT_CLAUSE
    )
    scope = words, joined, bare_negators(sentence, index), denied_by(sentence, index)
    found = []
    for row in _possible(places, index):
        phrase = index.book.phrase(row)
        match = _locate(phrase, places, scope)
        if match is None:
            continue
        weak = phrase.total < _LEAST_WEIGHT or phrase.trust == SHORT_TRUST
        if not weak or _is_whole(match, words):
            found.append(match)
    found += _carried(words, before[-_SUBJECT_REACH:], scope[-1], index)
    found = [m for m in found if not _is_of_another_kind(m, words, before, index)]
    found = [m for m in found if not _cuts_a_name(m, words, index)]
    return sorted(found, key=lambda m: (-m.score, m.phrase.target, m.phrase.state or ""))


def _is_of_another_kind(
    match: Match, words: Sequence[Word], before: Sequence[Sentence], index: LanguageIndex
) -> bool:
    """True for the "pump" of "oil pump" in a wording of the fuel pump, and the like.

    A bare "pump" is the kind named last before it, if one was.
    """
    phrase = match.phrase
    for place in match.places:
        kinds = index.words.told_apart.get(words[place].stem)
        if kinds is None or kinds & set(phrase.stems):
            continue
        right_before = words[place - 1].stem if place else ""
        if right_before in kinds:
            return right_before not in index.book.own_kinds.get(phrase.target, frozenset())
        earlier = chain(reversed(words[:place]), *(reversed(s.words) for s in reversed(before)))
        named = next((w.stem for w in earlier if w.stem in kinds), None)
        if named is not None and phrase.target in index.book.own_kinds:
            return named not in index.book.own_kinds[phrase.target]
    return False


def _cuts_a_name(match: Match, words: Sequence[Word], index: LanguageIndex) -> bool:
    """True for a match on the "cam" of "cam gear", where the gear is what is spoken of."""
    first, last = index.words.compounds
    for place in match.places:
        if words[place].stem not in first:
            continue
        named = place + 1
        while named < len(words) and words[named].stem in last and _are_joined(words, named):
            named += 1
        if named > place + 1 and not set(range(place + 1, named)) & set(match.places):
            return True
    return False


def _are_joined(words: Sequence[Word], place: int) -> bool:
    return words[place].clause == words[place - 1].clause


def _possible(stems: Collection[str], index: LanguageIndex) -> Iterator[Row]:
    """The wordings whose telling words are all there."""
    here = {*stems, *index.words.light}
    for one in sorted(stems):
        for row in index.book.led_by(one):
            if here.issuperset(row[3]):
                yield row


def _is_whole(match: Match, words: Sequence[Word]) -> bool:
    """ "No noise." - a shortened wording, or one of common words, must be all a clause says."""
    clause = words[match.last].clause
    rest = [p for p, w in enumerate(words) if w.clause == clause and not w.is_light]
    return set(rest) <= set(match.places)


def _carried(
    words: Sequence[Word], before: Sequence[Sentence], tied: Tied, index: LanguageIndex
) -> Iterator[Match]:
    """Phrases of which a clause says the telling part, and an earlier clause named the thing.

    A thing that is not there ("no misses") is not what the next clause is about.
    """
    gone = frozenset().union(*tied.values())
    named = {w.stem for sentence in before for w in sentence.words}
    last = {w.stem for sentence in before[-1:] for w in sentence.words}
    for number in sorted({w.clause for w in words}):
        own: dict[str, list[int]] = {}
        for place, word in enumerate(words):
            if word.clause == number:
                own.setdefault(word.stem, []).append(place)
        if named and len(own) >= _LEAST_OWN:
            yield from _completed(own, named - set(own), words, index)
        yield from _of_it(own, last - set(own), words, index)
        last = set(own)
        named = named | {one for one, at in own.items() if not gone.issuperset(at)}


def _of_it(
    own: Mapping[str, list[int]], last: set[str], words: Sequence[Word], index: LanguageIndex
) -> Iterator[Match]:
    """Phrases of which a clause says the state and nothing else: "now it's low".

    The clause before names all the rest; of several the one that takes most of it is meant.
    """
    said = [one for one, at in own.items() if not words[at[0]].is_light]
    if len(said) != 1 or said[0] in (NOT, COUNT) or NOT in own or not last:
        return
    if tuple(said) in index.words.all_well:
        return  # "it's fine" is no "fine metal"
    found: list[tuple[int, Phrase]] = []
    for row in _possible({*own, *last}, index):
        phrase, others = index.book.phrase(row), set(row[3]) - set(own)
        if said[0] in row[3] and others and others <= last and _is_wrong(row, index):
            found.append((len([one for one in phrase.content if one in others]), phrase))
    most = max((number for number, _ in found), default=0)
    for number, phrase in found:
        if 1 <= number == most <= _MOST_NAMED:
            score = phrase.total * _CARRIED_TRUST
            yield Match(phrase, (own[said[0]][0],), score, _CARRIED_TRUST)


def _is_wrong(row: Row, index: LanguageIndex) -> bool:
    """A whole wording of a fault; "all fine" alone is too little, and so is a time of a noise."""
    finding = index.findings.get(row[1])
    whole = row[0] == STATE and row[4] == 1
    if not whole or finding is None or row[1] in index.topical:
        return False
    return row[2] not in (finding.normal, *finding.known_states[:1])


def _completed(
    own: Mapping[str, list[int]], named: set[str], words: Sequence[Word], index: LanguageIndex
) -> Iterator[Match]:
    for row in _possible({*own, *(named - {NOT})}, index):
        if row[0] != STATE or row[4] < 1 or len(own.keys() & set(row[3])) < _LEAST_OWN:
            continue
        phrase = index.book.phrase(row)
        missing = [one for one in phrase.content if one not in own]
        if not 1 <= len(missing) <= _MOST_MISSING:
            continue
        here = {one: w for one, w in phrase.weights.items() if one not in missing}
        telling = phrase.telling & set(own)
        enough = len(phrase.content) - len(missing) >= _LEAST_OWN
        heavy = sum(w for one, w in here.items() if one in own) >= _OWN_SHARE * phrase.total
        if not enough or not heavy or not telling or phrase.telling & set(missing):
            continue
        if index.findings[phrase.target].is_reading and _is_of_another(own, here, words, index):
            continue
        stems = tuple(one for one in phrase.stems if one in here)
        short = phrase._replace(stems=stems, weights=here, trust=_CARRIED_TRUST)
        match = _locate(short, own, (words, frozenset(), frozenset(own.get(NOT, ())), {}))
        if match is not None:
            yield match


def _is_of_another(
    own: Mapping[str, list[int]],
    here: Mapping[str, float],
    words: Sequence[Word],
    index: LanguageIndex,
) -> bool:
    """True when the rest of the clause weighs as much: "the cam teeth are good" is no end play."""
    rest = {one for one in own if one not in here and not words[own[one][0]].is_light}
    weights = index.book.weights
    beside = sum(weights.get(one, 0.0) for one in rest if one != NOT)
    return beside >= _MOST_BESIDE * sum(w for one, w in here.items() if one in own)


def places_of(words: Sequence[Word]) -> dict[str, list[int]]:
    """Where each stem stands."""
    places: dict[str, list[int]] = {}
    for place, word in enumerate(words):
        places.setdefault(word.stem, []).append(place)
    return places


def choose(matches: Sequence[Match], sentence: Sentence, index: LanguageIndex) -> list[Match]:
    """The best matches, each resting on words that no better one of its kind has used up."""
    chosen: list[Match] = []
    for match in matches:
        rivals = [m for m in chosen if m.phrase.kind == match.phrase.kind]
        own = {p for m in rivals if m.phrase.target == match.phrase.target for p in m.places}
        used = {p for m in rivals for p in m.places}
        is_free = _free_share(match, used, sentence, index) >= _FREE_SHARE
        inside = _is_within_cause(match, chosen) or _is_within_denial(match, rivals)
        if is_free and not own & set(match.places) and not inside:
            chosen.append(match)
    return chosen


def _is_within_denial(match: Match, rivals: Sequence[Match]) -> bool:
    """True when a denying phrase spans this one and its "not": "no oil groove" is not "no oil"."""
    if NOT not in match.phrase.stems:
        return False
    spans = (m for m in rivals if m.first <= match.first and match.last <= m.last)
    return any(NOT in m.phrase.stems and set(m.places) & set(match.places) for m in spans)


def _is_within_cause(match: Match, chosen: Sequence[Match]) -> bool:
    """True for a word that is only part of the name of a cause, as the knock in "rod knock"."""
    causes = (set(m.places) for m in causes_named(chosen))
    return match.phrase.kind != CAUSE and any(set(match.places) < places for places in causes)


def _free_share(match: Match, used: set[int], sentence: Sentence, index: LanguageIndex) -> float:
    """How much of a match rests on words still free; words that stand alone are always free."""
    free = total = 0.0
    for place in match.places:
        one = sentence.words[place].stem
        weight = index.book.weights.get(one, 0.0)
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
    words, joined, bare, tied = scope
    chosen, met = [anchor], [stems[0]]
    for one in stems[1:]:
        near = [p for p in places[one] if p not in chosen]
        place = min(near, key=lambda p: _distance(p, anchor, words), default=None)
        if place is None:
            continue
        if phrase.weights[one] > LIGHT or one in phrase.telling or _is_by(place, anchor, words):
            chosen.append(place)
            met.append(one)
    if NOT in phrase.stems:
        negators = [p for p in places[NOT] if p in bare or not phrase.bare_not]
        if len(phrase.content) == 1:  # with more words the whole tells what is denied
            negators = [p for p in negators if p not in tied or anchor in tied[p] or p > anchor]
        negator = _negator(phrase, chosen, negators, words)
        if negator is None:
            return None
        chosen.append(negator)
        met.append(NOT)
    cover = sum(phrase.weights[one] for one in met) / phrase.total
    if cover < _COVERED or not _is_enough(phrase, met):
        return None
    chosen.sort()
    close = _closeness(chosen, words, joined)
    if close < _least_close(phrase, len(met)):
        return None
    score = phrase.total * cover**2 * close * phrase.trust * _undenied(phrase, chosen, words)
    return Match(phrase, tuple(chosen), score, cover)


def _least_close(phrase: Phrase, met: int) -> float:
    """How close the words must stand: the fewer they are and the less it is trusted, the closer."""
    if phrase.trust < 1:
        return _SHORT_CLOSE
    return _LEAST_CLOSE if met > _FEW else _FEW_CLOSE


def _undenied(phrase: Phrase, chosen: Sequence[int], words: Sequence[Word]) -> float:
    """Less than one where a negator parts the words: "the tapping doesn't go away"."""
    parted = any(words[p].stem == NOT for p in range(chosen[0], chosen[-1]))
    return _PARTED if parted and NOT not in phrase.stems else 1.0


def _distance(place: int, anchor: int, words: Sequence[Word]) -> tuple[bool, int]:
    """A word of the same clause is the nearest: "it turns but the rotor doesn't turn"."""
    return words[place].clause != words[anchor].clause, abs(place - anchor)


def _is_by(place: int, anchor: int, words: Sequence[Word]) -> bool:
    return abs(place - anchor) <= _LIGHT_REACH and words[place].clause == words[anchor].clause


def _is_enough(phrase: Phrase, met: Sequence[str]) -> bool:
    """No telling word may lack; where there are few, not even a light one."""
    content = phrase.content
    if any(one not in met for one in content):
        return False
    if len(met) < len(phrase.stems) and (len(content) <= _FEW or phrase.trust == COMPOSED_TRUST):
        return False
    return not phrase.telling or bool(phrase.telling & set(met))


def _negator(
    phrase: Phrase, chosen: Sequence[int], negators: Sequence[int], words: Sequence[Word]
) -> int | None:
    """The negator a denying phrase needs: near by and in front, unless the phrase has it behind."""
    first, last = min(chosen), max(chosen)
    behind = last + 2 if phrase.not_behind else last
    fitting = [
        p
        for p in negators
        if words[p].clause == words[last].clause and first - _NEGATOR_REACH <= p <= behind
    ]
    return min(fitting, key=lambda p: abs(first - p), default=None)


def _closeness(chosen: Sequence[int], words: Sequence[Word], joined: frozenset[int]) -> float:
    between = range(chosen[0] + 1, chosen[-1])
    telling = [p for p in between if not words[p].is_light and words[p].stem != NOT]
    extra = sum(p not in chosen for p in telling)
    crossed = range(words[chosen[0]].clause + 1, words[chosen[-1]].clause + 1)
    crossing = sum(_JOINED_COST if number in joined else _CROSSING_COST for number in crossed)
    return max(0.0, 1.0 - _EXTRA_COST * extra - crossing)


def causes_named(matches: Sequence[Match]) -> Iterator[Match]:
    """The matches that name a cause."""
    return (m for m in matches if m.phrase.kind == CAUSE)

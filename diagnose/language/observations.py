"""Matches to statements: what of a sentence was observed, what is a guess, what is left over."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from diagnose.language.index import LanguageIndex
from diagnose.language.matches import Match, choose, find_matches
from diagnose.language.negation import denied_state, is_denied, is_said_denied
from diagnose.language.phrasebook import CAUSE
from diagnose.language.sentences import COUNT, Sentence
from diagnose.language.shortening import NOT
from diagnose.language.spoken import sayings
from diagnose.language.stances import Stance
from diagnose.language.understanding import Taken, Unclear
from diagnose.named import Named

_SURE, _HEARSAY, _DENIED = 1.0, 0.7, 0.85
_LONGEST_LEFT = 80
_LEAST_LEFT = 2
_TIE_REACH, _TOPIC_REACH = 80, 1
_TWO = 2
_MOST_STRANGE, _STRANGE_SHARE = 9, 0.35


class Setting(Named):
    """What a sentence stands in: the finding asked for, the sentences before, clauses measured."""

    asked: str | None = None
    before: Sequence[Sentence] = ()
    measured: frozenset[int] = frozenset()


class Observed:
    """What was observed so far, what is unclear, the causes guessed at, and the clauses left."""

    def __init__(self) -> None:
        self.taken: list[Taken] = []
        self.unclear: list[Unclear] = []
        self.guesses: list[str] = []
        self.left: list[str] = []
        self.places: frozenset[int] = frozenset()

    def add(
        self,
        numbers: Sequence[Taken],
        unclear: Iterable[Unclear],
        part: Observed,
        index: LanguageIndex,
    ) -> None:
        """Add one more sentence; the later number of a reading stands."""
        measured = {t.finding for t in numbers}
        held = [t for t in self.taken if t.finding not in measured]
        news = [t for t in part.taken if t.finding not in measured]
        self.taken = _one_each([*held, *numbers, *news], index)
        self.unclear += unclear
        self.guesses += part.guesses
        self.left += part.left


def observe(
    text: str,
    sentence: Sentence,
    stances: Sequence[Stance],
    index: LanguageIndex,
    place: Setting,
) -> Observed:
    """What one sentence says in words."""
    asked = index.findings.get(place.asked or "")
    scope = index, asked is not None and asked.topic in index.words.spoken_of.topics
    found = find_matches(sentence, index, place.before)
    chosen = choose(_on_topic(text, found, sentence, scope, place), sentence, index)
    observed = Observed()
    observed.taken = list(_said(text, sentence, stances, index))
    for match in chosen:
        stance = stances[sentence.words[match.first].clause]
        if match.phrase.kind == CAUSE:
            observed.guesses += [] if stance.drop else [match.phrase.target]
        elif not (
            _is_kept_back(match.phrase.target, match.phrase.state, stance, index)
            or _is_event(match, sentence, index)
        ):
            taken = _taken(text, match, sentence, chosen, (index, stance))
            observed.taken += [taken] if taken else []
    observed.places = frozenset(p for m in chosen for p in m.places if m.phrase.kind != CAUSE)
    told = frozenset(sentence.words[p].clause for p in observed.places)
    observed.taken += _ended(sentence, stances, chosen, told, index)
    observed.taken = _one_each(observed.taken, index)
    observed.left = list(_left(text, sentence, stances, chosen, index))
    return observed


def _on_topic(
    text: str,
    matches: Sequence[Match],
    sentence: Sentence,
    scope: tuple[LanguageIndex, bool],
    place: Setting,
) -> list[Match]:
    """Without the places and times of a noise where no noise is spoken of, and without chatter."""
    index, asked = scope
    spoken = {w.clause for w in sentence.words if w.stem in index.topic_words}
    if asked:
        spoken = set(range(len(sentence.clauses)))
    before = {w.stem for s in place.before[-1:] for w in s.words}
    clauses = spoken, place.measured - spoken, bool(before & index.topic_words)
    kept = [m for m in matches if _is_on_topic(text, m, sentence, clauses, index)]
    foreign = _foreign(sentence, index)
    return [m for m in kept if len(m.places) > 1 or sentence.words[m.first].clause not in foreign]


def _is_on_topic(
    text: str,
    match: Match,
    sentence: Sentence,
    clauses: tuple[set[int], frozenset[int], bool],
    index: LanguageIndex,
) -> bool:
    """A place or a time is of a noise only near a noise, and a place only behind "at" or "from"."""
    finding = index.findings.get(match.phrase.target)
    if finding is None or finding.topic not in index.words.spoken_of.topics:
        return True
    words = [sentence.words[p] for p in match.places]
    crossed = range(words[0].clause + 1, words[-1].clause + 1)
    if not all(sentence.clauses[n].is_joined for n in crossed):
        return False  # "rattles once hot, quiet cold" is not "quiet once hot"
    if {w.stem for w in words} & index.topic_words:
        return True
    spoken, silent, of_before = clauses
    word = words[0]
    is_place = finding.topic in index.words.spoken_of.places
    if word.clause in silent:
        return False
    content = [w for w in words if not w.is_light] or words
    own_words = [w for w in sentence.words if w.clause == word.clause and not w.is_light]
    alone = len(content) * 2 >= len(own_words)
    reach = range(word.clause - _TOPIC_REACH, word.clause + _TOPIC_REACH + 1)
    if len(content) > 1 and not is_place and (spoken & set(reach) or (alone and of_before)):
        return True
    near = {word.clause - 1, word.clause, word.clause + 1} if alone else {word.clause}
    before = text[max(0, word.start - _TIE_REACH) : word.start].lower().split()[-2:]
    own = text[word.start : word.end].lower().split()[:1]
    return bool(spoken & near) and bool(index.words.spoken_of.ties & {*before, *own})


def _foreign(sentence: Sentence, index: LanguageIndex) -> set[int]:
    """Clauses about other things that tick and knock, or all of them where all is chatter."""
    strange = [w for w in sentence.words if w.stem not in index.book.weights and w.raw != COUNT]
    if len(strange) > _MOST_STRANGE and len(strange) > _STRANGE_SHARE * len(sentence.words):
        return set(range(len(sentence.clauses)))
    return {n for n, c in enumerate(sentence.clauses) if index.words.other_things & set(c.raw)}


def _said(
    text: str, sentence: Sentence, stances: Sequence[Stance], index: LanguageIndex
) -> Iterator[Taken]:
    """What the clauses say word for word."""
    for one in sayings((clause.raw for clause in sentence.clauses), index.spoken):
        clause = sentence.clauses[one.clause]
        state: str | None = one.state
        if _is_once(clause.raw[one.first], clause.raw, one.finding, index):
            continue
        if is_said_denied(clause.raw[: one.first], index):
            state = denied_state(index.findings[one.finding], one.state)
        if state and not _is_kept_back(one.finding, state, stances[one.clause], index):
            said = text[clause.start : clause.end].split()
            if len(said) == len(clause.raw):  # else a word was parted or joined: all of it
                said = said[one.first : one.last]
            yield Taken(one.finding, state, " ".join(said), confidence=one.confidence)


def _is_kept_back(target: str, state: str | None, stance: Stance, index: LanguageIndex) -> bool:
    if stance.takes_nothing:
        return True
    finding = index.findings[target]
    if stance.tried and finding.topic in index.words.history:
        return True
    if stance.before and not finding.is_circumstance:
        return state == finding.normal or finding.id in index.heard
    return stance.guess and target not in index.heard


def _taken(
    text: str,
    match: Match,
    sentence: Sentence,
    chosen: Sequence[Match],
    scope: tuple[LanguageIndex, Stance],
) -> Taken | None:
    index, stance = scope
    finding, state = index.findings[match.phrase.target], match.phrase.state
    words = [sentence.words[p] for p in match.places]
    said = text[min(w.start for w in words) : max(w.end for w in words)]
    sure = _HEARSAY if stance.hearsay else _SURE
    denied, easing = is_denied(match, sentence, chosen, index), _is_easing(match, sentence, index)
    if denied and easing:
        return None  # "doesn't go away when hot" tells nothing of how it is hot
    if denied and finding.topic in index.words.history and _is_unable(match, sentence, index):
        return None  # "the distributor won't drop in" does not say that nobody worked on it
    if denied or easing:
        state = denied_state(finding, state or "", NOT in match.phrase.stems)
        sure *= _DENIED
    return Taken(finding.id, state, said, confidence=sure * match.cover) if state else None


def _is_event(match: Match, sentence: Sentence, index: LanguageIndex) -> bool:
    """ "Since I broke a pushrod": what happened once, which is no state of today; work done is.

    The match begins with what was done: "since I changed it the pressure is low" tells of today.
    """
    word = sentence.words[match.first]
    return _is_once(word.raw, sentence.clauses[word.clause].raw, match.phrase.target, index)


def _is_once(first: str, raw: Sequence[str], target: str, index: LanguageIndex) -> bool:
    """True where the `first` word of what was met is what happened once, and no work done."""
    place = index.words.stances["event"].find(raw)
    if place is None or index.findings[target].is_circumstance:
        return False
    return first in raw[place[1] : place[1] + _TWO]


def _is_unable(match: Match, sentence: Sentence, index: LanguageIndex) -> bool:
    """True beside a "can't" or "won't" in the clause of the match."""
    clause = sentence.words[match.first].clause
    own = (w.raw for w in sentence.words if w.clause == clause)
    return not index.words.modal_negators.isdisjoint(own)


def _is_easing(match: Match, sentence: Sentence, index: LanguageIndex) -> bool:
    """ "gone when hot": a time of a noise right behind a word that says it goes."""
    topic, spoken = index.findings[match.phrase.target].topic, index.words.spoken_of
    if topic not in spoken.topics or topic in spoken.places:
        return False
    eases, clause = index.words.eases, sentence.words[match.first].clause
    before = [w for w in sentence.words[: match.first] if w.clause == clause]
    telling = [w.raw for w in before if not w.is_light or w.raw in eases]
    return bool(telling) and telling[-1] in eases


def _ended(
    sentence: Sentence,
    stances: Sequence[Stance],
    chosen: Sequence[Match],
    told: frozenset[int],
    index: LanguageIndex,
) -> list[Taken]:
    """ "used to rattle, doesn't now": what the clause before tells of is over."""
    found = []
    for number, stance in enumerate(stances):
        if not stance.over or number == 0 or number in told or stances[number - 1].drop:
            continue
        for match in chosen:
            finding = index.findings.get(match.phrase.target)
            before = sentence.words[match.first].clause == number - 1
            if before and finding is not None and len(finding.known_states) == _TWO:
                said = sentence.words[match.first].raw
                found.append(Taken(finding.id, finding.normal, said, confidence=_DENIED))
    return found


def _one_each(taken: Sequence[Taken], index: LanguageIndex) -> list[Taken]:
    """One state a finding: what is wrong stands before what is right, else the best match."""
    kept: dict[str, Taken] = {}
    for one in taken:
        finding = index.findings[one.finding]
        held = kept.get(one.finding)
        if held is None or (held.state == finding.normal and one.state != finding.normal):
            kept[one.finding] = one
    return list(kept.values())


def _left(
    text: str,
    sentence: Sentence,
    stances: Sequence[Stance],
    chosen: Sequence[Match],
    index: LanguageIndex,
) -> Iterator[str]:
    """The clauses nothing was taken from, that seem to say something."""
    used = {sentence.words[p].clause for m in chosen for p in m.places}
    for number, clause in enumerate(sentence.clauses):
        words = [w for w in sentence.words if w.clause == number and w.stem not in (NOT, COUNT)]
        known = [w for w in words if w.stem in index.book.weights]
        if number not in used and known and len(words) >= _LEAST_LEFT and not stances[number].drop:
            yield text[clause.start : clause.end].strip()[:_LONGEST_LEFT]

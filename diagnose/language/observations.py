"""Matches to statements: what of a sentence was observed, what is a guess, what is left over."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from diagnose.language.index import CAUSE, NOT, LanguageIndex
from diagnose.language.matches import Match, choose, find_matches
from diagnose.language.negation import denied_state, is_denied, neutral_negators
from diagnose.language.sentences import COUNT, Sentence
from diagnose.language.stances import Stance
from diagnose.language.understanding import Taken, Unclear

_SURE, _HEARSAY, _DENIED = 1.0, 0.7, 0.85
_LONGEST_LEFT = 80
_LEAST_LEFT = 2


@dataclass(slots=True)
class Observed:
    """What was observed so far, what is unclear, the causes guessed at, and the clauses left."""

    taken: list[Taken]
    unclear: list[Unclear]
    guesses: list[str]
    left: list[str]

    def add(self, numbers: Sequence[Taken], unclear: Iterable[Unclear], part: Observed) -> None:
        """Add one more sentence; the later word on a finding stands."""
        news = [*numbers, *part.taken]
        measured = {t.finding for t in numbers}
        news = [t for t in news if t.value is not None or t.finding not in measured]
        told = {t.finding for t in news}
        self.taken = [t for t in self.taken if t.finding not in told] + news
        self.unclear += unclear
        self.guesses += part.guesses
        self.left += part.left


def observe(
    text: str, sentence: Sentence, stances: Sequence[Stance], index: LanguageIndex
) -> Observed:
    """What one sentence says in words."""
    chosen = choose(find_matches(sentence, index), sentence, index)
    negators = neutral_negators(sentence, index) | _consumed(chosen, sentence)
    observed = Observed([], [], [], [])
    for match in chosen:
        stance = stances[sentence.words[match.first].clause]
        if match.phrase.kind == CAUSE:
            observed.guesses += [] if stance.drop else [match.phrase.target]
        elif not _is_kept_back(match, stance, index):
            taken = _taken(text, match, sentence, negators, (index, stance))
            observed.taken += [taken] if taken else []
    observed.taken = list(_one_each(observed.taken))
    observed.left = list(_left(text, sentence, stances, chosen, index))
    return observed


def _consumed(chosen: Sequence[Match], sentence: Sentence) -> frozenset[int]:
    """Negators that belong to a denying phrase."""
    return frozenset(p for m in chosen for p in m.places if sentence.words[p].stem == NOT)


def _is_kept_back(match: Match, stance: Stance, index: LanguageIndex) -> bool:
    if stance.takes_nothing:
        return True
    return stance.guess and match.phrase.target not in index.heard


def _taken(
    text: str,
    match: Match,
    sentence: Sentence,
    negators: frozenset[int],
    scope: tuple[LanguageIndex, Stance],
) -> Taken | None:
    index, stance = scope
    finding, state = index.findings[match.phrase.target], match.phrase.state
    words = [sentence.words[p] for p in match.places]
    said = text[min(w.start for w in words) : max(w.end for w in words)]
    sure = _HEARSAY if stance.hearsay else _SURE
    if is_denied(match, sentence, negators, index):
        state = denied_state(finding, state or "")
        sure *= _DENIED
    return Taken(finding.id, state, said, confidence=sure * match.cover) if state else None


def _one_each(taken: Sequence[Taken]) -> Iterator[Taken]:
    """One state a finding: the one met first in order of score."""
    seen = set()
    for one in taken:
        if one.finding not in seen:
            seen.add(one.finding)
            yield one


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
        known = [w for w in words if w.stem in index.weights]
        if number not in used and known and len(words) >= _LEAST_LEFT and not stances[number].drop:
            yield text[clause.start : clause.end].strip()[:_LONGEST_LEFT]

"""Whether a match is denied, and what the denial of a state says."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.knowledge.model import UNKNOWN, Finding
from diagnose.language.denials import denied_by
from diagnose.language.index import LanguageIndex
from diagnose.language.matches import Match
from diagnose.language.sentences import Sentence, Word
from diagnose.language.shortening import NOT

_REACH, _RIGHT_BEFORE = 6, 2


def is_denied(
    match: Match, sentence: Sentence, chosen: Sequence[Match], index: LanguageIndex
) -> bool:
    """True when an odd number of free negators stands over the match.

    A negator is not free where it belongs to a denying phrase about other words, nor a "no" that
    denies another thing: "no oil until I prime it" does not deny the priming.
    """
    words = sentence.words
    own = {p for p in match.places if words[p].stem != NOT}
    others = [m for m in chosen if m is not match and not own & set(m.places)]
    tied = denied_by(sentence, index).items()
    of_others = {n for n, named in tied if named and not named & own}
    used = _consumed(others, sentence) | of_others
    over = [p for p in _before(match, words) if p not in used and p not in match.places]
    late = _late(match, words, used, index)
    return (len(over) + late) % 2 == 1


def is_said_denied(before: Sequence[str], index: LanguageIndex) -> bool:
    """True when the words right before a saying deny it: "no sign of | water in the oil"."""
    words = index.words
    for word in reversed(before[-_REACH:]):
        if word in words.negators:
            return True
        if word not in words.denial_through and word not in words.fillers:
            return False
    return False


def denied_state(finding: Finding, state: str, has_not: bool = False) -> str | None:
    """The state that holds when `state` is denied, if only one is left to think of.

    `has_not`: the wording denied has a "not" of its own; "not like there's none" says little.
    """
    known = finding.known_states
    if len(known) == 2:
        return known[1] if state == known[0] else known[0]
    if state != finding.normal and finding.normal != UNKNOWN and not has_not:
        return finding.normal
    return None


def _consumed(chosen: Sequence[Match], sentence: Sentence) -> frozenset[int]:
    """Negators that belong to a denying phrase."""
    return frozenset(p for m in chosen for p in m.places if sentence.words[p].stem == NOT)


def _before(match: Match, words: Sequence[Word]) -> list[int]:
    """Negators in the clause of the match, not too far before its words, or among them.

    Of a match that runs over into the next clause, also one right before its first word, unless
    most of it stands there: "no fuel at the carb, new pump" denies no new fuel pump.
    """
    content = [p for p in match.places if words[p].stem != NOT]
    first, last = content[0], content[-1]
    ahead = sum(words[p].clause == words[first].clause for p in content)
    mostly_ahead = 2 * ahead >= len(content)
    right_before = range(max(0, first - _RIGHT_BEFORE), first if mostly_ahead else 0)
    return [
        p
        for p in range(max(0, first - _REACH), last)
        if words[p].stem == NOT
        and (
            words[p].clause == words[last].clause
            or (p in right_before and words[p].clause == words[first].clause)
        )
    ]


def _late(match: Match, words: Sequence[Word], used: frozenset[int], index: LanguageIndex) -> int:
    """ "oil at the rockers: none", "the knock isn't there": a negator right behind."""
    place = match.last + 1
    if place >= len(words) or words[place].stem != NOT or place in used:
        return 0
    if words[place].raw in index.words.late_negators:
        return int(place + 1 == len(words) or words[place + 1].clause != words[place].clause)
    if words[place].clause != words[match.last].clause:
        return 0
    if words[place].raw in index.words.modal_negators:
        return 0  # "second gauge he can't fit" denies the fitting
    rest = [w for w in words[place + 1 :] if w.clause == words[place].clause]
    return int(all(w.raw in index.words.after_negator for w in rest[:2]))

"""Whose claim a clause is, and of when: own eyes, a guess, a book, another engine, a what-if.

Says only how a clause may be used; the phrases in it are found elsewhere.
"""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.language.index import LanguageIndex
from diagnose.language.patterns import Patterns
from diagnose.language.sentences import COUNT, Clause, Sentence
from diagnose.named import Named

_TRIED_REACH = 1


class Stance(Named):
    """How a clause may be used: not at all, only for what is heard, only for the guess in it."""

    drop: bool = False
    guess: bool = False
    hearsay: bool = False
    past: bool = False
    over: bool = False
    what_if: bool = False
    book: bool = False
    tried: bool = False
    before: bool = False

    @property
    def takes_nothing(self) -> bool:
        """True when nothing in the clause is an observation of this engine as it is."""
        return self.drop or self.past or self.book or (self.guess and self.hearsay)


_IT = ("it", "its", "that", "thats")


def told_own(found: Sequence[Sentence], index: LanguageIndex) -> bool:
    """True for a text that sets the person's own engine apart from another: "mine ticks"."""
    return any(_has(index, "own", clause.raw) for s in found for clause in s.clauses)


def stances(sentence: Sentence, index: LanguageIndex, begins: bool = False) -> list[Stance]:
    """One stance a clause; a sentence that `begins` a text may name whose engine it is about."""
    asked_from = _question_from(sentence, index)
    whole = [word for clause in sentence.clauses for word in clause.raw]
    what_if = _has(index, "what_if", whole)
    found, other = [], False
    for number, clause in enumerate(sentence.clauses):
        if clause.is_turn or _has(index, "own", clause.raw):
            other = False
        other = other or _has(index, "other", clause.raw)
        other = other or (not (begins and number == 0) and _has(index, "borrowed", clause.raw))
        dropped = other or (asked_from is not None and number >= asked_from)
        dropped = dropped or _has(index, "planned", clause.raw) or _is_sought(clause, index)
        found.append(_stance(clause, index, dropped, what_if))
    return _by_time(sentence, found, index)


def _is_sought(clause: Clause, index: LanguageIndex) -> bool:
    """ "Checked for stuck valves": what was looked for, with nothing read."""
    return COUNT not in clause.raw and _has(index, "sought", clause.raw)


def _by_time(sentence: Sentence, found: list[Stance], index: LanguageIndex) -> list[Stance]:
    """ "Last week it was quiet, now it knocks": the first is past, because the other is now."""
    now = [n for n, c in enumerate(sentence.clauses) if _has(index, "now", c.raw)]
    last = max(now, default=0)
    for number, clause in enumerate(sentence.clauses):
        began = index.words.began & set(clause.raw)
        if number < last and _has(index, "then", clause.raw) and not began:
            found[number] = found[number]._replace(before=True)
    return _tried(sentence, found, index)


def _tried(sentence: Sentence, found: list[Stance], index: LanguageIndex) -> list[Stance]:
    """ "Changed the pump, no difference": what was done since the trouble did not begin it."""
    for number, clause in enumerate(sentence.clauses):
        if _has(index, "without_result", clause.raw):
            for place in range(max(0, number - _TRIED_REACH), number + 1):
                found[place] = found[place]._replace(tried=True)
    return found


def _stance(clause: Clause, index: LanguageIndex, dropped: bool, what_if: bool) -> Stance:
    raw = clause.raw
    observed = _has(index, "observed", raw)
    guess = _has(index, "guess", raw)
    place = index.words.stances["hearsay"].find(raw)
    hearsay = place is not None and not observed
    if hearsay and place is not None and not guess:
        said = place[1] - (raw[place[1] - 1] in _IT)  # "says it knocks": the "it" is part of it
        guess = _names_only(raw[said:], index.words.finite_verbs)
    return Stance(
        drop=dropped,
        guess=guess,
        hearsay=hearsay,
        past=_has(index, "past", raw),
        over=_has(index, "over", raw),
        what_if=what_if,
        book=_has(index, "book", raw) and not _has(index, "beside_book", raw),
    )


def _names_only(rest: Sequence[str], verbs: frozenset[str]) -> bool:
    """True when what somebody says is only a name ("says it's rod knock"), no observation."""
    if not rest or rest[0] in ("there", "theres"):
        return not rest
    if rest[0] in ("it", "that"):  # "it is rod knock" names, "it knocks" tells
        return list(rest[1:2]) in (["is"], ["was"], ["must"], ["might"], ["could"])
    if rest[0] in ("its", "thats") and "".join(rest[1:2]).endswith("ing"):
        return False  # "its knocking" tells, "its rod knock" names
    after = [w for w in rest if w not in ("its", "is", "thats", "a", "the", "an")]
    return rest[0] in ("its", "thats") or not verbs & set(after + list(rest[2:]))


def _question_from(sentence: Sentence, index: LanguageIndex) -> int | None:
    """The clause a question begins at, or None; "why does it knock" still tells that it knocks."""
    lists = index.words
    for number, clause in enumerate(sentence.clauses):
        words = [w for w in clause.raw if w not in lists.soft_breaks]
        if not words:
            continue
        if sentence.is_question and words[0] in lists.questions.start:
            return None if words[0] in lists.questions.presume else number
        if lists.questions.ends.find(words) is not None:
            return number
    if sentence.is_question:
        return max(len(sentence.clauses) - 1, 0)
    return None


def _has(index: LanguageIndex, name: str, words: Sequence[str]) -> bool:
    patterns: Patterns = index.words.stances[name]
    return patterns.find(words) is not None

"""Things of a list that share a word: "gear and teeth are whole", "new rings, bearings, cam"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.language.index import LanguageIndex
from diagnose.language.sentences import Clause, Sentence, Word
from diagnose.named import Named

_MOST_WORDS, _MOST_ITEMS, _MOST_NAMED = 3, 6, 2
_TWO = 2


class Shared(Named):
    """One thing of a list with what is told of all; `clause` is where that is told.

    `is_work` where all are told to be new: then only what was done to the engine is told.
    """

    sentence: Sentence
    clause: int
    is_work: bool = False


def shared_endings(sentence: Sentence, index: LanguageIndex) -> Iterator[Shared]:
    """Each thing of a list as a sentence of its own, with the ending told of the last."""
    for number, clause in enumerate(sentence.clauses):
        verb = _verb(clause, index)
        if number == 0 or verb is None or clause.raw[0] not in index.words.list_joins:
            continue
        words = [w for w in sentence.words if w.clause == number]
        named = _named_before(clause, words, verb)
        ending, items = words[named:], list(_items(sentence, number, index))
        if named and ending and items:
            heads = [*items, words[:named]]
            if len(items[-1]) >= _TWO <= len(items):  # "distributor gear, pin and teeth"
                heads += [[*items[-1], *own] for own in heads if own is not items[-1]]
            yield from (Shared(_joined([*own, *ending], clause), number) for own in heads)


def shared_beginnings(sentence: Sentence, index: LanguageIndex) -> Iterator[Shared]:
    """Each further thing of a list with the word the list began with.

    "New rings, bearings and pump" are all new, and what "has spark, fuel and compression" has all.
    """
    opener: tuple[list[Word], str] | None = None
    for number, clause in enumerate(sentence.clauses):
        words = [w for w in sentence.words if w.clause == number]
        if opener is not None and _is_name(clause, words, index):
            own = clause.raw[clause.raw[0] in index.words.list_joins :]
            told = clause._replace(raw=(opener[1], *own))
            yield Shared(_joined([*opener[0], *words], told), number, bool(opener[0]))
            continue
        opener = _opener(clause, words, index)


def _opener(
    clause: Clause, words: Sequence[Word], index: LanguageIndex
) -> tuple[list[Word], str] | None:
    """The word a list may begin with, as a telling word if it is one, and as typed."""
    if any(w.raw in index.words.negators for w in words):
        return None
    new = [n for n, w in enumerate(words) if w.stem in index.words.list_openers]
    if new and new[-1] < len(words) - 1:
        return [words[new[-1]]], words[new[-1]].raw
    had = [n for n, raw in enumerate(clause.raw) if raw in index.words.list_holders]
    named = len(clause.raw) - 1 - had[-1] if had else 0
    return ([], clause.raw[had[-1]]) if 0 < named <= _MOST_NAMED else None


def _is_name(clause: Clause, words: Sequence[Word], index: LanguageIndex) -> bool:
    """True for a clause of a few words that only names a thing."""
    is_short = 0 < len(words) <= _MOST_WORDS and len(clause.raw) <= _MOST_WORDS + _TWO
    verbs = index.words.list_verbs | index.words.finite_verbs | index.words.after_no
    return is_short and not verbs & set(clause.raw[1:]) and not _tells(words, index)


def _verb(clause: Clause, index: LanguageIndex) -> int | None:
    """Where the ending begins: "and teeth are whole"; None where nothing stands before it."""
    verbs = index.words.list_verbs
    raw = clause.raw
    return next((n for n in range(_TWO, len(raw)) if raw[n] in verbs and raw[n - 1] != "at"), None)


def _named_before(clause: Clause, words: Sequence[Word], verb: int) -> int:
    """How many telling words of a clause stand before its verb."""
    before = set(clause.raw[:verb])
    return sum(1 for _ in _while_in(words, before))


def _while_in(words: Sequence[Word], raw: set[str]) -> Iterator[Word]:
    for word in words:
        if word.raw not in raw:
            return
        yield word


def _items(sentence: Sentence, last: int, index: LanguageIndex) -> Iterator[list[Word]]:
    """The clauses before that only name a thing, the nearest first."""
    for number in range(last - 1, max(-1, last - 1 - _MOST_ITEMS), -1):
        words = [w for w in sentence.words if w.clause == number]
        if not _is_name(sentence.clauses[number], words, index):
            return
        yield words


def _tells(words: Sequence[Word], index: LanguageIndex) -> bool:
    """True for a denial, a number, or a word that is heard: no bare name of a part."""
    return any(w.raw in index.words.negators or w.stem in index.standing for w in words)


def _joined(words: Sequence[Word], clause: Clause) -> Sentence:
    own = tuple(w._replace(clause=0) for w in words)
    return Sentence(own, (clause._replace(is_joined=False),), (), is_question=False)

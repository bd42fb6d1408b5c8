"""Things of a list that share a word: "gear and teeth are whole", "new rings, bearings, cam"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.language.index import LanguageIndex
from diagnose.language.sentences import Clause, Sentence, Word
from diagnose.named import Named

_MOST_WORDS, _MOST_ITEMS = 3, 6
_TWO = 2


class Shared(Named):
    """One thing of a list with the ending of the list; `clause` is where the ending stands."""

    sentence: Sentence
    clause: int


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
    """Each further thing of "new rings, bearings and pump" with the word the list began with."""
    opener: Word | None = None
    for number, clause in enumerate(sentence.clauses):
        words = [w for w in sentence.words if w.clause == number]
        if opener is not None and _is_name(clause, words, index):
            yield Shared(_joined([opener, *words], clause), number)
            continue
        found = [n for n, w in enumerate(words) if w.stem in index.words.list_openers]
        denied = any(w.raw in index.words.negators for w in words)
        opener = words[found[-1]] if found and found[-1] < len(words) - 1 and not denied else None


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

"""Words as typed to stems: slips put right, run-together words parted, equal words made one.

Short words are held to their spelling; a word that is ordinary English is never "corrected".
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

from diagnose.language.stems import stem
from diagnose.language.tokens import NUMBER, WORD, Token, tokenise
from diagnose.language.wordlists import Stems, WordLists
from diagnose.named import Named

_SHORT, _LONG = 4, 8
_LEAST_PART = 3
_MEMORY = 20_000
_DOUBLES = 2
_DOUBLE = re.compile(r"(.)\1+")


class Spelling(Named):
    """The words that are known, and those a mis-spelt word may stand for, by first letter."""

    known: frozenset[str]
    targets: Mapping[str, tuple[str, ...]]
    trade: frozenset[str]
    memory: dict[str, tuple[str, ...]]

    @classmethod
    def of(cls, lists: WordLists, texts: Iterable[str]) -> Spelling:
        """Learn the words of the trade from its phrases, the rest from the word lists."""
        trade = {t.text for text in texts for t in tokenise(text) if t.kind == WORD}
        same = {w for rows in lists.same.values() for stems, _ in rows for w in stems}
        ordinary = set(lists.fillers | lists.plain | lists.ordinary | lists.negators)
        ordinary |= lists.breaks
        ordinary |= lists.soft_breaks | lists.light
        ordinary |= (
            set(lists.numbers) | set(lists.other_things) | lists.answers.yes | lists.answers.no
        )
        patterns = (lists.idioms, lists.above, lists.below, lists.questions.ends)
        answers = (lists.answers.yes_phrases, lists.answers.no_phrases, lists.answers.hold)
        asking = (*lists.stances.values(), *lists.intents.values())
        ordinary |= {w for p in (*patterns, *answers, *asking) for w in p.words}
        table: dict[str, list[str]] = {}
        aims = trade | lists.negators | set(lists.numbers) | lists.standing
        for word in sorted(aims | set(map(stem, aims))):
            if len(word) >= _SHORT:
                table.setdefault(word[0], []).append(word)
        stems = {stem(word) for word in trade | ordinary} | same
        targets = {first: tuple(words) for first, words in table.items()}
        of_trade = frozenset(map(stem, trade)) | same
        return cls(frozenset(trade | ordinary | stems), targets, of_trade, {})

    def read(self, word: str) -> tuple[str, ...]:
        """The known word or words a typed word stands for; itself when there are none."""
        found = self.memory.get(word)
        if found is None:
            found = self._read(word)
            if len(self.memory) < _MEMORY:
                self.memory[word] = found
        return found

    def _read(self, word: str) -> tuple[str, ...]:
        if len(word) < _SHORT or word in self.known or stem(word) in self.known:
            return (word,)
        near = self._doubled(word) or self._nearest(word) or self._nearest(stem(word))
        if near is not None:
            return (near,)
        return self._parted(word) or (word,)

    def _doubled(self, word: str) -> str | None:
        """The word that differs only in letters doubled or not: "distributtor"."""
        plain = _DOUBLE.sub(r"\1", word)
        alike = (t for t in self.targets.get(word[0], ()) if abs(len(t) - len(word)) <= _DOUBLES)
        return next((t for t in alike if _DOUBLE.sub(r"\1", t) == plain), None)

    def _nearest(self, word: str) -> str | None:
        """The nearest word of the trade that begins alike, within one slip (two in a long one)."""
        from rapidfuzz.distance import OSA  # only where a word is not known: it takes its time

        allowed = 2 if len(word) >= _LONG else 1
        best: tuple[int, int, str] | None = None
        for target in self.targets.get(word[0], ()) if len(word) >= _SHORT else ():
            if abs(len(target) - len(word)) > allowed or not _may_be(word, target):
                continue
            slips = OSA.distance(word, target, score_cutoff=allowed)
            if slips <= allowed and (best is None or (slips, -len(target), target) < best):
                best = (slips, -len(target), target)
        return best[2] if best else None

    def _parted(self, word: str) -> tuple[str, ...] | None:
        places = range(_LEAST_PART + 1, len(word) - _LEAST_PART)
        for place in places:
            first, second = word[:place], word[place:]
            if stem(first) in self.trade and stem(second) in self.trade:
                return first, second
        return None


def read_stems(text: str, lists: WordLists, spelling: Spelling) -> list[str]:
    """The telling stems of a phrase: slips put right, equal words made one, fillers left out."""
    tokens = [t for t in tokenise(text) if t.kind in (WORD, NUMBER)]
    words = [
        w for t in tokens for w in (spell(t, lists, spelling) if t.kind == WORD else (t.text,))
    ]
    return [one for group in equal(words, lists) for one in group[2] if one]


def spell(token: Token, lists: WordLists, spelling: Spelling) -> tuple[str, ...]:
    """The words one token stands for."""
    return lists.spelt.get(token.text) or spelling.read(token.text)


def equal(words: Sequence[str], lists: WordLists) -> Iterator[tuple[int, int, Stems]]:
    """Runs of words with the stems that stand for them; a filler alone gives none."""
    stems = [stem(word) for word in words]
    place = 0
    while place < len(words):
        length, found = _longest(words, stems, place, lists)
        yield place, place + length, found
        place += length


def _longest(
    words: Sequence[str], stems: Sequence[str], place: int, lists: WordLists
) -> tuple[int, Stems]:
    for wording, stands_for in lists.same.get(stems[place], ()):
        if tuple(stems[place : place + len(wording)]) == wording:
            return len(wording), stands_for
    word = words[place]
    if word in lists.negators:
        return 1, ("not",)
    return 1, () if word in lists.fillers else (stems[place],)


def _may_be(word: str, target: str) -> bool:
    """A four-letter word may only be short of a letter or have two letters swapped."""
    if len(word) > _SHORT:
        return len(target) > _SHORT
    return len(target) > len(word) or sorted(word) == sorted(target)

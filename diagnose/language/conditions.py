"""Conditions put the plain way round: "no knock unless hot" and "ticks until warm" as "only when".

Only of a noise, and only in the words; what a time means is said by the phrases of the rule base.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from diagnose.language.index import LanguageIndex
from diagnose.language.stems import stem

_ONLY, _NOISE = ("only", "when"), ("noise",)
_REACH, _TIME_REACH = 8, 6
Words = tuple[str, ...]


def put_plainly(said: Sequence[Words], index: LanguageIndex) -> Mapping[int, Words]:
    """What stands for some tokens of a sentence instead; `said` has the words of each token."""
    conditions = index.words.conditions
    changed: dict[int, Words] = {}
    for place, words in enumerate(said):
        if not words or words[0] not in conditions.unless | conditions.until:
            continue
        before = range(max(0, place - _REACH), place)
        noise = [n for n in before if _is_noise(said[n], index)]
        denied = [n for n in before if set(said[n]) & index.words.negators]
        quiet = [n for n in before if set(said[n]) & conditions.sound]
        if quiet and not denied and any(_is_noise(words, index) for words in said):
            changed |= {place: _ONLY, quiet[-1]: _NOISE}
        elif denied and (noise or any(set(said[n]) & index.words.eases for n in before)):
            changed |= {place: _ONLY, denied[-1]: ()}
        elif noise:
            opposite = dict(_turned(said, place, index))
            changed |= {place: _ONLY, **opposite} if opposite else {}
    return changed


def _is_noise(words: Words, index: LanguageIndex) -> bool:
    return any(stem(word) in index.topic_words for word in words)


def _turned(said: Sequence[Words], place: int, index: LanguageIndex) -> Iterator[tuple[int, Words]]:
    """The time behind an "until", turned: what is there until warm is there when cold."""
    for number in range(place + 1, min(place + 1 + _TIME_REACH, len(said))):
        for word in said[number]:
            turned = index.words.conditions.opposite.get(word)
            if turned is not None:
                yield number, (turned,)
                return

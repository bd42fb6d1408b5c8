"""What a text talks about: how near its words come to the words of each cause.

People name the parts that trouble them long before they name a finding. This nearness is no
finding; it only lets a cause whose own words are used count as somewhat likelier.
"""

from __future__ import annotations

import marshal
import math
from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Iterator, Mapping
from functools import cache

from diagnose.knowledge.model import Cause, Knowledge
from diagnose.language.spelling import Spelling, read_stems
from diagnose.language.wordlists import WordLists
from diagnose.named import Named

_SHORTEST = 3  # letters of a word that counts
_NEAR_ENOUGH = 0.13  # cosine to the nearest cause, below which a text is about something else
_PLENTY = 20  # words of the trade that make a text trusted in full
_FEWEST = 6  # words of the trade a text must have before it has a subject
_SHOWN = 0.25  # signs shown less often lend no words
_LEAST = 0.2  # nearness, as a share of the nearest cause's, that is worth noting


class Subjects(Named):
    """The weight of every word, and by word the causes that use it with how much.

    The uses stay packed until a text has the word: places in `causes`, and sizes.
    """

    causes: tuple[str, ...]
    weight: Mapping[str, float]
    uses: Mapping[str, bytes]

    def cosines(self, words: Collection[str]) -> dict[str, float]:
        """The cosine between a text of these words, each used once, and the words of each cause."""
        known = sorted(word for word in words if word in self.weight)
        length = math.sqrt(sum(self.weight[word] ** 2 for word in known)) or 1.0
        found: dict[str, float] = defaultdict(float)
        for word in known:
            places, sizes = marshal.loads(self.uses[word])
            for place, size in zip(places, sizes, strict=True):
                found[self.causes[place]] += size * self.weight[word] / length
        return dict(found)


def build_subjects(knowledge: Knowledge, lists: WordLists, spelling: Spelling) -> Subjects:
    """Count the words of every cause."""
    read = cache(lambda text: tuple(_stems(text, lists, spelling)))  # causes share what they show
    own = {c.id: _counted(knowledge, c, read) for c in knowledge.causes.values()}
    return _uses({c: {w: _damped(n) for w, n in words.items()} for c, words in own.items()})


def _uses(counted: Mapping[str, Mapping[str, float]]) -> Subjects:
    """Rare words weigh more, by the square root of the inverse document frequency.

    The full one trusts a single odd word more than all the rest of a message.
    """
    spread = Counter(word for words in counted.values() for word in words)
    weight = {word: math.sqrt(math.log(len(counted) / n)) for word, n in spread.items()}
    uses: dict[str, tuple[list[int], list[float]]] = defaultdict(lambda: ([], []))
    for place, words in enumerate(counted.values()):
        sizes = {word: n * weight[word] for word, n in words.items()}
        norm = math.sqrt(sum(x * x for x in sizes.values())) or 1.0
        for word, size in sizes.items():
            uses[word][0].append(place)
            uses[word][1].append(size / norm)
    return Subjects(tuple(counted), weight, {w: marshal.dumps(rows) for w, rows in uses.items()})


def nearness(said: Collection[str], subjects: Subjects) -> dict[str, float]:
    """How near a text of these stems comes to each cause; empty for a text without subject.

    The cosines of the two word counts, as in text retrieval. The nearest cause has 1 in a text with
    plenty of words; few words are a weak ground, so a short text comes less near to all of them.
    """
    number = len(subjects.weight.keys() & set(said))
    own = subjects.cosines(said)
    most = max(own.values(), default=0.0)
    if number < _FEWEST or most < _NEAR_ENOUGH:
        return {}
    trust = min(number / _PLENTY, 1.0)
    near = {cause: value / most for cause, value in sorted(own.items())}
    return {cause: trust * share for cause, share in near.items() if share >= _LEAST}


def telling_stems(text: str, lists: WordLists, spelling: Spelling) -> frozenset[str]:
    """The telling words of a text put right and made one, each once."""
    return frozenset(_stems(text, lists, spelling))


def _counted(
    knowledge: Knowledge, cause: Cause, read: Callable[[str], tuple[str, ...]]
) -> Counter[str]:
    """The words of its own, and those of what it shows: how people tell it and why it does."""
    count: Counter[str] = Counter()
    for text, times in (*_own_words(cause), *_shown_words(knowledge, cause)):
        for word in read(text):
            count[word] += times  # type: ignore[assignment]
    return count


def _own_words(cause: Cause) -> Iterator[tuple[str, float]]:
    yield cause.title, 3.0
    yield " ".join(cause.phrases), 3.0
    yield cause.confirm.shows, 1.0
    yield cause.remedy, 1.0


def _shown_words(knowledge: Knowledge, cause: Cause) -> Iterator[tuple[str, float]]:
    for sign in cause.signs:
        often = knowledge.words.how_often[sign.how_often]
        if often < _SHOWN:
            continue
        finding = knowledge.findings[sign.finding]
        told = finding.phrases.get(sign.state, ())
        yield finding.title, 0.5 * often
        yield sign.because, often
        yield " ".join(told), 8.0 * often / max(len(told), 1)


def _damped(count: float) -> float:
    return 1 + math.log(count) if count >= 1 else count


def _stems(text: str, lists: WordLists, spelling: Spelling) -> Iterator[str]:
    """The telling words put right and made one: a "dizzy" counts as the distributor it is."""
    return (one for one in read_stems(text, lists, spelling) if len(one) >= _SHORTEST)

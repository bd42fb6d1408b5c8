"""How like a text is to what people told who turned out to have each cause.

The weights were fitted to messages that are not in the project, some met and some written from
memory (`rules/told.yaml`); here they are only added up. A likeness is no finding: it moves the
order of the causes, and no check is spared.
"""

from __future__ import annotations

import marshal
import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping

from diagnose.knowledge.model import Knowledge
from diagnose.language.spelling import Spelling, read_stems
from diagnose.language.wordlists import WordLists
from diagnose.named import Named

FEWEST = 6  # words counted that a text must have before it is like anything
PLENTY = 20  # words and findings from which on a text is weighed in full

Row = tuple[list[int], list[float]]


class Likeness(Named):
    """The log odds each word and each finding in a state puts on the causes it speaks for.

    They stay packed until a text has the word: places in `causes`, and weights.
    """

    causes: tuple[str, ...]
    words: Mapping[str, bytes]
    shown: Mapping[str, bytes]

    def traits(self, said: Collection[str], seen: Iterable[str]) -> list[bytes]:
        """What is weighed of a text: the counted ones of its stems and of what was heard in it."""
        words = [self.words[one] for one in sorted(said) if one in self.words]
        if len(words) < FEWEST:
            return []
        return words + [self.shown[one] for one in sorted(seen) if one in self.shown]


def build_likeness(knowledge: Knowledge, lists: WordLists, spelling: Spelling) -> Likeness:
    """Turn the weights by cause into weights by word."""
    causes = tuple(knowledge.told)
    words: dict[str, Row] = defaultdict(lambda: ([], []))
    shown: dict[str, Row] = defaultdict(lambda: ([], []))
    for place, told in enumerate(knowledge.told.values()):
        for word, weight in told.words.items():
            for one in read_stems(word, lists, spelling):
                _note(words[one], place, weight)
        for seen, weight in told.shown.items():
            _note(shown[seen], place, weight)
    return Likeness(causes, _packed(words), _packed(shown))


def likeness(said: Collection[str], seen: Iterable[str], weights: Likeness) -> dict[str, float]:
    """The log odds that a text puts on the causes; empty for one of too few counted words.

    `said` are its stems, each once, and `seen` what was heard in it ("misfire present"). The
    weights of all are added and shared out by the root of their number (Euclidean length 1), so
    that a long text is no louder than a short one; below `PLENTY` a text is weighed as if it had
    that many.
    """
    traits = weights.traits(said, seen)
    found: dict[int, float] = defaultdict(float)
    for packed in traits:
        for place, weight in zip(*marshal.loads(packed), strict=True):
            found[place] += weight
    length = math.sqrt(max(len(traits), PLENTY))
    return {weights.causes[n]: x / length for n, x in found.items()}


def _note(rows: Row, place: int, weight: float) -> None:
    rows[0].append(place)
    rows[1].append(weight)


def _packed(rows: Mapping[str, Row]) -> dict[str, bytes]:
    return {one: marshal.dumps(row) for one, row in rows.items()}

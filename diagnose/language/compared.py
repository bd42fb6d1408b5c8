"""Several numbers of one kind beside each other: "compression 155, 165, 60, 160" has one low.

Which number is whose cylinder does not matter; what makes one low stands in the rules (`of_each`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from diagnose.knowledge.model import OfEach
from diagnose.language.index import LanguageIndex
from diagnose.language.patterns import Patterns
from diagnose.language.sentences import Sentence
from diagnose.language.understanding import Taken

_NUMBER = re.compile(
    r"(?<![\w.#/-])#?\d{1,3}(?![\d.]|\s*(?:%|rpm|miles?|deg))|(?<=/)\d{1,3}(?![\d.])"
)
_MOST_LABEL, _FEWEST, _PAIRS = 12, 3, 6
_HUNDRED = 100


def compared(text: str, found: Sequence[Sentence], index: LanguageIndex) -> Iterator[Taken]:
    """What the numbers of each sentence say against each other."""
    starts = [s.words[0].start if s.words else 0 for s in found]
    ends = [*starts[1:], len(text)]
    for name, of_each in index.of_each.items():
        for sentence, end in zip(found, ends, strict=False):
            named = next((w for w in sentence.words if w.raw in of_each.named), None)
            if named is None or not (values := _values(text[named.end : end])):
                continue
            if len(values) >= _FEWEST or _is_throughout(sentence, of_each):
                said = text[named.start : end].strip()
                yield Taken(name, _state(values, of_each), said)


def _is_throughout(sentence: Sentence, of_each: OfEach) -> bool:
    """ "compression 100 to 115 on all eight": what is told is told of each."""
    patterns = Patterns.of(of_each.throughout)
    return any(patterns.find(clause.raw) for clause in sentence.clauses)


def _values(text: str) -> list[float]:
    """The numbers told, without those that only say which cylinder it is."""
    told = [m.group() for m in _NUMBER.finditer(text)]
    plain = [float(one) for one in told if not one.startswith("#")]
    paired = len(plain) >= _PAIRS and len(plain) % 2 == 0
    if paired and all(one <= _MOST_LABEL for one in plain[::2]) and max(plain[1::2]) > _MOST_LABEL:
        return plain[1::2]
    return [one for one in plain if one > _MOST_LABEL or one == 0]


def _state(values: Sequence[float], of_each: OfEach) -> str:
    highest = max(values)
    low = sum(_HUNDRED * one < of_each.share * highest for one in values)
    if highest < of_each.least:
        return of_each.all_low
    return of_each.even if not low else of_each.one if low == 1 else of_each.several

"""Several numbers of one kind beside each other: "compression 155, 165, 60, 160" has one low.

What makes one low stands in the rules (`of_each`). Two that are low are neighbours where the text
tells whose they are, or tells those of a four or a six in order.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from diagnose.knowledge.model import OfEach
from diagnose.language.index import LanguageIndex
from diagnose.language.patterns import Patterns
from diagnose.language.sentences import Sentence
from diagnose.language.understanding import Taken
from diagnose.named import Named

_NUMBER = re.compile(
    r"(?<![\w.#/-])#?\d{1,3}(?![\d.]|\s*(?:%|rpm|miles?|deg))|(?<=/)\d{1,3}(?![\d.])"
)
_WHOSE = r"#?(?<![\w.])(?:1[0-2]|[1-9])(?![\d.])"
_OF_CYLINDERS = re.compile(  # "3 and 4 ok at about 140", "#2 60", "1 and 2 both zero"
    rf"({_WHOSE}(?:\s*(?:,|and|&|\+)\s*{_WHOSE})*)\s*[:=-]?\s*(?:[a-z]+\s+){{0,4}}?"
    r"(\d{1,3}(?![\d.])|zero|none|nothing)",
    re.IGNORECASE,
)
_MOST_LABEL, _FEWEST, _PAIRS = 12, 3, 6
_HUNDRED, _TWO = 100, 2
_IN_ONE_ROW = (4, 6)  # cylinders that stand behind each other, so 2 and 3 are neighbours
_TWO_ROWS = 8  # numbered across the banks, so 3 and 5 are (both: common practice)


class Told(Named):
    """One number and the cylinder it is of, None where the text does not tell."""

    cylinder: int | None
    value: float


def compared(text: str, found: Sequence[Sentence], index: LanguageIndex) -> Iterator[Taken]:
    """What the numbers of each sentence say against each other."""
    starts = [s.words[0].start if s.words else 0 for s in found]
    ends = [*starts[1:], len(text)]
    for name, of_each in index.of_each.items():
        for sentence, start, end in zip(found, starts, ends, strict=False):
            named = next((w for w in sentence.words if w.raw in of_each.named), None)
            if named is None:
                continue
            behind = _told(text[named.end : end])
            told = behind if len(behind) >= _FEWEST else _of_cylinders(text[start:end]) or behind
            if told and (len(told) >= _FEWEST or _is_throughout(sentence, of_each)):
                said = text[named.start if told is behind else start : end].strip()
                yield Taken(name, _state(told, of_each), said)


def _is_throughout(sentence: Sentence, of_each: OfEach) -> bool:
    """ "compression 100 to 115 on all eight": what is told is told of each."""
    patterns = Patterns.of(of_each.throughout)
    return any(patterns.find(clause.raw) for clause in sentence.clauses)


def _told(text: str) -> list[Told]:
    """The numbers told, with their cylinders where each has one; a cylinder's is no number told."""
    told = [m.group() for m in _NUMBER.finditer(text)]
    plain = [float(one) for one in told if not one.startswith("#")]
    paired = len(plain) >= _PAIRS and len(plain) % 2 == 0
    if paired and all(one <= _MOST_LABEL for one in plain[::2]) and max(plain[1::2]) > _MOST_LABEL:
        return [Told(int(whose), one) for whose, one in zip(plain[::2], plain[1::2], strict=True)]
    values = [one for one in plain if one > _MOST_LABEL or one == 0]
    whose = _of_cylinders(text)
    if [one.value for one in whose] == values:
        return whose
    in_order = len(values) in _IN_ONE_ROW and len(values) == len(told)
    return [Told(n + 1 if in_order else None, one) for n, one in enumerate(values)]


def _of_cylinders(text: str) -> list[Told]:
    """The numbers told of cylinders that are named; none where they are not those of a row."""
    found = [
        Told(int(whose), float(value) if value.isdigit() else 0.0)
        for named, value in _OF_CYLINDERS.findall(text)
        for whose in re.findall(r"\d+", named)
    ]
    cylinders = sorted(one.cylinder or 0 for one in found)
    is_row = len(found) >= _FEWEST and cylinders == list(range(1, len(found) + 1))
    return found if is_row and max(one.value for one in found) > _MOST_LABEL else []


def _state(told: Sequence[Told], of_each: OfEach) -> str:
    highest = max(one.value for one in told)
    low = [one for one in told if _HUNDRED * one.value < of_each.share * highest]
    if highest < of_each.least:
        return of_each.all_low
    if len(low) == _TWO and _are_neighbours([one.cylinder for one in low], len(told)):
        return of_each.two
    return of_each.even if not low else of_each.one if len(low) == 1 else of_each.several


def _are_neighbours(cylinders: Sequence[int | None], of: int) -> bool:
    """True for two that one gasket parts; of a V8 those of one bank, two numbers apart."""
    first, second = sorted(one or 0 for one in cylinders)
    apart = {**dict.fromkeys(_IN_ONE_ROW, 1), _TWO_ROWS: 2}
    return first > 0 and second - first == apart.get(of)

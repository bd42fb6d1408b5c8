"""The time a number is told with: hot or cold, at idle or at a speed; reads no number itself.

"70 kPa at idle and 170 at 2500" are two readings in one unit, and "hot 9" is no cold one.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from diagnose.language.index import LanguageIndex
from diagnose.language.quantities import SPEED
from diagnose.language.sentences import Placed, Sentence
from diagnose.language.stems import stem
from diagnose.measuring.units import possible_dimensions, read_unit

REVS = stem("revs")
_PRESSURE = "pressure"
_NEAR = 4


def units_said(sentence: Sentence) -> dict[str, str]:
    """The one unit of a dimension that a sentence names: "cold 40, hot 9 psi" has both in psi."""
    said: dict[str, set[str]] = {}
    for placed in sentence.placed:
        unit = read_unit(placed.quantity.unit, None)
        if unit is not None and not placed.quantity.is_label:
            said.setdefault(placed.quantity.dimensions[0], set()).add(unit)
    return {dimension: units.pop() for dimension, units in said.items() if len(units) == 1}


def contrasted(placed: Placed, sentence: Sentence, index: LanguageIndex) -> Iterator[str]:
    """The words of other times: beside a number that is told as hot, "cold" is of another one."""
    clause = sentence.words[placed.at].clause
    for group in index.words.contrasts:
        places = _times(sentence, group)
        own = [n for n in places if sentence.words[n].clause == clause]
        nearest = min(own, key=lambda n: abs(n - placed.at), default=None)
        if nearest is not None:
            is_fast = nearest in {p.at for p in speeds_of(sentence)}
            kept = {sentence.words[nearest].stem, *([REVS] if is_fast else [])}
            yield from {sentence.words[n].stem for n in places} - kept


def of_same_unit(
    placed: Placed, sentence: Sentence, said: Mapping[str, str], index: LanguageIndex
) -> Placed:
    """ "70 kPa at idle and 170 at 2500": the bare one beside a time has the unit of the other."""
    one = placed.quantity
    unit = said.get(_PRESSURE)
    near = {n for group in index.words.contrasts for n in _times(sentence, group)}
    beside = [n for n in near if _is_beside(n, placed, sentence)]
    if one.unit or one.is_label or unit is None or not beside:
        return placed
    return placed._replace(quantity=one._replace(unit=unit, dimensions=possible_dimensions(unit)))


def _times(sentence: Sentence, group: Collection[str]) -> list[int]:
    """Where a time of the group is told; any speed stands for the revs."""
    fast = {p.at for p in speeds_of(sentence)} if REVS in group else set()
    return [n for n, w in enumerate(sentence.words) if w.stem in group or n in fast]


def speeds_of(sentence: Sentence) -> list[Placed]:
    """The numbers that are engine speeds."""
    return [p for p in sentence.placed if SPEED in p.quantity.dimensions]


def _is_beside(place: int, placed: Placed, sentence: Sentence) -> bool:
    """Right behind the number, or right before it: not in "25 at speed where it was 50"."""
    if place == placed.at + 1:
        return True
    return place == placed.at - 1 and placed.start - sentence.words[place].end <= _NEAR

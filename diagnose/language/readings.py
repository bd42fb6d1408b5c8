"""Which reading a number belongs to: the one named nearest, of a dimension its unit can have.

A number without an agreed unit, with a doubtful one, or one that cannot be such a reading is not
taken; it becomes a question with the meanings to choose from.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence

from diagnose.knowledge.model import Finding
from diagnose.language.figures import (
    asked_units,
    is_of_the_build,
    is_possible,
    is_readable,
    only_unit,
    which_figure,
    which_unit,
)
from diagnose.language.index import LanguageIndex
from diagnose.language.phrasebook import LIGHT, Stems
from diagnose.language.quantities import SPEED, Quantity, unit_of
from diagnose.language.sentences import COUNT, Placed, Sentence
from diagnose.language.stances import Stance
from diagnose.language.stems import stem
from diagnose.language.times import REVS, contrasted, of_same_unit, speeds_of, units_said
from diagnose.language.understanding import Context, Option, Taken, Unclear
from diagnose.measuring.units import convert, possible_dimensions, read_unit
from diagnose.named import Named

_ENOUGH, _SURE, _WHOLE = 0.6, 0.74, 0.97
_MARGIN, _WIDE_MARGIN = 0.05, 0.1  # the less a reading is named, the more are its rivals
_NEXT_CLAUSE, _FAR_CLAUSE, _SENTENCE_BEFORE, _BEHIND_A_NUMBER = 0.85, 0.6, 0.55, 0.8
_MOST_OPTIONS = 3
_TWO = 2
_COUNTS = (1, 2, 3, 0.5)
_FEW_OTHERS = 4
_MINUS = re.compile(r"(?:(?:^|[\s:=(])[-\u2212]|\bminus\s+)$", re.IGNORECASE)
_WORD = re.compile(r"[a-z]+")


class Possible(Named):
    """A reading a number may belong to, and how well it is named there."""

    finding: Finding
    score: float


class Found:
    """What the numbers of one sentence gave, and which clauses are explained by them."""

    def __init__(self) -> None:
        self.taken: list[Taken] = []
        self.unclear: list[Unclear] = []
        self.clauses: set[int] = set()


def read_numbers(
    text: str,
    sentence: Sentence,
    before: Sentence | None,
    stances: Sequence[Stance],
    scope: tuple[LanguageIndex, Context],
) -> Found:
    """Take what the numbers of one sentence say; the last word on a reading wins."""
    found = Found()
    index, context = scope
    units = units_said(sentence)
    for placed in sentence.placed:
        placed = of_same_unit(placed, sentence, units, index)
        clause = sentence.words[placed.at].clause
        stance = stances[clause]
        if stance.takes_nothing or stance.before or placed.quantity.is_label:
            continue
        if _is_denied(placed, sentence):
            continue
        if SPEED in placed.quantity.dimensions or _is_change(placed, sentence, index):
            continue
        if not placed.quantity.dimensions and not _stands_alone(placed, sentence, index):
            continue
        if _is_a_while(placed, sentence, index):
            continue
        named = _named(placed, sentence, before, index)
        if not named or named[0].score < _ENOUGH:
            named = _standing_alone(placed, sentence, index)
        named = _told_by_unit(placed.quantity, named, index)
        named = _of_the_build(named, placed, sentence, index)
        words = _words_around(text, sentence, placed)
        known = len(found.taken) + len(found.unclear)
        _settle(_signed(text, placed, sentence, index), named, words, context, found)
        if len(found.taken) + len(found.unclear) > known:
            found.clauses.add(clause)
    return found


def _signed(text: str, placed: Placed, sentence: Sentence, index: LanguageIndex) -> Quantity:
    """ "2 degrees after top dead centre" is minus two before it, and so is "-2 degrees"."""
    one = placed.quantity
    if "angle" in one.dimensions[:1] and has_minus(text, placed):
        return _turned(one)
    clause = sentence.clauses[sentence.words[placed.at].clause]
    behind = clause.raw[clause.raw.index(COUNT) + 1 :] if COUNT in clause.raw else ()
    place = index.words.behind_zero.find(behind) if "angle" in one.dimensions[:1] else None
    if place is None or place[0] > 1:
        return one
    return _turned(one)


def has_minus(text: str, placed: Placed) -> bool:
    """Whether a minus stands right before a number: a sign, not a dash between words."""
    return bool(_MINUS.search(text[: placed.start]))


def answered(text: str, placed: Placed, finding: Finding, index: LanguageIndex) -> Quantity:
    """The number of an answer, below zero where its words or its sign say so."""
    one, band = placed.quantity, finding.possible
    if band is None or band.low is None or band.low >= 0:
        return one
    words = _WORD.findall(text.lower())
    behind = index.words.behind_zero.find(words) is not None
    return _turned(one) if behind or has_minus(text, placed) else below_zero(one, finding, text)


def _turned(one: Quantity) -> Quantity:
    low, high = (None if x is None else -x for x in (one.high, one.low))
    return one._replace(value=-one.value, low=low, high=high)


def below_zero(one: Quantity, finding: Finding, words: str) -> Quantity:
    """ "6 degrees early" is minus six of a reading that counts the other way."""
    said = set(_WORD.findall(words.lower()))
    return _turned(one) if one.value > 0 and said & set(finding.minus) else one


def _is_a_while(placed: Placed, sentence: Sentence, index: LanguageIndex) -> bool:
    """ "two days later", "cranked for five minutes": a time or way that nobody logs."""
    alone, quantity = index.words.alone, placed.quantity
    usual = read_unit(quantity.unit, None) in alone.units
    told = sentence.clauses[sentence.words[placed.at].clause].raw
    return _is_counted(quantity, index) and (not usual or bool(alone.never & set(told)))


def _is_counted(quantity: Quantity, index: LanguageIndex) -> bool:
    """True for times and distances: people tell many that have nothing to do with the build."""
    return bool(set(quantity.dimensions[:1]) & set(index.words.alone.readings))


def _of_the_build(
    named: list[Possible], placed: Placed, sentence: Sentence, index: LanguageIndex
) -> list[Possible]:
    """Leave out a count of the whole car's life or of one run where the build's own is meant."""
    alone = index.words.alone
    counted = alone.readings.values()
    if not any(n.finding.id in counted for n in named):
        return named
    clause = sentence.clauses[sentence.words[placed.at].clause]
    said = {w.raw for w in sentence.words} | set(clause.raw)
    return [n for n in named if is_of_the_build(placed.quantity, n.finding, said, alone)]


def _is_denied(placed: Placed, sentence: Sentence) -> bool:
    """ "5 thou, not 50": the number right behind a "not"."""
    return placed.at > 0 and sentence.words[placed.at - 1].raw in ("not", "isnt", "wasnt")


def _is_change(placed: Placed, sentence: Sentence, index: LanguageIndex) -> bool:
    """ "falls back 6 degrees": how far something moved, not where it stands."""
    before = sentence.words[placed.at - 1].raw if placed.at else ""
    return before in index.words.changes


def _stands_alone(placed: Placed, sentence: Sentence, index: LanguageIndex) -> bool:
    """A number without a unit may be a reading only when it counts nothing and is no name."""
    if placed.quantity.unit:
        return True
    if placed.quantity.value in _COUNTS and not placed.quantity.unit:
        return False
    words, at = sentence.words, placed.at
    clause = words[at].clause
    behind = [w for w in words[at + 1 : at + 2] if w.clause == clause]
    raw = sentence.clauses[clause].raw
    counts = [p.at for p in sentence.placed if words[p.at].clause == clause and p.at < at]
    places = [n for n, word in enumerate(raw) if word == COUNT]
    before = raw[places[len(counts)] - 1] if len(counts) < len(places) and places[0] else ""
    named = index.book.names_by_stem
    is_tied = (
        before in index.words.number_ties
        or stem(before) in named
        or (bool(before) and words[at - 1].clause == clause and words[at - 1].stem in named)
        or (bool(behind) and behind[0].stem in named)
    )
    return is_tied and (not behind or behind[0].stem in named)


def _named(
    placed: Placed, sentence: Sentence, before: Sentence | None, index: LanguageIndex
) -> list[Possible]:
    """The readings named around a number, best first."""
    nearness = _nearness(placed, sentence, index.words.alone.readings)
    for far in contrasted(placed, sentence, index):
        nearness.pop(far, None)
    for word in before.words if before else ():
        nearness.setdefault(word.stem, _SENTENCE_BEFORE)
    said = {w.stem for w in (*sentence.words, *(before.words if before else ()))}
    said -= {stem(word) for word in placed.quantity.unit.split()}
    best: dict[str, float] = {}
    weights = index.book.weights
    must_be_whole = _is_counted(placed.quantity, index)
    for number in {n for one in nearness for n in index.book.names_by_stem.get(one, ())}:
        target, stems = index.book.names[number]
        is_whole = nearness.keys() >= set(stems)
        names_it = any(one in said and weights[one] > LIGHT for one in stems)
        if not is_whole and (must_be_whole or not names_it):
            continue  # "60 psi" alone names no pressure
        total = sum(weights[one] for one in stems)
        score = sum(weights[one] * nearness.get(one, 0.0) for one in stems) / total
        if score > best.get(target, 0.0) and (score >= _WHOLE or not _is_thin(stems, index)):
            best[target] = score
    found = [Possible(index.findings[f], s) for f, s in best.items() if s >= _ENOUGH / 2]
    own = index.words.own_units
    fitting = [n for n in found if _fits(placed.quantity, n.finding, own)]
    return sorted(fitting, key=lambda n: (-n.score, n.finding.id))


def _told_by_unit(
    quantity: Quantity, named: list[Possible], index: LanguageIndex
) -> list[Possible]:
    """The one reading that is told in such a unit, where no other is named in full."""
    own_units = index.words.own_units
    if read_unit(quantity.unit, None) not in own_units or (named and named[0].score >= _WHOLE):
        return named
    wanted = [f for f in index.findings.values() if f.unit in own_units]
    return [Possible(wanted[0], 1.0)] if len(wanted) == 1 else named


def _standing_alone(placed: Placed, sentence: Sentence, index: LanguageIndex) -> list[Possible]:
    """ "100 hours since the rebuild", "20 minutes in": what such a number is of by itself."""
    lists = index.words
    dimensions = placed.quantity.dimensions
    target = lists.alone.readings.get(dimensions[0]) if len(dimensions) == 1 else None
    usual = read_unit(placed.quantity.unit, None) in lists.alone.units
    if target is None or target not in index.findings or not usual:
        return []
    clause = sentence.clauses[sentence.words[placed.at].clause]
    units = set(placed.quantity.unit.split())
    others = [w for w in clause.raw if w not in units and w not in lists.fillers and w != COUNT]
    at = clause.raw.index(COUNT) if COUNT in clause.raw else 0
    behind = clause.raw[at + 1 + len(units) :][:1]
    short = dimensions[0] == "distance" and placed.quantity.bound == "below"
    tied = bool(set(behind) & lists.alone.behind) and len(others) <= _FEW_OTHERS
    if short or tied or set(others) <= lists.alone.beside:
        return [Possible(index.findings[target], 1.0)]
    return []


def _is_thin(stems: Stems, index: LanguageIndex) -> bool:
    """True when a name has one telling word only, as "miles on it"."""
    return sum(index.book.weights[one] > LIGHT for one in stems) < _TWO


def _nearness(placed: Placed, sentence: Sentence, loose: Collection[str]) -> dict[str, float]:
    """How near each word stands; the unit says the dimension, but a `loose` one must be said."""
    numbers = [p.at for p in sentence.placed if p is not placed]
    speeds = {p.at for p in speeds_of(sentence)}
    clause = sentence.words[placed.at].clause
    plain = read_unit(placed.quantity.unit, None) is not None
    dimensions = placed.quantity.dimensions[:1] if plain else placed.quantity.dimensions
    nearness = {stem(dimension): 1.0 for dimension in dimensions if dimension not in loose}
    for place, word in enumerate(sentence.words):
        away = abs(word.clause - clause)
        near = 1.0 if away == 0 else _NEXT_CLAUSE if away == 1 else _FAR_CLAUSE
        if any(min(place, placed.at) < n < max(place, placed.at) for n in numbers):
            near *= _BEHIND_A_NUMBER
        for one in (word.stem, REVS) if place in speeds else (word.stem,):
            nearness[one] = max(near, nearness.get(one, 0.0))
    return nearness


def _fits(quantity: Quantity, finding: Finding, own_units: Collection[str]) -> bool:
    """A unit fits by its plain dimension, or by a loose one the finding is asked for in."""
    dimensions = quantity.dimensions
    if (own := read_unit(quantity.unit, None)) in own_units:
        return finding.unit in own_units and finding.dimension in possible_dimensions(own or "")
    if not dimensions or finding.dimension == dimensions[0]:
        return True
    loose = unit_of(quantity, finding.dimension or "")
    plain = read_unit(quantity.unit, None) is not None
    return loose is not None and (not plain or same_unit(loose, finding.unit))


def _settle(
    quantity: Quantity, named: Sequence[Possible], words: str, context: Context, found: Found
) -> None:
    """Take the number, or ask which reading, which unit, or whether it can be so."""
    if not named or named[0].score < _ENOUGH:
        return
    possible = [n for n in named if n.score >= _ENOUGH and _can_be(quantity, n.finding)]
    best = possible[0] if possible else named[0]
    quantity = below_zero(quantity, best.finding, words)
    if not quantity.dimensions:
        sure = best.score >= _SURE
        if sure or quantity.unit or only_unit(best.finding) is None:
            _without_unit(quantity, best.finding, words, context, found)
        return
    rivals = [n for n in possible if best.score - n.score < _margin(best, n) and n.score < _WHOLE]
    if len(rivals) > 1 and best.score < _WHOLE and not _is_low_for_all(quantity, rivals):
        found.unclear.append(_which(quantity, rivals, words))
        return
    taken = take(quantity, best.finding, words)
    _keep(taken, best.finding, found)


def _is_low_for_all(quantity: Quantity, rivals: Sequence[Possible]) -> bool:
    """Too low whichever was meant: nothing is gained by asking which."""
    for one in rivals:
        unit, usual = unit_of(quantity, one.finding.dimension or ""), one.finding.usual
        if unit is None or usual is None or usual.low is None:
            return False
        if convert(quantity.value, unit, usual.unit) >= usual.low:
            return False
    return True


def _margin(best: Possible, other: Possible) -> float:
    """How near a rival must come: two of one kind, neither named in full, are easily mistaken."""
    alike = best.finding.topic == other.finding.topic and best.score < _SURE
    return _WIDE_MARGIN if alike else _MARGIN


def _can_be(quantity: Quantity, finding: Finding) -> bool:
    unit = unit_of(quantity, finding.dimension or "")
    return unit is None or is_possible(quantity.value, unit, finding)


def _without_unit(
    quantity: Quantity, finding: Finding, words: str, context: Context, found: Found
) -> None:
    unit = only_unit(finding) or context.agreed.get(finding.dimension or "")
    if unit is None or quantity.unit or not is_readable(quantity.value, unit, finding):
        units = tuple(_doubtful(quantity)) or asked_units(finding, quantity.value, context)
        found.unclear.append(which_unit(quantity.value, finding, units, words))
        return
    _keep(_taken(quantity, finding, unit, words), finding, found)


def _doubtful(quantity: Quantity) -> Iterator[str]:
    """The units a doubtful spelling such as "mil" may stand for."""
    yield from ("thou", "mm") if quantity.unit in ("mil", "mils") else ()


def _keep(taken: Taken, finding: Finding, found: Found) -> None:
    if taken.value is None or taken.unit is None:
        return
    if not is_possible(taken.value, taken.unit, finding):
        found.unclear.append(which_figure(taken.value, taken.unit, finding, taken.text))
        return
    found.taken[:] = [t for t in found.taken if t.finding != taken.finding]
    found.taken.append(taken)


def take(quantity: Quantity, finding: Finding, words: str) -> Taken:
    """A number with a unit as a reading of this finding."""
    unit = unit_of(quantity, finding.dimension or "")
    return _taken(quantity, finding, unit or "", words)


def _taken(quantity: Quantity, finding: Finding, unit: str, words: str) -> Taken:
    return Taken(
        finding=finding.id,
        state=None,
        text=words,
        value=quantity.value,
        unit=unit,
        low=quantity.low,
        high=quantity.high,
        bound=quantity.bound,
    )


def same_unit(one: str, other: str | None) -> bool:
    """True when two spellings name one unit."""
    return read_unit(one, None) == read_unit(other or "", None)


def _which(quantity: Quantity, rivals: Sequence[Possible], words: str) -> Unclear:
    """Ask which reading a number belongs to."""
    options = []
    for named in rivals[:_MOST_OPTIONS]:
        unit = unit_of(quantity, named.finding.dimension or "")
        options.append(Option(named.finding.id, None, named.finding.title, quantity.value, unit))
    return Unclear(words, tuple(options))


def _words_around(text: str, sentence: Sentence, placed: Placed) -> str:
    clause = sentence.clauses[sentence.words[placed.at].clause]
    return text[min(clause.start, placed.start) : max(clause.end, placed.end)]

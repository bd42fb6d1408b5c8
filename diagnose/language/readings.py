"""Which reading a number belongs to: the one named nearest, of a dimension its unit can have.

A number without an agreed unit, with a doubtful one, or one that cannot be such a reading is not
taken; it becomes a question with the meanings to choose from.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagnose.knowledge.model import Finding
from diagnose.language.index import LIGHT, NAME, LanguageIndex, Phrase
from diagnose.language.quantities import SPEED, Quantity, unit_of
from diagnose.language.sentences import Placed, Sentence
from diagnose.language.stances import Stance
from diagnose.language.understanding import Context, Option, Taken, Unclear
from diagnose.measuring.units import convert, units_of

_ENOUGH, _SURE, _MARGIN, _WHOLE = 0.6, 0.74, 0.05, 0.97
_NEXT_CLAUSE, _FAR_CLAUSE, _SENTENCE_BEFORE, _BEHIND_A_NUMBER = 0.85, 0.6, 0.55, 0.8
_MOST_OPTIONS = 3
_COUNTS = (1, 2, 3, 0.5)
_ASKED_UNITS = {
    "length": ("thou", "mm", "in"),
    "pressure": ("psi", "bar", "kPa", "inHg"),
    "torque": ("ft-lb", "Nm"),
    "flow": ("pt/min", "l/min", "gph"),
    "distance": ("miles", "km"),
    "time": ("hours", "min", "days"),
}


@dataclass(frozen=True, slots=True)
class Named:
    """A reading a number may belong to, and how well it is named there."""

    finding: Finding
    score: float


@dataclass(slots=True)
class Found:
    """What the numbers of one sentence gave, and which words are explained by them."""

    taken: list[Taken]
    unclear: list[Unclear]
    clauses: set[int]


def read_numbers(
    text: str,
    sentence: Sentence,
    before: Sentence | None,
    stances: Sequence[Stance],
    scope: tuple[LanguageIndex, Context],
) -> Found:
    """Take what the numbers of one sentence say; the last word on a reading wins."""
    found = Found([], [], set())
    for placed in sentence.placed:
        clause = sentence.words[placed.at].clause
        stance = stances[clause]
        if stance.takes_nothing or placed.quantity.is_label or _is_denied(placed, sentence):
            continue
        if SPEED in placed.quantity.dimensions:
            continue
        if not placed.quantity.dimensions and not _stands_alone(placed, sentence, scope[0]):
            continue
        named = _named(placed, sentence, before, scope[0])
        words = _words_around(text, sentence, placed)
        _settle(placed.quantity, named, words, scope[1], found)
        found.clauses.add(clause)
    return found


def _is_denied(placed: Placed, sentence: Sentence) -> bool:
    """ "5 thou, not 50": the number right behind a "not"."""
    return placed.at > 0 and sentence.words[placed.at - 1].raw in ("not", "isnt", "wasnt")


def _stands_alone(placed: Placed, sentence: Sentence, index: LanguageIndex) -> bool:
    """A number without a unit may be a reading only when it counts nothing and is no name."""
    if placed.quantity.value in _COUNTS and not placed.quantity.unit:
        return False
    behind = sentence.words[placed.at + 1 : placed.at + 2]
    clause = sentence.words[placed.at].clause
    named = index.name_stems
    return not behind or behind[0].clause != clause or behind[0].stem in named


def _named(
    placed: Placed, sentence: Sentence, before: Sentence | None, index: LanguageIndex
) -> list[Named]:
    """The readings named around a number, best first."""
    nearness = _nearness(placed, sentence)
    for word in before.words if before else ():
        nearness.setdefault(word.stem, _SENTENCE_BEFORE)
    best: dict[str, float] = {}
    for number, weight in _weigh(nearness, index).items():
        phrase = index.phrases[number]
        if phrase.kind == NAME:
            score = weight / phrase.total
            if score < _WHOLE and _is_thin(phrase):
                continue
            if score > best.get(phrase.target, 0.0):
                best[phrase.target] = score
    found = [Named(index.findings[f], s) for f, s in best.items() if s >= _ENOUGH / 2]
    fitting = [n for n in found if _fits(placed.quantity, n.finding)]
    return sorted(fitting, key=lambda n: (-n.score, n.finding.id))


def _is_thin(phrase: Phrase) -> bool:
    """True when a name has one telling word only, as "miles on it"."""
    return sum(weight > LIGHT for weight in phrase.weights) < 2


def _nearness(placed: Placed, sentence: Sentence) -> dict[str, float]:
    numbers = [p.at for p in sentence.placed if p is not placed]
    clause = sentence.words[placed.at].clause
    nearness: dict[str, float] = {}
    for place, word in enumerate(sentence.words):
        away = abs(word.clause - clause)
        near = 1.0 if away == 0 else _NEXT_CLAUSE if away == 1 else _FAR_CLAUSE
        if any(min(place, placed.at) < n < max(place, placed.at) for n in numbers):
            near *= _BEHIND_A_NUMBER
        if near > nearness.get(word.stem, 0.0):
            nearness[word.stem] = near
    return nearness


def _weigh(nearness: Mapping[str, float], index: LanguageIndex) -> dict[int, float]:
    total: dict[int, float] = {}
    for one, near in nearness.items():
        for number, weight in index.by_stem.get(one, ()):
            total[number] = total.get(number, 0.0) + weight * near
    return total


def _fits(quantity: Quantity, finding: Finding) -> bool:
    return not quantity.dimensions or finding.dimension in quantity.dimensions


def _settle(
    quantity: Quantity, named: Sequence[Named], words: str, context: Context, found: Found
) -> None:
    """Take the number, or ask which reading, which unit, or whether it can be so."""
    if not named or named[0].score < _ENOUGH:
        return
    possible = [n for n in named if n.score >= _ENOUGH and _can_be(quantity, n.finding)]
    best = possible[0] if possible else named[0]
    if not quantity.dimensions:
        if best.score >= _SURE:
            _without_unit(quantity, best.finding, words, context, found)
        return
    rivals = [n for n in possible if best.score - n.score < _MARGIN and n.score < _WHOLE]
    if len(rivals) > 1 and best.score < _WHOLE:
        found.unclear.append(_which(quantity, rivals, words))
        return
    taken = take(quantity, best.finding, words)
    _keep(taken, best.finding, found)


def _can_be(quantity: Quantity, finding: Finding) -> bool:
    unit = unit_of(quantity, finding.dimension or "")
    return unit is None or is_possible(quantity.value, unit, finding)


def _without_unit(
    quantity: Quantity, finding: Finding, words: str, context: Context, found: Found
) -> None:
    unit = only_unit(finding)
    if unit is None or quantity.unit:
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
        units = asked_units(finding, taken.value, Context())
        found.unclear.append(which_unit(taken.value, finding, units, taken.text))
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


def only_unit(finding: Finding) -> str | None:
    """The unit of a dimension that has only one in use, such as degrees."""
    units = units_of(finding.dimension or "")
    return units[0] if len(units) == 1 else None


def asked_units(finding: Finding, value: float, context: Context) -> tuple[str, ...]:
    """The units to offer for a bare number: those in which it could be such a reading."""
    dimension = finding.dimension or ""
    preferred = (context.units.get(dimension), finding.unit)
    usual = [u for u in preferred if u] + list(_ASKED_UNITS.get(dimension, ()))
    possible = [u for u in dict.fromkeys(usual) if is_possible(value, u, finding)]
    return tuple(possible[:_MOST_OPTIONS] or list(dict.fromkeys(usual))[:2])


def is_possible(value: float, unit: str, finding: Finding) -> bool:
    """False when the value can't be such a reading, or no gauge could show it."""
    try:
        return _within(value, unit, finding)
    except ValueError:
        return True


def _within(value: float, unit: str, finding: Finding) -> bool:
    band, gauge = finding.possible, finding.gauge
    if gauge is not None and 0 < abs(convert(value, unit, gauge.unit)) < gauge.u / 10:
        return False
    if band is None:
        return True
    there = convert(value, unit, band.unit)
    slack = 1e-9 + 1e-6 * abs(there)
    above = band.low is None or there >= band.low - slack
    return above and (band.high is None or there <= band.high + slack)


def which_unit(value: float, finding: Finding, units: Sequence[str], words: str) -> Unclear:
    """Ask in which unit a number was meant."""
    options = tuple(
        Option(finding.id, None, f"{value:g} {unit} ({finding.title})", value, unit)
        for unit in units
    )
    return Unclear(words, options)


def _which(quantity: Quantity, rivals: Sequence[Named], words: str) -> Unclear:
    """Ask which reading a number belongs to."""
    options = []
    for named in rivals[:_MOST_OPTIONS]:
        unit = unit_of(quantity, named.finding.dimension or "")
        options.append(Option(named.finding.id, None, named.finding.title, quantity.value, unit))
    return Unclear(words, tuple(options))


def _words_around(text: str, sentence: Sentence, placed: Placed) -> str:
    clause = sentence.clauses[sentence.words[placed.at].clause]
    return text[min(clause.start, placed.start) : max(clause.end, placed.end)]

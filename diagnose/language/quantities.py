"""Numbers with their units as people type them: "0,15 mm", "half an inch", "between 9 and 10".

Finds what is written; which reading it belongs to is not decided here.
"""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.language.tokens import NUMBER, WORD, Token
from diagnose.language.wordlists import WordLists
from diagnose.measuring.units import possible_dimensions, read_unit
from diagnose.named import Named

SPEED = "speed"
_LONGEST_UNIT = 5
_MOST = 12
_SPEEDS = (500, 9000)
_VOLUMES = {
    "pint": ("pt/min", 1.0),
    "pints": ("pt/min", 1.0),
    "quart": ("qt/min", 1.0),
    "quarts": ("qt/min", 1.0),
    "litre": ("l/min", 1.0),
    "litres": ("l/min", 1.0),
    "liter": ("l/min", 1.0),
    "liters": ("l/min", 1.0),
    "gallon": ("gph", 60.0),
    "gallons": ("gph", 60.0),
    "ml": ("ml/min", 1.0),
    "cc": ("ml/min", 1.0),
}
_MINUTES = {"min": 1.0, "s": 1 / 60, "hours": 60.0}
_BEFORE_TIME = {"in", "per", "a", "every", "an", "/", "each", "one", "of", "fuel", "gas", "petrol"}
_BETWEEN = {",", "and", "&", "/", "then"}
_FEW_READINGS, _MOST_APART = 2, 3.0  # readings of one thing do not differ by more than this factor
_RANGE_WORDS = {"to", "-", "or", "and"}


class Quantity(Named):
    """A number as written: tokens from `first` up to `last`, the unit from `unit_at` on."""

    value: float
    first: int
    last: int
    unit_at: int
    unit: str = ""
    dimensions: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None
    bound: str | None = None
    is_label: bool = False


def quantities(tokens: Sequence[Token], lists: WordLists) -> list[Quantity]:
    """Every quantity of a run of tokens, left to right."""
    found: list[Quantity] = []
    place = 0
    while place < len(tokens) and len(found) < _MOST:
        one = _quantity(tokens, place, lists)
        if one is None:
            place += 1
            continue
        found.append(_with_context(one, tokens, lists))
        place = one.last
    return found


def unit_of(quantity: Quantity, dimension: str) -> str | None:
    """The unit a quantity has when it is of this dimension."""
    return read_unit(quantity.unit, dimension)


def _quantity(tokens: Sequence[Token], place: int, lists: WordLists) -> Quantity | None:
    number = _number(tokens, place, lists)
    if number is None:
        return None
    row = _row(tokens, place, lists)
    if row is not None:
        return row
    value, end = number
    first = _with_unit(value, place, end, tokens, lists)
    second = _second(tokens, first, lists)
    if second is None:
        return first
    low, high = first.value, second.value
    if first.dimensions and second.dimensions != first.dimensions:
        return first
    if low > high:  # "from 6 to 2": a change; "10.5 to 1": a ratio
        is_change = bool(first.dimensions) or (place > 0 and tokens[place - 1].text == "from")
        return second._replace(first=place) if is_change else second._replace(is_label=True)
    if place > 0 and tokens[place - 1].text == "from":
        return second._replace(first=place)
    return second._replace(first=place, value=(low + high) / 2, low=low, high=high)


def _row(tokens: Sequence[Token], place: int, lists: WordLists) -> Quantity | None:
    """Several readings of one thing, "7, 8 and 7.5 thou": their mean, from the least to the most.

    Two numbers need an "and"; a unit stands behind the last one only.
    """
    values: list[float] = []
    end, has_and = place, False
    while (number := _number(tokens, end, lists) if end < len(tokens) else None) is not None:
        values.append(number[0])
        last = _with_unit(number[0], end, number[1], tokens, lists)
        end = number[1]
        if last.dimensions or _text(tokens, end) not in _BETWEEN:
            break
        while _text(tokens, end) in _BETWEEN:
            has_and |= _text(tokens, end) == "and"
            end += 1
    before = tokens[place - 1].text if place else ""
    several = len(values) > _FEW_READINGS or (len(values) == _FEW_READINGS and has_and)
    if not several or not last.dimensions or before == "between":
        return None
    if max(values) > _MOST_APART * min(values):
        return None
    low, high = min(values), max(values)
    return last._replace(first=place, value=sum(values) / len(values), low=low, high=high)


def _second(tokens: Sequence[Token], first: Quantity, lists: WordLists) -> Quantity | None:
    """The other end of a range, right behind its first number."""
    end = first.last
    if end >= len(tokens) or tokens[end].text not in _RANGE_WORDS or end + 1 >= len(tokens):
        return None
    before = tokens[first.first - 1].text if first.first else ""
    if tokens[end].text == "and" and before != "between":
        return None
    number = _number(tokens, end + 1, lists)
    if number is None:
        return None
    second = _with_unit(number[0], end + 1, number[1], tokens, lists)
    if not second.dimensions and first.dimensions:
        return None
    return second


def _number(tokens: Sequence[Token], place: int, lists: WordLists) -> tuple[float, int] | None:
    token = tokens[place]
    if token.kind == NUMBER:
        if token.value is None:
            return None
        return _with_share(token.value, place + 1, tokens, lists)
    if token.kind != WORD:
        return None
    return _in_words(tokens, place, lists)


def _with_share(
    value: float, end: int, tokens: Sequence[Token], lists: WordLists
) -> tuple[float, int]:
    """Digits may be followed by a share ("1 1/2") or a multiple ("2 grand")."""
    next_ = end + 1 if _text(tokens, end) == "-" else end
    if next_ < len(tokens) and tokens[next_].kind == NUMBER and "/" in tokens[next_].text:
        share = tokens[next_].value
        if share is not None and value == int(value):
            return value + share, next_ + 1
    multiple = lists.multiples.get(_text(tokens, end))
    return (value * multiple, end + 1) if multiple else (value, end)


def _in_words(tokens: Sequence[Token], place: int, lists: WordLists) -> tuple[float, int] | None:
    word, end = tokens[place].text, place + 1
    if word in ("a", "an"):
        return _after_article(tokens, end, lists)
    if word in lists.shares:
        return _share(lists.shares[word], tokens, end)
    if word not in lists.numbers:
        return None
    value = lists.numbers[word]
    following = lists.numbers.get(_text(tokens, end))
    if value >= 20 and following is not None and 0 < following < 10:
        value, end = value + following, end + 1
    multiple = lists.multiples.get(_text(tokens, end))
    if multiple:
        value, end = _hundreds(value * multiple, tokens, end + 1, lists)
    shares = lists.shares.get(_text(tokens, end).removesuffix("s"))
    if shares and value < 20 and _text(tokens, end).endswith("s"):
        return _share(value * shares, tokens, end + 1)
    if _texts(tokens, end, 3) == ("and", "a", "half"):
        return value + 0.5, end + 3
    return value, end + 1 if _text(tokens, end) == "of" else end


def _hundreds(
    value: float, tokens: Sequence[Token], end: int, lists: WordLists
) -> tuple[float, int]:
    start = end + 1 if _text(tokens, end) == "and" else end
    rest = lists.numbers.get(_text(tokens, start))
    if rest is None:
        return value, end
    ones = lists.numbers.get(_text(tokens, start + 1), 0.0) if rest >= 20 else 0.0
    return value + rest + ones, start + (2 if ones else 1)


def _after_article(tokens: Sequence[Token], end: int, lists: WordLists) -> tuple[float, int] | None:
    word = _text(tokens, end)
    if word in lists.shares:
        return _share(lists.shares[word], tokens, end + 1)
    if word in lists.multiples:
        return _hundreds(lists.multiples[word], tokens, end + 1, lists)
    if word in ("couple", "dozen", "pair"):
        skip = end + 2 if _text(tokens, end + 1) == "of" else end + 1
        return lists.numbers[word], skip
    if word in _VOLUMES or (word == "inch" and _text(tokens, end + 1) not in ("at",)):
        return 1.0, end
    return None


def _share(value: float, tokens: Sequence[Token], end: int) -> tuple[float, int]:
    """ "half an inch", "a quarter of an inch", "half a thou" """
    skip = end
    if _text(tokens, skip) == "of":
        skip += 1
    if _text(tokens, skip) in ("a", "an"):
        skip += 1
    return value, skip


def _with_unit(
    value: float, place: int, end: int, tokens: Sequence[Token], lists: WordLists
) -> Quantity:
    if _text(tokens, end) in ("plus", "+", "odd") and end + 1 < len(tokens):
        more = _with_unit(value, place, end + 1, tokens, lists)
        return more if more.dimensions else Quantity(value, place, end, end)
    if _text(tokens, end) in lists.beside_units:  # "400 easy miles"
        more = _with_unit(value, place, end + 1, tokens, lists)
        if more.dimensions:
            return more
    rate = _rate(value, place, end, tokens, lists)
    if rate is not None:
        return rate
    for length in range(min(_LONGEST_UNIT, len(tokens) - end), 0, -1):
        parts = [t.text for t in tokens[end : end + length]]
        for spelling in (" ".join(parts), "".join(parts)):
            dimensions = possible_dimensions(spelling)
            if dimensions or (length == 1 and spelling in lists.units_in_doubt):
                return Quantity(value, place, end + length, end, spelling, dimensions)
    return Quantity(value, place, end, end)


def _rate(
    value: float, place: int, end: int, tokens: Sequence[Token], lists: WordLists
) -> Quantity | None:
    """ "a pint in thirty seconds" is 2 pt/min."""
    volume = _VOLUMES.get(_text(tokens, end))
    if volume is None:
        return None
    at = end + 1
    while _text(tokens, at) in _BEFORE_TIME and at < end + 5:
        at += 1
    if at == end + 1:
        return None
    number = _number(tokens, at, lists) if at < len(tokens) else None
    count, at = number if number else (1.0, at)
    minutes = _MINUTES.get(read_unit(_text(tokens, at), "time") or "")
    if minutes is None or count <= 0:
        return None
    unit, factor = volume
    return Quantity(value * factor / (count * minutes), place, at + 1, end, unit, ("flow",))


def _with_context(one: Quantity, tokens: Sequence[Token], lists: WordLists) -> Quantity:
    before = [t.text for t in tokens[max(0, one.first - 3) : one.first]]
    one = one._replace(bound=_bound(before, lists))
    after = _text(tokens, one.last)
    if not one.dimensions and not one.unit:
        if _is_speed(one, before, after):
            return one._replace(unit="rpm", dimensions=(SPEED,))
        is_counted = after in lists.never_reading or (after in "%:" and after != "")
        is_named = bool(before) and (before[-1] in lists.labels or before[-1] in "#$£€")
        joined = bool(before) and before[-1] in "-/" and one.first > 1
        return one._replace(is_label=one.is_label or is_counted or is_named or joined)
    is_size = after in lists.sizes
    return one._replace(is_label=one.is_label or is_size)


def _bound(before: Sequence[str], lists: WordLists) -> str | None:
    for length in range(len(before), 0, -1):
        words = before[-length:]
        for bound, patterns in (("above", lists.above), ("below", lists.below)):
            if patterns.find(words) == (0, length):
                return bound
    return None


def _is_speed(one: Quantity, before: Sequence[str], after: str) -> bool:
    low, high = _SPEEDS
    tied = bool(before) and before[-1] in ("at", "@", "to", "above", "over", "past", "around")
    return low <= one.value <= high and one.value % 50 == 0 and tied and after != "miles"


def _text(tokens: Sequence[Token], place: int) -> str:
    return tokens[place].text if 0 <= place < len(tokens) else ""


def _texts(tokens: Sequence[Token], place: int, count: int) -> tuple[str, ...]:
    return tuple(t.text for t in tokens[place : place + count])

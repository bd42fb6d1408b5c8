"""What a person picks: one of the offered meanings, or the units to talk in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from diagnose.language.understanding import Option, Taken, Unclear
from diagnose.measuring.units import dimension_of, read_unit

_PLACES = (
    ("1", "first", "one", "the first", "first one", "the first one"),
    ("2", "second", "two", "the second", "second one", "the second one"),
    ("3", "third", "three", "the third", "third one", "the third one"),
)


_YES = ("yes", "yeah", "yep", "yup", "aye", "right", "correct", "that is right", "thats right")
_NOT_INCH = "in"  # "in mm": here it is the little word


def named_units(text: str) -> dict[str, str]:
    """The first unit of each dimension a text names: "bar, not psi" is bar."""
    named: dict[str, str] = {}
    for word in text.lower().replace(",", " ").split():
        unit = read_unit(_plain(word), None)
        if unit is not None and word != _NOT_INCH:
            named.setdefault(dimension_of(unit), unit)
    return named


def chosen_option(text: str, offered: Sequence[Option]) -> Taken | None:
    """The offered meaning that `text` picks, as something taken; None when it picks none."""
    said = _plain(text)
    if len(offered) == 1 and said in _YES:
        said = _PLACES[0][0]
    for place, option in enumerate(offered):
        words = {_plain(option.unit or ""), _plain(option.label)}
        if said and (said in words or (place < len(_PLACES) and said in _PLACES[place])):
            return Taken(
                option.finding, option.state, text.strip(), value=option.value, unit=option.unit
            )
    return None


def of_same_unit(chosen: Taken, waiting: Sequence[Unclear]) -> Iterator[Taken]:
    """The other figures of the same text whose unit was open too: "cold 30, hot 9"."""
    for unclear in waiting if chosen.value is not None else ():
        same = [o for o in unclear.options if o.unit == chosen.unit and o.value is not None]
        if len(same) == 1 and same[0].finding != chosen.finding:
            one = same[0]
            yield Taken(one.finding, None, unclear.text, value=one.value, unit=one.unit)


def named_place(text: str, order: Mapping[str, float], count: int) -> int | None:
    """Which of `count` numbered lines a text names, from 0 ("not the second one" is 1), or None."""
    for word in _plain(text).replace(",", " ").split():
        place = int(word) - 1 if word.isdigit() else order.get(word)
        if place is not None and -count <= place < count:
            return int(place) % count
    return None


def _plain(text: str) -> str:
    return text.strip().strip("().").lower()

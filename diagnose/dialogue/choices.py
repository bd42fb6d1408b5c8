"""Which of the offered meanings an answer picks: by number, by place, or by its own words."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.language.understanding import Option, Taken

_PLACES = (
    ("1", "first", "one", "the first", "first one", "the first one"),
    ("2", "second", "two", "the second", "second one", "the second one"),
    ("3", "third", "three", "the third", "third one", "the third one"),
)


def chosen_option(text: str, offered: Sequence[Option]) -> Taken | None:
    """The offered meaning that `text` picks, as something taken; None when it picks none."""
    said = _plain(text)
    for place, option in enumerate(offered):
        words = {_plain(option.unit or ""), _plain(option.label)}
        if said and (said in words or (place < len(_PLACES) and said in _PLACES[place])):
            return Taken(
                option.finding, option.state, text.strip(), value=option.value, unit=option.unit
            )
    return None


def _plain(text: str) -> str:
    return text.strip().strip("().").lower()

"""What a number says in words as well: "10 psi at a hot idle" also says that pressure is low."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.knowledge.model import AlsoSays
from diagnose.language.index import LanguageIndex
from diagnose.language.understanding import Context, Taken
from diagnose.measuring.units import UnitError, convert

_ABOVE, _BELOW = "above", "below"


def also_said(taken: Sequence[Taken], index: LanguageIndex, context: Context) -> Iterator[Taken]:
    """One more statement for each finding that the volunteered numbers agree on.

    Silent on what was told in words, and on a reading that was asked for or that the engine sheet
    has a limit for: that limit then judges it.
    """
    told = {t.finding for t in taken}
    judged = {context.asked, *context.limits}
    said: dict[str, dict[str, Taken]] = {}
    for reading in taken:
        for one in _says(reading, index):
            said.setdefault(one.finding, {}).setdefault(one.state, reading)
    for finding, states in said.items():
        (state, reading), *others = states.items()
        if not others and finding not in told and reading.finding not in judged:
            yield Taken(finding, state, reading.text, confidence=reading.confidence)


def _says(taken: Taken, index: LanguageIndex) -> Iterator[AlsoSays]:
    if taken.value is None or taken.unit is None:
        return
    for one in index.findings[taken.finding].also_says:
        try:
            value = convert(taken.value, taken.unit, one.unit)
        except UnitError:
            continue
        low = value if one.at_least is None else one.at_least
        high = value if one.at_most is None else one.at_most
        if _is_sure(taken, one) and low <= value <= high:
            yield one


def _is_sure(taken: Taken, one: AlsoSays) -> bool:
    """ "Over 9 psi" says not that it is low, "under 30" not that it is good."""
    return taken.bound != (_ABOVE if one.at_least is None else _BELOW)

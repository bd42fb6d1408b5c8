"""The gauge behind a reading that could not be told: "the dial reads to half a thou"."""

from __future__ import annotations

from diagnose.cases.log import Statement
from diagnose.cases.state import CaseState
from diagnose.language.index import LanguageIndex
from diagnose.language.quantities import quantities, unit_of
from diagnose.language.tokens import tokenise

_MOST_WORDS = 14


def told_gauge(text: str, index: LanguageIndex, state: CaseState, turn: int) -> Statement | None:
    """The division of the gauge of the last undecided reading, where a text tells it."""
    words = text.lower().replace(",", " ").split()
    if len(words) > _MOST_WORDS or index.words.gauges.isdisjoint(words):
        return None
    told = quantities(tokenise(text), index.words)
    open_ = [f for f, read in state.judged.items() if read.has_band and not read.verdict.sure]
    for finding in reversed(open_):
        dimension = index.findings[finding].dimension
        for one in told:
            unit = unit_of(one, dimension) if dimension else None
            if unit is not None and one.value > 0:
                return Statement("gauge", finding, turn, value=one.value, unit=unit, text=text)
    return None

"""The one place where drawings of the measuring bench come into a report."""

from __future__ import annotations

from diagnose.cases.state import Judged
from diagnose.dialogue.wording import band_text
from diagnose.measuring.drawing import draw_one
from diagnose.measuring.shown import Known, Limits, OnBand
from diagnose.measuring.verdict import GUARD


def drawing_of(title: str, judged: Judged) -> str:
    """A reading with its give-or-take on its band as one `<svg>` element; empty without a band."""
    if not judged.has_band:
        return ""
    limits = [Limits("band", judged.low, judged.high)]
    if judged.target is not None:
        limits.append(Limits("aim", *judged.target))
    value = Known("reading", judged.value, GUARD * judged.u)
    picture = OnBand(title, judged.unit, (value,), tuple(limits))
    told = f"{judged.value:g} {judged.unit}; band {band_text(judged)}"
    return str(draw_one(picture, title, told, [judged.unit]))

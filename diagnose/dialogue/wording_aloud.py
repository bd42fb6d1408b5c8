"""The wording of the phone manner: questions to be read aloud, and the caller's tools said back."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from diagnose.dialogue.wording import READ_OUT, why_line

if TYPE_CHECKING:
    from diagnose.knowledge.model import Knowledge
    from diagnose.language.equipment import Equipment

PHONE_GREETING = (
    "On the phone. Ask the caller once: which tools are at hand, and what is open or off on the "
    "engine? (Such as: no tools; a feeler gauge and a timing light; the front cover is off.) "
    "Then tell me what the caller hears, sees or has measured."
)
_TWO, _MANY_TOOLS = 2, 12
_ALOUD = {
    "in": "inches",
    "thou": "thousandths of an inch",
    "deg": "degrees",
    "psi": "pounds per square inch",
    "kPa": "kilopascals",
    "ft-lb": "foot pounds",
    "Nm": "newton metres",
    "inHg": "inches of mercury",
    "mm": "millimetres",
    "pt/min": "pints a minute",
    "l/min": "litres a minute",
    "gph": "gallons an hour",
}


def kit_line(told: Equipment, open_: Sequence[str]) -> str:
    """What a caller has and what is open, said back."""
    has, lacks, only, shut = sorted(told.has), sorted(told.lacks), told.only, told.stays_shut
    parts = []
    if len(has) > _MANY_TOOLS:
        parts.append("all tools at hand")
    elif has:
        parts.append(f"at hand {', '.join(has)}")
    elif only:
        parts.append("no tools: I ask for what can be heard, seen or felt")
    parts += [f"no {', no '.join(lacks)}"] if lacks else []
    parts += [f"open: {', '.join(open_)}"] if open_ else []
    parts += [] if open_ or not shut else ["nothing is to be taken apart"]
    return f"Noted of the caller: {'; '.join(parts)}."


def aloud_block(
    knowledge: Knowledge, step: Mapping[str, Any], unit: str | None, without: str | None
) -> list[str]:
    """The one question in words to be read aloud to a caller, dangers before it is done."""
    check = knowledge.checks[step["check"]]
    lines = [f"{READ_OUT}: {spoken(knowledge, step['settles'], unit)}"]
    if check.dangers:
        lines.append(f"  Say first: {check.dangers[0]}")
    if without:
        lines.append(f"  Without the tool: {without}")
    return [*lines, why_line(knowledge, step, () if without else check.tools)]


def spoken(knowledge: Knowledge, settles: Sequence[str], unit: str | None) -> str:
    """A question as it is spoken: units in full, no brackets, choices only where it has none."""
    main = knowledge.findings[settles[0]]
    text = main.ask
    if main.is_reading and unit:
        text += f" In {_ALOUD.get(unit, unit)}, please."
    elif len(main.known_states) > _TWO and " or " not in text:
        text += f" Would you say: {_choices([main.say[s] for s in main.known_states])}?"
    more = [knowledge.findings[f].ask for f in settles[1:]]
    return plain(" ".join([text, *(f"And: {ask}" for ask in more)]))


def plain(text: str) -> str:
    """What stands in brackets, set between commas: nobody can hear a bracket."""
    return re.sub(r" \(([^()]+)\)", r", \1", text)


def _choices(labels: Sequence[str]) -> str:
    return f"{', '.join(labels[:-1])}, or {labels[-1]}"

"""What must be true of a reply: the `=` lines of a conversation file, read and held to.

An expectation that could never fail (an id that does not exist, nothing named at all) is a fault of
the file, found before anything is played.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from diagnose.knowledge.model import READING_STATES, Finding, Knowledge
from diagnose.measuring.units import UnitError, convert, dimension_of, read_unit

_ACCUSED = 0.3
_NEAR = 0.01
_FIRST = 3

Items = Sequence[str]
Said = Mapping[str, Any]
Wrong = Iterator[str]


def unmet(words: str, reply: Said) -> str | None:
    """None when the expectation holds for the reply, else what was found instead."""
    kind, items = _parts(words)
    return "; ".join(_CHECKS[kind](items, reply)) or None


def fault_of(words: str, knowledge: Knowledge) -> str | None:
    """What makes an expectation unusable: an unknown kind, an unknown id, nothing named."""
    kind, items = _parts(words)
    if kind not in _CHECKS:
        return f"unknown expectation '{kind}'; use one of {', '.join(_CHECKS)}"
    if kind in _NAMELESS:
        return f"'{kind}' takes no name" if items else None
    if not items and kind != _MAY_NAME:
        return f"'{kind}' needs a name; write '{kind}: name, name'"
    faults = (_item_fault(kind, item.split(), knowledge) for item in items)
    return next((fault for fault in faults if fault), None)


def _parts(words: str) -> tuple[str, list[str]]:
    kind, _, rest = words.partition(":")
    return kind.strip(), [item.strip() for item in rest.split(",") if item.strip()]


def _item_fault(kind: str, words: Items, knowledge: Knowledge) -> str | None:
    if kind == _FIGURES:
        return None if _is_figure(words) else "a figure is a name, a value and a unit"
    name, *rest = words
    table: Mapping[str, object] = getattr(knowledge, _NAMES[kind])
    if name not in table:
        return f"'{name}' is not among the {_NAMES[kind]} of the rule base"
    if rest and kind != _TAKEN:
        return f"'{' '.join(words)}' is too much; put a comma between names"
    return _state_fault(knowledge.findings[name], rest) if rest else None


def _state_fault(finding: Finding, rest: Items) -> str | None:
    if len(rest) == 2:
        usable = _is_number(rest[0]) and read_unit(rest[1], finding.dimension) is not None
        return None if usable else f"'{' '.join(rest)}' is not a value of {finding.id} with a unit"
    states = READING_STATES if finding.is_reading else finding.states
    if len(rest) == 1 and rest[0] in states:
        return None
    return f"'{' '.join(rest)}' is not a state of {finding.id}; it has {', '.join(states)}"


def _is_figure(words: Items) -> bool:
    """A name of one word or more, a number, and a unit unless it is a plain number."""
    name, value, unit = _figure(" ".join(words))
    return bool(name) and _is_number(value) and (not unit or _is_unit(unit))


def _is_unit(text: str) -> bool:
    try:
        return bool(_kind(text))
    except UnitError:
        return False


def _kind(unit: str) -> str:
    """What a unit measures; a plain number nothing."""
    return dimension_of(unit) if unit else ""


def _is_number(text: str) -> bool:
    try:
        return math.isfinite(float(text))
    except ValueError:
        return False


def _near(found: float, value: str, unit: str, own_unit: str) -> bool:
    wanted = convert(float(value), unit, own_unit) if unit else float(value)
    return math.isclose(found, wanted, rel_tol=_NEAR, abs_tol=1e-9)


def _understood(items: Items, reply: Said) -> Wrong:
    for item in items:
        name, *rest = item.split()
        taken = [u for u in reply["understood"] if u["finding"] == name]
        if not any(_same(u, rest) for u in taken):
            told = ", ".join(_told(u) for u in reply["understood"])
            yield f"{item} was not understood; understood: {told or 'nothing'}"


def _same(taken: Said, wanted: Items) -> bool:
    if len(wanted) < 2:
        return not wanted or taken["state"] == wanted[0]
    value, unit = taken["value"], taken["unit"] or ""
    return value is not None and _near(value, wanted[0], wanted[1], unit)


def _told(taken: Said) -> str:
    if taken["value"] is None:
        return f"{taken['finding']} {taken['state']}"
    return f"{taken['finding']} {taken['value']} {taken['unit']} ({taken['state']})"


def _not_understood(items: Items, reply: Said) -> Wrong:
    taken = {u["finding"] for u in reply["understood"]}
    return (f"{item} was taken" for item in items if item in taken)


def _asks(items: Items, reply: Said) -> Wrong:
    asked = (reply["next"] or {}).get("settles", [])
    told = ", ".join(asked) or "nothing"
    return (f"{item} is not asked; asked: {told}" for item in items if item not in asked)


def _leads(items: Items, reply: Said) -> Wrong:
    return (f"{i} does not lead; {_leading(reply)}" for i in items if i not in _first(reply, 1))


def _among(items: Items, reply: Said) -> Wrong:
    return (f"{i} is not there; {_leading(reply)}" for i in items if i not in _first(reply, _FIRST))


def _not_leading(items: Items, reply: Said) -> Wrong:
    return (f"{i} leads; {_leading(reply)}" for i in items if i in _first(reply, 1))


def _first(reply: Said, count: int) -> list[str]:
    return [c["id"] for c in reply["causes"][:count]]


def _leading(reply: Said) -> str:
    causes = [f"{c['id']} {c['p']:.2f}" for c in reply["causes"][:_FIRST]]
    return f"leading: {', '.join(causes) or 'nothing'}"


def _caution(items: Items, reply: Said) -> Wrong:
    held = [c["id"] for c in reply["cautions"]]
    told = ", ".join(held) or "nothing"
    return (f"{i} is not warned of; warned of: {told}" for i in items if i not in held)


def _no_stop(items: Items, reply: Said) -> Wrong:
    return (f"{c['id']} stops the engine" for c in reply["cautions"] if c["stop_engine"])


def _invalid(items: Items, reply: Said) -> Wrong:
    refused = [i["finding"] for i in reply["invalid"]]
    told = ", ".join(refused) or "nothing"
    return (f"{i} is not refused; refused: {told}" for i in items if i not in refused)


def _concluded(reply: Said) -> list[str]:
    return list((reply["conclusion"] or {}).get("causes", []))


def _concludes(items: Items, reply: Said) -> Wrong:
    named = _concluded(reply)
    told = f"concluded: {', '.join(named) or 'nothing'}; {_leading(reply)}"
    return (f"{item} is not concluded; {told}" for item in items if item not in named)


def _behind(items: Items, reply: Said) -> Wrong:
    behind = [b["id"] for b in (reply["conclusion"] or {}).get("behind_it", [])]
    told = ", ".join(behind) or "nothing"
    return (f"{i} is not behind it; behind it: {told}" for i in items if i not in behind)


def _worked_out(items: Items, reply: Said) -> Wrong:
    """A figure by its name, its value and its unit; of the correction or one of its ways."""
    figures = (reply["conclusion"] or {}).get("worked_out", {})
    found = [(k, v, figures.get("unit", "")) for k, v in figures.items() if isinstance(v, float)]
    for way in figures.get("ways", ()):
        found += [(f["name"], f["value"], f["unit"]) for f in way.get("figures", ())]
    for item in items:
        name, value, unit = _figure(item)
        alike = [(v, u) for n, v, u in found if n == name and _kind(u) == _kind(unit)]
        if not any(_near(v, value, unit, u) for v, u in alike):
            told = "; ".join(f"{n} {v:g} {u}".strip() for n, v, u in found)
            yield f"{item} was not worked out; worked out: {told or 'nothing'}"


def _figure(item: str) -> tuple[str, str, str]:
    """ "part to fit 257 thou" as name, value and unit; a plain number has none."""
    name, _, last = item.rpartition(" ")
    if _is_number(last):
        return name, last, ""
    name, _, value = name.rpartition(" ")
    return name, value, last


def _unclear(items: Items, reply: Said) -> Wrong:
    if not reply["unclear"]:
        yield "nothing was asked back"


def _nothing_wrong(items: Items, reply: Said) -> Wrong:
    """The causes named are no fault, such as a noise that is normal."""
    accused = [c["id"] for c in reply["causes"] if c["p"] > _ACCUSED]
    for cause in dict.fromkeys([*_concluded(reply), *accused]):
        if cause not in items:
            yield f"{cause} is accused; {_leading(reply)}"


_TAKEN, _FIGURES, _MAY_NAME = "understood", "worked out", "nothing wrong"
_NAMELESS = ("no stop", "unclear")
_NAMES = {
    _TAKEN: "findings",
    "not understood": "findings",
    "asks": "findings",
    "leads": "causes",
    "among": "causes",
    "not leading": "causes",
    "caution": "cautions",
    "invalid": "findings",
    "concludes": "causes",
    "behind": "causes",
    _MAY_NAME: "causes",
}
_CHECKS: dict[str, Callable[[Items, Said], Wrong]] = {
    _TAKEN: _understood,
    "not understood": _not_understood,
    "asks": _asks,
    "leads": _leads,
    "among": _among,
    "not leading": _not_leading,
    "caution": _caution,
    "no stop": _no_stop,
    "invalid": _invalid,
    "concludes": _concludes,
    "behind": _behind,
    _FIGURES: _worked_out,
    "unclear": _unclear,
    _MAY_NAME: _nothing_wrong,
}

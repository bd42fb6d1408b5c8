"""The end of a case in words: the conclusion, and the correction in figures."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Any

from diagnose.dialogue.sums import figure_line
from diagnose.dialogue.wording import (
    CONCLUSION,
    DEFER,
    SHORT,
    band,
    how_known,
    number,
    quantity,
    source_title,
)
from diagnose.measuring.units import dimension_of
from diagnose.measuring.worked import Figure

if TYPE_CHECKING:
    from diagnose.knowledge.model import Finding, Knowledge


def conclusion_block(knowledge: Knowledge, end: Mapping[str, Any]) -> list[str]:
    """The end of the case: cause, proof, remedy, root, sums and rechecks."""
    main = knowledge.causes[end["causes"][0]]
    lines = [f"{CONCLUSION}: {main.title}, {band(end['p'])}."]
    for other in end["causes"][1:]:
        lines.append(f"  Also likely there: {knowledge.causes[other].title}.")
    if end["unexplained"]:
        left = "; ".join(knowledge.findings[f].title.lower() for f in end["unexplained"][:3])
        lines.append(f"  Not explained by this: {left}.")
    said = "Proven by" if end["proven"] else "Likely, not proven; proof would be"
    lines.append(f"  {said}: {end['confirm']}.")
    for rival in end["could_change"]:
        other = knowledge.causes[rival]
        lines.append(f"  Would change it: {other.confirm.shows} (then {other.title.lower()}).")
    lines.append(f"  Put right: {end['remedy']}")
    lines += worked_out_lines(knowledge, end["worked_out"])
    if end["behind_it"]:
        lines.append("  Before refitting, ask what lies behind it:")
        lines += [f"    {b['title']} ({b['because']})" for b in end["behind_it"][:4]]
    if end["recheck"]:
        lines.append(f"  Check again before it runs: {'; '.join(end['recheck'])}.")
    lines += [f"  Take care: {text}" for text in main.cautions[:2]]
    lines += [f"  Not covered: {main.does_not_cover}", f"  {how_known(end['counted'])} {DEFER}"]
    return lines


_MOST_FIGURES = 3  # of one way told again in the person's unit


def worked_out_lines(knowledge: Knowledge, figures: Mapping[str, Any]) -> list[str]:
    """The correction in figures: how far it is out, the ways to mend it, what is still open."""
    lines: list[str] = []
    if "finding" in figures:
        lines = [_change_line(figures, knowledge.findings[figures["finding"]])]
    elif "measured" in figures:
        lines = _end_play_lines(figures)
    for asked, ways in groupby(figures.get("ways", ()), key=lambda way: way.get("missing")):
        if asked:
            lines.append(_missing_line([way["title"] for way in ways], asked))
        else:
            for way in ways:
                lines += _way_lines(knowledge, way, figures.get("unit", ""))
    lines += [f"  To work it out, measure: {m['ask']}" for m in figures.get("missing", ())]
    return lines


def _missing_line(titles: Sequence[str], missing: Sequence[Mapping[str, str]]) -> str:
    """What the ways of one kind still need before they can be worked out."""
    asks = "; ".join(f"{m['ask'][:1].lower()}{m['ask'][1:]}" for m in missing)
    first, *more = titles
    named = " or ".join([first, *(f"{title[:1].lower()}{title[1:]}" for title in more)])
    return f"    {named}: to work it out, {asks}."


def _way_lines(knowledge: Knowledge, way: Mapping[str, Any], unit: str) -> Iterator[str]:
    if "refused" in way:
        yield f"    {way['title']}: can't be worked out; {way['refused']}."
        return
    yield f"    {way['title']}: {way['says']}"
    figures = [Figure(**f) for f in way["figures"][:_MOST_FIGURES]]
    if any(_is_other(f.unit, unit) for f in figures):
        yield f"      In {unit}: {'; '.join(figure_line(f, [unit]) for f in figures)}."
    sizes = "; ".join(_size(knowledge, g) for g in way["given"] if "size" in g)
    if sizes:
        yield f"      Counted with {sizes}. Yours count more: put them in the engine sheet."


def _is_other(unit: str, own: str) -> bool:
    """Whether a figure is told in another unit of the same kind than the person's own."""
    if not (unit and own) or unit == own or {unit, own} == {"thou", "in"}:
        return False
    return dimension_of(unit) == dimension_of(own)


def _size(knowledge: Knowledge, given: Mapping[str, Any]) -> str:
    values = ", ".join(number(round(v, 5)) for v in given["values"])
    name = given["size"].replace("_", " ")
    source = SHORT.get(given["source"]) or source_title(knowledge, given["source"])
    return f"{name} {values} {given['unit']}".strip() + f" ({source})"


def _end_play_lines(figures: Mapping[str, Any]) -> list[str]:
    unit = figures["unit"]
    change = figures["change"]
    way = "take up" if change < 0 else "make room for"
    lines = [
        f"  Worked out: measured {quantity(figures['measured'], unit)}, target "
        f"{quantity(figures['target'], unit)}: {way} {quantity(abs(change), unit)}"
        f"{_doubt(figures)}."
    ]
    if "plate" in figures:
        lines.append(f"    Plate to fit: {quantity(figures['plate'], unit)} thick.")
    if "spacer" in figures:
        lines.append(f"    Or spacer to fit: {quantity(figures['spacer'], unit)} long.")
    if abs(figures.get("gap", 0)) > 0:
        lines.append(
            f"    Spacer minus plate gives {quantity(figures['expected'], unit)}; the reading is "
            f"{quantity(abs(figures['gap']), unit)} {'over' if figures['gap'] > 0 else 'under'} it."
        )
    return lines


def _doubt(figures: Mapping[str, Any]) -> str:
    """How far the correction may be wrong: by as much as the reading it rests on."""
    doubt = float(f"{figures.get('give_or_take', 0.0):.2g}")
    return f", give or take {quantity(doubt, figures['unit'])}" if doubt else ""


def _change_line(figures: Mapping[str, Any], finding: Finding) -> str:
    """How far one reading is out of its limit, and what to aim at."""
    unit, out = figures["unit"], figures["limit"] - figures["measured"]
    aim = figures["target"] != figures["limit"]
    return (
        f"  Worked out: {finding.title.lower()} measured {quantity(figures['measured'], unit)}, "
        f"limit {quantity(figures['limit'], unit)}: {quantity(round(abs(out), 5), unit)} "
        f"{'short' if out > 0 else 'too much'}{_doubt(figures)}"
        + (f"; aim at {quantity(figures['target'], unit)}." if aim else ".")
    )

"""Every sentence of a report that is not of the trade; nothing is decided here."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from diagnose.cases.state import Judged
from diagnose.dialogue import wording
from diagnose.knowledge.model import Finding

HEADINGS = {
    "cautions": "Take care",
    "engine": "Engine and parts",
    "conclusion": "Conclusion",
    "next": "Next",
    "parts": "Parts to order",
    "recheck": "Check again before it runs",
    "said": "What was said",
    "measured": "What was measured",
    "course": "Causes over the turns",
    "now": "What speaks for each",
    "unproven": "What is not proven",
    "sources": "Sources",
}
PARTS_NOTE = "Plain descriptions; part numbers come from the maker's book for this engine."
NOTHING_MEASURED = "Nothing was measured."
NOTHING_SAID = "Nothing was said of the engine."
NO_CONCLUSION = "There is no conclusion yet."
NO_BAND = "no band to judge it by; it counts in a sum only"
FIELD_NAMES = {
    "caller": "Caller",
    "engine": "Engine",
    "registration": "Registration",
    "job": "Job",
    "owner": "Lies with",
    "tags": "Tags",
}
_ORDERED = re.compile(r"\b(renew(ed)?|replaced?|new|fit|rebuild|rebuilt)\b", re.IGNORECASE)
_CLAUSE = re.compile(r"(?<=[.;])\s+|(?<=,)\s+(?:and\s+)?")


def heading(number: int, title: str) -> str:
    """The headline of the page."""
    return f"Case {number}: {title}" if title else f"Case {number}"


def status(word: str, confirmed: str) -> str:
    """Where the case stands, and what was confirmed."""
    return f"{word}, confirmed: {confirmed}" if confirmed else word


def measured_says(finding: Finding, judged: Judged, refused: Mapping[str, str]) -> str:
    """What a reading says, or why it does not count."""
    if finding.id in refused:
        value = wording.quantity(judged.value, judged.unit)
        return f"{finding.title} {value}, kept but not used: {refused[finding.id]}"
    value = wording.quantity(judged.value, judged.unit)
    return wording.verdict_line(finding, judged) or f"{finding.title} {value}: {NO_BAND}"


def parts(remedies: Sequence[str], figures: Mapping[str, Any]) -> Iterator[str]:
    """What has to be got, in plain words: sizes worked out first, then what the remedies fit."""
    unit = figures.get("unit", "")
    if "plate" in figures:
        yield f"Thrust plate {wording.quantity(figures['plate'], unit)} thick"
    if "spacer" in figures:
        yield f"Or a spacer {wording.quantity(figures['spacer'], unit)} long"
    for way in figures.get("ways", ()):
        sizes = {f["name"]: f for f in way.get("figures", ())}
        part = sizes.get("nearest sold") or sizes.get("part to fit")
        if part:
            yield f"{way['title']}: {wording.quantity(round(part['value'], 4), part['unit'])}"
    for remedy in remedies:
        for clause in _CLAUSE.split(remedy):
            if _ORDERED.search(clause):
                text = clause.strip(" .;,")
                yield text[:1].upper() + text[1:]


def recheck_line(title: str, band: str) -> str:
    """One thing to check again, with the band it must lie in."""
    return f"{title} ({band})" if band else title


def percent(p: float) -> str:
    """A share for a picture."""
    return f"{100 * p:.0f} %"


def course_told(rows: Sequence[tuple[int, str, float]]) -> str:
    """The picture of the causes in words: who led after each turn."""
    return " ".join(f"Turn {t}: {title} {percent(p)}." for t, title, p in rows)


def changed_lead(turn: int, title: str, p: float) -> str:
    """One line of the course: which cause led from this turn on."""
    return f"From turn {turn}: {title} ({percent(p)})"


def none_of_these(p: float) -> str:
    """How likely it is something not in the rule base."""
    return f"Something that is not in the rule base: {wording.band(p)}."


def not_checked(title: str) -> str:
    """Something this person could not check."""
    return f"Could not be checked: {title}."


def not_known(title: str) -> str:
    """Something this person does not know."""
    return f"Not known: {title}."


def proof_missing(title: str, proof: str) -> str:
    """The proof that would settle a cause and was not seen."""
    return f"{title}: not seen yet: {proof}."


def unexplained(titles: Sequence[str]) -> str:
    """What the conclusion leaves open."""
    return f"Not explained by the conclusion: {'; '.join(titles)}."


def not_covered(title: str, text: str) -> str:
    """What the entry of a cause leaves out."""
    return f"Not covered for '{title}': {text}"


NO_BROWSER = (
    "no browser is here to print the page as PDF; install Chromium, name one with "
    "DIAGNOSE_BROWSER, or write --html and print it from any browser"
)
NAME_A_FILE = "a PDF needs a file: add --out FILE.pdf"


def browser_failed(browser: str, why: str) -> str:
    """The browser did not print."""
    return f"{browser} made no PDF ({why}); write --html and print it from any browser"


def cant_write(name: str, why: str | None) -> str:
    """The file of a report can't be written."""
    return f"{name} can't be written: {why}; name another file"

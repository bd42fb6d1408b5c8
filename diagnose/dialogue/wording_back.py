"""Every sentence of an answer to the person's own question: why, how, how sure, what if."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from diagnose.dialogue.wording import NOTHING_YET, band, how_known, number

if TYPE_CHECKING:
    from diagnose.knowledge.model import Cause, Check, Knowledge

NO_REASON = "Nothing told so far speaks for it; it is only the commonest of those left"
NO_QUESTION = "No question is open just now."
NO_SUCH_LINE = "Say which one by its number, such as: not the second one."
NOT_PROVEN = "Nothing is proven until the part itself was looked at; say: what would settle it."
IF_YOU_CANT = "If that one is out of reach, the next best is this:"
SAY_CANT = "  Say: can't check that, and I go on with it. Or answer it right away."
NOTHING_ELSE = "Without that one, no other check is worth its minutes."


def how_block(check: Check) -> list[str]:
    """How to do a check, step by step."""
    lines = [f"{check.title}:", *(f"  {n}. {s}" for n, s in enumerate(check.how, start=1))]
    lines.append(f"  Good: {check.good}")
    lines.append(f"  Bad: {check.bad}")
    if check.without_tool:
        lines.append(f"  Without the tool: {check.without_tool}")
    return lines + [f"  Take care: {d}" for d in check.dangers]


def why_block(cause: Mapping[str, Any] | None, step: Mapping[str, Any] | None) -> list[str]:
    """Why the question is asked and why the first cause leads."""
    lines = [f"Why I ask: {step['because']}."] if step else []
    if cause:
        reasons = [f"  {r['text']} [{r['source']}]" for r in cause["because"]]
        lines.append(f"Why {cause['title'].lower()} leads:")
        lines += reasons or [f"  {NO_REASON}"]
    return lines or [NO_QUESTION]


def why_not_block(cause: Cause, p: float, against: Sequence[str]) -> list[str]:
    """What speaks against a cause."""
    lines = [f"{cause.title}: {band(p)}."]
    if against:
        lines += ["What speaks against it:", *(f"  {text}" for text in against)]
    else:
        lines.append("Nothing told so far speaks against it; other causes explain more.")
    lines.append(f"It would be settled by: {cause.confirm.shows}.")
    return lines


def dropped_line(knowledge: Knowledge, dropped: Sequence[str]) -> str:
    """What was taken back by its number."""
    titles = [knowledge.findings[f].title.lower() for f in dropped]
    return f"Taken back: {'; '.join(titles)}." if titles else NO_SUCH_LINE


def how_sure_block(
    causes: Sequence[Mapping[str, Any]], alone: Mapping[str, float], none: float, counted: int
) -> list[str]:
    """How sure, in words with their range, and where one fault and several say different things."""
    if not causes:
        return [NOTHING_YET]
    lines = [f"  {c['title']}: {c['band']}" for c in causes[:3]]
    lines.append(f"  Something not in my rule base: {band(none)}")
    single = max((c for c in alone if c), key=alone.__getitem__, default=causes[0]["id"])
    named = next((c["title"] for c in causes if c["id"] == single), None)
    if single != causes[0]["id"] and named:
        lines.append(f"  If only one thing is wrong, '{named}' fits better than the first.")
    lines += [f"  {how_known(counted)}", f"  {NOT_PROVEN}"]
    return ["How sure I am:", *lines]


def settle_block(
    proofs: Sequence[tuple[Cause, float | None, Any]], step: Mapping[str, Any] | None
) -> list[str]:
    """What would prove each of the leading causes, and the look that is worth its minutes now."""
    if not proofs:
        return [NOTHING_YET]
    lines = ["What would settle it:"]
    for cause, minutes, access in proofs:
        cost = ""
        if access is not None and minutes is not None:
            cost = f" (about {number(minutes)} min, {access.title.lower()})"
        lines.append(f"  {cause.title}: {cause.confirm.shows}{cost}.")
    if step:
        lines.append(f"  Worth its minutes now: {step['ask']}")
    return lines


def otherwise_block(question: Sequence[str]) -> list[str]:
    """The next best question; the one that is open stays open."""
    return [IF_YOU_CANT, *question, SAY_CANT] if question else [NOTHING_ELSE]


def change_block(before: Mapping[str, float], after: Mapping[str, float]) -> list[str]:
    """What a what-if would do to the leading causes."""
    lines = ["If that were so (nothing is kept):"]
    for title, p in after.items():
        lines.append(f"  {title}: {band(p)}, now {band(before.get(title, 0.0))}")
    return lines

"""From an assessment to the fields of a reply; words of the trade come from the rule base."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from diagnose.cases.assess import Assessment, Workbench
from diagnose.dialogue import wording
from diagnose.knowledge.model import Cause
from diagnose.reasoning.ranking import reasons_for

MOST_CAUSES = 10
LEAST_P = 0.01
_MOST_REASONS = 6
_RIVAL, _MOST_RIVALS = 0.1, 2


def cautions(bench: Workbench, found: Assessment) -> list[dict[str, Any]]:
    """All warnings that hold now, those that stop the engine first; none stops one in pieces."""
    held = [bench.knowledge.cautions[c] for c in found.conclusions.cautions]
    held.sort(key=lambda c: (not c.stop_engine, c.id))
    runs = found.must_not_run
    return [{"id": c.id, "stop_engine": c.stop_engine and runs, "text": c.text} for c in held]


def causes(bench: Workbench, found: Assessment) -> list[dict[str, Any]]:
    """The ranking as shown: at most ten, every one over a hundredth."""
    out = []
    for item in found.ranking.ranked[:MOST_CAUSES]:
        p = round(item.p, 4)
        if p <= LEAST_P:
            break
        record = bench.knowledge.causes[item.cause]
        out.append(
            {
                "id": item.cause,
                "title": record.title,
                "system": record.system,
                "p": p,
                "band": wording.band(item.p),
                "because": _reasons(bench, found, item.cause),
            }
        )
    return out


def _reasons(bench: Workbench, found: Assessment, cause: str) -> list[dict[str, str]]:
    reasons = reasons_for(bench.knowledge, found.conclusions, found.ranking, cause)
    return [
        {"rule": r.rule, "finding": r.finding, "text": r.text, "source": r.source}
        for r in reasons[:_MOST_REASONS]
    ]


def put_question(bench: Workbench, put: Sequence[tuple[str, str | None]]) -> dict[str, Any]:
    """A question put from outside, in the shape of a planned one."""
    finding, unit = put[0]
    check = bench.knowledge.checks[bench.knowledge.settled_by[finding]]
    return {
        "check": check.id,
        "settles": [f for f, _ in put],
        "ask": wording.question(bench.knowledge, [f for f, _ in put], unit),
        "minutes": check.minutes,
        "access": [check.access],
        "because": wording.PUT_FROM_OUTSIDE,
        "outcomes": [],
    }


def next_step(bench: Workbench, found: Assessment) -> dict[str, Any] | None:
    """The next question with its minutes, its reason, and where each answer would lead."""
    step = found.step
    if step is None:
        return None
    check = bench.knowledge.checks[step.check]
    return {
        "check": step.check,
        "settles": list(step.settles),
        "ask": wording.question(
            bench.knowledge, step.settles, unit_for(bench, found, step.settles[0])
        ),
        "minutes": round(step.minutes, 1),
        "access": list(step.access),
        "because": wording.why_this_check(bench.knowledge, check, step, _behind_what(found)),
        "outcomes": [
            {"finding": o.finding, "state": o.state, "leads_to": list(o.leads_to)}
            for o in step.outcomes
        ],
    }


def _behind_what(found: Assessment) -> str | None:
    """The failed part a question of the root is about; None while the cause itself is open."""
    return found.verdict[0] if found.verdict and found.plan is None else None


def unit_for(bench: Workbench, found: Assessment, finding: str) -> str | None:
    """The unit to ask a reading in: the person's own for its dimension, else the usual one."""
    record = bench.knowledge.findings[finding]
    if not record.is_reading or record.dimension is None:
        return None
    return found.state.units.get(record.dimension, record.unit)


def conclusion(bench: Workbench, found: Assessment) -> dict[str, Any] | None:
    """The causes to act on, with confirmation, remedy, root, recheck and the sum worked out."""
    if not found.verdict:
        return None
    from diagnose.dialogue.correction import worked_out  # the sums, for a conclusion alone

    main = bench.knowledge.causes[found.verdict[0]]
    findings = bench.knowledge.findings
    share = float(found.ranking.shares[bench.network.column(main.id)])
    p = max(found.ranking.p(main.id), share)
    return {
        "causes": list(found.verdict),
        "p": round(p, 4),
        "confirm": main.confirm.shows,
        "remedy": main.remedy,
        "behind_it": list(_behind(bench, found)),
        "recheck": [findings[f].title for f in main.recheck],
        "worked_out": worked_out(bench, found, main),
        "unexplained": list(found.unexplained),
        "counted": bench.counted,
        "proven": _is_proven(found, main),
        "could_change": list(_rivals(found)),
    }


def _is_proven(found: Assessment, cause: Cause) -> bool:
    """Whether the part that proves a cause was itself looked at and found so."""
    seen = {e.finding: e.state for e in found.evidence}
    return seen.get(cause.confirm.finding) == cause.confirm.state


def _rivals(found: Assessment) -> Iterable[str]:
    """The causes outside the verdict that are still likely enough to change it."""
    named = [r.cause for r in found.ranking.ranked if r.p >= _RIVAL]
    return [cause for cause in named if cause not in found.verdict][:_MOST_RIVALS]


def _behind(bench: Workbench, found: Assessment) -> Iterable[dict[str, str]]:
    """What may lie behind each named cause, likeliest first."""
    seen: set[str] = set()
    for cause in found.verdict:
        record = bench.knowledge.causes[cause]
        roots = {r: rule for r, of, rule in found.conclusions.roots if of == cause}
        for root, rule in roots.items():
            if root not in seen:
                seen.add(root)
                yield _root(bench, root, bench.knowledge.rules[rule].because)
        for behind in sorted(record.behind_it, key=lambda b: -_root_share(bench, found, b.cause)):
            if behind.cause not in seen and behind.cause not in found.conclusions.ruled_out:
                seen.add(behind.cause)
                yield _root(bench, behind.cause, behind.because)


def _root_share(bench: Workbench, found: Assessment, cause: str) -> float:
    return found.root_shares[bench.network.column(cause)] if found.root_shares else 0.0


def _root(bench: Workbench, cause: str, because: str) -> dict[str, str]:
    return {"id": cause, "title": bench.knowledge.causes[cause].title, "because": because}


def invalid(bench: Workbench, found: Assessment) -> list[dict[str, str]]:
    """Readings kept but not used, each with the reason."""
    out = [
        {"finding": f, "why": bench.knowledge.rules[rule].because}
        for f, rule in found.conclusions.invalid.items()
        if f in found.state.judged or f in found.state.states
    ]
    listed = {i["finding"] for i in out}
    for finding, reading in found.state.judged.items():
        if not reading.possible:
            why = wording.impossible(bench.knowledge, reading)
            out.append({"finding": finding, "why": why})
        elif finding in found.state.set_aside and finding not in listed:
            out.append({"finding": finding, "why": wording.TAKE_AGAIN})
    return out

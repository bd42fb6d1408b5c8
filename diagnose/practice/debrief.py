"""What an exercise looks like afterwards: step by step what the best choice was and why."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from diagnose.knowledge.model import WITHOUT_ADDRESS, Knowledge
from diagnose.measuring.units import number
from diagnose.practice import asking, wording
from diagnose.practice.exercise import Exercise
from diagnose.practice.score import Judged, Score

# the idea of a lesson that trains what a score found missing
LESSON_IDEAS = {
    "danger": "stop_first",
    "root": "failed_part_is_not_the_root",
    "apart_too_soon": "cheap_before_dear",
    "first_things": "condition_of_a_reading",
    "too_soon": "proof_before_parts",
    "other_cause": "proof_before_parts",
    "again": "doubt_of_a_gauge",
    "telling": "change_one_thing",
    "confidence": "look_twice",
}


def steps(exercise: Exercise, result: Score) -> list[dict[str, Any]]:
    """Every step as plain data: what was known, what was chosen, what was best, what it tells."""
    return [_step(exercise, n, judged) for n, judged in enumerate(result.steps, start=1)]


def text(exercise: Exercise, result: Score) -> str:
    """The whole debrief as plain lines."""
    lines = [wording.score_line(result), wording.STEP_BY_STEP]
    for step in steps(exercise, result):
        lines += wording.step_lines(step)
    lines.append(wording.next_line(result.idea, lesson_for(exercise.knowledge, result.idea)))
    return "\n".join(line for line in lines if line)


def lesson_for(knowledge: Knowledge, idea: str | None) -> str | None:
    """A lesson that trains a missed idea."""
    wanted = LESSON_IDEAS.get(idea or "")
    return next((k for k, x in knowledge.lessons.items() if x.idea == wanted), None)


def _step(exercise: Exercise, number: int, judged: Judged) -> dict[str, Any]:
    stand = exercise.stands[judged.step.visit]
    knowledge, seen = exercise.knowledge, judged.before
    leads = sorted(range(len(seen.minutes)), key=lambda n: -seen.shares[n])[:1]
    first = stand.bench.network.causes[leads[0]]
    return {
        "step": number,
        "known": len(seen.case.state.known),
        "leads": knowledge.causes[first].title,
        "chance": round(seen.shares[leads[0]], 3),
        "chose": _chosen(knowledge, judged),
        "minutes": round(judged.step.minutes, 1),
        "lost": round(judged.regret, 1),
        "danger": judged.danger,
        "was_best": judged.regret < 0.5 and not judged.danger,
        **_best(exercise, judged),
    }


def _chosen(knowledge: Knowledge, judged: Judged) -> str:
    step = judged.step
    if step.kind == asking.LOOK:
        return wording.titles(knowledge, step.done)
    if step.kind == asking.COMMIT:
        return wording.committed([knowledge.causes[c].title for c in step.done])
    return wording.STEP_KINDS[step.kind]


def _best(exercise: Exercise, judged: Judged) -> dict[str, Any]:
    """The best next step, what it would have shown here, and on whose word."""
    knowledge, plan = exercise.knowledge, judged.before.plan
    if plan is None:
        cause = knowledge.causes[judged.before.repair]
        return {
            "best": wording.committed([cause.title]),
            "tells": wording.NO_CHECK_WORTH.format(cause.confirm.shows),
            "sources": list(_sources(knowledge, [cause.repair.source])),
        }
    finding = knowledge.findings[plan.settles[0]]
    truth = exercise.stands[judged.step.visit].scenario.truth.get(finding.id)
    shows = wording.said(finding, truth) if truth else wording.not_there(finding)
    check = knowledge.checks[plan.check]
    signs = [
        s.source
        for o in plan.outcomes
        for c in o.leads_to[:1]
        for s in knowledge.causes[c].signs
        if s.finding == finding.id
    ]
    return {
        "best": f"{finding.title.lower()} ({number(round(plan.minutes, 1))} min)",
        "tells": f"{wording.tells_apart(knowledge, plan)} {wording.would_show(shows)}",
        "sources": list(dict.fromkeys(_sources(knowledge, [check.source, *signs])))[:3],
    }


def _sources(knowledge: Knowledge, keys: list[str]) -> Iterator[str]:
    for key in keys:
        known = key not in WITHOUT_ADDRESS and key in knowledge.sources
        yield knowledge.sources[key].title if known else key.replace("-", " ")

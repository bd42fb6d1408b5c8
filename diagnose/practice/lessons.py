"""From a lesson of the rule base, or of somebody's own file, to an engine that can be played."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from diagnose.cases.assess import Workbench
from diagnose.cases.state import limit_of
from diagnose.knowledge.lesson_checks import amount, lesson_problems
from diagnose.knowledge.load import Book, enter
from diagnose.knowledge.model import READING_STATES, Finding, Knowledge, Lesson
from diagnose.knowledge.problems import DiagnoseError, KnowledgeError, Place, Problem
from diagnose.measuring.units import convert
from diagnose.measuring.verdict import judge
from diagnose.practice.figures import true_values
from diagnose.practice.scenario import Level, Scenario
from diagnose.practice.truth import draw_truth, has_band

_AS_WRITTEN = Level(0, 1, 0, "told", 0.0, 0.0, 0.0, 0, 0.0, 0.0)


class UnknownLesson(DiagnoseError):
    """No lesson has this name, or it can't be so."""


def find_lesson(knowledge: Knowledge, name: str) -> Lesson:
    """A lesson by its id; raises UnknownLesson with the ones there are."""
    if name not in knowledge.lessons:
        raise UnknownLesson(f"no lesson '{name}'; there are: {', '.join(knowledge.lessons)}")
    return knowledge.lessons[name]


def from_lesson(bench: Workbench, lesson: Lesson) -> Scenario:
    """The engine of a lesson; what it does not say is as it is on such an engine with these faults.

    Raises UnknownLesson when what it says can't be so together.
    """
    sheet = bench.knowledge.sheets[lesson.sheet] if lesson.sheet else None
    bench = bench._replace(sheet=sheet)
    seed = f"lesson/{lesson.id}"
    fixed = _fixed(bench, lesson)
    truth = draw_truth(bench, lesson.faults, seed, fixed, 0.0)
    if truth is None:
        raise UnknownLesson(
            f"lesson '{lesson.id}': its answers can't be so with {', '.join(lesson.faults)}"
        )
    findings = bench.knowledge.findings
    values = true_values(bench, truth, seed)
    values |= {f: v for f, v in _figures(findings, lesson.answers).items() if f in truth}
    first = {f: lesson.answers[f] for f in lesson.put_right if f in lesson.answers}
    return Scenario(
        key=lesson.id,
        level=_AS_WRITTEN,
        seed=seed,
        faults=lesson.faults,
        root=lesson.root,
        sheet=sheet,
        truth=truth,
        values=values,
        known=tuple(lesson.known.items()),
        words=(),
        open=lesson.open,
        missing=lesson.missing_tools,
        misreads={**lesson.misread, **first},
        put_right=lesson.put_right,
        before={
            f: (v, findings[f].unit or "") for f, v in _figures(findings, lesson.before).items()
        },
        lesson=lesson,
    )


def read_lesson(path: Path, knowledge: Knowledge) -> Lesson:
    """The lesson in a file; raises KnowledgeError with every problem and its place."""
    from diagnose.knowledge.shape import shaped
    from diagnose.knowledge.yamltext import read

    document = read(path, str(path))
    if not document.problems and not isinstance(document.data, dict):
        fault = Problem("wrong_type", Place(str(path), 1, 1), ("this file", "keys are expected"))
        raise KnowledgeError([fault])
    lesson = None if document.problems else shaped(Lesson, document, (), {})
    if lesson is not None:
        book = _book_of(knowledge)
        enter(book, "lessons", lesson, document, ())
        document.problems += lesson_problems(book, lesson)
    if lesson is None or document.problems:
        raise KnowledgeError(document.problems)
    return lesson


def _book_of(knowledge: Knowledge) -> Book:
    """What a lesson may refer to; it may have the name of a shipped one."""
    book = Book()
    for kind in ("findings", "causes", "access", "rules", "sources"):
        book.table(kind).update(getattr(knowledge, kind))
    book.table("engines").update(knowledge.sheets)
    return book


def _fixed(bench: Workbench, lesson: Lesson) -> dict[str, str]:
    """What the lesson says is so: a thing put right counts as it is then."""
    told = {f: s for f, s in lesson.known.items() if f not in lesson.misread}
    said = {**told, **lesson.answers, **lesson.put_right}
    fitted = {p.finding: p.state for p in bench.sheet.fitted} if bench.sheet else {}
    findings = bench.knowledge.findings
    stated = {f: _state(bench, findings[f], value) for f, value in said.items()}
    confirms = (bench.knowledge.causes[f].confirm for f in lesson.faults)
    unbanded = {
        c.finding: c.state
        for c in confirms
        if c.finding in stated and not has_band(findings[c.finding], bench)
    }
    return {**fitted, **stated, **{f: s for f, s in unbanded.items() if findings[f].is_reading}}


def _state(bench: Workbench, finding: Finding, value: str) -> str:
    """The state a value stands for: of a figure the side of its band."""
    if not finding.is_reading or value in READING_STATES:
        return value
    limit = limit_of(finding, bench.sheet)
    found = amount(value, finding.dimension)
    if limit is None or found is None:
        return finding.normal
    ends = [getattr(limit, name) for name in ("low", "high")]
    low, high = (None if e is None else convert(e, limit.unit, found[1]) for e in ends)
    return judge(found[0], 0.0, low, high).state


def _figures(findings: Mapping[str, Finding], said: Mapping[str, str]) -> dict[str, float]:
    out = {}
    for finding, value in said.items():
        found = amount(value, findings[finding].dimension) if findings[finding].is_reading else None
        if found is not None:
            out[finding] = convert(*found, findings[finding].unit or found[1])
    return out

"""What a report says about a case, as plain data; how it looks is settled elsewhere."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from diagnose.cases.assess import Assessment, Workbench
from diagnose.cases.entries import FIELDS, Entry, Head, reasoned
from diagnose.cases.fitting import fitting
from diagnose.cases.log import CaseLog, Statement
from diagnose.cases.plain import one_line, shown
from diagnose.cases.state import limit_of
from diagnose.dialogue import answer
from diagnose.dialogue import wording as spoken
from diagnose.dialogue.correction import worked_out
from diagnose.dialogue.wording_end import worked_out_lines
from diagnose.knowledge.model import WITHOUT_ADDRESS, Cause, Knowledge
from diagnose.named import Named
from diagnose.reports import wording
from diagnose.reports.course import Course, course_of

_SPEAKS_FOR = 3  # causes whose reasons are told


class Report(Named):
    """Everything on the page; each field is plain data, ready for JSON."""

    number: int
    title: str
    status: str
    opened: str
    changed: str
    facts: list[tuple[str, str]]
    parts_fitted: list[str]
    cautions: list[dict[str, Any]]
    conclusion: dict[str, Any] | None
    worked_out: list[str]
    next: dict[str, Any] | None
    order: list[str]
    recheck: list[str]
    said: list[dict[str, Any]]
    measured: list[dict[str, Any]]
    course: dict[str, Any]
    causes: list[dict[str, Any]]
    unproven: list[str]
    sources: list[tuple[str, str, str]]


class _Case(Named):
    bench: Workbench
    head: Head
    entries: Sequence[Entry]
    log: CaseLog
    found: Assessment
    end: dict[str, Any] | None

    @property
    def knowledge(self) -> Knowledge:
        return self.bench.knowledge

    @property
    def named(self) -> list[Cause]:
        """The causes to act on: confirmed, else concluded."""
        causes = self.knowledge.causes
        if self.head.cause in causes:
            return [causes[self.head.cause]]
        return [causes[c] for c in self.found.verdict]


def report_of(bench: Workbench, head: Head, entries: Sequence[Entry]) -> Report:
    """Everything a case says, for the next person."""
    log = CaseLog(fitting(bench.knowledge, reasoned(entries)))
    found = bench.where(log)
    case = _Case(bench, head, entries, log, found, answer.conclusion(bench, found))
    steps = list(_steps(bench.knowledge, entries))
    course = course_of(bench, steps, found.ranking, _SPEAKS_FOR)
    causes = answer.causes(bench, found)
    main = case.named[0] if case.named else None
    figures = worked_out(bench, found, main) if main else {}
    confirmed = bench.knowledge.causes.get(head.cause)
    return Report(
        number=head.number,
        title=shown(head.title),
        status=wording.status(head.status, confirmed.title if confirmed else shown(head.cause)),
        opened=head.opened,
        changed=head.changed,
        facts=list(_facts(case)),
        parts_fitted=list(_fitted(case)),
        cautions=answer.cautions(bench, found),
        conclusion=_conclusion(case),
        worked_out=[line.strip() for line in worked_out_lines(bench.knowledge, figures)],
        next=None if case.named else answer.next_step(bench, found),
        order=list(dict.fromkeys(wording.parts([c.remedy for c in case.named], figures))),
        recheck=list(_recheck(case)),
        said=list(_said(case)),
        measured=list(_measured(case)),
        course=_course(course),
        causes=causes[:_SPEAKS_FOR],
        unproven=list(_unproven(case)),
        sources=list(_sources(case, causes[:_SPEAKS_FOR])),
    )


def _steps(knowledge: Knowledge, entries: Sequence[Entry]) -> Iterator[tuple[int, list[Statement]]]:
    """The case log as it stood after each turn that added to it."""
    so_far: list[Statement] = []
    for turn, group in groupby(entries, key=_Turns()):
        new = fitting(knowledge, reasoned(group))
        if any(s.kind != "asked" for s in new):
            so_far = [*so_far, *new]
            yield turn, so_far


class _Turns:
    """The turn an entry belongs to: that of the words last typed before it, if any were."""

    def __init__(self) -> None:
        self.typed = 0

    def __call__(self, entry: Entry) -> int:
        if entry.statement.kind == "typed":
            self.typed = entry.statement.turn
        return self.typed or entry.statement.turn


def _facts(case: _Case) -> Iterator[tuple[str, str]]:
    for name in (*FIELDS, "owner", "tags"):
        if value := getattr(case.head, name):
            yield wording.FIELD_NAMES[name], one_line(value)
    sheet = case.bench.sheet
    yield "Engine sheet", f"{sheet.title}: {sheet.describes}" if sheet else spoken.NO_SHEET


def _fitted(case: _Case) -> Iterator[str]:
    """Parts and circumstances: of the sheet, and as told."""
    findings = case.knowledge.findings
    for name, state in case.found.state.told.items():
        if findings[name].is_circumstance or name in case.found.state.fitted:
            yield spoken.said_state(findings[name], state)


def _conclusion(case: _Case) -> dict[str, Any] | None:
    if not case.named:
        return None
    main = case.named[0]
    behind = case.end["behind_it"] if case.end and case.end["causes"][0] == main.id else []
    return {
        "causes": [{"id": c.id, "title": c.title} for c in case.named],
        "confirmed": case.head.cause == main.id,
        "band": spoken.band(case.end["p"]) if case.end and not case.head.cause else "",
        "proof": main.confirm.shows,
        "remedy": [c.remedy for c in case.named],
        "behind_it": [{"title": b["title"], "because": b["because"]} for b in behind],
        "cautions": [text for c in case.named for text in c.cautions],
    }


def _recheck(case: _Case) -> Iterator[str]:
    done = dict.fromkeys(f for cause in case.named for f in cause.recheck)
    for name in done:
        finding = case.knowledge.findings[name]
        limit = limit_of(finding, case.bench.sheet) if finding.is_reading else None
        ends = (limit.low, limit.high) if limit else (None, None)
        band = " to ".join(spoken.number(e) for e in ends if e is not None)
        if limit and None in ends:
            band = f"{'at least' if ends[1] is None else 'at most'} {band}"
        yield wording.recheck_line(finding.title, f"{band} {limit.unit}" if limit else "")


def _said(case: _Case) -> Iterator[dict[str, Any]]:
    """Turn by turn: who, when, their words, and what was taken from them."""
    undone = {int(s.value or 0) for s in case.log.statements if s.kind == "undone"}
    for (turn, who, at), group in groupby(
        case.entries, key=lambda e: (e.statement.turn, e.who, e.at)
    ):
        said = [e.statement for e in group]
        words = [shown(s.text) for s in said if s.kind in ("typed", "note") and s.text]
        taken = [line for s in said if (line := _taken(case.knowledge, s))]
        if words or taken:
            gone = turn in undone and bool(taken)
            row = {"turn": turn, "who": shown(who), "at": at, "words": words, "taken": taken}
            yield {**row, "taken_back": gone}


def _taken(knowledge: Knowledge, said: Statement) -> str:
    finding = knowledge.findings.get(said.name)
    if finding is None:
        return ""
    if said.kind == "said":
        return spoken.said_state(finding, said.state)
    if said.kind == "measured":
        return f"{finding.title}: {spoken.quantity(said.value or 0.0, said.unit or '')}"
    return ""


def _measured(case: _Case) -> Iterator[dict[str, Any]]:
    if not case.found.state.judged:
        return
    from diagnose.reports.drawings import drawing_of  # loads the whole drawing board

    refused = {i["finding"]: i["why"] for i in answer.invalid(case.bench, case.found)}
    for name, judged in case.found.state.judged.items():
        finding = case.knowledge.findings[name]
        yield {
            "title": finding.title,
            "value": spoken.quantity(judged.value, judged.unit),
            "band": spoken.band_text(judged),
            "source": spoken.source_title(case.knowledge, judged.source),
            "says": wording.measured_says(finding, judged, refused),
            "counts": name not in refused,
            "drawing": drawing_of(finding.title, judged) if judged.possible else "",
        }


def _course(course: Course) -> dict[str, Any]:
    from diagnose.reports.picture import picture_of

    return {
        "turns": list(course.turns),
        "causes": [{**c._asdict(), "ps": [round(p, 4) for p in c.ps]} for c in course.causes],
        "leads": [wording.changed_lead(*lead) for lead in course.leads],
        "picture": picture_of(course),
    }


def _unproven(case: _Case) -> Iterator[str]:
    knowledge, found = case.knowledge, case.found
    findings = knowledge.findings
    for cause in case.named:
        proof = cause.confirm
        seen = found.state.known.get(proof.finding) == proof.state
        if not seen and case.head.cause != cause.id:
            yield wording.proof_missing(cause.title, proof.shows)
    if found.unexplained:
        yield wording.unexplained([findings[f].title.lower() for f in found.unexplained])
    if found.ranking.none_of_these > 0.05:
        yield wording.none_of_these(found.ranking.none_of_these)
    yield from (wording.not_checked(findings[f].title) for f in sorted(found.state.cannot))
    yield from (wording.not_known(findings[f].title) for f in sorted(found.state.dont_know))
    for judged in found.state.usable.values():
        if judged.has_band and not judged.verdict.sure:
            yield spoken.verdict_line(findings[judged.statement.name], judged)
    yield from (wording.not_covered(c.title, c.does_not_cover) for c in case.named)
    yield spoken.how_known(case.bench.counted)
    yield spoken.DEFER


def _sources(case: _Case, causes: Sequence[Mapping[str, Any]]) -> Iterator[tuple[str, str, str]]:
    """Each source the page rests on: key, title, address."""
    keys = [r["source"] for c in causes for r in c["because"]]
    keys += [j.source for j in case.found.state.judged.values()]
    keys += [case.knowledge.cautions[c].source for c in case.found.conclusions.cautions]
    keys += [s.source for cause in case.named for s in cause.signs]
    known = case.knowledge.sources
    for key in _each_once(keys):
        if key in WITHOUT_ADDRESS:
            yield key, spoken.UNPUBLISHED[key].capitalize(), ""
        elif key in known:
            yield key, known[key].title, known[key].address


def _each_once(keys: Iterable[str]) -> list[str]:
    """The sources in order, those without an address last."""
    once = dict.fromkeys(keys)
    return sorted(once, key=lambda k: k in WITHOUT_ADDRESS)


def as_data(report: Report) -> dict[str, Any]:
    """The report for JSON; pictures are left out, their figures are there."""
    out = report._asdict()
    out["course"] = {k: v for k, v in report.course.items() if k != "picture"}
    out["measured"] = [{k: v for k, v in m.items() if k != "drawing"} for m in report.measured]
    out["facts"] = dict(report.facts)
    out["sources"] = [
        dict(zip(("key", "title", "address"), s, strict=True)) for s in out["sources"]
    ]
    return out

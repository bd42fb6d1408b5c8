"""Every sentence of practice; nothing is decided here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from diagnose.cases.assess import Assessment
from diagnose.knowledge.model import Access, Check, Finding, Knowledge
from diagnose.measuring.units import convert, number, quantity
from diagnose.practice.scenario import Scenario, step_of
from diagnose.reasoning.planning import Plan

if TYPE_CHECKING:
    from diagnose.practice.history import Summary
    from diagnose.practice.score import Score

HELP = (
    "Ask for one look or reading at a time, in your own words: check the cam end play, is the cam "
    "bolt tight, where is the noise. Every look costs its minutes. You can say: list, "
    "how do I ..., hint (10 min), again (to read once more), stop (it is kept), give up. "
    "When you know, say: it is ..., 80 %, and what lies behind it: because of ..."
)
OVER = "This one is over; start another."
NO_ANSWER = (
    "Not before you commit to something. A hint costs 10 min; 'give up' ends it and shows all."
)
LEFT = "Kept as it stands. Start practice again and you go on here."
NO_USE = (
    "I could not use that. Name something to look at or to measure, such as: check the timing "
    "chain slack. Say help for the rest."
)
NO_CAUSE = (
    "I know no such fault. Name the part and what is wrong with it, such as: lifter collapsed."
)
SURE_OF_WHAT = "Sure of what? Say what is wrong first: it is a collapsed lifter, 80 %."
STILL_THERE = "The trouble is still there. Go on."
ASK_ROOT = (
    "Before it goes together: what lies behind it? Name it, or say 'nothing' if you found nothing."
)
NO_CHECK_LEFT = "From what is known no further check is worth its minutes: commit, or hand it on."
LESSONS = "Lessons:"
NO_HISTORY = "Nothing practised yet. Start with: diagnose practice"
PROMPT = "> "
_DIAL = 41


def opening(knowledge: Knowledge, scenario: Scenario) -> str:
    """The job card: what the customer says, what is known of the engine, what is at hand."""
    lines = [_title(scenario)]
    if scenario.lesson is not None:
        lines.append(scenario.lesson.opening)
    if scenario.words:
        lines.append("The customer says: " + "; ".join(f'"{w}"' for w in scenario.words) + ".")
    if scenario.guess:
        lines.append(f'And thinks it is: "{scenario.guess}".')
    if scenario.known:
        lines.append("On the job card:")
        lines += [f"  {said(knowledge.findings[f], s)}" for f, s in scenario.known]
    if scenario.sheet is not None:
        lines.append(f"Engine sheet at hand: {scenario.sheet.title}.")
    if scenario.open:
        titles = [knowledge.access[a].title.lower() for a in scenario.open]
        lines.append(f"Already so: {'; '.join(titles)}.")
    if scenario.missing:
        lines.append(f"Not in the shop today: {', '.join(scenario.missing)}.")
    return "\n".join([*lines, "What do you look at first? (help tells what you can say)"])


def _title(scenario: Scenario) -> str:
    if scenario.lesson is not None:
        return f"Lesson: {scenario.lesson.title}"
    return f"Practice, level {scenario.level.number} ({scenario.key})"


def said(finding: Finding, state: str) -> str:
    """A finding and its state in words."""
    return f"{finding.title}: {finding.say.get(state, state)}"


def did(check: Check, minutes: float, access: Access | None) -> str:
    """The check that was done and what it cost."""
    reach = f", with getting there: {access.title.lower()}" if access is not None else ""
    return f"{check.title} ({number(minutes)} min{reach})."


def seen(finding: Finding, state: str) -> str:
    """What a look shows, in the words of the trade."""
    return f"  {said(finding, state)}"


def put_right(finding: Finding, state: str, right: str) -> str:
    """What was not as it must be, and is now."""
    now = finding.say.get(right, right)
    return f"  {said(finding, state)}. You put it right: {now}."


def read(finding: Finding, value: float, unit: str) -> str:
    """A reading as the needle shows it, with its scale."""
    return f"  {finding.title}: {quantity(value, unit)}\n  {dial(finding, value, unit)}"


def dial(finding: Finding, value: float, unit: str) -> str:
    """A small drawing of a scale with the needle on it; it knows no band."""
    u = 0.0
    if finding.gauge is not None:
        u = convert(finding.gauge.u, finding.gauge.unit, unit)
    span = _round_up(max(abs(value) * 1.25, 10 * step_of(u) if u else 1.0))
    low = -span if value < 0 else 0.0
    place = round((value - low) / (span - low) * (_DIAL - 1))
    marks = ["." if n % 4 else "|" for n in range(_DIAL)]
    marks[min(max(place, 0), _DIAL - 1)] = "V"
    return f"{number(low)} {''.join(marks)} {number(span)} {unit}"


def _round_up(value: float) -> float:
    size = 1.0
    while size * 10 <= value:
        size *= 10
    while size > value:
        size /= 10
    return next((size * n for n in (1, 2, 5) if size * n >= value), size * 10)


def known_already(line: str) -> str:
    """The same look again costs nothing, and tells nothing new."""
    return f"You have looked already:\n{line}\n  (say 'again' with it to do it once more)"


def no_tool(check: Check, tools: Sequence[str]) -> str:
    """Why a check can't be done here."""
    return (
        f"{check.title}: not today, there is no {', no '.join(tools)} in the shop. No minutes lost."
    )


def will_not_run(check: Check) -> str:
    """A check that needs the engine running, and it can't."""
    return f"{check.title}: the engine can't be run as it is. No minutes lost."


def not_there(finding: Finding) -> str:
    """A part that this engine does not have."""
    return f"{finding.title}: this engine has no such part. No minutes lost."


def which(labels: Sequence[str]) -> str:
    """Ask back what was meant."""
    return "Which do you mean? " + "; ".join(f"({n}) {t}" for n, t in enumerate(labels, 1)) + "."


def how_sure(knowledge: Knowledge, causes: Sequence[str]) -> str:
    """Ask for the confidence before anything is fitted."""
    titles = "; ".join(knowledge.causes[c].title.lower() for c in causes)
    return f"You commit to: {titles}. How sure are you, in percent?"


def fitted(knowledge: Knowledge, right: Sequence[str], wrong: Sequence[str], minutes: float) -> str:
    """What the repair showed."""
    lines = [f"Right: {knowledge.causes[c].title}." for c in right]
    lines += [f"Not it: {knowledge.causes[c].title}; the part was sound." for c in wrong]
    if wrong:
        lines.append(f"That cost {number(minutes)} min with taking it back.")
    return "\n".join(lines) or "That one is put right already."


def revealed(knowledge: Knowledge, scenario: Scenario) -> str:
    """What was hidden, once it is over."""
    felt = "; ".join(knowledge.causes[f].title for f in scenario.felt)
    lines = [f"What was wrong: {felt}."]
    if scenario.root is not None:
        lines.append(f"Behind it: {knowledge.causes[scenario.root].title}.")
    lines += [f"  Proof: {knowledge.causes[f].confirm.shows}." for f in scenario.faults]
    if scenario.lesson is not None:
        lines.append(f"The idea: {scenario.lesson.takeaway}")
    return "\n".join(lines)


def after_repair(knowledge: Knowledge, after: Scenario) -> str:
    """What is left once a fault is put right."""
    findings = knowledge.findings
    bad = [(f, s) for f, s in after.known if not findings[f].is_circumstance]
    left = [f"  {said(findings[f], s)}" for f, s in bad if s != findings[f].normal]
    return "\n".join(
        ["It is put right and tried again. That was not all; this is still so:", *left]
    )


def hint(knowledge: Knowledge, plan: Plan | None, price: float) -> str:
    """The best next check from what is known, and what it would tell apart."""
    paid = f"({number(price)} min)"
    if plan is None:
        return f"Hint {paid}: {NO_CHECK_LEFT}"
    finding = knowledge.findings[plan.settles[0]]
    return f"Hint {paid}: {finding.title.lower()}. {tells_apart(knowledge, plan)}"


def tells_apart(knowledge: Knowledge, plan: Plan) -> str:
    """What the planned check tells."""
    if plan.safety:
        return "It comes first: the other readings, or the engine, depend on it."
    leads = list(dict.fromkeys(o.leads_to[0] for o in plan.outcomes if o.leads_to))[:2]
    names = [knowledge.causes[c].title.lower() for c in leads]
    if len(names) == 2:
        return f"It tells '{names[0]}' from '{names[1]}'."
    return f"It proves or clears '{names[0]}'." if names else "It splits what is left."


def how(check: Check, knowledge: Knowledge) -> str:
    """How a check is done."""
    access = knowledge.access[check.access]
    minutes = knowledge.takes(check, (access.id,))
    lines = [f"{check.title} (about {number(minutes)} min; {access.title.lower()}):"]
    lines += [f"  {n}. {s}" for n, s in enumerate(check.how, start=1)]
    lines += [f"  Good: {check.good}", f"  Bad: {check.bad}"]
    return "\n".join([*lines, *(f"  Take care: {d}" for d in check.dangers)])


def listed(knowledge: Knowledge, now: Assessment, spent: float) -> str:
    """What is known so far and what it cost; no suspects, that is the learner's part."""
    lines = [said(knowledge.findings[f], s) for f, s in now.state.states.items()]
    for finding, judged in now.state.judged.items():
        title = knowledge.findings[finding].title
        lines.append(f"{title}: {quantity(judged.value, judged.unit)}")
    told = f"Spent so far: {number(round(spent))} min."
    return "\n".join(["Known so far:", *(f"  {line}" for line in lines), told])


def titles(knowledge: Knowledge, findings: Iterable[str]) -> str:
    """Findings by their titles."""
    return "; ".join(knowledge.findings[f].title.lower() for f in findings)


# The debrief
STEP_BY_STEP = "Step by step:"
STEP_KINDS = {"hint": "a hint", "give_up": "giving up"}
NO_CHECK_WORTH = "No further check was worth its minutes; its proof is: {}."
IDEAS = {
    "danger": "stop the engine before anything else when a warning forbids it to run",
    "root": "ask what lies behind the failed part before it is renewed",
    "apart_too_soon": "try what is cheap before anything comes apart",
    "first_things": "see to what the other readings depend on first",
    "too_soon": "take the one more check that is worth its minutes before you commit",
    "too_long": "stop asking when no check is worth its minutes any more",
    "other_cause": "commit to what has the best chance for its minutes",
    "again": "take a reading twice only where it is near an edge",
    "telling": "take the check that tells most for its minutes",
    "confidence": "say how sure you are as if money hung on it",
    "hint": "try a step of your own before you buy a hint",
    "gave_up": "stay at it a little longer before you hand the engine on",
}
HISTORY_TITLE = "Practice history"
HISTORY_COLUMNS = ("when", "exercise", "solved", "minutes lost", "wrong parts", "to practise")
PLOT_LABEL = "Minutes lost in each exercise, newest on the right"
CLASS_COLUMNS = ("name", "done", "solved", "lost", "wrong_parts", "dangers", "brier")
NO_RESULTS = "No results yet. To make a class file: diagnose practice set --export FILE"


def committed(names: Sequence[str]) -> str:
    """A commitment in words."""
    return f"commit to '{'; '.join(names).lower()}'"


def would_show(shown: str) -> str:
    """What the best check would have shown on this engine."""
    return f"Here: {shown[:1].lower()}{shown[1:].rstrip('.')}."


def score_line(result: Score) -> str:
    """The figures of the exercise."""
    parts = [
        "solved" if result.solved else "not solved",
        f"{number(round(result.minutes))} min spent",
        f"{number(round(result.lost))} min lost against the best choices",
        f"{result.wrong_parts} wrong part{'' if result.wrong_parts == 1 else 's'} fitted",
        f"{result.dangers} time{'' if result.dangers == 1 else 's'} run against a warning",
    ]
    if result.brier is not None:
        parts.append(f"confidence missed by {number(round(result.brier, 2))} (0 best, 1 worst)")
    if result.root is not None:
        parts.append("what lay behind it named" if result.root else "what lay behind it not named")
    return f"Score: {'; '.join(parts)}."


def step_lines(step: Mapping[str, Any]) -> list[str]:
    """One step in two sentences, with its sources."""
    known = f"With {step['known']} things known '{step['leads'].lower()}' led"
    percent = f"({number(round(100 * step['chance']))} %)"
    if step["was_best"]:
        first = f"{known} {percent}, and {step['chose']} was as good as the best."
    else:
        lost = f"{number(round(step['lost']))} min lost"
        best = f"the best next was {step['best']}"
        first = f"{known} {percent}; {best}, you took {step['chose']} ({lost})."
    danger = f" {RUN_AGAINST}" if step["danger"] else ""
    sources = f" [{'; '.join(step['sources'])}]" if step["sources"] else ""
    return [f"  {step['step']}. {first}{danger}", f"     {step['tells']}{sources}"]


RUN_AGAINST = "The engine was run against a warning."


def next_line(idea: str | None, lesson: str | None) -> str:
    """The one thing to practise next."""
    if idea is None:
        return "To practise next: nothing was lost; take the next level."
    told = f"To practise next: {IDEAS[idea]}."
    return f"{told} Lesson: diagnose practice --lesson {lesson}" if lesson else told


def summary_lines(figures: Summary) -> list[str]:
    """The record in a few lines."""
    if not figures.done:
        return [NO_HISTORY]
    top = figures.open_level
    levels = f"levels 1 to {top} are open" if top > 1 else "level 1 is open"
    lines = [
        f"{figures.done} done, {figures.solved} solved; {levels}.",
        f"Minutes lost to the best choices: {number(round(figures.median_lost or 0))} (median).",
    ]
    if figures.brier is not None:
        lines.append(f"Confidence missed by {number(round(figures.brier, 2))} (0 best, 1 worst).")
    if figures.weak_systems:
        named = ", ".join(s.replace("_", " ") for s in figures.weak_systems)
        lines.append(f"Weak, and drawn more often: {named}.")
    if figures.weak_ideas:
        lines.append("To practise: " + "; ".join(IDEAS.get(i, i) for i in figures.weak_ideas) + ".")
    return lines


def history_cells(result: Mapping[str, Any]) -> list[str]:
    """One result as the cells of a row."""
    return [
        str(result.get("when", ""))[:16].replace("T", " "),
        str(result.get("key", "")),
        "yes" if result.get("solved") else "no",
        number(round(float(result["lost"]))),
        str(result.get("wrong_parts", 0)),
        str(IDEAS.get(str(result.get("idea")), "")),
    ]


def columns(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A table in plain characters."""
    widths = [max(len(str(r[n])) for r in (heads, *rows)) for n in range(len(heads))]
    lines = [
        "  ".join(str(c).ljust(w) for c, w in zip(r, widths, strict=True)).rstrip()
        for r in (heads, *rows)
    ]
    return "\n".join(lines)


def level_closed(wanted: int, open_: int) -> str:
    """Why a level is not open yet."""
    are = f"1 to {open_} are" if open_ > 1 else "level 1 is"
    return (
        f"level {wanted} is not open yet ({are}): it opens when of your last five "
        "at the level below three were solved with under an hour lost and no warning ignored"
    )


def no_level(wanted: int, highest: int) -> str:
    """There is no such level."""
    return f"there is no level {wanted}; take one from 1 to {highest}"


def goes_on(key: str, texts: int) -> str:
    """Going on with what was left."""
    told = f"{texts} thing{'' if texts == 1 else 's'} said"
    return f"You go on with {key}, after {told}. (--new starts another; this one stays)"


def class_done(name: str) -> str:
    """A learner has done the whole set."""
    return f"{name or 'You'} did all of it already; see: diagnose practice set FILE"


def class_made(path: str, count: int) -> str:
    """A class file was written."""
    return f"{path}: {count} exercises. Each learner: diagnose practice play {path} --name NAME"


def lesson_line(key: str, title: str, teaches: str) -> str:
    """One lesson in the list."""
    return f"{key:28} {title}: {teaches}"

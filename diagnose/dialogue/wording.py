"""Every sentence the person reads is made here, in plain words; nothing is decided here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from diagnose.measuring.units import number as number
from diagnose.measuring.units import quantity as quantity
from diagnose.measuring.verdict import GUARD

if TYPE_CHECKING:  # a sum of the bench needs the sentences, not these records
    from diagnose.cases.log import Statement
    from diagnose.cases.state import Judged
    from diagnose.knowledge.model import Check, Finding, Knowledge
    from diagnose.language.understanding import Taken, Unclear
    from diagnose.reasoning.planning import Plan

BANDS = (
    (0.9, "almost certain (over 90 %)"),
    (0.6, "likely (60 to 90 %)"),
    (0.3, "possible (30 to 60 %)"),
    (0.1, "less likely (10 to 30 %)"),
    (0.0, "unlikely (under 10 %)"),
)
_WORTH_A_LINE = 0.2
NO_SHEET = "none, usual bands"
HANDBOOK = "How sure: from handbook figures, not from counted cases."
COUNTED = "How sure: from handbook figures and {} closed cases, counted in."
UNPUBLISHED = {
    "common-practice": "common practice of the trade, without a published source",
    "memory": "judgement of the rule base, without a published source",
}
SHORT = {key: words.partition(" of ")[0] for key, words in UNPUBLISHED.items()}
WHICH_GAUGE = "What does the gauge read to? Or read it three times and tell all three."
_ON_THE_LIMIT = 0.2  # standard uncertainties from a limit within which no gauge at hand decides
ON_THE_LIMIT = "It lies on the limit: no finer gauge will move it; set it to the target instead."
TAKE_AGAIN = "It was read under the wrong conditions; take it again"
GREETING = "Hello. Tell me what you hear, see or have measured on the engine, in your own words."
HELP = (
    "Tell me what you hear, see and have measured, in your own words and units. I ask one thing at "
    "a time. You can say: don't know, can't check that, why, how, how sure, why not (a cause), "
    "what if ..., what would settle it, what else can I check, not the second one, list, undo, "
    "start over, stop."
)
NOTHING_YET = "Nothing told yet. What do you hear, see or measure on the engine?"
NOT_USABLE = (
    "I could not use that. Tell me a noise and where it is, something seen, or a reading with its "
    "unit, such as: tick at the front cover, or cam end play 9 thou."
)
STARTED_OVER = "All wiped. New engine: what do you hear, see or have measured?"
STOPPED = "Stopped. Nothing more is asked."
NOTHING_TO_UNDO = "There is nothing to take back."
WHICH_UNIT = "Name the unit to ask in: thou, in, mm, psi, bar, kPa, Nm."
READ_AGAIN = "Read it again and give it with its unit."
YES_OR_UNIT = "Say yes, or give it with its unit."
PUT_ASIDE = "Fine, that one is put aside."
NO_FAULT = (
    "Nothing you told me speaks for a fault. If something still bothers you, say what you hear, "
    "see or measure."
)
NO_FIT = (
    "No cause in my rule base fits this well enough to act on. Have it looked at by somebody who "
    "can stand beside it before parts are bought."
)
PUT_FROM_OUTSIDE = "You asked for this one"
_A_LEAD = 0.1  # chance from which a first cause is worth calling a thought
TOO_EARLY = "Too early to say; first of many:"
_SPOKEN = {"in": "inches"}  # "in in" is no way to ask
STOP_FIRST = "Do not run the engine"
CARE = "Take care"
TOOK, THINK = "What I took from that:", "What I think now:"
NEXT, READ_OUT, CONCLUSION = "Next", "Read out", "Conclusion"
DEFER = (
    "Figures of the engine maker's own manual come first; so do local rules and licensed practice."
)


def how_known(counted: int) -> str:
    """What the chances rest on: the handbook alone, or counted cases too."""
    return COUNTED.format(counted) if counted else HANDBOOK


def band(p: float) -> str:
    """A word for a probability, with its range in brackets."""
    return next(words for least, words in BANDS if p >= least)


def said_state(finding: Finding, state: str | None) -> str:
    """The state of a finding in a few words."""
    words = finding.say.get(state or "", state or "")
    return f"{finding.title}: {words}"


def taken_line(knowledge: Knowledge, taken: Taken) -> str:
    """One line for one thing taken, with the words it rests on."""
    finding = knowledge.findings[taken.finding]
    if taken.value is not None:
        what = f"{finding.title}: {quantity(taken.value, taken.unit or '')}"
    else:
        what = said_state(finding, taken.state)
    words = " ".join(taken.text.split())
    return f'{what}  (from "{words}")' if words else what


def taken_block(knowledge: Knowledge, taken: Sequence[Taken]) -> list[str]:
    """What was taken from this turn, one numbered line a statement."""
    if not taken:
        return []
    lines = [f"  {n}. {taken_line(knowledge, t)}" for n, t in enumerate(taken, start=1)]
    return [TOOK, *lines]


def guess_line(knowledge: Knowledge, guesses: Iterable[str]) -> list[str]:
    """A cause somebody named is heard as their guess."""
    titles = [knowledge.causes[g].title.lower() for g in guesses]
    return [f"Heard as a guess, not as a finding: {'; '.join(titles)}."] if titles else []


def unclear_line(unclear: Unclear) -> str:
    """Ask back what ambiguous words mean."""
    if not unclear.options:
        return f'"{unclear.text}" can\'t be right. {READ_AGAIN}'
    if len(unclear.options) == 1:
        return f'"{unclear.text}": is that {unclear.options[0].label}? {YES_OR_UNIT}'
    choices = " or ".join(f"({n}) {o.label}" for n, o in enumerate(unclear.options, start=1))
    return f'"{unclear.text}" could mean {choices}. Which?'


def verdict_line(finding: Finding, judged: Judged) -> str:
    """What one reading proves against its band."""
    value = quantity(judged.value, judged.unit)
    limits = band_text(judged)
    state = judged.verdict.state
    if not judged.verdict.sure and limits:
        return (
            f"{finding.title} {value}: too near the edge of {limits} to call with this gauge "
            f"(good to {_rough(GUARD * judged.u)} {judged.unit}). {settling(judged)}"
        )
    says = {"low": "below", "ok": "inside", "high": "above"}[state]
    return f"{finding.title} {value}: {says} the band of {limits}." if limits else ""


def band_source(knowledge: Knowledge, judged: Judged) -> str:
    """Where the band of a reading comes from."""
    return f"  That band: {source_title(knowledge, judged.source)}."


def source_title(knowledge: Knowledge, key: str) -> str:
    """The title of a source, or what stands for one."""
    published = knowledge.sources.get(key)
    return published.title if published else UNPUBLISHED.get(key, key)


def _rough(value: float) -> str:
    return number(float(f"{value:.2g}"))


def gauge_line(gauge: Statement) -> str:
    """The gauge of a reading was told."""
    return f"Gauge noted: it reads to {quantity(gauge.value or 0.0, gauge.unit or '')}."


def settling(judged: Judged) -> str:
    """What would settle a reading near a limit: a gauge good to its distance from it."""
    edges = [edge for edge in (judged.low, judged.high) if edge is not None]
    distance = min(abs(judged.value - edge) for edge in edges)
    if distance < _ON_THE_LIMIT * judged.u:
        return ON_THE_LIMIT
    good = f"{number(round(distance, 4))} {judged.unit}"
    return f"A gauge good to {good} would settle it. {WHICH_GAUGE}"


def band_text(judged: Judged) -> str:
    """The band of a reading in words."""
    low, high = judged.low, judged.high
    if low is not None and high is not None:
        return f"{number(low)} to {number(high)} {judged.unit}"
    if high is not None:
        return f"at most {number(high)} {judged.unit}"
    return f"at least {number(low)} {judged.unit}" if low is not None else ""


def impossible(knowledge: Knowledge, judged: Judged) -> str:
    """Why a number can't be such a reading, and what would be usable."""
    finding = knowledge.findings[judged.statement.name]
    title = finding.title.lower()
    usual = f"something like {band_text(judged)}" if band_text(judged) else "a smaller figure"
    value = quantity(judged.value, judged.unit)
    return f"{value} can't be a reading of {title}; usable would be {usual}, with its unit"


def invalid_line(finding: Finding, why: str) -> str:
    """A reading kept but not used."""
    return f"Kept but not used: {finding.title.lower()}. {why}."


def causes_block(causes: Sequence[Mapping[str, Any]], none: float) -> list[str]:
    """The likeliest causes with how sure; three lines at most."""
    if not causes:
        return []
    others = none > _WORTH_A_LINE
    lines = [f"  {c['title']}: {c['band']}" for c in causes[: 2 if others else 3]]
    if others:
        lines.append(f"  Something not in my rule base: {band(none)}")
    heading = THINK if causes[0]["p"] >= _A_LEAD else TOO_EARLY
    return [heading, *lines]


def found_line(
    knowledge: Knowledge, found: Sequence[str], unexplained: Sequence[str], one_more: float
) -> str:
    """Why asking goes on although a cause is as good as found; `one_more` how likely it is two."""
    causes = "; ".join(knowledge.causes[c].title for c in found)
    left = "; ".join(knowledge.findings[f].title.lower() for f in unexplained[:3])
    two = "Most likely two things." if one_more > 0.5 else "It may be two things."
    return f"As good as found: {causes}. That does not explain: {left}. {two}"


def question(knowledge: Knowledge, settles: Sequence[str], unit: str | None) -> str:
    """The question itself, and what else the same look settles."""
    main = knowledge.findings[settles[0]]
    text = main.ask
    if main.is_reading and unit:
        text += f" (in {_SPOKEN.get(unit, unit)})"
    elif len(main.known_states) > 2:
        text += f" ({', '.join(main.say[s] for s in main.known_states)})"
    more = [knowledge.findings[f].ask for f in settles[1:]]
    return " ".join([text, *(f"And: {ask}" for ask in more)])


def why_this_check(
    knowledge: Knowledge, check: Check, step: Plan, behind: str | None = None
) -> str:
    """Why this check comes next; `behind` is the failed part whose root it looks for."""
    if behind is not None:
        return f"Before refitting: it may show what brought on '{knowledge.causes[behind].title}'"
    if step.safety:
        return "This comes first: the other readings, or the engine, depend on it"
    leads = [o.leads_to[0] for o in step.outcomes if o.leads_to]
    names = list(dict.fromkeys(knowledge.causes[c].title for c in leads))[:2]
    if len(names) == 2:
        return f"It tells '{names[0]}' from '{names[1]}'"
    return f"It proves or clears '{names[0]}'" if names else "It splits what is left"


def units_line(units: Iterable[str]) -> str:
    """The units that readings are asked in from now on."""
    named = ", ".join(dict.fromkeys(units))
    return f"Asked in {named} from now on." if named else WHICH_UNIT


def changed_line(finding: Finding, before: str) -> str:
    """A new word replaces an earlier one."""
    return f"Before, you said {said_state(finding, before)}. The new word counts."


def contradiction_line(knowledge: Knowledge, names: Iterable[str], because: str) -> str:
    """Two statements that can't both be so."""
    titles = " and ".join(f"'{knowledge.findings[n].title}'" for n in names)
    return f"These do not go together: {titles}. {because}. Say which holds."


def next_block(knowledge: Knowledge, step: Mapping[str, Any]) -> list[str]:
    """The one question, why it is asked, its minutes and what it needs."""
    check = knowledge.checks[step["check"]]
    lines = [f"{NEXT}: {step['ask']}", why_line(knowledge, step, check.tools)]
    if check.dangers:
        lines.append(f"  Take care: {check.dangers[0]}")
    return lines


def why_line(knowledge: Knowledge, step: Mapping[str, Any], tools: Sequence[str]) -> str:
    """Why it is asked, its minutes and what it needs."""
    needs = [f"about {number(step['minutes'])} min"]
    if step["access"]:
        needs.append(knowledge.access[step["access"][0]].title.lower())
    if tools:
        needs.append("needs " + ", ".join(tools))
    return f"  Why: {step['because']}. {'; '.join(needs)}."


# A case that is kept
NOT_KEPT = "This turn is not kept and does not count"


def going_on_block(number: int, title: str, told: Sequence[str]) -> list[str]:
    """The first words when a kept case is taken up again."""
    lines = [f"Going on with case {number}: {title or 'nothing told yet'}"]
    lines += ["Told so far:", *(f"  {line}" for line in told)] if told else []
    return [*lines, "For another engine say: start over."]


def earlier_line(number: int, title: str) -> str:
    """An earlier case of the same caller."""
    return f"Earlier case {number}: {title}. Go on with it: diagnose chat --case {number}"


def kept_line(number: int) -> str:
    """Where the talk can be found again."""
    return f"Kept as case {number}. Go on with: diagnose chat --case {number}"


def added_line(who: str, kind: str, text: str) -> str:
    """What somebody else wrote into the case since the last turn here."""
    says = {
        "typed": "said",
        "note": "noted",
        "closed": "closed the case",
        "held": "put the case on hold",
        "handed_over": "handed the case over to",
        "merged": "joined the case to another one",
    }
    return f'Since your last line {who or "another desk"} {says[kind]}: "{text}"'


def without_record(why: object) -> str:
    """No store to keep a case in, and how to talk all the same."""
    return f"{why}; to talk without keeping it: diagnose chat --no-record"


def field_too_long(length: int, most: int) -> str:
    """A caller, registration or job number beyond all use."""
    return f"a field of a case holds at most {most} letters, this one has {length}"


def not_kept(why: object) -> str:
    """A turn that could not be written."""
    return f"{NOT_KEPT}: {why}."

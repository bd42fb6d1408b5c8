"""Every sentence of the command `cases`; nothing is decided here."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime
from itertools import groupby
from statistics import median
from typing import Any

from diagnose.cases.assess import Assessment, Workbench
from diagnose.cases.duplicates import Twins
from diagnose.cases.entries import FIELDS, HELD, Entry, Head
from diagnose.cases.exchange import Taken
from diagnose.cases.log import Statement
from diagnose.cases.plain import one_line, shown
from diagnose.cases.statistics import ENOUGH, WEIGHT, Outcome, counted, kept_word
from diagnose.dialogue import answer, wording
from diagnose.knowledge.model import Knowledge

Shops = Mapping[str, Mapping[str, int]]

NONE_KEPT = "No such case is kept."
NOTHING_TO_NOTE = "nothing to note; give a text, a field such as --caller, or --tag"
WHOLE = "The store is whole."
NO_CALLS = "No call is open."
NO_SHEET = "its engine sheet is not here"
NO_TEXT = "it is no text in UTF-8"
NO_TWINS = "No case seems to be there twice."
NOT_FORGOTTEN = "Nothing was removed."
NEEDS_YES = "to remove a case without being asked give --yes"
TWO_NUMBERS = "merge-duplicates takes no case number, or the two cases to join"
_SAYS = {
    "note": "note: {text}",
    "tag": "tag: {text}",
    "field": "{name}: {text}",
    "handed_over": "handed over to {name}",
    "closed": "closed {name}",
    "reopened": "opened again",
    "held": "put on hold",
    "merged": "went on as case {value:.0f}",
    "cannot": "can't be checked: {title}",
    "dont_know": "not known: {title}",
    "set_aside": "does not count: {title}",
    "asked": "asked: {title}",
    "open": "open: {title}",
    "guessed": "their guess: {title}",
    "unit": "units: {unit}",
    "undone": "taken back: turn {value:.0f}",
}


def list_lines(heads: Sequence[Head]) -> Iterator[str]:
    """One case a line."""
    if not heads:
        yield NONE_KEPT
    for head in heads:
        marks = [f"{name} {getattr(head, name)}" for name in FIELDS if getattr(head, name)]
        marks += [f"#{tag}" for tag in head.tags.split()]
        marks += [head.cause.replace("_", " ")] if head.cause else []
        more = f"  [{'; '.join(marks)}]" if marks else ""
        owner = f"  {head.owner}" if head.owner else ""
        line = f"{head.number:6}  {head.status:6}  {when(head.changed)}{owner}  {head.title}{more}"
        yield one_line(line) if not line.startswith(" ") else "".join(_padded(line))


def _padded(line: str) -> Iterator[str]:
    body = line.lstrip(" ")
    yield " " * (len(line) - len(body))
    yield shown(body).replace("\n", " ").replace("\t", " ")


def instead_line(word: str, forms: Sequence[str]) -> str:
    """Which words were looked for in place of one that no case holds."""
    return f"Nobody wrote '{one_line(word)}'; looked for {', '.join(forms)}."


def show_lines(knowledge: Knowledge, head: Head, entries: Sequence[Entry]) -> Iterator[str]:
    """A case in full: its head, then turn by turn."""
    yield f"Case {head.number}, {head.status}: {one_line(head.title)}"
    yield f"  begun {when(head.opened)}, last written in {when(head.changed)}"
    for name in ("sheet", *FIELDS, "tags", "owner"):
        if value := getattr(head, name):
            yield f"  {name}: {one_line(value)}"
    if head.cause:
        cause = knowledge.causes.get(head.cause)
        yield f"  confirmed: {cause.title if cause else one_line(head.cause)}"
    for (turn, who, at), group in groupby(entries, key=lambda e: (e.statement.turn, e.who, e.at)):
        said = [e.statement for e in group]
        typed = " ".join(one_line(s.text) for s in said if s.kind == "typed")
        yield f"{turn:4}  {when(at)}{'  ' + one_line(who) if who else ''}  {typed}".rstrip()
        yield from (f"        {line}" for s in said if (line := _line(knowledge, s)))


def _line(knowledge: Knowledge, said: Statement) -> str:
    if said.kind in ("typed", "talked", "likened"):
        return ""
    title = _title(knowledge, said)
    if said.kind == "said":
        finding = knowledge.findings.get(said.name)
        return wording.said_state(finding, said.state) if finding else f"{title}: {said.state}"
    if said.kind == "measured":
        return one_line(f"{title}: {wording.quantity(said.value or 0.0, said.unit or '')}")
    values = {**said._asdict(), "title": title, "value": said.value or 0.0}
    if said.kind in ("closed", "handed_over") and said.text:
        return one_line(f"{_SAYS[said.kind].format(**values).rstrip()} ({said.text})")
    return one_line(_SAYS[said.kind].format(**values))


def _title(knowledge: Knowledge, said: Statement) -> str:
    tables = (knowledge.findings, knowledge.causes, knowledge.access)
    found = next((t[said.name] for t in tables if said.name in t), None)
    return str(getattr(found, "title", one_line(said.name)))


def when(at: str) -> str:
    """A time as this place's clock showed it."""
    try:
        moment = datetime.fromisoformat(at.replace("Z", "+00:00")).astimezone()
    except ValueError:
        return one_line(at)
    return moment.strftime("%Y-%m-%d %H:%M")


def done_line(head: Head) -> str:
    """What a case is now."""
    owner = f", lies with {one_line(head.owner)}" if head.owner else ""
    return f"Case {head.number} is {head.status}{owner}."


def note_too_long(length: int, most: int) -> str:
    """A note beyond what a case keeps."""
    return (
        f"a note holds at most {most} letters, this one has {length}; keep it as a file and note "
        "where it lies"
    )


def bad_day(text: str) -> str:
    """A day that is none."""
    return f"'{one_line(text)}' is no day; write it as 2031-05-27"


def bad_tag(text: str) -> str:
    """A tag that could not be found again."""
    return f"'{one_line(text)}' is no tag; a tag is one word"


def unknown_cause(name: str, near: Sequence[str]) -> str:
    """No such cause, and those near it."""
    hint = f"did you mean {' or '.join(near)}?" if near else "'diagnose knowledge search WORDS'"
    return f"no cause is called '{one_line(name)}'; {hint}"


def cant_open(file: str, why: str | None) -> str:
    """A file that can't be read or written."""
    return f"{file}: {why}; name another file"


def exported_line(count: int, file: str) -> str:
    """How many cases went out."""
    return f"{count} {'case' if count == 1 else 'cases'} written to {file}."


def taken_lines(taken: Taken) -> Iterator[str]:
    """What became of the cases of a file."""
    yield (
        f"{taken.new} new, {taken.continued} continued, {taken.known} already here, "
        f"{len(taken.differ)} left as they are here."
    )
    if taken.differ:
        numbers = ", ".join(map(str, taken.differ[:20]))
        yield f"Both sides went on by themselves in case {numbers}; note by hand what is missing."


def twins_line(pair: Twins) -> str:
    """Two cases that seem to be one."""
    by = " and ".join(pair.by)
    one, two = (f"{h.number} ({one_line(h.title, 40)})" for h in (pair.first, pair.second))
    return f"Case {one} and case {two}: same {by}."


def how_to_merge(pairs: Sequence[Twins]) -> str:
    """What to type to join them."""
    first = pairs[0]
    return (
        f"Join two: diagnose cases merge-duplicates {first.first.number} {first.second.number}; "
        "all of these: --yes."
    )


def merged_line(first: int, second: int) -> str:
    """Two cases are one."""
    return f"Case {second} goes on in case {first}; all that was said is there."


def bad_minutes(minutes: float) -> str:
    """Minutes that can't be."""
    return f"{minutes:g} minutes can't be; give those it took, such as 90"


def call_data(bench: Workbench | None, found: Assessment | None) -> dict[str, Any]:
    """What to mind at a call, what is asked next, what was concluded."""
    if bench is None or found is None:
        return {"mind": [], "next": None, "concluded": None, "sheet_is_here": False}
    step, end = answer.next_step(bench, found), answer.conclusion(bench, found)
    return {
        "mind": [c["text"] for c in answer.cautions(bench, found) if c["stop_engine"]],
        "next": step["ask"] if step else None,
        "concluded": bench.knowledge.causes[end["causes"][0]].title if end else None,
        "sheet_is_here": True,
    }


def call_lines(head: Head, stands: Mapping[str, Any]) -> Iterator[str]:
    """One call at the desk: how old, whose, what to mind, and what is asked."""
    owner = f"  {one_line(head.owner)}" if head.owner else ""
    caller = f"  {one_line(head.caller)}" if head.caller else ""
    held = "  on hold" if head.status == HELD else ""
    yield f"{head.number:6}  {age(head.changed)}{held}{owner}{caller}  {one_line(head.title, 60)}"
    if not stands["sheet_is_here"]:
        yield f"        {NO_SHEET}"
    for text in stands["mind"]:
        yield f"        {wording.STOP_FIRST}: {text}"
    if stands["concluded"]:
        yield f"        concluded: {stands['concluded']}"
    elif stands["next"]:
        yield f"        next: {stands['next']}"


def age(at: str) -> str:
    """How long ago, in the largest unit that fits."""
    since = datetime.now(UTC) - datetime.fromisoformat(at.replace("Z", "+00:00"))
    minutes = max(0, int(since.total_seconds() // 60))
    for size, word in ((1440, "days"), (60, "h")):
        if minutes >= 2 * size:
            return f"{minutes // size:3} {word:4}"
    return f"{minutes:3} min "


def _together(found: Sequence[Outcome], kept: Shops, looked_at: Shops) -> Counter[str]:
    counts = Counter(o.cause for o in found)
    for shop in (*kept.values(), *looked_at.values()):
        counts.update(shop)
    return counts


def statistics_data(
    knowledge: Knowledge, found: Sequence[Outcome], kept: Shops, looked_at: Shops
) -> dict[str, Any]:
    """What closed cases teach, as plain data: this store, each other shop, and all together."""
    counts = _together(found, kept, looked_at)
    minutes = [o.minutes for o in found if o.minutes is not None]
    return {
        "cases": sum(counts.values()),
        "of_this_store": len(found),
        "taken_in": {name: sum(shop.values()) for name, shop in kept.items()},
        "only_looked_at": {name: sum(shop.values()) for name, shop in looked_at.items()},
        "causes": [row._asdict() for row in counted(knowledge, counts)],
        "leading_cause_was_right": [k._asdict() for k in kept_word(found, wording.BANDS)],
        "median_minutes": median(minutes) if minutes else None,
    }


def statistics_lines(
    knowledge: Knowledge, found: Sequence[Outcome], kept: Shops, looked_at: Shops
) -> Iterator[str]:
    """What closed cases teach: the handbook, this store and each other shop apart.

    The answers count what is kept of other shops, not what is only looked at.
    """
    counting = sum(_together(found, kept, {}).values())
    counts = _together(found, kept, looked_at)
    total = sum(counts.values())
    yield f"{total} closed cases with a confirmed cause ({len(found)} of this store)."
    for told, shops in (("taken in from", kept), ("only looked at, from", looked_at)):
        yield from (f"  {sum(c.values())} {told} {one_line(name)}" for name, c in shops.items())
    if total < ENOUGH:
        yield f"Fewer than {ENOUGH}: too few to say much; the ranges are wide."
    if not counts:
        return
    yield f"Commonest causes (the handbook counts as {WEIGHT:.0f} cases; ranges hold 95 %):"
    for row in counted(knowledge, counts)[:10]:
        cause = knowledge.causes.get(row.cause)
        yield (
            f"  {row.cases:4} cases  handbook {row.handbook:5.1%}  together {row.together:5.1%} "
            f"({row.low:.1%} to {row.high:.1%})  {cause.title if cause else one_line(row.cause)}"
        )
    yield _rest_on(counting)
    yield from _how_it_went(found)


def _how_it_went(found: Sequence[Outcome]) -> Iterator[str]:
    """How often this store's answers were right, and how long it took."""
    rows = list(kept_word(found, wording.BANDS))
    if rows:
        yield "What was said of the leading cause, and how often it was right:"
    for band in rows:
        yield (
            f"  {band.words}: {band.right} of {band.cases} right, {band.part:.0%} "
            f"({band.low:.0%} to {band.high:.0%})"
        )
    minutes = [o.minutes for o in found if o.minutes is not None]
    if minutes:
        yield f"Minutes to the end: median {median(minutes):.0f}, of {len(minutes)} cases told."


def _rest_on(counting: int) -> str:
    if counting < ENOUGH:
        return "The answers rest on the handbook alone; these counts are only shown."
    return f"The answers rest on the handbook and on {counting} of these cases, counted together."


def ask_forget(head: Head) -> str:
    """The question before a case is removed."""
    return f"Remove case {head.number} ({one_line(head.title, 60)}) for good? Type yes: "


def forgotten_line(number: int) -> str:
    """A case is gone."""
    return f"Case {number} is removed. Copies and exports made before still hold it."


def copied_line(file: str) -> str:
    """The store was copied."""
    return f"The store is copied to {file}."


def restored_line(file: str, kept: object) -> str:
    """A copy took the place of the store."""
    return f"The store is now what {file} holds; what it was before is kept in {kept}."

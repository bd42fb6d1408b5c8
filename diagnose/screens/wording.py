"""Every sentence of the screens themselves; what is said of the engine is made in `dialogue`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from diagnose.dialogue.wording import STOP_FIRST, band_text, number, quantity

if TYPE_CHECKING:
    from diagnose.cases.state import Judged

PROMPT = "> "
DEMO_BEGINS = "An invented case, played by itself. Ctrl-C ends it. Lines after > are typed."
DEMO_ENDS = 'That was it. Your own engine: diagnose. One question: diagnose ask "what you hear".'
NO_SHEET = "usual bands"
NO_SUSPECT = "nothing told yet"
STOP_SHORT = "DO NOT RUN"
CARE, CARE_SHORT = "Take care: see above", "CARE"
PUT_BY = "Line put by: arrow up brings it back. To end: stop, or Ctrl-D."
TO_END = "To end: stop, or Ctrl-D. The case is not lost by Ctrl-C."
MEANING, ANSWER = "what you meant by it", "an answer to the question"
DONT_KNOW, CANT_CHECK = "don't know", "can't check that"
ASK_GUESS = "Before I show mine: which cause do you suspect? (Enter alone: no guess)"
GUESS_ON = "From now on your guess is asked before the causes are shown. Say it again to end that."
GUESS_OFF = "The causes are shown at once again."
NO_GUESS = "No guess."
NOT_A_CAUSE = "That is near no cause I know of."
NO_BARS = "No causes yet: nothing was told."
NO_READING = "No reading with a band was taken yet."
NOTHING_AGAIN = "Nothing was said yet."
NO_NAME = "no name"
NONE_KEPT = "No case is kept here."
ONE_CALL = "No other call is on hold."
NO_SUCH_CALL = "No call has that number; say: calls."
NAME_FILE = "Name the file, such as: draw play.svg"
HELP_HEAD = "You can say, in your own words or just so:"
HELP_TAIL = (
    "Anything else is taken as something you hear, see or have measured. Numbers or first letters "
    "pick an answer. TAB offers words while you type."
)
NEW_CALL = "The new call begins."
STORE_SLOW = "Opening the store of cases ..."
BAND, AIM, READING = "the band", "aimed at", "your reading"
UNSURE = ", but too near its edge to be called with this gauge"
LEGEND = "= share now, + gained and - lost since the last turn"


def help_lines(words: Iterable[tuple[str, str, str]]) -> list[str]:
    """What can be said and the keys for it, made from the registry of words."""
    rows = list(words)
    wide = max(len(say) for say, _, _ in rows)
    lines = [f"  {say:{wide}}  {does}{f' [{key}]' if key else ''}" for say, does, key in rows]
    return [HELP_HEAD, *lines, HELP_TAIL]


def unit_of(dimension: str) -> str:
    """What a unit measures."""
    return f"a unit of {dimension}"


def choices_line(labels: Sequence[str]) -> str:
    """The answers that may be picked by number."""
    return "  Pick: " + "  ".join(f"{n} {label};" for n, label in enumerate(labels, 1))[:-1]


def choices_rows(labels: Sequence[str]) -> list[str]:
    """The same, one below the other."""
    return [f"    {n}   {label}" for n, label in enumerate(labels, 1)]


def more_line(left: int) -> str:
    """At the end of a page."""
    return f"({left} more lines: Enter goes on, q leaves them) "


def cut_line(most: int) -> str:
    """A paste that was too long."""
    return f"That was very long: only the first {most} letters are used."


def moved(now: float, before: float | None, band_now: str, band_before: str) -> str:
    """How a cause moved since the last turn."""
    if before is None:
        return "new"
    if abs(now - before) < 0.01:
        return "as before"
    way = "up" if now > before else "down"
    short = band_before.partition(" (")[0]
    return f"{way} from {short}" if band_now != band_before else way


def on_band(title: str, judged: Judged) -> str:
    """Where a reading lies, in words."""
    value = quantity(judged.value, judged.unit)
    unsure = "" if judged.verdict.sure else UNSURE
    for edge, below in ((judged.low, True), (judged.high, False)):
        if edge is not None and (judged.value < edge if below else judged.value > edge):
            way = "below" if below else "above"
            far = f"{number(round(abs(judged.value - edge), 4))} {judged.unit}"
            return f"{title}: {value}, {far} {way} the band{unsure}"
    return f"{title}: {value}, inside the band{unsure}"


def band_legend(judged: Judged) -> list[str]:
    """What the letters of the picture stand for."""
    band = f"= {BAND}, {band_text(judged)}"
    if judged.target:
        low, high = (number(edge) for edge in judged.target)
        band += f"; # {AIM}, {low} to {high} {judged.unit}"
    lines = [band]
    if judged.u:
        doubt = number(round(2 * judged.u, 4))
        lines.append(f"^ {READING}; ~ give or take {doubt} {judged.unit}")
    return lines


def guess_line(title: str, place: int | None, band: str) -> str:
    """What becomes of a guess."""
    if place is None:
        return f"Your guess: {title}. It is not among those that fit what was told."
    return f"Your guess: {title}. I have it in place {place}: {band}."


def call_line(call: Mapping[str, Any], here: bool) -> str:
    """One call in the list of calls."""
    mark = "here" if here else "on hold"
    tools = f"; has {', '.join(call['tools'])}" if call["tools"] else ""
    return f"  {call['number']}. {call['name'] or NO_NAME} ({mark}): {call['stands']}{tools}"


def here_line(number_: int, name: str, tools: Sequence[str], held: int) -> str:
    """The call that is talked to, for the status line."""
    has = f", has {', '.join(tools)}" if tools else ""
    return f"Call {number_}{f' {name}' if name else ''}{has}{f', {held} on hold' if held else ''}"


def tools_line(name: str, has: Sequence[str], lacks: Sequence[str]) -> str:
    """Which tools the caller has for the check, and which must be asked for."""
    parts = [f"{name or 'The caller'} has: {', '.join(has)}."] if has else []
    parts += [f"Ask whether they have: {', '.join(lacks)}."] if lacks else []
    return "  " + " ".join(parts)


def noted(what: str, value: str) -> str:
    """The caller's name or tools are noted."""
    return f"Noted, {what}: {value}."


def drawn(file: str) -> str:
    """A drawing was saved."""
    return f"Drawing saved in {file}."


def kept_case_line(number: int, title: str) -> str:
    """One kept case in the list of them."""
    return f"  case {number}: {title}"


def not_drawn(file: str, why: object) -> str:
    """A drawing could not be saved."""
    return f"The drawing can't be saved in {file}: {why}; name another file."


def status_parts(standing: Any, call: str) -> list[tuple[str, str]]:
    """The parts of the status line, weightiest first: each long and short."""
    parts = []
    if standing.stop:
        parts.append((STOP_FIRST, STOP_SHORT))
    elif standing.caution:
        parts.append((CARE, CARE_SHORT))
    cause = standing.cause
    if cause or standing.minutes:  # short, and the one figure that a long cause must not push out
        spent = f"{number(round(standing.minutes))} min"
        parts.append((f"{spent} of checks so far", spent))
    if cause:
        band = cause["band"]
        parts.append(
            (f"Leads: {cause['title']}, {band}", f"{cause['title']}, {band.split(' (')[0]}")
        )
    else:
        parts.append((f"Leads: {NO_SUSPECT}", NO_SUSPECT))
    if call:
        parts.append((call, call))
    if standing.open:
        parts.append((f"Open: {', '.join(standing.open)}", f"open: {len(standing.open)}"))
    sheet = standing.sheet or NO_SHEET
    parts.append((f"Sheet: {sheet}", sheet))
    return parts

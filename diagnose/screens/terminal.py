"""The chat in a terminal: keys, completion, wrapping and the bottom line; it reasons about nothing.

Every line means the same without colour. Where colour is unwanted (NO_COLOR) or the terminal can't
move its cursor (TERM=dumb), plain lines are written.
"""

from __future__ import annotations

import os
import sys
import textwrap
from collections.abc import Iterable, Iterator
from shutil import get_terminal_size

from prompt_toolkit import PromptSession, print_formatted_text
from prompt_toolkit.completion import CompleteEvent, Completer, Completion
from prompt_toolkit.document import Document
from prompt_toolkit.formatted_text import FormattedText
from prompt_toolkit.history import InMemoryHistory
from prompt_toolkit.output.plain_text import PlainTextOutput
from prompt_toolkit.utils import is_dumb_terminal
from rapidfuzz import fuzz

from diagnose.dialogue import answer, wording
from diagnose.dialogue.conversation import Conversation, TurnError

_NARROWEST = 20
_CLOSE_ENOUGH = 75
_OVERHANG = 2  # letters that may be typed beyond a choice and still mean it
_MENU_LINES = 6
_WARNING = "bold fg:ansired"


def run(talk: Conversation) -> int:
    """Talk until the person stops; the exit code."""
    session = new_session(talk)
    show(session, talk.greeting)
    while True:
        try:
            text = session.prompt(wording.PROMPT)
        except KeyboardInterrupt:
            continue  # the line is dropped, the case goes on
        except EOFError:
            show(session, talk.farewell)
            return 0
        if text.strip() and _told(session, talk, text):
            return 0


def _told(session: PromptSession[str], talk: Conversation, text: str) -> bool:
    """Say one turn and show the answer; whether it was the last."""
    try:
        reply = talk.say(text)
    except TurnError as fault:  # it could not be kept; they may say it again
        show(session, str(fault))
        return False
    show(session, reply.text)
    return reply.done


def new_session(talk: Conversation) -> PromptSession[str]:
    """A prompt that completes, remembers the lines of this case, and shows where it stands."""
    output = PlainTextOutput(sys.stdout) if is_dumb_terminal() else None
    return PromptSession(
        output=output,
        history=InMemoryHistory(),
        completer=AnswerCompleter(talk),
        complete_while_typing=True,
        reserve_space_for_menu=_MENU_LINES,
        bottom_toolbar=lambda: bottom_line(talk),
    )


def show(session: PromptSession[str], text: str) -> None:
    """Write one reply, wrapped to the window, an empty line before and after."""
    columns = get_terminal_size().columns
    if wants_colour():
        print_formatted_text(coloured(text, columns), output=session.output)
    else:
        session.output.write("\n".join(["", *wrapped(text, columns), "", ""]))
        session.output.flush()


def wants_colour() -> bool:
    """False when the person or the terminal asks for plain lines."""
    return not (os.environ.get("NO_COLOR") or is_dumb_terminal())


def wrapped(text: str, columns: int) -> Iterator[str]:
    """The lines of a text, none wider than the window; what is indented stays so."""
    for line in text.splitlines():
        yield from _pieces(line, columns)


def _pieces(line: str, columns: int) -> list[str]:
    width = max(columns - 1, _NARROWEST)  # a full last column would make a line of its own
    body = line.lstrip(" ")
    start = " " * min(len(line) - len(body), width // 2)
    hang = start + "  " if start else ""
    return textwrap.wrap(body, width, initial_indent=start, subsequent_indent=hang) or [""]


def coloured(text: str, columns: int) -> FormattedText:
    """The wrapped lines with warnings in bold red; the words of a warning say the same."""
    parts = [("", "\n")]
    for line in text.splitlines():
        style = _WARNING if wording.is_warning(line) else ""
        parts += [(style, f"{piece}\n") for piece in _pieces(line, columns)]
    return FormattedText(parts)


def bottom_line(talk: Conversation) -> str:
    """The leading cause and the engine sheet, cut to the window."""
    sheet = talk.bench.sheet
    told = bool(talk.last.state.states or talk.last.state.judged)
    causes = answer.causes(talk.bench, talk.last) if told else []
    line = wording.status_line(sheet.title if sheet else None, causes[0] if causes else None)
    return textwrap.shorten(line, get_terminal_size().columns, placeholder=" ...")


class AnswerCompleter(Completer):
    """Offers the answers of the open question and the plain commands; typing slips are forgiven."""

    def __init__(self, talk: Conversation) -> None:
        self.talk = talk

    def get_completions(
        self, document: Document, complete_event: CompleteEvent
    ) -> Iterator[Completion]:
        """The choices near what stands in the line, nearest first."""
        typed = document.text_before_cursor.lstrip()
        if typed or complete_event.completion_requested:
            for choice in nearest(typed, choices(self.talk)):
                yield Completion(choice, start_position=-len(typed))


def choices(talk: Conversation) -> list[str]:
    """The meanings asked back about, the answers of the open question, then the commands."""
    context = talk.context()
    open_ = [f for f in (context.asked, *context.also_asked) if f is not None]
    findings = talk.bench.knowledge.findings
    answers = [label for f in open_ for label in findings[f].say.values()]
    return list(dict.fromkeys([*talk.offered, *answers, *wording.COMMANDS]))


def nearest(typed: str, offered: Iterable[str]) -> list[str]:
    """The choices that what was typed may be the beginning of, nearest first."""
    wanted = typed.lower()
    near = [(_nearness(wanted, choice.lower()), choice) for choice in offered]
    near.sort(key=lambda pair: -pair[0])
    return [choice for score, choice in near if score >= _CLOSE_ENOUGH]


def _nearness(wanted: str, choice: str) -> float:
    """How well the typed letters fit the start of the choice, or somewhere in it a little less."""
    if len(wanted) > len(choice) + _OVERHANG:
        return 0.0
    if choice.startswith(wanted):
        return 101.0
    return max(fuzz.ratio(wanted, choice[: len(wanted)]), fuzz.partial_ratio(wanted, choice) - 5)

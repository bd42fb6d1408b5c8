"""The chat in a terminal: keys, completion, pages, the status line; it reasons about nothing.

Every line means the same without colour, and is the line that a pipe would get.
"""

from __future__ import annotations

import asyncio
import os
from collections.abc import Callable, Iterator
from concurrent.futures import wait
from shutil import get_terminal_size

from prompt_toolkit import PromptSession, print_formatted_text
from prompt_toolkit.application import Application
from prompt_toolkit.completion import CompleteEvent, Completer, Completion
from prompt_toolkit.document import Document
from prompt_toolkit.filters import Condition
from prompt_toolkit.formatted_text import FormattedText
from prompt_toolkit.history import InMemoryHistory
from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
from prompt_toolkit.keys import Keys
from prompt_toolkit.styles import Style

from diagnose.dialogue.wording import NEXT, READ_OUT
from diagnose.screens import wording
from diagnose.screens.cells import clean, cut, pieces
from diagnose.screens.desk import MOST_LETTERS, Desk, Said, names_of
from diagnose.screens.later import Made, Make, making
from diagnose.screens.manner import is_warning
from diagnose.screens.offers import Offers
from diagnose.screens.status import fitted
from diagnose.screens.unbroken import unbroken
from diagnose.screens.words import WORDS

_MENU_LINES = 7
_LEAST_ROWS = 8  # a window lower than that is not paged: there is no room to say so
_KEPT_ROWS = 3  # of a page: the line that says there is more, and the status line
_MOST_EXPLAINED = 60
_PATIENCE = 0.7  # seconds until somebody who waits is told why
_LEAVE = ("q", "quit", "no")
_STYLE = Style.from_dict(
    {
        "warning": "bold fg:ansired",
        "question": "bold",
        "bottom-toolbar": "noreverse fg:ansicyan",
        "bottom-toolbar.text": "noreverse fg:ansicyan",
        "completion-menu.completion": "noreverse bg:default fg:default",
        "completion-menu.completion.current": "reverse",
        "completion-menu.meta.completion": "noreverse bg:default fg:ansibrightblack",
        "completion-menu.meta.completion.current": "noreverse bold bg:default fg:default",
    }
)


def run(desk: Desk, make: Make | None = None) -> int:
    """Talk until the person stops or the terminal is gone; the exit code.

    With `make` the talk of the desk only greets: what `make` gives is talked to, and is made while
    the first prompt stands there already.
    """
    try:
        with unbroken():  # while the line is edited, Ctrl-C is a key like others
            return Screen(desk, make).talk()
    except OSError:  # nobody is there to be told; what was said is kept turn by turn
        return 0


class Screen:
    """One terminal before one desk."""

    def __init__(self, desk: Desk, make: Make | None = None) -> None:
        self.desk = desk
        self._make = make
        self._made: Made | None = None
        self._more = ""  # what the kept talk has to say before the first word
        self.notice = ""
        self.draft = ""  # what stood in the line when a key broke in
        self._offers: tuple[object, Offers] | None = None
        self._held: list[str] = []  # lines typed where a page was waiting
        self.session: PromptSession[str] = PromptSession(
            history=InMemoryHistory(),
            completer=OfferCompleter(self),
            complete_while_typing=True,
            reserve_space_for_menu=_MENU_LINES,
            bottom_toolbar=self.bottom,
            key_bindings=keys(self),
            enable_suspend=True,
            style=_STYLE,
        )
        if make is not None:
            self.session.app.after_render += self._begin

    def talk(self) -> int:
        """Prompt, take, show, until it ends."""
        self.show(self.desk.greeting)
        while True:
            try:
                line = self._next_line()
            except EOFError:
                self.show(self.desk.farewell)
                return 0
            self._take_up()
            self._tell_more()
            said = self.take(line)
            if said.text:
                self.show(said.text)
            if said.done:
                return 0

    def take(self, line: str) -> Said:
        """Hand one line to the desk."""
        self.desk.columns = get_terminal_size().columns
        return self.desk.take(line)

    def _next_line(self) -> str:
        if self._held:
            return self._held.pop(0)
        draft, self.draft = self.draft, ""
        self.session.app.erase_when_done = False
        return self.session.prompt(wording.PROMPT, default=draft)

    def _begin(self, app: Application[str]) -> None:
        """The first prompt is drawn: what takes long may begin."""
        app.after_render -= self._begin
        assert self._make is not None
        self._made = making(self._make)
        app.create_background_task(self._break_in(app, self._made))

    async def _break_in(self, app: Application[str], made: Made) -> None:
        """Once it is there, leave the prompt for what it has to say; the line so far is kept."""
        arrived = asyncio.wrap_future(made)
        await asyncio.wait([arrived])
        if arrived.exception() is None:
            self._take_up()
            if not self._more:
                return
            self.draft, app.erase_when_done = self.session.default_buffer.text, True
        if not app.is_done:
            app.exit(result="")

    def _take_up(self) -> None:
        """Go on in the kept talk, waiting for it; raises what stood in its way."""
        if self._made is not None:
            made, self._made = self._made, None
            if wait([made], _PATIENCE).not_done:
                self._write([("", wording.STORE_SLOW)])
            self._more = self.desk.take_up(*made.result())

    def _tell_more(self) -> None:
        more, self._more = self._more, ""
        if more:
            self.show(more)

    def show(self, text: str) -> None:
        """Write a text, wrapped to the window, page by page where it is longer."""
        size = get_terminal_size()
        wide = min(size.columns, self.desk.manner.widest)
        rows = [
            (style_of(line), piece) for line in text.splitlines() for piece in pieces(line, wide)
        ]
        page = size.lines - _KEPT_ROWS if size.lines >= _LEAST_ROWS else len(rows)
        self._write([("", ""), *rows[:page]])
        rows = rows[page:]
        while rows and self._goes_on(len(rows)):
            self._write(rows[:page])
            rows = rows[page:]
        self._write([("", "")])

    def _goes_on(self, left: int) -> bool:
        """Wait at the end of a page; a line typed there is the next turn."""
        try:
            answer = self.session.prompt(wording.more_line(left)).strip()
        except EOFError:
            return False
        if answer and answer.lower() not in _LEAVE:
            self._held.append(answer)
        return not answer

    def _write(self, rows: list[tuple[str, str]]) -> None:
        output = self.session.output
        if os.environ.get("NO_COLOR"):
            output.write("".join(f"{text}\n" for _, text in rows))
            output.flush()
            return
        parts = FormattedText([(style, f"{text}\n") for style, text in rows])
        print_formatted_text(parts, output=output, style=_STYLE, end="")

    def bottom(self) -> str:
        """What has just to be said, then where the call stands, cut to the window."""
        columns = get_terminal_size().columns
        parts = wording.status_parts(self.desk.standing(), self.desk.call_text())
        line = fitted(parts, columns)
        return f"{cut(self.notice, columns)}\n{line}" if self.notice else line

    def offers(self) -> Offers:
        """What may be offered in the call that is talked to."""
        talk = self.desk.talk
        if self._offers is None or self._offers[0] is not talk:
            kept = self._offers[1].kept if self._offers else None
            self._offers = (talk, Offers(talk, kept))
        self._offers[1].names = names_of(self.desk)
        return self._offers[1]


class OfferCompleter(Completer):
    """Hands the offers of the screen to the menu under the line."""

    def __init__(self, screen: Screen) -> None:
        self._screen = screen

    def get_completions(
        self, document: Document, complete_event: CompleteEvent
    ) -> Iterator[Completion]:
        """The offers near what stands before the cursor, each with what it means."""
        wanted = complete_event.completion_requested
        for offer in self._screen.offers().near(document.text_before_cursor, wanted):
            meta = cut(offer.explains, _MOST_EXPLAINED)
            yield Completion(offer.text, -offer.replaces, display_meta=meta)


def style_of(line: str) -> str:
    """The class of a whole line; its words say the same."""
    if is_warning(line):
        return "class:warning"
    return "class:question" if line.startswith((f"{NEXT}: ", f"{READ_OUT}: ")) else ""


def keys(screen: Screen) -> KeyBindings:
    """The keys of the registry, and those that must never cost a word."""
    bound = KeyBindings()
    empty = Condition(lambda: not screen.session.default_buffer.text)
    for word in WORDS:
        if word.key.startswith("F"):
            bound.add(word.key.lower())(_saying(screen, word.say))
    bound.add("?", filter=empty)(_saying(screen, "?"))

    @bound.add("c-c")
    @bound.add("<sigint>")
    def _put_by(event: KeyPressEvent) -> None:
        text = event.current_buffer.text
        screen.notice = wording.PUT_BY if text else wording.TO_END
        event.current_buffer.reset(append_to_history=bool(text))

    @bound.add(Keys.BracketedPaste)
    def _paste(event: KeyPressEvent) -> None:
        text = clean(event.data)
        room = max(MOST_LETTERS - len(event.current_buffer.text), 0)
        screen.notice = wording.cut_line(MOST_LETTERS) if len(text) > room else ""
        event.current_buffer.insert_text(text[:room])

    @bound.add("enter")
    def _told(event: KeyPressEvent) -> None:
        screen.notice = ""
        event.current_buffer.validate_and_handle()

    return bound


def _saying(screen: Screen, say: str) -> Callable[[KeyPressEvent], None]:
    """The act of a key: it says its word; what stood in the line comes back after it."""

    def act(event: KeyPressEvent) -> None:
        screen.draft, screen.notice = event.current_buffer.text, ""
        event.current_buffer.text = say
        event.app.exit(result=say)

    return act

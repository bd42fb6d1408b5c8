"""The terminal, driven by keys through a pipe: what is sent, offered, shown and how it ends."""

import io
import os
import signal
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from prompt_toolkit.application import create_app_session
from prompt_toolkit.completion import CompleteEvent
from prompt_toolkit.data_structures import Size
from prompt_toolkit.document import Document
from prompt_toolkit.input import PipeInput, create_pipe_input
from prompt_toolkit.output import DummyOutput
from rule_files import write_rules

from diagnose.cases.assess import load_workbench
from diagnose.cases.faults import StoreError
from diagnose.dialogue.conversation import Conversation
from diagnose.language.index import load_index
from diagnose.screens import wording
from diagnose.screens.desk import MOST_LETTERS, Desk
from diagnose.screens.manner import PLAIN
from diagnose.screens.terminal import OfferCompleter, Screen, run, style_of
from diagnose.screens.unbroken import unbroken

ENTER, CTRL_C, CTRL_D = "\r", "\x03", "\x04"
F1, F2 = "\x1bOP", "\x1bOQ"
PASTE = "\x1b[200~{}\x1b[201~"
STOP = f"stop{ENTER}"


class Paper(DummyOutput):
    """An output that keeps what is written, in a window of a given size."""

    def __init__(self, lines: int = 60) -> None:
        self.lines, self.text = lines, ""

    def write(self, data: str) -> None:
        self.text += data

    write_raw = write

    def get_size(self) -> Size:
        return Size(rows=self.lines, columns=80)


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    bench = load_workbench("plain", write_rules(tmp_path))
    return Desk(Conversation(bench, load_index(bench.knowledge)))


@pytest.fixture
def paper() -> Paper:
    return Paper()


@pytest.fixture
def keys(monkeypatch: pytest.MonkeyPatch, paper: Paper) -> Iterator[PipeInput]:
    """A keyboard, and a window of 80 columns in which nothing is paged."""
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("LINES", "60")
    with create_pipe_input() as pipe, create_app_session(input=pipe, output=paper):
        yield pipe


def told(desk: Desk) -> dict[str, str]:
    return dict(desk.talk.last.state.states)


class Kept(Conversation):
    """A talk that is there when the test lets it, and has something to say then."""

    def __init__(self, talk: Conversation, adds: str = "", fault: Exception | None = None) -> None:
        super().__init__(talk.bench, talk.index)
        self.adds, self.fault, self.may_come = adds, fault, threading.Event()

    @property
    def greeting(self) -> str:
        return f"{super().greeting}\n{self.adds}"

    def made(self) -> Conversation:
        assert self.may_come.wait(10)
        if self.fault:
            raise self.fault
        return self


def until(shows: Callable[[], bool]) -> None:
    end = time.monotonic() + 10
    while not shows() and time.monotonic() < end:
        time.sleep(0.01)


def test_what_the_kept_talk_adds_breaks_in_and_costs_no_letter(
    desk: Desk, keys: PipeInput, paper: Paper
) -> None:
    kept = Kept(desk.talk, "Going on.")

    def types() -> None:
        keys.send_text("the lamp ")
        until(lambda: "the lamp" in paper.text)  # a blank at the end is not drawn
        kept.may_come.set()
        until(lambda: "Going on." in paper.text)
        keys.send_text(f"is out{ENTER}{STOP}")

    threading.Thread(target=types).start()
    assert run(desk, kept.made) == 0
    assert desk.talk is kept
    assert (told(desk), paper.text.count("Hello.")) == ({"lamp": "dark"}, 1)


def test_a_line_typed_before_the_kept_talk_is_there_is_told_to_it(
    desk: Desk, keys: PipeInput, paper: Paper
) -> None:
    kept = Kept(desk.talk)
    keys.send_text(f"the lamp is out{ENTER}{STOP}")

    def comes() -> None:
        until(lambda: wording.STORE_SLOW in paper.text)
        kept.may_come.set()

    threading.Thread(target=comes).start()
    assert run(desk, kept.made) == 0
    assert (desk.talk is kept, told(desk)) == (True, {"lamp": "dark"})
    assert wording.STORE_SLOW in paper.text


def test_a_kept_talk_with_nothing_to_add_comes_in_silence(
    desk: Desk, keys: PipeInput, paper: Paper
) -> None:
    kept = Kept(desk.talk)
    kept.may_come.set()
    first = desk.talk

    def types() -> None:
        until(lambda: desk.talk is not first)
        keys.send_text(STOP)

    threading.Thread(target=types).start()
    assert (run(desk, kept.made), paper.text.count("Hello.")) == (0, 1)


@pytest.mark.parametrize("typed", ["", f"the lamp is out{ENTER}"])
def test_what_stands_in_the_way_of_the_kept_talk_is_told_before_a_word_is_taken(
    typed: str, desk: Desk, keys: PipeInput
) -> None:
    kept = Kept(desk.talk, fault=StoreError("no room; make some"))
    kept.may_come.set()
    keys.send_text(typed)
    with pytest.raises(StoreError, match="make some"):
        run(desk, kept.made)
    assert told(desk) == {}


def test_a_line_typed_is_told_and_stop_ends(desk: Desk, keys: PipeInput) -> None:
    keys.send_text(f"the lamp is out{ENTER}{STOP}")
    assert run(desk) == 0
    assert told(desk) == {"lamp": "dark"}


def test_control_d_ends_and_keeps_what_was_told(desk: Desk, keys: PipeInput) -> None:
    keys.send_text(f"the lamp is out{ENTER}{CTRL_D}")
    assert run(desk) == 0
    assert told(desk) == {"lamp": "dark"}


def test_control_c_tells_nothing_and_keeps_the_line_for_the_arrow_key(
    desk: Desk, keys: PipeInput
) -> None:
    screen = Screen(desk)
    keys.send_text(f"the lamp is out{CTRL_C}the box is humming{ENTER}{STOP}")
    screen.talk()
    assert told(desk) == {"hum": "present"}
    assert "the lamp is out" in screen.session.history.get_strings()


def test_control_c_says_how_to_end(desk: Desk, keys: PipeInput) -> None:
    screen = Screen(desk)
    keys.send_text(f"half a word{CTRL_C}{CTRL_D}")
    screen.talk()
    assert screen.notice == wording.PUT_BY


def test_control_c_on_an_empty_line_says_that_nothing_is_lost(desk: Desk, keys: PipeInput) -> None:
    screen = Screen(desk)
    keys.send_text(f"{CTRL_C}{CTRL_D}")
    screen.talk()
    assert screen.bottom().startswith(wording.TO_END)


def test_an_empty_line_is_no_turn(desk: Desk, keys: PipeInput) -> None:
    keys.send_text(f"{ENTER}   {ENTER}{STOP}")
    run(desk)
    assert desk.talk.turn == 1


def test_several_lines_pasted_are_one_turn(desk: Desk, keys: PipeInput) -> None:
    keys.send_text(PASTE.format("the lamp is out\nthe box is humming") + ENTER + STOP)
    run(desk)
    assert desk.talk.turn == 2
    assert told(desk) == {"lamp": "dark", "hum": "present"}


def test_orders_to_the_terminal_are_not_pasted(desk: Desk, keys: PipeInput, paper: Paper) -> None:
    keys.send_text(
        PASTE.format("\x1b[31mthe lamp\x1b]0;title\x07 is\x00 out\x1b[2J") + ENTER + STOP
    )
    run(desk)
    assert told(desk) == {"lamp": "dark"}
    assert '(from "lamp is out")' in paper.text


def test_a_paste_beyond_reason_is_cut_and_said_to_be(desk: Desk, keys: PipeInput) -> None:
    screen = Screen(desk)
    keys.send_text(PASTE.format("the lamp is out, " * 2_000) + CTRL_C + CTRL_D)
    screen.talk()
    (line,) = screen.session.history.get_strings()
    assert len(line) == MOST_LETTERS


def test_undo_has_a_key_and_the_line_begun_is_kept(desk: Desk, keys: PipeInput) -> None:
    keys.send_text(f"the lamp is out{ENTER}the box is {F2}humming{ENTER}{STOP}")
    run(desk)
    assert told(desk) == {"hum": "present"}


@pytest.mark.parametrize("key", [F1, "?"])
def test_help_has_one_key_and_names_all_the_keys(
    key: str, desk: Desk, keys: PipeInput, paper: Paper
) -> None:
    keys.send_text(f"{key}{STOP}")
    run(desk)
    assert wording.HELP_HEAD in paper.text
    assert all(f"[{name}]" in paper.text for name in ("F1", "F2", "F3", "F4", "F7", "Ctrl-D"))


def test_a_question_mark_within_a_line_is_a_question_mark(desk: Desk, keys: PipeInput) -> None:
    screen = Screen(desk)
    keys.send_text(f"out?{ENTER}")
    assert screen._next_line() == "out?"


def test_a_choice_of_the_menu_replaces_what_was_typed(desk: Desk, keys: PipeInput) -> None:
    desk.talk.say({"ask": "lamp"})
    completer = OfferCompleter(Screen(desk))
    first = next(iter(completer.get_completions(Document("  dar"), CompleteEvent())))
    assert (first.text, first.start_position) == ("dark", -3)
    assert first.display_meta_text == wording.ANSWER


def test_the_bottom_line_tells_where_it_stands(desk: Desk, keys: PipeInput) -> None:
    screen = Screen(desk)
    before = screen.bottom()
    desk.take("the lamp is out")
    assert before == "Leads: nothing told yet | Sheet: Plain box"
    assert screen.bottom().startswith("0 min of checks so far | Leads: Cause a, ")


@pytest.mark.parametrize("columns", [1, 10, 30, 60, 120])
def test_the_bottom_line_is_never_wider_than_the_window(
    columns: int, desk: Desk, keys: PipeInput, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    screen = Screen(desk)
    screen.notice = wording.PUT_BY
    desk.take("the lamp is out, the box is humming")
    assert max(len(line) for line in screen.bottom().splitlines()) <= columns


def test_a_long_answer_is_paged_and_nothing_of_it_is_lost(
    desk: Desk, keys: PipeInput, paper: Paper, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LINES", "12")
    keys.send_text(f"help{ENTER}{ENTER}{ENTER}{ENTER}{STOP}")
    assert run(desk) == 0
    assert "more lines: Enter goes on" in paper.text
    assert all(line in paper.text for line in desk.take("help").text.splitlines()[:-1])


def test_what_is_typed_at_the_end_of_a_page_is_the_next_turn(
    desk: Desk, keys: PipeInput, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LINES", "12")
    keys.send_text(f"help{ENTER}the lamp is out{ENTER}")
    keys.send_text(f"q{ENTER}{CTRL_D}{CTRL_D}")
    assert run(desk) == 0
    assert told(desk) == {"lamp": "dark"}


def test_a_window_without_room_is_not_paged(
    desk: Desk, keys: PipeInput, paper: Paper, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LINES", "4")
    monkeypatch.setenv("COLUMNS", "1")
    keys.send_text(f"help{ENTER}{STOP}")
    assert run(desk) == 0
    assert "more lines" not in paper.text


def test_only_a_warning_and_the_question_have_a_style() -> None:
    lines = ["Do not run the engine: x", "Read out: Take care: x", "Next: x", "  1. Next: x", "x"]
    styles = ["class:warning", "class:warning", "class:question", "", ""]
    assert [style_of(line) for line in lines] == styles


def test_colour_changes_no_word(
    desk: Desk, keys: PipeInput, paper: Paper, monkeypatch: pytest.MonkeyPatch
) -> None:
    screen = Screen(desk)
    screen.show("Do not run the engine: it bites\n\nNext: look")
    plain, paper.text = paper.text, ""
    monkeypatch.delenv("NO_COLOR")
    screen.show("Do not run the engine: it bites\n\nNext: look")
    assert paper.text.replace("\r", "") == plain


def test_a_terminal_that_is_gone_ends_the_talk_without_a_trace(
    desk: Desk, keys: PipeInput, monkeypatch: pytest.MonkeyPatch
) -> None:
    def gone(self: Screen, text: str) -> None:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(Screen, "show", gone)
    assert run(desk) == 0


def test_control_c_does_not_cut_a_turn_in_half() -> None:
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        with unbroken():
            os.kill(os.getpid(), signal.SIGINT)
        assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
    finally:
        signal.signal(signal.SIGINT, before)


def test_calls_have_offers_of_their_own_and_share_the_phrases(desk: Desk, keys: PipeInput) -> None:
    screen = Screen(desk)
    first = screen.offers()
    phrases = first.phrases
    desk.take("hold")
    assert screen.offers() is not first
    assert screen.offers().phrases is phrases


def test_plain_lines_say_what_the_terminal_says(
    desk: Desk, keys: PipeInput, paper: Paper, tmp_path: Path
) -> None:
    from diagnose.screens import plain

    keys.send_text(f"the lamp is out{ENTER}{STOP}")
    run(desk)
    other, out = Desk(Conversation(desk.talk.bench, desk.talk.index), PLAIN), io.StringIO()
    plain.run(other, io.StringIO("the lamp is out\nstop\n"), out)
    words = [line for line in out.getvalue().splitlines() if line]
    shown = " ".join(paper.text.split())
    assert [line for line in words if " ".join(line.split()) not in shown] == []

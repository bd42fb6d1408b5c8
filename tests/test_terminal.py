"""The terminal, driven by keys through a pipe: what is sent, offered, shown and how it ends."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from prompt_toolkit.application import create_app_session
from prompt_toolkit.completion import CompleteEvent
from prompt_toolkit.document import Document
from prompt_toolkit.input import PipeInput, create_pipe_input
from prompt_toolkit.output import DummyOutput
from rule_files import write_rules

from diagnose.cases.assess import load_workbench
from diagnose.dialogue import wording
from diagnose.dialogue.conversation import Conversation, TurnError
from diagnose.dialogue.reply import Reply
from diagnose.language.index import load_index
from diagnose.screens.terminal import AnswerCompleter, bottom_line, coloured, nearest, run, wrapped

ENTER, CTRL_C, CTRL_D, TAB = "\r", "\x03", "\x04", "\t"
PASTE = "\x1b[200~{}\x1b[201~"
STOP = f"stop{ENTER}"
CAUTION = "Do not run the engine: it is alive and it will bite whoever reaches in"


@pytest.fixture
def talk(tmp_path: Path) -> Conversation:
    bench = load_workbench("plain", write_rules(tmp_path))
    return Conversation(bench, load_index(bench.knowledge))


@pytest.fixture
def keys(monkeypatch: pytest.MonkeyPatch) -> Iterator[PipeInput]:
    """A keyboard; what is shown goes nowhere."""
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)
    with create_pipe_input() as pipe, create_app_session(input=pipe, output=DummyOutput()):
        yield pipe


@pytest.fixture
def plain(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal that can only print."""
    monkeypatch.setenv("TERM", "dumb")
    monkeypatch.setenv("COLUMNS", "60")


def offered(talk: Conversation, typed: str, asked_for: bool = False) -> list[str]:
    event = CompleteEvent(completion_requested=asked_for)
    return [c.text for c in AnswerCompleter(talk).get_completions(Document(typed), event)]


def test_a_line_typed_is_told_and_stop_ends(talk: Conversation, keys: PipeInput) -> None:
    keys.send_text(f"the lamp is out{ENTER}{STOP}")
    assert run(talk) == 0
    assert talk.last.state.states == {"lamp": "dark"}


def test_control_d_ends_and_keeps_what_was_told(talk: Conversation, keys: PipeInput) -> None:
    keys.send_text(f"the lamp is out{ENTER}{CTRL_D}")
    assert run(talk) == 0
    assert talk.last.state.states == {"lamp": "dark"}


def test_control_c_drops_the_line_and_the_talk_goes_on(talk: Conversation, keys: PipeInput) -> None:
    keys.send_text(f"the lamp is out{CTRL_C}the box is humming{ENTER}{STOP}")
    assert run(talk) == 0
    assert talk.last.state.states == {"hum": "present"}


def test_a_turn_that_is_refused_is_told_and_the_talk_goes_on(
    talk: Conversation, keys: PipeInput, plain: None, monkeypatch: pytest.MonkeyPatch, capsys
) -> None:
    say, refused = talk.say, ["the disk is full"]

    def say_once_refused(turn: object) -> Reply:
        if refused:
            raise TurnError(refused.pop())
        return say(turn)

    monkeypatch.setattr(talk, "say", say_once_refused)
    keys.send_text(f"the lamp is out{ENTER}the lamp is out{ENTER}{STOP}")
    assert run(talk) == 0
    assert "the disk is full" in capsys.readouterr().out
    assert talk.last.state.states == {"lamp": "dark"}


def test_an_empty_line_is_no_turn(talk: Conversation, keys: PipeInput) -> None:
    keys.send_text(f"{ENTER}   {ENTER}{STOP}")
    run(talk)
    assert talk.turn == 1


def test_several_lines_pasted_are_one_turn(talk: Conversation, keys: PipeInput) -> None:
    keys.send_text(PASTE.format("the lamp is out\nthe box is humming") + ENTER + STOP)
    run(talk)
    assert talk.turn == 2
    assert talk.last.state.states == {"lamp": "dark", "hum": "present"}


def test_the_answers_of_the_open_question_are_offered_first(talk: Conversation) -> None:
    talk.say({"ask": "lamp"})
    assert offered(talk, "", asked_for=True) == ["lit", "dark", *wording.COMMANDS]


def test_the_meanings_asked_back_about_are_offered_before_all(talk: Conversation) -> None:
    talk.say("box gap 3 mil")
    assert offered(talk, "", asked_for=True)[:2] == ["3 thou (The gap)", "3 mm (The gap)"]


def test_a_meaning_picked_from_the_menu_is_taken(talk: Conversation, keys: PipeInput) -> None:
    talk.say("box gap 3 mil")
    keys.send_text(f"3 mm (The gap){ENTER}{STOP}")
    run(talk)
    assert talk.last.state.judged["gap"].unit == "mm"


def test_without_a_question_the_commands_are_offered(talk: Conversation) -> None:
    assert offered(talk, "", asked_for=True) == list(wording.COMMANDS)


def test_nothing_is_offered_on_an_empty_line_unasked(talk: Conversation) -> None:
    assert offered(talk, "") == []


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("da", "dark"),
        ("drak", "dark"),
        ("li", "lit"),
        ("DON", "don't know"),
        ("dont kn", "don't know"),
        ("over", "start over"),
        ("udno", "undo"),
    ],
)
def test_slips_of_typing_still_find_the_choice(talk: Conversation, typed: str, first: str) -> None:
    talk.say({"ask": "lamp"})
    assert offered(talk, typed)[0] == first


@pytest.mark.parametrize("typed", ["the lamp went dark last week", "zzz", "0.11"])
def test_free_text_is_left_alone(talk: Conversation, typed: str) -> None:
    talk.say({"ask": "lamp"})
    assert offered(talk, typed) == []


def test_a_choice_replaces_what_was_typed(talk: Conversation) -> None:
    talk.say({"ask": "lamp"})
    (choice,) = AnswerCompleter(talk).get_completions(Document("  dar"), CompleteEvent())
    assert (choice.text, choice.start_position) == ("dark", -3)


def test_the_nearest_choice_stands_first() -> None:
    assert nearest("no", ["don't know", "no hum", "a hum"]) == ["no hum", "don't know"]


def test_the_bottom_line_names_the_sheet_and_no_suspect_at_the_start(
    talk: Conversation, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "120")
    assert bottom_line(talk) == "Leads: nothing told yet | Engine sheet: Plain box"


def test_the_bottom_line_names_the_leading_cause(
    talk: Conversation, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "120")
    talk.say("the lamp is out")
    assert bottom_line(talk).startswith("Leads: Cause a, ")


def test_the_bottom_line_is_cut_to_a_narrow_window(
    talk: Conversation, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "30")
    assert len(bottom_line(talk)) <= 30


@pytest.mark.parametrize("columns", [21, 40, 79, 200])
def test_no_line_is_wider_than_the_window(columns: int) -> None:
    lines = list(wrapped(f"{wording.HELP}\n    {CAUTION}\n\n{'x' * 300}", columns))
    assert max(map(len, lines)) < columns


def test_wrapping_keeps_every_word_and_the_indent() -> None:
    lines = list(wrapped(f"  {CAUTION}", 30))
    assert " ".join(line.strip() for line in lines) == CAUTION
    assert [len(line) - len(line.lstrip()) for line in lines] == [2] + [4] * (len(lines) - 1)


def test_an_empty_line_stays() -> None:
    assert list(wrapped("a\n\nb", 40)) == ["a", "", "b"]


def test_only_a_warning_is_coloured_and_its_words_say_so() -> None:
    parts = coloured(f"{CAUTION}\nNext: look", 50)
    coloured_text = "".join(text for style, text in parts if style)
    assert coloured_text.startswith("Do not run the engine")
    assert "Next" not in coloured_text


def test_colour_changes_no_word() -> None:
    text = f"{CAUTION}\n\n  1. one\nNext: look"
    shown = "".join(text for _, text in coloured(text, 40))
    assert shown == "\n" + "".join(f"{line}\n" for line in wrapped(text, 40))


def test_a_terminal_that_can_only_print_gets_plain_lines(
    talk: Conversation, keys: PipeInput, plain: None, capsys: pytest.CaptureFixture[str]
) -> None:
    keys.send_text(f"the lamp is out{ENTER}{CTRL_D}")
    run(talk)
    out = capsys.readouterr().out
    assert "\x1b" not in out
    assert wording.STOPPED in out


def test_plain_lines_say_what_the_reply_says(
    talk: Conversation, keys: PipeInput, plain: None, capsys: pytest.CaptureFixture[str]
) -> None:
    keys.send_text(f"the lamp is out{ENTER}{CTRL_D}")
    run(talk)
    shown = " ".join(capsys.readouterr().out.split())
    same = Conversation(talk.bench, talk.index).say("the lamp is out")
    assert " ".join(same.text.split()) in shown


def test_no_color_is_respected(
    talk: Conversation, keys: PipeInput, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setattr("diagnose.screens.terminal.print_formatted_text", None)
    keys.send_text(f"the lamp is out{ENTER}{STOP}")
    assert run(talk) == 0

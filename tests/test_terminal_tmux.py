"""The chat in a real window: what stands there at several widths, and what it outlives."""

import os
import shutil
import time
from pathlib import Path

import pytest
from conftest import missing
from lengths import LONG
from window import Window

from diagnose.cli.talk import new_conversation
from diagnose.screens import wording
from diagnose.screens.desk import Desk
from diagnose.screens.manner import MANNERS

TICK = "tick at the front cover"
KNOCK = "deep knock low down, oil pressure is low"


def words(text: str) -> str:
    return " ".join(text.split())


def runs(process: str) -> bool:
    """Whether it runs; one that has ended may still wait for its parent to take note."""
    try:
        return "(zombie)" not in Path(f"/proc/{process}/status").read_text()
    except (FileNotFoundError, ProcessLookupError):
        return False


SIZES = [(40, True), (40, False), (80, False), (80, True), (160, True), (160, False)]


@pytest.fixture(scope="module")
def reply() -> str:
    """What the program says to a heavy knock, as plain lines; loading it warms the copies too."""
    return Desk(new_conversation(None)).take(KNOCK).text


@pytest.fixture
def env(own_data: Path) -> dict[str, str]:
    """The data folder of the test, and the copies that are warm already."""
    if shutil.which("tmux") is None:
        missing("tmux")
    kept = {n: os.environ[n] for n in ("DIAGNOSE_CACHE",) if n in os.environ}
    return {**kept, "DIAGNOSE_DATA": str(own_data)}


@pytest.mark.parametrize(("columns", "colour"), SIZES if LONG else SIZES[::2])
def test_the_same_words_stand_there_at_every_width(
    columns: int, colour: bool, reply: str, env: dict[str, str]
) -> None:
    env = {**env, **({} if colour else {"NO_COLOR": "1"})}
    with Window(columns, 60, **env) as window:
        window.start()
        window.type(KNOCK, "Enter")
        shown = words(window.wait("Pick: "))
        assert [line for line in reply.splitlines() if words(line) not in shown] == []
        assert window.has_colour() == colour
        window.wait(wording.STOP_SHORT if columns == 40 else "| ", past=False)
        status = window.shown(past=False).rstrip().splitlines()[-1]
        assert status.startswith(("Do not run the engine |", f"{wording.STOP_SHORT} |"))
        assert len(status) <= columns


def test_one_talk_from_the_first_key_to_the_last(reply: str, env: dict[str, str]) -> None:
    with Window(100, 40, **env) as window:
        window.start("--for", "phone", greeting="On the phone.")
        window.type("tick at the fro")
        window.wait("Loudest at the front cover: loudest at the front")  # the menu explains
        window.type("nt cover", "C-c")
        window.wait(wording.PUT_BY)
        window.type("", "Up")
        window.wait(f"> {TICK}", past=False)
        window.type("", "Enter")
        window.wait("Read out: ")
        window.type("half a wo", "F3")
        window.wait("unlikely\n", past=False)
        window.wait("> half a wo", past=False)
        window.type("rd")
        window.wait("> half a word")  # the key cost no letter
        window.type("", "C-c")
        window.type("caller Kim", "Enter")
        window.wait("Call 1 Kim")
        window.type("", "F6")
        window.wait("Call 2, 1 on hold")
        window.type("", "F7")
        window.wait("1. Kim (here)")
        window.type("", "?")
        window.wait(wording.HELP_HEAD)
        window.type("", "q", "Enter")
        window.type("stop", "Enter")
        window.wait("Stopped.")
        window.type("stty -a", "Enter")
        assert " icanon" in window.wait(" echo ")


def test_the_case_left_open_comes_behind_the_first_prompt(reply: str, env: dict[str, str]) -> None:
    with Window(100, 40, **env) as window:
        window.start()
        window.type(TICK, "Enter")
        window.wait("Next: ")
        window.type("", "C-d")
        window.wait("Stopped.")
        window.start()
        window.type("half a wo")
        window.wait(f"Going on with case 1: {TICK}")
        window.wait("> half a wo", past=False)


def test_the_window_may_change_and_the_program_wait_behind_a_shell(
    reply: str, env: dict[str, str]
) -> None:
    with Window(100, 30, **env) as window:
        window.start()
        window.type("the engine has a ")
        for columns in (1, 3, 40, 100):
            window.resize(columns)
            window.type("", "C-e")
        window.type("tick")
        window.wait("> the engine has a tick", past=False)
        window.type("", "C-z")
        window.wait("Stopped")
        window.type("fg", "Enter")
        window.wait("> the engine has a tick", past=False)
        window.type("", "Enter")
        window.wait("A light tick")
        window.wait("Next: ")


def test_a_megabyte_pasted_and_orders_to_the_terminal_do_no_harm(
    reply: str, env: dict[str, str]
) -> None:
    with Window(80, 30, **env) as window:
        window.start()
        window.paste("tick at the front cover \x1b[31m\x1b]0;gone\x07 " + "so it is " * 120_000)
        window.wait(wording.cut_line(20_000), past=False)
        window.type("", "Enter")
        window.wait("Next: ")
        window.type("list", "Enter")
        window.wait("more lines: Enter goes on")
        window.type("q", "Enter")
        window.wait("leaves them) q\n\n>")
        window.type("", "C-d")
        assert "Stopped." in window.wait("Stopped.")


def test_a_window_that_vanishes_takes_the_program_with_it(reply: str, env: dict[str, str]) -> None:
    with Window(80, 30, **env) as window:
        window.start()
        shell = window.pid()
        (program,) = Path(f"/proc/{shell}/task/{shell}/children").read_text().split()
    until = time.monotonic() + 10
    while runs(program) and time.monotonic() < until:
        time.sleep(0.02)
    assert not runs(program)


def test_a_terminal_that_can_only_print_gets_the_same_words(
    reply: str, env: dict[str, str]
) -> None:
    with Window(60, 50, **env, TERM="dumb") as window:
        window.start("--for", "bench")
        window.type(KNOCK, "Enter")
        shown = words(window.wait("    1   "))
        same = Desk(new_conversation(None), MANNERS["bench"]).take(KNOCK).text
        assert [line for line in same.splitlines() if words(line) not in shown] == []
        assert not window.has_colour()
        window.type("", "C-c")
        window.wait("The case is not lost")
        window.type("stop", "Enter")
        window.wait("Stopped.")

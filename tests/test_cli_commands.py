"""What all commands have in common: help, examples, --json, errors in one line, completion."""

import argparse
import io
import json
import os
import re
import shlex
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from conftest import missing

from diagnose.cli import demo, output
from diagnose.cli.completion import fitting
from diagnose.cli.main import INTERRUPTED, main
from diagnose.cli.options import SHELLS
from diagnose.cli.parsing import make_parser, parse
from diagnose.cli.progress import Progress, counted, duration
from diagnose.cli.registry import COMMANDS, NAMES, target

Capture = pytest.CaptureFixture[str]
Patch = pytest.MonkeyPatch
ROOT = Path(__file__).parents[1]


def ended(capsys: Capture, *words: str) -> tuple[int, str, str]:
    """The exit code, also where the parser ends the program, and both streams."""
    try:
        code = main(list(words))
    except SystemExit as end:
        code = int(end.code or 0)
    out, err = capsys.readouterr()
    return code, out, err


@pytest.mark.parametrize("command", COMMANDS, ids=lambda c: c.name)
def test_every_command_has_help_with_examples_and_json(command, capsys: Capture) -> None:
    code, out, _ = ended(capsys, command.name, "--help")
    assert code == 0
    assert all(f"  {example}" in out for example in command.examples)
    acts = re.findall(r"^    (\w+)  ", out, re.MULTILINE) if "ACT" in out else []
    pages = [out, *(ended(capsys, command.name, act, "--help")[1] for act in acts)]
    assert any("--json" in page for page in pages)
    assert callable(target(command.run))


def leaves(parser: argparse.ArgumentParser) -> Iterator[argparse.ArgumentParser]:
    """The parsers of all acts, or of the command itself where it has none."""
    acts = [a for a in parser._actions if isinstance(a, argparse._SubParsersAction)]
    if not acts or not acts[0].required:
        yield parser
    for act in acts:
        for inner in act.choices.values():
            yield from leaves(inner)


@pytest.mark.parametrize("command", COMMANDS, ids=lambda c: c.name)
def test_every_act_of_every_command_has_json(command) -> None:
    of_all = make_parser(command.name)._subparsers
    parser = of_all._group_actions[0].choices[command.name]
    without = [p.prog for p in leaves(parser) if "--json" not in p._option_string_actions]
    assert without == []


EXAMPLES = [example for c in COMMANDS for example in c.examples if example.startswith("diagnose")]


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_example_is_a_command_line_that_is_understood(example: str) -> None:
    words = shlex.split(example.partition(" |")[0])[1:]
    assert parse(words).command in NAMES


def test_the_whole_help_names_every_command(capsys: Capture) -> None:
    code, out, _ = ended(capsys, "--help")
    assert (code, [c.name for c in COMMANDS if c.does not in out]) == (0, [])


def test_the_version_is_told(capsys: Capture) -> None:
    assert re.fullmatch(r"diagnose \d+\.\d+\.\d+\n", ended(capsys, "--version")[1])


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        (["bacth"], "did you mean 'batch'?"),
        (["zzz"], "there are: chat, ask"),
        (["tick at the front"], 'write: diagnose ask "tick at the front"'),
        (["batch"], "see: diagnose batch --help"),
        (["knowledge", "frobnicate"], "see: diagnose knowledge --help"),
        (["ask"], "see: diagnose ask --help"),
        (["--nothing"], "see: diagnose --help"),
        (["completion", "tcsh"], "see: diagnose completion --help"),
    ],
)
def test_wrong_usage_is_one_line_with_what_to_do(
    words: list[str], hint: str, capsys: Capture
) -> None:
    code, out, err = ended(capsys, *words)
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert hint in err


def test_without_a_command_options_are_those_of_the_chat() -> None:
    assert parse(["--phone"]).phone
    assert parse([]).command == "chat"


def test_ctrl_c_ends_a_command_as_shells_count_it(monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(given: object) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr("diagnose.cli.talk.ask", interrupted)
    assert main(["ask", "tick"]) == INTERRUPTED


def test_a_closed_pipe_ends_without_a_trace() -> None:
    command = f"{shlex.quote(sys.executable)} -m diagnose.cli knowledge show noise_tick | head -c 1"
    done = subprocess.run(
        ["bash", "-o", "pipefail", "-c", command], cwd=ROOT, capture_output=True, timeout=60
    )
    assert (done.returncode, done.stderr) == (0, b"")


@pytest.mark.parametrize(
    "words",
    [
        ["knowledge", "check", "--sources"],
        ["knowledge", "show", "thrust_plate_too_thin"],
        ["knowledge", "search", "thrust", "plate"],
        ["replay", str(ROOT / "conversations/healthy/runs_well.txt")],
        ["work-out"],
        ["work-out", "end-play"],
        ["demo"],
        ["completion", "bash"],
        ["completion", "bash", "--json", "--words", "de"],
    ],
    ids=" ".join,
)
def test_json_is_what_a_program_can_read(words: list[str], capsys: Capture) -> None:
    given = words if "--json" in words else [*words, "--json"]
    code, out, err = ended(capsys, *given)
    assert (code, err) == (0, "")
    assert all(json.loads(line) for line in out.splitlines()) and out


def test_batch_says_as_json_how_many_were_unusable(tmp_path: Path, capsys: Capture) -> None:
    source, to = tmp_path / "in.jsonl", str(tmp_path / "out.jsonl")
    source.write_text('{"id": "x", "turns": ["tick"]}\nnot json\n')
    code, out, _ = ended(capsys, "batch", str(source), "--out", to, "--json")
    assert (code, json.loads(out)) == (1, {"cases": 2, "unusable": 1, "out": to})


def test_a_failed_replay_is_told_as_json(tmp_path: Path, capsys: Capture) -> None:
    file = tmp_path / "wrong.txt"
    file.write_text("# wrong\n> heavy knock\n= understood: noise_tick present\n")
    code, out, err = ended(capsys, "replay", str(file), "--json")
    assert (code, list(json.loads(out)["failed"])) == (1, [str(file)])
    assert "noise_tick" in err


def test_nothing_found_is_an_empty_list_and_exit_code_one(capsys: Capture) -> None:
    assert ended(capsys, "knowledge", "search", "qqqqq", "--json")[:2] == (1, "[]\n")


@pytest.mark.parametrize(
    ("words", "found"),
    [
        (["de"], ["demo"]),
        (["ask", "--eng"], ["--engine"]),
        (["ask", "--engine", "generic"], ["generic-small-pushrod-v8"]),
        (["chat", "--for", ""], ["bench", "phone", "student"]),
        (["knowledge", "s"], ["show", "search"]),
        (
            ["knowledge", "show", "thrust_plate_too"],
            ["thrust_plate_too_thick", "thrust_plate_too_thin"],
        ),
        (["work-out", "end"], ["end-play"]),
        (["cases", "show", ""], []),
        (["cases", "no"], ["note"]),
        (["completion", ""], list(SHELLS)),
        (["nothing", ""], []),
        (["batch", "--out", ""], []),
    ],
)
def test_the_shell_is_offered_what_fits(words: list[str], found: list[str]) -> None:
    assert set(fitting(words)) >= set(found)
    assert bool(fitting(words)) == bool(found)


def test_a_first_word_is_a_command_or_an_option_of_all() -> None:
    assert fitting([]) == [*NAMES, "--help", "--version"]


def test_kept_cases_are_offered_by_number(capsys: Capture, monkeypatch: Patch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("tick at the front cover\n"))
    main(["chat"])
    capsys.readouterr()
    wanted = (["cases", "show", ""], ["report", ""], ["ask", "--case", ""])
    assert [fitting(list(words)) for words in wanted] == [["1"]] * 3


# how each shell is asked what it would offer after `diagnose knowledge se`
ASKED = {
    "bash": """eval "$(diagnose completion bash)"
        COMP_WORDS=(diagnose knowledge se); COMP_CWORD=2
        _diagnose_offers; echo "${COMPREPLY[@]}" """,
    "zsh": """compdef() { defined=$1; }; compadd() { [[ $1 = -a ]] && print -l ${(P)2}; }
        eval "$(diagnose completion zsh)"
        words=(diagnose knowledge se); CURRENT=3
        $defined""",
    "fish": """diagnose completion fish | source
        complete --do-complete 'diagnose knowledge se'""",
}


@pytest.mark.parametrize("shell", SHELLS)
def test_each_shell_completes_with_its_script(
    shell: str, tmp_path: Path, monkeypatch: Patch
) -> None:
    if shutil.which(shell) is None:
        missing(shell)
    command = tmp_path / "diagnose"
    command.write_text(f'#!/bin/sh\nexec {shlex.quote(sys.executable)} -m diagnose.cli "$@"\n')
    command.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}:{os.environ['PATH']}")
    monkeypatch.setenv("HOME", str(tmp_path))
    done = subprocess.run(
        [shell, "-c", ASKED[shell]], cwd=ROOT, capture_output=True, text=True, timeout=60
    )
    assert (done.stdout, done.stderr) == ("search\n", "")


class Far(io.StringIO):
    """A stream of a terminal."""

    def isatty(self) -> bool:
        return True


def test_progress_tells_how_much_is_left(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("COLUMNS", "80")
    times = iter(range(0, 1000, 10))
    stream = Far()
    progress = Progress(8, "cases", stream, lambda: next(times))
    for _ in range(4):
        progress.step()
    assert stream.getvalue().split("\r")[-1].rstrip() == (
        "[##########..........] 4 of 8 cases, about 40 s left"
    )
    progress.over()
    assert stream.getvalue().endswith("\r")


@pytest.mark.parametrize(("term", "stream"), [("dumb", Far()), ("xterm", io.StringIO())])
def test_progress_is_silent_where_it_can_not_be_redrawn(
    term: str, stream: io.StringIO, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TERM", term)
    monkeypatch.setattr("sys.stderr", stream)
    assert list(counted("abc", 3, "letters")) == ["a", "b", "c"]
    assert stream.getvalue() == ""


@pytest.mark.parametrize("columns", [1, 20, 40])
def test_progress_fits_the_window(columns: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("COLUMNS", str(columns))
    stream = Far()
    progress = Progress(2, "conversations", stream)
    progress.step()
    progress.step()
    assert max(map(len, stream.getvalue().split("\r"))) < max(columns, 1)


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(0.2, "about 1 s"), (89, "about 89 s"), (600, "about 10 min"), (9000, "about 2.5 h")],
)
def test_a_wait_is_told_in_words_of_its_size(seconds: float, words: str) -> None:
    assert duration(seconds) == words


def test_the_demo_ends_with_a_conclusion(capsys: Capture) -> None:
    code, out, _ = ended(capsys, "demo")
    assert (code, "Conclusion: " in out) == (0, True)


def test_the_demo_takes_about_a_minute_where_somebody_watches(
    capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    slept: list[float] = []
    demo.run(parse(["demo"]), slept.append)
    watched = sum(slept)
    slept.clear()
    demo.run(parse(["demo", "--fast"]), slept.append)
    assert (30 < watched <= 60, sum(slept)) == (True, 0)


def test_a_code_page_without_a_letter_loses_that_letter_only(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    page = io.TextIOWrapper(io.BytesIO(), encoding="cp437", write_through=True)
    monkeypatch.setattr("sys.stdout", page)
    assert main(["ask", "le cliquetis 気 tick at the front cover"]) == 0
    assert b"Next: " in page.buffer.getvalue()  # type: ignore[attr-defined]


def test_json_on_a_code_page_is_escaped_not_lost() -> None:
    page = io.TextIOWrapper(io.BytesIO(), encoding="cp437", write_through=True)
    output.json_line({"text": "気"}, page)
    assert json.loads(page.buffer.getvalue()) == {"text": "気"}  # type: ignore[attr-defined]


@pytest.mark.parametrize(("stream", "said"), [(Far(), True), (io.StringIO(), False)])
def test_somebody_who_waits_is_told_why(stream: io.StringIO, said: bool) -> None:
    with output.patience(stream, 0.0):
        until = time.monotonic() + 5
        while said and not stream.getvalue() and time.monotonic() < until:
            pass
    assert bool(stream.getvalue()) == said


def test_ask_says_back_nothing_that_a_terminal_obeys(capsys: Capture) -> None:
    _, out, _ = ended(capsys, "ask", "tick at the \x1b[31mfront cover")
    assert "\x1b" not in out


def test_ask_draws_bars_when_asked(capsys: Capture) -> None:
    _, out, _ = ended(capsys, "ask", "tick at the front cover", "cam end play 9 thou", "--bars")
    assert "= share now, + gained" in out
    assert "thou above the band" in out


@pytest.mark.parametrize(
    "words", [["chat", "--plain"], ["--for", "bench"], ["chat", "--guess-first"]]
)
def test_the_chat_of_each_person_works_in_a_pipe(
    words: list[str], capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("tick at the front cover\nstop\n"))
    code, out, _ = ended(capsys, *words)
    assert (code, "\x1b" in out, "A light tick" in out) == (0, False, True)


def test_only_the_wanted_command_has_its_options_loaded() -> None:
    text = make_parser("ask").format_help()
    assert "examples:" in text


def test_each_call_is_kept_as_a_case_of_its_own(
    capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = "tick at the front cover\nhold\nno fuel at the carb\ncall 1\nlouder when hot\nstop\n"
    monkeypatch.setattr("sys.stdin", io.StringIO(lines))
    assert ended(capsys, "chat", "--for", "phone", "--caller", "Kim")[0] == 0
    cases = [json.loads(line) for line in ended(capsys, "cases", "list", "--json")[1].splitlines()]
    assert {case["caller"]: case["turns"] for case in cases} == {"Kim": 2, "": 1}

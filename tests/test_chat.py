"""The chat on plain lines and on JSON lines, as another program or a pipe would use it."""

import io
import json
from typing import Any

import pytest

from diagnose.cli.main import main
from diagnose.dialogue import wording


def chat(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], lines: str, *words: str
) -> tuple[int, str]:
    monkeypatch.setattr("sys.stdin", io.StringIO(lines))
    code = main(list(words))
    return code, capsys.readouterr().out


def rows(out: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in out.splitlines()]


def test_without_a_command_it_talks(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out = chat(monkeypatch, capsys, "tick at the front cover\n")
    assert (code, out.startswith(wording.GREETING)) == (0, True)
    assert "Next: " in out


def test_stop_ends_before_the_input_does(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    _, out = chat(monkeypatch, capsys, "stop\ntick at the front cover\n", "chat")
    assert out.rstrip().endswith(wording.STOPPED)


def test_the_phone_manner_gives_lines_to_read_out(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    _, out = chat(monkeypatch, capsys, "tick at the front cover\n", "chat", "--phone")
    assert "Read out: " in out


def test_json_lines_take_texts_and_statements(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    lines = (
        'light tick\n"no knock"\n\n{"finding": "noise_tick", "state": "absent"}\n[{"undo": 1}]\n'
    )
    code, out = chat(monkeypatch, capsys, lines, "chat", "--json")
    known = [row["engine"]["known"].get("noise_tick") for row in rows(out)]
    assert (code, known) == (0, ["present", "present", "absent", "present"])


def test_a_bad_json_line_is_answered_and_the_talk_goes_on(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    lines = '{"finding": \n{"finding": "nothing"}\nlight tick\n'
    code, out = chat(monkeypatch, capsys, lines, "chat", "--json")
    first, second, third = rows(out)
    assert (code, first["line"], second["line"], third["turn"]) == (1, 1, 2, 1)
    assert "not JSON" in first["error"]


def test_an_engine_sheet_is_judged_by(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet = "generic-small-pushrod-v8"
    _, out = chat(monkeypatch, capsys, "light tick\n", "chat", "--json", "--engine", sheet)
    (row,) = rows(out)
    assert (row["engine"]["sheet"], row["engine"]["known"]["cam_drive"]) == (sheet, "chain")

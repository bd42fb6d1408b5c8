"""The table of kinds of error, on invented rows of the made-up knowledge."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import Any

import pytest
from language_toy import heard, toy_index

PATH = Path(__file__).parent / "benchmarks" / "hearing_kinds.py"
SPEC = importlib.util.spec_from_file_location("hearing_kinds", PATH)
assert SPEC is not None and SPEC.loader is not None
script = importlib.util.module_from_spec(SPEC)
SPEC.loader.exec_module(script)

ROWS: list[tuple[dict[str, Any], set[tuple[str, str]]]] = [
    ({"text": "it knocks", "findings": {"knock": "present"}}, {("right", "knock")}),
    ({"text": "it knocks", "findings": {"knock": "absent"}}, {("negation", "knock")}),
    ({"text": "widget loose", "findings": {"widget": "sheared"}}, {("wrong state", "widget")}),
    ({"text": "hm", "findings": {"widget": "sheared"}}, {("missed phrase", "widget")}),
    ({"text": "it knocks", "findings": {}}, {("over-taking", "knock")}),
    ({"text": "it knocks", "optional": ["knock"]}, set()),
    ({"text": "it knocks", "says": [["knock", "present", "knocks"]]}, {("right", "knock")}),
    ({"text": "hm", "ask": ["widget"]}, {("not asked back", "widget")}),
    (
        {
            "text": "shaft play 8 thou",
            "readings": [{"finding": "shaft_play", "value": 0.008, "unit": "in"}],
        },
        {("right", "shaft_play")},
    ),
    (
        {
            "text": "shaft play 8 thou",
            "readings": [{"finding": "shaft_play", "value": 9, "unit": "thou"}],
        },
        {("number", "shaft_play")},
    ),
]


@pytest.mark.parametrize(("row", "found"), ROWS)
def test_each_error_is_counted_as_its_kind(
    row: dict[str, Any], found: set[tuple[str, str]]
) -> None:
    assert set(script.kinds(row, heard(row["text"]), toy_index())) == found


def test_the_table_has_a_line_for_each_kind() -> None:
    lines = script.table([row for row, _ in ROWS], toy_index())
    assert [line.split("  ")[0].strip() for line in lines[1:]] == list(script.KINDS)


def test_data_that_is_not_there_is_said_in_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert script.main([str(tmp_path / "none.jsonl")]) == 1
    assert len(capsys.readouterr().err.splitlines()) == 1

"""The commands from outside: what they print, where, and how they end."""

import io
import json
import re
from collections.abc import Sequence
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

import pytest
from lengths import LONG

from diagnose.cli.main import main


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(list(words))
    out, err = capsys.readouterr()
    return code, out, err


def test_ask_answers_with_the_next_check(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "ask", "tick at the front cover")
    assert code == 0
    assert "Next: " in out


def test_ask_json_gives_a_line_for_every_turn(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, "ask", "--json", "heavy knock", "oil pressure is low")
    assert [json.loads(line)["turn"] for line in out.splitlines()] == [1, 2]


def test_an_unknown_engine_is_one_line_on_stderr(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, "ask", "tick", "--engine", "warp-drive")
    assert (code, out, err.count("\n")) == (1, "", 1)


def test_wrong_usage_ends_with_two() -> None:
    with pytest.raises(SystemExit) as ended:
        main(["knowledge", "frobnicate"])
    assert ended.value.code == 2


Checked = tuple[int, Sequence[list[str]], str]


@pytest.fixture(scope="module")
def checked() -> Checked:
    """The rule base checked once with all that can be asked for: code, blocks of lines, errors."""
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        heard = ["--phrases"] if LONG else []  # takes as long as all the rest
        code = main(["knowledge", "check", "--sources", "--systems", *heard])
    return code, [block.splitlines() for block in out.getvalue().split("\n\n")], err.getvalue()


def test_knowledge_check_counts_what_is_there(checked: Checked) -> None:
    assert checked[0] == 0
    assert re.match(r"No problems: 1\d\d causes, \d{4} signs", checked[1][0][0])


def test_knowledge_check_tells_where_the_signs_come_from(checked: Checked) -> None:
    rows = [line.split() for line in checked[1][1]]
    assert rows[0][0] == "system"
    assert rows[-1][0] == "all"
    signs, published = (sum(int(row[place]) for row in rows[1:-1]) for place in (2, 3))
    assert (signs, published) == (int(rows[-1][2]), int(rows[-1][3]))
    assert published >= signs / 2  # half of what it says has an address


def test_knowledge_check_tells_how_the_systems_compare(checked: Checked) -> None:
    rows = [line.split() for line in checked[1][2][1:]]
    for place in (1, 2):
        assert sum(int(row[place]) for row in rows[:-1]) == int(rows[-1][place])
    assert all(float(row[3]) >= 8 for row in rows)  # signs a cause


def test_every_phrase_table_of_the_rule_base_is_heard(checked: Checked) -> None:
    assert (checked[0], checked[2]) == (0, "")


def test_knowledge_check_of_a_broken_folder_shows_no_trace(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "words.yaml").write_text("a: [")
    code, _, err = run(capsys, "knowledge", "check", str(tmp_path))
    assert code == 1
    assert all(":" in line and "Traceback" not in line for line in err.splitlines())


def test_knowledge_show_prints_the_entry_with_its_sources(
    capsys: pytest.CaptureFixture[str],
) -> None:
    code, out, _ = run(capsys, "knowledge", "show", "thrust_plate_too_thin")
    assert code == 0
    assert "source: " in out


def test_knowledge_show_of_nothing_names_what_is_near(capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = run(capsys, "knowledge", "show", "thrust_plate_thin")
    assert code == 1
    assert "thrust_plate_too_thin" in err


def test_knowledge_search_finds_by_words(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "knowledge", "search", "thrust", "plate", "worn")
    assert code == 0
    assert "thrust_plate_worn" in out


def batch(tmp_path: Path, lines: list[str]) -> tuple[int, list[dict[str, object]]]:
    source, target = tmp_path / "in.jsonl", tmp_path / "out.jsonl"
    source.write_text("\n".join(lines), encoding="utf-8")
    code = main(["batch", str(source), "--out", str(target)])
    return code, [json.loads(line) for line in target.read_text("utf-8").splitlines()]


def test_batch_answers_every_line_in_order(tmp_path: Path) -> None:
    lines = [
        json.dumps(
            {
                "id": f"n{i}",
                "turns": ["tick up top", "oil pressure is good"],
                "engine": None,
                "open": [],
            }
        )
        for i in range(3)
    ]
    code, out = batch(tmp_path, lines)
    assert (code, [row["id"] for row in out]) == (0, ["n0", "n1", "n2"])


@pytest.mark.parametrize(
    "bad",
    [
        "not json",
        "[1, 2]",
        '{"id": "x"}',
        '{"id": "x", "turns": [{"finding": "nothing"}]}',
        '{"id": "x", "turns": ["tick"], "engine": "warp-drive"}',
        '{"id": "x", "turns": ["tick"], "open": ["attic"]}',
        '{"id": "x", "turns": ["tick"], "open": 5}',
        '{"id": "x", "turns": ["tick"], "engine": {"sheet": "x"}}',
        '{"id": "x", "turns": [{"finding": "cam_end_play", "value": NaN, "unit": "thou"}]}',
        '{"id": "x", "turns": [{"finding": "cam_end_play", "value": 1e999, "unit": "thou"}]}',
        '{"id": "x", "turns": [{"finding": "cam_end_play", "value": 9%s, "unit": "mm"}]}'
        % ("9" * 400),
        f'{{"id": "x", "turns": [{"9" * 5000}]}}',
        "[" * 100_000,
    ],
    ids=lambda bad: bad[:60],
)
def test_a_bad_line_gets_an_error_line_and_the_rest_goes_on(bad: str, tmp_path: Path) -> None:
    good = json.dumps({"id": "good", "turns": ["tick"], "engine": None, "open": []})
    code, out = batch(tmp_path, [bad, good])
    assert (code, out[0]["line"], "error" in out[0], out[1]["id"]) == (1, 1, True, "good")


def test_a_bad_line_keeps_its_id(tmp_path: Path) -> None:
    _, out = batch(tmp_path, ['{"id": "x", "turns": "none"}', '{"turns": []}', '{"turns": 1}'])
    assert [row["id"] for row in out] == ["x", None, None]


def test_a_batch_file_that_is_not_there_is_one_line(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    code, _, err = run(capsys, "batch", str(tmp_path / "no"), "--out", str(tmp_path / "out"))
    assert (code, err.count("\n")) == (1, 1)


ROUGH = [
    "", "   ", "x" * 100_000, "\x00\x01\xff\ufffd", "🔧🔧😂", "où est la bougie s'il vous plaît",
    "def f(x): return x + 1", "1 2 3 4 5 6", "-5", "3 inches of cam end play",
    "cam end play -4 thou", "tick no tick tick no tick", "'; DROP TABLE cases; --",
]  # fmt: skip


@pytest.mark.parametrize("text", ROUGH, ids=range(len(ROUGH)))
def test_rough_input_gets_a_plain_answer_and_keeps_the_case(
    text: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = run(capsys, "ask", "--json", "heavy knock low down", text)
    last = json.loads(out.splitlines()[-1])
    assert code == 0
    assert last["text"]
    assert last["engine"]["known"]["noise_knock"] == "present"

"""The command `work-out`: what it lists, asks, works out and refuses."""

import json
from pathlib import Path

import pytest

from diagnose.cli.main import main
from diagnose.cli.work_out import SUMS, find
from diagnose.dialogue.sums import asked_lines, figure

END_PLAY = ["band-low=1 thou", "band-high=7 thou", "division=0.5 thou", "gear-torqued=1"]


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(["work-out", *words])
    out, err = capsys.readouterr()
    return code, out, err


@pytest.mark.parametrize("name", SUMS)
def test_every_sum_tells_what_it_asks_for(name: str) -> None:
    lines = asked_lines(find(name))
    assert lines[0].endswith(".")
    assert f"diagnose work-out {name}" in lines[-1]
    assert all(one.source for one in find(name).inputs if one.usual is not None)


def test_the_list_names_every_sum(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys)
    assert code == 0
    assert [line.split()[0] for line in out.splitlines()[1:-1]] == list(SUMS)


def test_a_reading_inside_the_band_beyond_doubt_conforms(
    capsys: pytest.CaptureFixture[str],
) -> None:
    code, out, _ = run(capsys, "end-play", "readings=4 4 4.5 thou", *END_PLAY)
    assert code == 0
    assert "Verdict: conforms." in out
    assert "thou (" in out and "mm)" in out


def test_metric_readings_are_shown_in_millimetres_first(
    capsys: pytest.CaptureFixture[str],
) -> None:
    _, out, _ = run(capsys, "end-play", "readings=0.10 0.11 mm", *END_PLAY)
    line = next(one for one in out.splitlines() if one.strip().startswith("end play:"))
    assert line.index("mm") < line.index("thou")


def test_json_carries_the_same_figures(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "end-play", "readings=4 4 4.5 thou", *END_PLAY, "--json")
    worked = json.loads(out)
    assert code == 0
    assert worked["verdict"] == "conforms"
    assert worked["figures"][0]["value"] == pytest.approx(12.5 / 3)


def test_readings_come_from_a_table(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    table = tmp_path / "readings.csv"
    table.write_text("no;play (mm)\n1;0,10\n\n2;0,11\n")
    code, out, _ = run(capsys, "end-play", f"readings=@{table}", *END_PLAY)
    assert code == 0
    assert "conforms" in out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["nothing"], "no sum is called 'nothing'"),
        (["end-play", "readings=5"], "has no unit"),
        (["end-play", "plays=5 thou"], "asks for no 'plays'"),
        (["end-play", "5 thou"], "write NAME=VALUE"),
        (["end-play", "readings=5 thou"], "gear-torqued is missing"),
        (["end-play", "readings=5 thou", "gear-torqued=0"], "bolt torqued"),
        (["end-play", "readings=@nowhere.csv", "gear-torqued=1"], "can't read nowhere.csv"),
    ],
)
def test_what_can_not_be_worked_out_is_told_in_one_line(
    words: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = run(capsys, *words)
    assert (code, out) == (1, "")
    assert told in err
    assert len(err.splitlines()) == 1


def test_a_force_is_shown_in_both_systems() -> None:
    """1 lbf is 4.448 222 N: NIST Special Publication 811, appendix B."""
    assert figure(4448.2216152605, "N") == "4448 N (1000 lbf)"

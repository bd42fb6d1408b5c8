"""The command `work-out`: what it lists, asks, works out and refuses."""

import io
import json
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from diagnose.cli.main import main
from diagnose.cli.work_out import find
from diagnose.dialogue.sums import asked_lines, figure
from diagnose.measuring.sums import SUMS

LIMITS_WRONG = ["band-low=7 thou", "band-high=1 thou", "gear-torqued=1"]
TARGET_WRONG = ["target-low=5 thou", "target-high=3 thou", "gear-torqued=1"]
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
        (["end-play", "readings=5", *END_PLAY], "readings: 5 has no unit; write 5 thou"),
        (["end-play", "readings=4 thou 0.1 mm", *END_PLAY], "readings has two units, thou and mm"),
        (["end-play", "readings=4 thou 5 thou 0.1 mm", *END_PLAY], "give all its values in one"),
        (["end-play", "readings=4 5 psi", *END_PLAY], "'psi' does not measure length; use mm"),
        (["end-play", "readings=-4 5 thou", *END_PLAY], "readings is -4; it must be a number of 0"),
        (["end-play", "readings=nan 5 thou", *END_PLAY], "readings: 'nan' is no number; give 4"),
        (["end-play", "readings=4 5 thou", *END_PLAY, "division=1 mm"], "division is given twice"),
        (
            ["end-play", "readings=4 5 thou", *LIMITS_WRONG],
            "new band 7 to 1 is upside down; the low",
        ),
        (["end-play", "readings=4 5 thou", *TARGET_WRONG], "target 5 to 3 is upside down; the low"),
        (["end-play", "--draw", "x.svg"], "give the sum and its values with --draw"),
        (["--draw", "x.svg"], "give the sum and its values with --draw"),
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


def test_a_value_with_an_underscore_is_the_one_with_a_hyphen(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run(capsys, "end-play", "readings=4 4 thou", "band_low=1 thou", "gear_torqued=1")[0] == 0


@pytest.mark.parametrize("kept", ["4\n" * 1000, "play thou\n" + "4\n\n" * 1000])
def test_a_thousand_readings_from_standard_input(
    kept: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    text = kept if kept.startswith("play") else f"thou\n{kept}"
    monkeypatch.setattr(sys, "stdin", io.StringIO(text))
    code, out, _ = run(capsys, "end-play", "readings=@-", *END_PLAY)
    assert code == 0
    assert "mean of 1000 = 4" in out


def test_a_table_in_millimetres_is_shown_in_millimetres_first(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    table = tmp_path / "readings.csv"
    table.write_text("no;play (mm)\n1;0,10\n2;0,11\n")
    _, out, _ = run(capsys, "end-play", f"readings=@{table}", *END_PLAY)
    line = next(one for one in out.splitlines() if one.strip().startswith("end play:"))
    assert line.index("mm") < line.index("thou")


def test_the_result_is_drawn_into_a_file_and_still_told(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "play.svg"
    told = run(capsys, "end-play", "readings=0.10 0.11 mm", *END_PLAY)
    assert run(capsys, "end-play", "readings=0.10 0.11 mm", *END_PLAY, "--draw", str(file)) == told
    words = " ".join(e.text or "" for e in ET.parse(file).getroot().iter())
    assert "end play: 0.105 mm (4.13 thou)" in words


def test_with_a_drawing_the_output_as_data_stays_data(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "play.svg"
    words = ["end-play", "readings=4 4 thou", *END_PLAY, "--json", "--draw", str(file)]
    code, out, _ = run(capsys, *words)
    assert (code, "shows" in json.loads(out)) == (0, False)
    assert file.read_text().startswith("<svg")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["readings", "readings=4 5 thou", "--draw", "{tmp}/x.svg"], "no drawing: there is"),
        (["end-play", "readings=4 5 thou", *END_PLAY, "--draw", "{tmp}/none/x.svg"],
         "can't write the drawing to '"),
        (["end-play", "readings=4 5 thou", *END_PLAY, "--draw", "{tmp}"], "can't write the"),
    ],
)  # fmt: skip
def test_a_drawing_that_can_not_be_made_is_told_after_the_result(
    words: list[str], told: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    code, out, err = run(capsys, *(word.format(tmp=tmp_path) for word in words))
    assert code == 1
    assert "give or take" in out
    assert told in err
    assert len(err.splitlines()) == 1
    assert not list(tmp_path.iterdir())


def test_a_sum_refused_leaves_no_drawing(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "x.svg"
    assert run(capsys, "end-play", "readings=5 thou", *END_PLAY, "--draw", str(file))[0] == 1
    assert not file.exists()


def test_what_draws_is_only_loaded_when_asked_for(tmp_path: Path) -> None:
    words = ["work-out", "end-play", "readings=4 4 thou", *END_PLAY]
    code = "import sys; from diagnose.cli.main import main; main(sys.argv[1:]); "
    code += "print(sorted(m for m in sys.modules if 'drawing' in m or m == 'scipy'))"
    for more, loaded in (([], False), (["--draw", str(tmp_path / "x.svg")], True)):
        found = subprocess.run(
            [sys.executable, "-c", code, *words, *more], capture_output=True, text=True, check=True
        )
        assert ("diagnose.measuring.drawing" in found.stdout.splitlines()[-1]) == loaded
        assert "scipy" not in found.stdout.splitlines()[-1]

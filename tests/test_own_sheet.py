"""A sheet somebody writes for their own engine: used when it is right, told where it is not."""

from pathlib import Path

import pytest

from diagnose.cases.assess import UnknownSheet, load_workbench
from diagnose.cases.log import Statement
from diagnose.cli.main import main
from diagnose.knowledge.load import load_knowledge
from diagnose.knowledge.own_sheet import read_sheet
from diagnose.knowledge.problems import KnowledgeError

GOOD = """
id: harbour-six
title: Six of the harbour launch
describes: An invented engine
sources:
  handbook: {title: The launch's own handbook, address: shelf in the wheelhouse}
fitted:
  - {finding: cam_drive, state: gears, source: handbook}
limits:
  - {finding: cam_end_play, low: 2, high: 9, unit: thou, source: handbook}
"""


def written(folder: Path, text: str | bytes) -> Path:
    path = folder / "own.yaml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def test_a_reading_is_judged_by_the_persons_own_sheet(tmp_path: Path) -> None:
    path = written(tmp_path, GOOD)
    reading = [Statement("measured", "cam_end_play", 1, value=8.0, unit="thou")]
    own = load_workbench(str(path)).assess(reading).state.judged["cam_end_play"]
    assert (own.low, own.high, own.verdict.state, own.source) == (2, 9, "ok", "handbook")
    shipped = load_workbench("generic-small-pushrod-v8").assess(reading)
    assert shipped.state.judged["cam_end_play"].verdict.state == "high"


def test_what_the_sheet_says_is_fitted_is_known(tmp_path: Path) -> None:
    bench = load_workbench(str(written(tmp_path, GOOD)))
    assert bench.assess([]).state.known["cam_drive"] == "gears"


FAULTS = {
    "wrong key": (GOOD.replace("title: Six", "titel: Six"), 3, "titel"),
    "unknown finding": (GOOD.replace("cam_end_play", "cam_end_pla"), 10, "cam_end_play"),
    "unknown state": (GOOD.replace("state: gears", "state: ropes"), 8, "ropes"),
    "unknown source": (
        GOOD.replace("source: handbook}\nlim", "source: hearsay}\nlim"),
        8,
        "hearsay",
    ),
    "upside down": (GOOD.replace("low: 2", "low: 20"), 10, "above the high end"),
    "impossible figure": (GOOD.replace("high: 9", "high: 9000"), 10, "9000"),
    "another unit": (GOOD.replace("unit: thou", "unit: psi"), 10, "psi"),
    "key twice": (GOOD + "id: again\n", 11, "twice"),
    "a tab": (GOOD.replace("  - {finding: cam_drive", "\t- {finding: cam_drive"), 8, "YAML"),
    "only a list": ("- one\n- two\n", 1, "keys are expected"),
    "not text": (b"\xff\xfe\x00binary", 1, "can't be read"),
    "too deep": ("[" * 100_000, 1, "YAML"),
    "used again": ("a: &x [1]\nb: [*x, *x]\n", 1, "write it out"),
    "huge": ("# " + "x" * 2_100_000, 1, "2 MB"),
}


@pytest.mark.parametrize(("text", "line", "told"), FAULTS.values(), ids=FAULTS)
def test_a_mistake_is_told_with_its_place(
    text: str | bytes, line: int, told: str, tmp_path: Path
) -> None:
    path = written(tmp_path, text)
    with pytest.raises(KnowledgeError) as fault:
        read_sheet(path, load_knowledge())
    lines = str(fault.value).splitlines()
    assert any(one.startswith(f"{path}:{line}:") and told in one for one in lines), lines


def test_a_bomb_of_names_does_not_fill_the_memory(tmp_path: Path) -> None:
    layers = ["a0: &a0 [x, x]"] + [
        f"a{n}: &a{n} [*a{n - 1}, *a{n - 1}, *a{n - 1}, *a{n - 1}]" for n in range(1, 40)
    ]
    with pytest.raises(KnowledgeError, match="write it out"):
        read_sheet(written(tmp_path, "\n".join(layers)), load_knowledge())


def test_the_command_tells_the_mistake_in_lines_and_no_trace(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = written(tmp_path, GOOD.replace("state: gears", "state: ropes"))
    assert main(["ask", "--engine", str(path), "it ticks"]) == 1
    err = capsys.readouterr().err
    assert f"{path}:8:" in err
    assert "Traceback" not in err


def test_a_file_that_is_not_there_and_a_name_nobody_knows(tmp_path: Path) -> None:
    with pytest.raises(KnowledgeError, match="can't be read"):
        load_workbench(str(tmp_path / "none.yaml"))
    with pytest.raises(UnknownSheet, match="generic-small-pushrod-v8"):
        load_workbench("none")

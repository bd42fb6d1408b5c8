"""README and DEVELOPERS say what is so."""

import re
import shlex
import shutil
from pathlib import Path

import pytest

from diagnose.cli.main import main
from diagnose.dialogue.script import read_script
from diagnose.knowledge.load import load_knowledge
from diagnose.knowledge.problems import SENTENCES

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
OWN_SIGN = "rocker_condition, state: worn"
SHOWN = ROOT / "conversations/bench/pump_arm_beside_the_eccentric.txt"


def test_the_conversation_in_the_readme_is_a_genuine_one() -> None:
    lines = []
    for turn in read_script(SHOWN).turns:
        lines += [f"> {turn.text}", *turn.wording, ""]
    assert "\n".join(lines).strip() in README


def test_the_first_screen_of_the_readme_shows_what_a_stranger_needs() -> None:
    first = "\n".join(README.splitlines()[:30])
    wanted = ("> ", "Conclusion: ", "pip install", ".venv/bin/diagnose", "| folder |")
    assert [part for part in wanted if part not in first] == []


def test_every_command_of_the_readme_exists(capsys) -> None:
    named = set(re.findall(r"`diagnose ([\w-]+)", README)) - {"is"}
    for command in named:
        try:
            main([command, "--help"])
        except SystemExit as ended:
            assert ended.code == 0
    assert named >= {"chat", "ask", "batch", "knowledge", "replay", "work-out"}


def test_a_sheet_is_added_as_the_readme_says(tmp_path: Path, monkeypatch, capsys) -> None:
    copied, asked = re.findall(r"`(cp rules/\S+ \S+|diagnose ask .* --engine \S+\.yaml)`", README)
    _, source, target = copied.split()
    monkeypatch.chdir(tmp_path)
    text = (ROOT / source).read_text("utf-8")
    Path(target).write_text(re.sub(r"(?m)^id: .*$", "id: my-engine", text), "utf-8")
    assert main(shlex.split(asked)[1:]) == 0
    assert "Camshaft end play 8 thou" in capsys.readouterr().out


@pytest.fixture
def rules(tmp_path: Path) -> Path:
    """A copy of the rule base to add to."""
    return Path(shutil.copytree(ROOT / "rules", tmp_path / "rules"))


def copied(file: Path, new: str) -> Path:
    """A copy under a name of its own, which is its id."""
    target = file.with_stem(new)
    target.write_text(re.sub(r"(?m)^id: .*$", f"id: {new}", file.read_text("utf-8")), "utf-8")
    return target


def test_a_phrase_a_cause_and_a_lesson_are_added_as_is_said(rules: Path, capsys) -> None:
    file = next((rules / "findings").glob("*.yaml"))
    before, phrases, after = file.read_text("utf-8").partition("    phrases:\n")
    file.write_text(before + phrases + after.replace(": [", ": [zibbly wibbly, ", 1), "utf-8")
    cause = copied(rules / "causes/valve_train/part_in_valve_train.yaml", "part_in_my_engine")
    text = cause.read_text("utf-8").replace("rocker_condition, state: broken", OWN_SIGN)
    cause.write_text(re.sub(r"(?m)^title: .*$", "title: My own part", text), "utf-8")
    copied(rules / "lessons/bolt_and_dowel.yaml", "my_own_lesson")
    assert main(["knowledge", "check", str(rules)]) == 0
    assert f"No problems: {len(load_knowledge().causes) + 1} causes" in capsys.readouterr().out


def test_a_cause_copied_without_signs_of_its_own_is_told_so(rules: Path, capsys) -> None:
    copied(rules / "causes/valve_train/part_in_valve_train.yaml", "part_in_my_engine")
    assert main(["knowledge", "check", str(rules)]) == 1
    assert "give one a sign the other has not" in capsys.readouterr().err


def test_every_problem_code_has_its_line_in_developers() -> None:
    assert [code for code in SENTENCES if f"`{code}`" not in DEVELOPERS] == []


def test_developers_stays_readable() -> None:
    assert len(DEVELOPERS.splitlines()) <= 260


def test_nothing_else_stands_at_the_top() -> None:
    known = {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "diagnose",
        "rules",
        "conversations",
        "tests",
        "dist",
        "build",
    }
    visible = {p.name for p in ROOT.iterdir() if not p.name.startswith(".")}
    assert {v for v in visible if not v.endswith(".egg-info")} <= known

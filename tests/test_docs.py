"""README and DEVELOPERS say what is so."""

import re
from pathlib import Path

from diagnose.cli.main import main
from diagnose.dialogue.script import read_script
from diagnose.knowledge.problems import SENTENCES

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
SHOWN = ROOT / "conversations/bench/rod_bearing_stops_the_engine.txt"


def test_the_conversation_in_the_readme_is_a_genuine_one() -> None:
    lines = []
    for turn in read_script(SHOWN).turns:
        lines += [f"> {turn.text}", *turn.wording, ""]
    assert "\n".join(lines).strip() in README


def test_every_command_of_the_readme_exists(capsys) -> None:
    named = set(re.findall(r"`diagnose ([\w-]+)", README)) - {"is"}
    for command in named:
        try:
            main([command, "--help"])
        except SystemExit as ended:
            assert ended.code == 0
    assert named >= {"chat", "ask", "batch", "knowledge", "replay", "work-out"}


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

"""The record: nothing is lost, what is weak comes more often, a class has its table."""

import io
import json
from pathlib import Path
from random import Random

import pytest
from rule_files import write_rules

from diagnose.cases.assess import Workbench, load_workbench
from diagnose.cases.learners import Begun
from diagnose.cases.store import open_store
from diagnose.cli.main import main
from diagnose.knowledge.checks import problems_across
from diagnose.knowledge.load import read_folder
from diagnose.practice import history
from diagnose.practice.drawing import system_of
from diagnose.practice.record import Book


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("DIAGNOSE_DATA", str(tmp_path / "data"))
    return tmp_path


def book(name: str = "") -> Book:
    """The record of a learner in the store of this test."""
    return Book(open_store(), name)


@pytest.fixture(scope="module")
def bench() -> Workbench:
    return load_workbench()


def typed(monkeypatch: pytest.MonkeyPatch, *lines: str) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("\n".join(lines) + "\n"))


def result(**more: object) -> dict[str, object]:
    plain = {"key": "k", "level": 1, "system": "box", "solved": True, "lost": 5.0, "dangers": 0}
    return plain | {"brier": 0.1, "wrong_parts": 0, "idea": None} | more


def test_coming_back_goes_on_where_it_was_left(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    typed(monkeypatch, "look at the drive belts", "stop")
    main(["practice", "--seed", "4"])
    first = capsys.readouterr().out
    typed(monkeypatch, "look at the drive belts", "give up")
    main(["practice"])
    second = capsys.readouterr().out
    belts = next(line for line in first.splitlines() if line.startswith("  Drive belt"))
    assert "You go on" in second and "already" in second and belts in second
    assert book().left_open() is None and len(book().results()) == 1


def test_the_word_that_left_is_no_part_of_the_exercise(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    typed(monkeypatch, "look at the drive belts", "stop")
    main(["practice", "--seed", "4"])
    capsys.readouterr()
    typed(monkeypatch)
    main(["practice"])
    told = capsys.readouterr().out
    assert "after 1 thing said" in told
    assert "Kept as it stands" not in told


@pytest.mark.parametrize("text", ["list", "minutes?", "how many minutes have I spent"])
def test_what_was_spent_can_be_asked(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], text: str
) -> None:
    typed(monkeypatch, "look at the drive belts", text)
    main(["practice", "--seed", "4"])
    told = capsys.readouterr().out
    minutes = told.partition("Look at the drive belts (")[2].partition(" min")[0]
    assert f"Spent so far: {minutes} min." in told


def test_input_that_just_ends_is_kept_too(monkeypatch: pytest.MonkeyPatch) -> None:
    typed(monkeypatch, "look at the drive belts")
    main(["practice", "--seed", "4"])
    assert book().left_open() == Begun({"seed": 4, "level": 1}, ["look at the drive belts"])


def test_another_begun_between_loses_nothing(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for seed, text in (("4", "look at the drive belts"), ("5", "fuel pressure"), ("5", "give up")):
        typed(monkeypatch, text)
        main(["practice", "--seed", seed, "--level", "1"])
    typed(monkeypatch, "list")
    capsys.readouterr()
    main(["practice"])
    told = capsys.readouterr().out
    assert "go on with drawn-1-4, after 1 thing" in told and "Drive belt:" in told


def test_broken_characters_are_kept_as_question_marks(monkeypatch: pytest.MonkeyPatch) -> None:
    typed(monkeypatch, "\ud800 \x00 nonsense", '"in JSON"', "{")
    assert main(["practice", "--seed", "4", "--json"]) == 0
    assert (left := book().left_open()) is not None
    assert left.texts == ["? \x00 nonsense", "in JSON", "{"]


def test_json_tells_nothing_hidden_before_the_end(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    typed(monkeypatch, "look at the drive belts", "give up")
    assert main(["practice", "--seed", "4", "--json"]) == 0
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert ["score" in line for line in lines] == [False, False, True]
    assert lines[1]["found"][0]["finding"] and lines[2]["steps"]


def test_the_next_level_opens_with_skill() -> None:
    assert history.open_level([result()] * 2) == 1
    assert history.open_level([result()] * 3) == 2
    assert history.open_level([result(lost=90.0)] * 5) == 1
    assert history.open_level([result(dangers=1)] * 5) == 1


def test_a_level_that_is_not_open_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["practice", "--level", "4"]) == 1
    assert "not open yet" in capsys.readouterr().err


@pytest.mark.parametrize("more", [[], ["--seed", "3"]])
@pytest.mark.parametrize("level", ["0", "6", "-1"])
def test_a_level_that_does_not_exist_is_told(
    capsys: pytest.CaptureFixture[str], level: str, more: list[str]
) -> None:
    assert main(["practice", "--level", level, *more]) == 1
    assert f"no level {level}" in capsys.readouterr().err


def test_weak_systems_are_drawn_more_often(bench: Workbench) -> None:
    found = [result(system="oil_supply", lost=200.0), result(system="valve_train", lost=1.0)]
    chance = Random(1)
    plain = [history.next_drawn(bench, [], 1, chance)["seed"] for _ in range(80)]
    drawn = [history.next_drawn(bench, found, 1, chance)["seed"] for _ in range(80)]
    before, after = ([system_of(bench, s, 1) for s in seeds] for seeds in (plain, drawn))
    assert after.count("oil_supply") > 2 * before.count("oil_supply")


def test_a_missed_idea_brings_its_lesson(bench: Workbench) -> None:
    found = [result(idea="danger")] * 3
    chance = Random(2)
    nexts = [history.next_exercise(bench, found, 1, chance) for _ in range(30)]
    lessons = {bench.knowledge.lessons[n["lesson"]].idea for n in nexts if "lesson" in n}
    assert lessons == {"stop_first"}


def test_history_draws_a_plot_and_a_page(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book().file({}, result(key="<b>", idea="danger"))
    book().file({}, result(lost=80.0))
    assert main(["practice", "history"]) == 0
    assert "#" in capsys.readouterr().out
    page = folder / "page.html"
    assert main(["practice", "history", "--html", str(page)]) == 0
    text = page.read_text(encoding="utf-8")
    assert text.count("<rect") == 2 and "&lt;b&gt;" in text and "http" not in text


def test_history_without_a_record_is_no_fault(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["practice", "history"]) == 0
    assert "Nothing practised yet" in capsys.readouterr().out


def test_a_class_file_is_made_played_and_tabled(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = str(folder / "class.json")
    made = ["practice", "set", "--export", path, "--count", "1", "--lessons", "the_gauge_itself"]
    assert main(made) == 0
    typed(monkeypatch, "second gauge on the oil pressure", "it is the oil gauge wrong 90%")
    main(["practice", "play", path, "--name", "Ann"])
    typed(monkeypatch, "give up")
    main(["practice", "play", path, "--name", "Bo"])
    capsys.readouterr()
    assert main(["practice", "set", path, path, "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["learners"]
    assert [(r["name"], r["done"], r["solved"]) for r in rows] == [("Ann", 1, 1), ("Bo", 1, 0)]


@pytest.mark.parametrize(
    "content", ["", "[]", "{", '{"kind": "x", "exercises": [], "results": []}']
)
def test_a_file_that_is_no_class_file_is_refused(
    folder: Path, content: str, capsys: pytest.CaptureFixture[str]
) -> None:
    path = folder / "bad.json"
    path.write_text(content, encoding="utf-8")
    assert main(["practice", "set", str(path)]) == 1
    assert str(path) in capsys.readouterr().err


def test_a_lesson_of_ones_own_is_played(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = folder / "mine.yaml"
    path.write_text(LESSON, encoding="utf-8")
    typed(monkeypatch, "look at the drive belts", "it is a slipping belt 90%", "nothing")
    assert main(["practice", "play", str(path)]) == 0
    assert "The idea: Look first." in capsys.readouterr().out


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("belt_slip", "belt_slyp", "unknown cause"),
        ("slipping", "torn", "has no state"),
        ("moves: [belt_condition]", "moves: [belt]", "unknown finding"),
        ("title: ", "titel: ", "unknown key"),
        ("belt_condition: slipping", "belt_condition: good", "could not be solved"),
        ("source: memory", "source: nowhere", "unknown source"),
        ("source: memory", "root: oil_thin\nsource: memory", "has it behind it"),
        ("source: memory", "sheet: none\nsource: memory", "no engine sheet"),
        ("source: memory", "before: {cam_end_play: 9 psi}\nsource: memory", "with its unit"),
        ("source: memory", "before: {cam_end_play: 900 in}\nsource: memory", "no such reading"),
        ("faults: [belt_slip]", "faults: []", "at least one"),
    ],
)
def test_a_bad_lesson_is_told_with_its_place(
    folder: Path, old: str, new: str, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    path = folder / "mine.yaml"
    path.write_text(LESSON.replace(old, new), encoding="utf-8")
    assert main(["practice", "play", str(path)]) == 1
    assert told in (err := capsys.readouterr().err) and f"{path}:" in err


LESSON = """\
id: mine
title: Mine
idea: look
teaches: To look.
opening: It squeals.
known: {noise_squeal: present}
faults: [belt_slip]
moves: [belt_condition]
answers: {belt_condition: slipping}
takeaway: Look first.
source: memory
"""


TOY_LESSON = """\
id: toy
title: Toy
idea: look
teaches: To look.
opening: It hums.
known: {hum: present}
faults: [b]
moves: [gap]
takeaway: Look.
source: memory
"""


def problems(folder: Path, text: str, name: str = "toy") -> list[str]:
    path = write_rules(folder, {f"lessons/{name}.yaml": text})
    book, found = read_folder(path)
    return [p.code for p in found + problems_across(book)]


def test_the_checker_of_the_rule_base_reads_lessons(folder: Path) -> None:
    assert problems(folder / "a", TOY_LESSON) == []
    assert problems(folder / "b", TOY_LESSON, "other") == ["id_not_file_name"]
    assert problems(folder / "c", TOY_LESSON.replace("[b]", "[bb]")) == ["unknown_cause"]
    assert problems(folder / "d", TOY_LESSON.replace("title", "titel")) == [
        "missing_key",
        "unknown_key",
    ]

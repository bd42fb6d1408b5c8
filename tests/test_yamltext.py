"""Rule text: what is a number and what stays text, and where everything stands."""

from pathlib import Path

import pytest

from diagnose.knowledge.problems import Place, Problem
from diagnose.knowledge.yamltext import Document, read


def document(tmp_path: Path, text: str) -> Document:
    path = tmp_path / "x.yaml"
    path.write_text(text, encoding="utf-8")
    return read(path, "rules/x.yaml")


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("no", "no"),
        ("off", "off"),
        ("yes", "yes"),
        ("12:30", "12:30"),
        ("010", "010"),
        ("1e3", "1e3"),
        ("2026-01-01", "2026-01-01"),
        ("~", "~"),
        ("1-8-4-3-6-5-7-2", "1-8-4-3-6-5-7-2"),
        ("0x10", "0x10"),
        ("1_000", "1_000"),
        ("'7'", "7"),
        ('"true"', "true"),
        ("true", True),
        ("null", None),
        ("7", 7),
        ("-7", -7),
        ("0.010", 0.01),
        ("-1.5", -1.5),
    ],
)
def test_only_plain_figures_and_true_false_null_are_not_text(
    text: str, value: object, tmp_path: Path
) -> None:
    found = document(tmp_path, f"a: {text}\n").data["a"]
    assert (found, type(found)) == (value, type(value))


def test_every_key_and_item_knows_its_place(tmp_path: Path) -> None:
    found = document(tmp_path, "a:\n  - b: 1\n    c: [x, y]\n")
    places = {p: (found.place(p).line, found.place(p).column) for p in found.places}
    assert places == {
        (): (1, 1),
        ("a",): (1, 1),
        ("a", 0): (2, 5),
        ("a", 0, "b"): (2, 5),
        ("a", 0, "c"): (3, 5),
        ("a", 0, "c", 0): (3, 9),
        ("a", 0, "c", 1): (3, 12),
    }


def test_what_is_not_there_is_placed_at_what_is_around_it(tmp_path: Path) -> None:
    found = document(tmp_path, "a:\n  - b: 1\n")
    assert found.place(("a", 0, "missing")) == Place("rules/x.yaml", 2, 5)


def test_a_key_given_twice_is_refused_and_the_first_is_kept(tmp_path: Path) -> None:
    found = document(tmp_path, "a: 1\nb: 2\na: 3\n")
    assert found.data == {"a": 1, "b": 2}
    assert found.problems == [Problem("duplicate_key", Place("rules/x.yaml", 3, 1), ("a",))]


def test_a_text_that_breaks_off_is_placed_where_it_does(tmp_path: Path) -> None:
    (problem,) = document(tmp_path, "a: [1\nb: 2\n").problems
    assert (problem.code, problem.place) == ("not_yaml", Place("rules/x.yaml", 2, 2))


@pytest.mark.parametrize("text", ["", "# only a comment\n"])
def test_an_empty_file_holds_nothing(text: str, tmp_path: Path) -> None:
    assert document(tmp_path, text).data is None


def test_a_file_that_is_not_text_is_a_problem_and_no_crash(tmp_path: Path) -> None:
    (tmp_path / "x.yaml").write_bytes(b"\xff\xfe\x00")
    (problem,) = read(tmp_path / "x.yaml", "rules/x.yaml").problems
    assert problem.code == "unreadable_file"


def test_a_file_that_is_gone_is_a_problem_and_no_crash(tmp_path: Path) -> None:
    (problem,) = read(tmp_path / "gone.yaml", "rules/gone.yaml").problems
    assert problem.code == "unreadable_file"

"""Loading the rule base: everything in its place, whatever the order of the files."""

import random
from pathlib import Path

import pytest
from rule_files import FILES, write_rules

from diagnose.knowledge.load import (
    conversations_folder,
    load_knowledge,
    read_folder,
    rules_folder,
)
from diagnose.knowledge.problems import KnowledgeError


def shuffled(paths: list[Path]) -> list[Path]:
    return random.Random(3).sample(sorted(paths), len(paths))


def test_every_kind_of_record_is_there(tmp_path: Path) -> None:
    found = load_knowledge(write_rules(tmp_path))
    assert (list(found.causes), list(found.findings)) == (["a", "b", "c"], ["gap", "hum", "lamp"])
    assert (list(found.checks), list(found.sheets)) == (["listen", "look", "measure"], ["plain"])
    assert (list(found.rules), list(found.cautions)) == (
        ["dark_and_hum", "gap_when_dark"],
        ["hands_off"],
    )


def test_system_and_topic_come_from_folder_and_file(tmp_path: Path) -> None:
    found = load_knowledge(write_rules(tmp_path))
    assert (found.causes["a"].system, found.findings["hum"].topic) == ("box", "box")


def test_one_action_alone_needs_no_list(tmp_path: Path) -> None:
    found = load_knowledge(write_rules(tmp_path))
    assert found.rules["gap_when_dark"].then == ({"invalid": "gap"},)


def test_a_finding_knows_its_normal_state_and_what_can_be_told(tmp_path: Path) -> None:
    found = load_knowledge(write_rules(tmp_path)).findings
    assert [found[f].normal for f in ("hum", "lamp", "gap")] == ["absent", "lit", "ok"]
    assert found["gap"].known_states == ("low", "ok", "high")


def test_a_sheet_gives_its_limit_or_none(tmp_path: Path) -> None:
    sheet = load_knowledge(write_rules(tmp_path)).sheets["plain"]
    limit = sheet.limit("gap")
    assert limit is not None
    assert (limit.low, limit.high, sheet.limit("lamp")) == (1.2, 1.8, None)


@pytest.mark.parametrize("folder", [None, rules_folder()], ids=["made up", "shipped"])
def test_the_order_of_the_files_changes_nothing(folder: Path | None, tmp_path: Path) -> None:
    folder = folder or write_rules(tmp_path)
    one = load_knowledge(folder)._replace(digest="")  # of the copy, not of what is in it
    two = read_folder(folder, shuffled)[0].knowledge()
    assert one == two
    assert list(one.causes) == list(two.causes)


def test_problems_are_sorted_by_place_and_say_where(tmp_path: Path) -> None:
    text = FILES["causes/box/b.yaml"]
    spoiled = text.replace("remedy:", "remedi:").replace("how_often: always", "how_often: aye")
    with pytest.raises(KnowledgeError) as caught:
        load_knowledge(write_rules(tmp_path, {"causes/box/b.yaml": spoiled}))
    places = [p.place for p in caught.value.problems]
    assert places == sorted(places)
    assert all(line.startswith("rules/") for line in str(caught.value).splitlines())


@pytest.mark.parametrize(
    ("file", "text", "code"),
    [
        ("findings/extra.yaml", "- a\n- b\n", "wrong_type"),
        ("findings/extra.yaml", "", "wrong_type"),
        ("findings/extra.yaml", "lamps: []\n", "unknown_key"),
        ("findings/extra.yaml", "findings: many\n", "unknown_key"),
        ("checks/extra.yaml", "checks: [soon]\n", "wrong_type"),
        ("causes/box/d.yaml", "text\n", "wrong_type"),
    ],
)
def test_a_file_of_another_shape_is_reported(
    file: str, text: str, code: str, tmp_path: Path
) -> None:
    folder = write_rules(tmp_path)
    (folder / file).write_text(text, encoding="utf-8")
    _, problems = read_folder(folder)
    assert [p.code for p in problems] == [code]


def test_the_shipped_folders_are_found() -> None:
    assert (rules_folder() / "words.yaml").is_file()
    assert conversations_folder().is_dir()


def test_the_shipped_rule_base_has_no_problems() -> None:
    assert load_knowledge().causes

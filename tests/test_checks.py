"""Every kind of mistake in a rule file is reported with its code and its place."""

from pathlib import Path

import pytest
from rule_files import FILES, cause, write_rules

from diagnose.knowledge.checks import problems_across
from diagnose.knowledge.load import load_knowledge, read_folder
from diagnose.knowledge.problems import SENTENCES, KnowledgeError, Place, Problem

B = "causes/box/b.yaml"
FIND, CHECK, RULE, SHEET = (
    "findings/box.yaml",
    "checks/box.yaml",
    "chaining/box.yaml",
    "engines/plain.yaml",
)

# code: file, what is replaced, by what, the line it is reported on
# ruff: noqa: E501
BAD = {
    "band_upside_down": (FIND, "possible: {low: 0, high: 50", "possible: {low: 60, high: 50", 36),
    "cause_alike": (B, FILES[B], cause("b", "lamp", "dark"), 5),
    "cause_never_falls": (B, "how_often: always", "how_often: sometimes", 5),
    "cause_unreachable": (B, "how_often: always", "how_often: seldom", 5),
    "confirm_not_a_sign": (B, "confirm: {finding: gap, state: high", "confirm: {finding: gap, state: low", 11),
    "duplicate_key": (B, "remedy: Mend it.", "remedy: Mend it.\nremedy: Again.", 13),
    "id_not_file_name": (B, "id: b\n", "id: bb\n", 1),
    "id_repeated": (FIND, "- id: lamp", "- id: hum", 14),
    "missing_key": (B, "remedy: Mend it.\n", "", 1),
    "not_yaml": (B, "remedy: Mend it.", "remedy: [Mend", 13),
    "phrase_shared": (FIND, "dark: [lamp out]", "dark: [lamp glows]", 25),
    "settled_twice": (CHECK, "settles: [gap]", "settles: [gap, lamp]", 6),
    "states_over_one": (B, "confirm:", "  - {finding: gap, state: low, how_often: usually, because: x, source: memory}\nconfirm:", 11),
    "two_signs_for_two_states": (
        B,
        "confirm:",
        "  - {finding: hum, state: absent, how_often: sometimes, because: x, source: memory}\n"
        "  - {finding: hum, state: present, how_often: sometimes, because: x, source: memory}\nconfirm:",
        12,
    ),
    "unit_of_other_kind": (SHEET, "unit: mm", "unit: psi", 6),
    "unknown_access": (CHECK, "access: running", "access: runing", 2),
    "unknown_action": (RULE, "{invalid: gap}", "{forget: gap}", 9),
    "unknown_caution": (RULE, "caution: hands_off", "caution: hand_off", 4),
    "unknown_cause": (B, "confirm:", "behind_it:\n  - {cause: d, because: x}\nconfirm:", 12),
    "unknown_condition": (RULE, "lamp is dark, hum", "lamp dark, hum", 3),
    "unknown_finding": (B, "recheck: [gap]", "recheck: [gab]", 14),
    "unknown_key": (B, "remedy:", "remdy: x\nremedy:", 12),
    "unknown_note": (RULE, "lamp is dark, hum", "note nowhere, hum", 3),
    "unknown_source": (B, "because: It does that\n    source: memory", "because: x\n    source: boook", 10),
    "unknown_state": (RULE, "hum is present", "hum is loud", 3),
    "unknown_word": (B, "after_build: seldom", "after_build: seldomly", 4),
    "unsettled": (CHECK, "settles: [hum]", "settles: []", 2),
    "wrong_type": (B, "minutes: 30", "minutes: half an hour", 13),
}  # fmt: skip
ELSEWHERE = {"missing_file", "unreadable_file", "rule_refused"}


def problems_of(folder: Path) -> list[Problem]:
    book, problems = read_folder(folder)
    return problems + problems_across(book)


def test_the_toy_rule_base_has_no_problems(tmp_path: Path) -> None:
    assert problems_of(write_rules(tmp_path)) == []


@pytest.mark.parametrize("code", BAD)
def test_a_mistake_is_reported_with_its_code_and_line(code: str, tmp_path: Path) -> None:
    file, old, new, line = BAD[code]
    spoiled = FILES[file].lstrip("\n").replace(old, new, 1)
    assert spoiled != FILES[file].lstrip("\n")
    found = problems_of(write_rules(tmp_path, {file: spoiled}))
    places = {(p.code, p.place.line) for p in found}
    assert (code, line) in places, [p.sentence for p in found]


def test_every_code_has_a_sentence_and_a_bad_sample() -> None:
    assert set(BAD) | ELSEWHERE == set(SENTENCES)


def test_all_problems_of_all_files_are_reported_together(tmp_path: Path) -> None:
    changed = {
        file: FILES[file].lstrip("\n").replace(old, new, 1)
        for file, old, new, _ in (BAD["unknown_word"], BAD["unknown_state"], BAD["unknown_access"])
    }
    with pytest.raises(KnowledgeError) as caught:
        load_knowledge(write_rules(tmp_path, changed))
    codes = {p.code for p in caught.value.problems}
    assert codes >= {"unknown_word", "unknown_state", "unknown_access"}


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    found = problems_of(write_rules(tmp_path, {"sources.yaml": None}))
    assert Problem("missing_file", Place("sources.yaml", 1, 1), ("the rule base",)) in found


def test_a_file_that_is_not_text_is_named(tmp_path: Path) -> None:
    folder = write_rules(tmp_path)
    (folder / "causes/box/d.yaml").write_bytes(b"\xff\xfe\x00id")
    assert [p.code for p in problems_of(folder)] == ["unreadable_file"]


def test_a_sentence_reads_file_line_column_what_and_what_would_be_right(tmp_path: Path) -> None:
    file, old, new, _ = BAD["unknown_finding"]
    spoiled = FILES[file].replace(old, new)
    (problem,) = problems_of(write_rules(tmp_path, {file: spoiled}))
    assert problem.sentence == (
        "rules/causes/box/b.yaml:14:11: unknown finding 'gab'; did you mean 'gap'?"
    )


def test_yes_no_and_odd_numbers_stay_text(tmp_path: Path) -> None:
    from diagnose.knowledge.yamltext import read

    path = tmp_path / "x.yaml"
    path.write_text("a: no\nb: 12:30\nc: 010\nd: 0.010\ne: true\nf: 1e3\n", encoding="utf-8")
    expected = {"a": "no", "b": "12:30", "c": "010", "d": 0.01, "e": True, "f": "1e3"}
    assert read(path, "x.yaml").data == expected

"""Every kind of mistake in a rule file is reported with its code and its place."""

import random
from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml
from rule_files import FILES, cause, write_rules

from diagnose.cases.assess import load_workbench
from diagnose.cli.main import main
from diagnose.knowledge.checks import problems_across
from diagnose.knowledge.load import load_knowledge, read_folder
from diagnose.knowledge.problems import SENTENCES, KnowledgeError, Place, Problem
from diagnose.reasoning.building import build_program
from diagnose.reasoning.network import build_network

B = "causes/box/b.yaml"
WORDS = "words.yaml"
FIND, CHECK, RULE, SHEET = (
    "findings/box.yaml",
    "checks/box.yaml",
    "chaining/box.yaml",
    "engines/plain.yaml",
)

GLOW = """  - id: glow
    title: A glow
    kind: state
    states: [absent, present]
    nature: effect
    background: {present: some}
    source: memory
    ask: Does it glow?
    say: {absent: no glow, present: a glow}
    phrases:
      absent: [dull box]
      present: [glowing box]
"""

# code: file, what is replaced, by what, the line and column it is reported at
# ruff: noqa: E501
BAD = {
    "band_upside_down": (FIND, "possible: {low: 0, high: 50", "possible: {low: 60, high: 50", "36:5"),
    "band_with_hole": (SHEET, "unit: mm,", "unit: mm, target_low: 1.4,", "6:5"),
    "bands_at_odds": (SHEET, "unit: mm,", "unit: mm, target_low: 1, target_high: 1.5,", "6:5"),
    "cause_alike": (B, FILES[B], cause("b", "lamp", "dark"), "5:1"),
    "cause_never_falls": (B, "how_often: always", "how_often: sometimes", "5:1"),
    "cause_unreachable": (B, "how_often: always", "how_often: seldom", "5:1"),
    "cause_unconfirmed": (B, "how_often: always", "how_often: seldom", "11:1"),
    "confirm_not_a_sign": (B, "confirm: {finding: gap, state: high", "confirm: {finding: gap, state: low", "11:1"),
    "duplicate_key": (B, "remedy: Mend it.", "remedy: Mend it.\nremedy: Again.", "13:1"),
    "finding_unused": (FIND, "  - id: lamp", GLOW + "  - id: lamp", "14:5"),
    "id_not_file_name": (B, "id: b\n", "id: bb\n", "1:1"),
    "id_repeated": (FIND, "- id: lamp", "- id: hum", "14:5"),
    "missing_key": (B, "remedy: Mend it.\n", "", "1:1"),
    "not_yaml": (B, "remedy: Mend it.", "remedy: [Mend", "13:7"),
    "phrase_shared": (FIND, "dark: [lamp out]", "dark: [lamp glows]", "25:14"),
    "settled_twice": (CHECK, "settles: [gap]", "settles: [gap, lamp]", "6:50"),
    "sign_not_applicable": (B, "signs:", "only_if: [gap is not high]\nsigns:", "7:5"),
    "states_over_one": (B, "confirm:", "  - {finding: gap, state: low, how_often: usually, because: x, source: memory}\nconfirm:", "11:5"),
    "two_signs_for_two_states": (
        B,
        "confirm:",
        "  - {finding: hum, state: absent, how_often: sometimes, because: x, source: memory}\n"
        "  - {finding: hum, state: present, how_often: sometimes, because: x, source: memory}\nconfirm:",
        "12:5",
    ),
    "unit_of_other_kind": (SHEET, "unit: mm", "unit: psi", "6:41"),
    "unknown_access": (CHECK, "access: running", "access: runing", "2:49"),
    "unknown_action": (RULE, "{invalid: gap}", "{forget: gap}", "9:5"),
    "unknown_caution": (RULE, "caution: hands_off", "caution: hand_off", "4:5"),
    "unknown_cause": (B, "confirm:", "behind_it:\n  - {cause: d, because: x}\nconfirm:", "12:6"),
    "unknown_condition": (RULE, "lamp is dark, hum", "lamp dark, hum", "3:12"),
    "unknown_finding": (B, "recheck: [gap]", "recheck: [gab]", "14:11"),
    "unknown_key": (B, "remedy:", "remdy: x\nremedy:", "12:1"),
    "unknown_note": (RULE, "lamp is dark, hum", "note nowhere, hum", "3:12"),
    "unknown_source": (B, "because: It does that\n    source: memory", "because: x\n    source: boook", "10:5"),
    "unknown_state": (RULE, "hum is present", "hum is loud", "3:26"),
    "unknown_word": (B, "after_build: seldom", "after_build: seldomly", "4:14"),
    "unsettled": (CHECK, "settles: [hum]", "settles: []", "2:5"),
    "wrong_type": (B, "minutes: 30", "minutes: half an hour", "13:27"),
}  # fmt: skip
ELSEWHERE = {
    "missing_file",
    "unreadable_file",
    "rule_refused",
    "cause_never_first",
    "state_unheard",
}


def problems_of(folder: Path) -> list[Problem]:
    book, problems = read_folder(folder)
    return problems + problems_across(book)


def test_the_toy_rule_base_has_no_problems(tmp_path: Path) -> None:
    assert problems_of(write_rules(tmp_path)) == []


@pytest.mark.parametrize("code", BAD)
def test_a_mistake_is_reported_with_its_code_and_place(code: str, tmp_path: Path) -> None:
    file, old, new, place = BAD[code]
    spoiled = FILES[file].lstrip("\n").replace(old, new, 1)
    assert spoiled != FILES[file].lstrip("\n")
    found = problems_of(write_rules(tmp_path, {file: spoiled}))
    places = {(p.code, str(p.place)) for p in found}
    assert any(c == code and at.endswith(f":{place}") for c, at in places), places


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


# further mistakes: code, file, what is replaced, by what, the line and column
MORE = [
    ("unit_of_other_kind", FIND, "high: 50, unit: mm", "high: 50, unit: furlong", "36:34"),
    ("unit_of_other_kind", FIND, "    unit: mm\n", "    unit: psi\n", "35:5"),
    ("missing_key", FIND, "    unit: mm\n", "", "26:5"),
    ("missing_key", FIND, "say: {absent: no hum, present", "say: {present", "10:5"),
    ("missing_key", FIND, "      lit: [lamp glows]\n", "", "23:5"),
    ("missing_key", FIND, "background: {low: rare, high: rare}", "background: {low: rare}", "32:5"),
    ("wrong_type", FIND, "states: [absent, present]", "states: [absent]", "5:5"),
    ("wrong_type", FIND, "kind: reading", "kind: number", "28:5"),
    ("wrong_type", FIND, "nature: effect", "nature: guess", "6:5"),
    ("wrong_type", FIND, "u: 0.05", "u: -0.05", "38:13"),
    ("wrong_type", CHECK, "misread: 0.05", "misread: 5", "3:51"),
    ("wrong_type", CHECK, "minutes: 5,", "minutes: -5,", "6:68"),
    ("wrong_type", RULE, "when: [lamp is dark, hum is present]", "when: []", "3:5"),
    ("wrong_type", WORDS, "often: 0.6", "often: 6", "1:69"),
    ("wrong_type", WORDS, "tempering: 0.9", "tempering: little", "10:3"),
    ("wrong_type", "sources.yaml", "sources:\n  book:", "sources:\n  - book:", "1:1"),
    ("missing_key", WORDS, "  tempering: 0.9\n", "", "5:1"),
    ("missing_key", WORDS, "sums: {}", "sums:\n  x: {reading: gap, plate: gap}", "28:3"),
    ("unknown_key", WORDS, "strength:", "strengths:", "4:1"),
    ("unknown_finding", WORDS, "sums: {}", "sums: {x: {reading: gab, plate: gap, spacer: gap}}", "27:12"),
    ("unknown_word", B, "recheck:", "work_out: box_sum\nrecheck:", "14:1"),
    ("unknown_finding", RULE, "{invalid: gap}", "{contradiction: [gap, gab]}", "9:5"),
    ("unknown_state", SHEET, "fitted: []", "fitted: [{finding: lamp, state: off, source: book}]", "4:10"),
    ("id_not_file_name", SHEET, "id: plain", "id: fancy", "1:1"),
    ("band_with_hole", SHEET, "low: 1.2, high: 1.8, ", "", "6:5"),
    ("band_with_hole", FIND, "possible: {low: 0, high: 50", "possible: {low: 0, high: 1.5", "37:5"),
    ("bands_at_odds", SHEET, "unit: mm,", "unit: mm, wear_limit: 1.5,", "6:5"),
    ("band_upside_down", SHEET, "high: 1.8,", "high: 1.8, target_low: 2, target_high: 1,", "6:5"),
]  # fmt: skip


@pytest.mark.parametrize(("code", "file", "old", "new", "place"), MORE)
def test_further_mistakes_are_reported_too(
    code: str, file: str, old: str, new: str, place: str, tmp_path: Path
) -> None:
    spoiled = FILES[file].lstrip("\n").replace(old, new, 1)
    assert spoiled != FILES[file].lstrip("\n")
    found = problems_of(write_rules(tmp_path, {file: spoiled}))
    places = {(p.code, str(p.place)) for p in found}
    assert any(c == code and at.endswith(f"{file}:{place}") for c, at in places), places


RULED_OUT = """  - id: out
    when: [gap is high]
    then: {rules_out: b}
    because: It can not be wide
    source: memory
"""


@pytest.mark.parametrize(
    ("code", "file", "text", "place"),
    [
        ("cause_unconfirmed", CHECK, FILES[CHECK].replace("settles: [gap]", "settles: []"), "11:1"),
        ("sign_not_applicable", RULE, FILES[RULE] + RULED_OUT, "6:5"),
    ],
)
def test_what_another_file_takes_from_a_cause_is_reported_at_the_cause(
    code: str, file: str, text: str, place: str, tmp_path: Path
) -> None:
    found = problems_of(write_rules(tmp_path, {file: text}))
    assert (code, f"rules/{B}:{place}") in {(p.code, str(p.place)) for p in found}


def test_a_broken_table_of_words_is_reported_alone(tmp_path: Path) -> None:
    spoiled = FILES[WORDS].replace("often: 0.6", "often: 6")
    (problem,) = problems_of(write_rules(tmp_path, {WORDS: spoiled}))
    assert problem.values == ("6.0", "a share between 0 and 1 is expected")


def test_a_rule_that_can_not_be_run_is_named(tmp_path: Path) -> None:
    circle = """  - id: circle
    when: [hum is not known]
    then: {derive: hum, state: present}
    because: It bites its tail
    source: memory
"""
    folder = write_rules(tmp_path, {RULE: FILES[RULE] + circle})
    with pytest.raises(KnowledgeError, match="rules/chaining/box.yaml:1:1: the rule 'circle'"):
        load_workbench(folder=folder)


def test_a_cause_that_can_never_come_first_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    weaker = cause("b", "lamp", "dark").replace("how_often: always", "how_often: often")
    assert main(["knowledge", "check", str(write_rules(tmp_path, {B: weaker}))]) == 1
    wanted = "rules/causes/box/b.yaml:5:1: with all its usual signs 'b' stays behind 'a'"
    assert wanted in capsys.readouterr().err


def test_a_state_that_no_phrase_reaches_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spoiled = FILES[FIND].replace("dark: [lamp out]", "dark: [it is]")
    folder = write_rules(tmp_path, {FIND: spoiled})
    assert main(["knowledge", "check", "--phrases", str(folder)]) == 1
    assert "25:7: no phrase of 'lamp' is heard as 'dark'" in capsys.readouterr().err


ODD = [None, True, -1, 2.5, "odd", "odd is odd", [], ["odd"], {}, {"odd": 1}]


@pytest.mark.parametrize("file", FILES)
def test_no_odd_value_anywhere_breaks_the_checking(file: str, tmp_path: Path) -> None:
    """What is accepted can be built into a network and a program; the rest is reported."""
    folder = write_rules(tmp_path)
    plain = yaml.safe_load(FILES[file])
    rng = random.Random(file)
    paths = list(paths_in(plain))
    for path in rng.choices(paths, k=12):
        spoiled = replaced(plain, path, rng.choice(ODD))
        (folder / file).write_text(yaml.safe_dump(spoiled, sort_keys=False), encoding="utf-8")
        book, problems = read_folder(folder)
        problems += problems_across(book)
        assert all(p.sentence for p in problems)
        assert problems or build_network(book.knowledge()) and build_program(book.knowledge())


def paths_in(data: object, path: tuple[object, ...] = ()) -> Iterator[tuple[object, ...]]:
    """The way to every value within a value."""
    pairs = data.items() if isinstance(data, dict) else ()
    pairs = enumerate(data) if isinstance(data, list) else pairs
    yield path
    for key, value in pairs:
        yield from paths_in(value, (*path, key))


def replaced(data: object, path: tuple[object, ...], value: object) -> object:
    """The data with another value at the end of the path."""
    if not path:
        return value
    copy = data.copy()
    copy[path[0]] = replaced(data[path[0]], path[1:], value)
    return copy


@pytest.mark.parametrize(
    ("file", "old", "new", "code"),
    [
        (FIND, "  - id: lamp\n", "  - id: lamp\n    id: lamp\n", "duplicate_key"),
        (FIND, "    kind: reading\n", "    kind: number\n", "wrong_type"),
        (B, "title: Cause b\n", "", "missing_key"),
    ],
)
def test_a_file_that_can_not_be_used_is_told_alone_and_not_all_that_names_it(
    file: str, old: str, new: str, code: str, tmp_path: Path
) -> None:
    spoiled = FILES[file].lstrip("\n").replace(old, new, 1)
    found = problems_of(write_rules(tmp_path, {file: spoiled}))
    assert [p.code for p in found] == [code]

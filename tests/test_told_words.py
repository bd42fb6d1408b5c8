"""Words counted in messages: what is listed, what may not stand there, and what it changes."""

from __future__ import annotations

import importlib.util
import json
import subprocess
import sys
from collections.abc import Container
from functools import cache
from pathlib import Path

import pytest
import yaml
from rule_files import write_rules

from diagnose.cli.talk import new_conversation
from diagnose.knowledge.load import load_knowledge, rules_folder
from diagnose.knowledge.model import Told
from diagnose.knowledge.problems import KnowledgeError
from diagnose.language.index import load_index
from diagnose.language.subjects import build_subjects, nearness

SCRIPT = Path(__file__).parent / "benchmarks" / "told_words.py"
SPEC = importlib.util.spec_from_file_location("told_words", SCRIPT)
assert SPEC is not None and SPEC.loader is not None
script = importlib.util.module_from_spec(SPEC)
SPEC.loader.exec_module(script)
KNOWLEDGE = load_knowledge()
INDEX = load_index(KNOWLEDGE)
CAUSE, OTHER = "cam_lobe_worn", "exhaust_leak"


@cache
def own() -> Container[str]:
    """Made where it is asked for, not where the tests are only collected: it takes its time."""
    found: Container[str] = script.own_words(KNOWLEDGE, INDEX)
    return found


def told(words: str, cause: str = "a", messages: int = 4, source: str = "memory") -> str:
    return (
        f"told:\n  - {{id: {cause}, messages: {messages}, source: {source}, words: {{{words}}}}}\n"
    )


def counted(tmp_path: Path, *said: str) -> dict[str, int]:
    file = tmp_path / "messages.jsonl"
    file.write_text("".join(json.dumps({"said": s, "accept": [CAUSE]}) + "\n" for s in said))
    rows = [json.loads(line) for line in file.read_text().splitlines()]
    listed = "\n".join(script.listed(*script.counted(rows, own(), INDEX)))
    (row,) = yaml.safe_load(listed)["told"] or [{"words": {}}]
    return dict(row["words"])


def test_a_word_is_listed_that_three_messages_share_once_for_each(tmp_path: Path) -> None:
    said = ("the lobe, the lobe is flat", "one lobes gone and it ticks", "lobe ticks", "Zebulon!")
    assert counted(tmp_path, *said) == {"lobe": 3}


def test_a_word_no_cause_has_is_not_listed_however_often(tmp_path: Path) -> None:
    said = [f"Zebulon ticks on lobe {n}" for n in ("one", "two", "three")]
    assert set(counted(tmp_path, *said)) == {"ticks", "lobe"}


def test_a_cause_the_rule_base_has_not_is_named(tmp_path: Path) -> None:
    file = tmp_path / "messages.jsonl"
    file.write_text('{"said": "hm", "accept": ["gremlin"]}\n')
    run = subprocess.run([sys.executable, str(SCRIPT), str(file)], capture_output=True, text=True)
    assert run.returncode == 1 and run.stderr.strip() == "the rule base has no cause gremlin"


@pytest.mark.parametrize(
    ("text", "code", "place"),
    [
        (told("hum: 3", cause="x"), "unknown_cause", "2:6"),
        (told("hum: 3", source="leaflet"), "unknown_source", "2:26"),
        (told("hum: 5"), "wrong_type", "2:50"),
        (told("hum: 0"), "wrong_type", "2:50"),
        (told("hum: often"), "wrong_type", "2:50"),
        (told("hum: 3").replace("messages: 4, ", ""), "missing_key", "2:5"),
    ],
)
def test_what_can_not_be_counted_is_told_with_its_place(
    text: str, code: str, place: str, tmp_path: Path
) -> None:
    with pytest.raises(KnowledgeError) as caught:
        load_knowledge(write_rules(tmp_path, {"told.yaml": text}))
    found = [(p.code, f"{p.place.line}:{p.place.column}") for p in caught.value.problems]
    assert found == [(code, place)]


SAID = "lobe and lifter and journal, a pushrod, the rocker and its spring, one valve, the chain"
LIFTED = dict.fromkeys(("lobe", "lifter", "journal", "pushrod", "rocker", "spring", "chain"), 30)
ELSEWHERE = {CAUSE: Told(CAUSE, 30, {"petrol": 30, "hose": 30}, "memory")}


def near(told: dict[str, Told]) -> dict[str, float]:
    subjects = build_subjects(KNOWLEDGE._replace(told=told), INDEX.words, INDEX.spelling)
    return nearness(SAID, subjects, INDEX.words, INDEX.spelling)


def test_counted_words_draw_a_message_to_their_cause() -> None:
    before, after = near(ELSEWHERE), near({OTHER: Told(OTHER, 30, LIFTED, "memory"), **ELSEWHERE})
    assert max(before, key=before.__getitem__) != OTHER
    assert max(after, key=after.__getitem__) == OTHER


def test_a_cause_nobody_counted_is_no_farther_than_one_whose_words_fit_a_little() -> None:
    """Not counted is not unheard of: what is missing stands at a share of its own words."""
    assert near({})[CAUSE] > near(ELSEWHERE)[CAUSE] > 0


def test_the_shipped_count_says_how_many_messages_and_shares_every_word() -> None:
    for row in KNOWLEDGE.told.values():
        assert min(row.words.values()) >= 3 and max(row.words.values()) <= row.messages


def test_every_cause_counted_is_one_the_ranking_has() -> None:
    file = yaml.safe_load((rules_folder() / "told.yaml").read_text("utf-8"))
    assert {row["id"] for row in file["told"]} <= set(new_conversation(None).bench.network.causes)


def test_a_word_that_yaml_has_its_own_meaning_for_stays_a_word(tmp_path: Path) -> None:
    assert counted(tmp_path, *["the true lobe is false"] * 3)["false"] == 3

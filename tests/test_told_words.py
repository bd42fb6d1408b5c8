"""Weights fitted to messages: what is listed, what may not stand there, and what they change."""

from __future__ import annotations

import importlib.util
import json
import math
import subprocess
import sys
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import yaml
from rule_files import write_rules

from diagnose.cli.talk import new_conversation
from diagnose.dialogue.conversation import Conversation
from diagnose.knowledge.load import load_knowledge, rules_folder
from diagnose.knowledge.model import Told
from diagnose.knowledge.problems import KnowledgeError
from diagnose.language.index import load_index
from diagnose.language.likeness import build_likeness, likeness
from diagnose.language.subjects import telling_stems
from diagnose.reasoning import ranking
from diagnose.reasoning.network import Network
from diagnose.reasoning.ranking import Ranking

SCRIPT = Path(__file__).parent / "benchmarks" / "told_words.py"
SPEC = importlib.util.spec_from_file_location("told_words", SCRIPT)
assert SPEC is not None and SPEC.loader is not None
script = importlib.util.module_from_spec(SPEC)
sys.modules["told_words"] = script
SPEC.loader.exec_module(script)
KNOWLEDGE = load_knowledge()
INDEX = load_index(KNOWLEDGE)
CAUSE, OTHER = "cam_lobe_worn", "exhaust_leak"
SAID = "lobe and lifter and journal, a pushrod, the rocker and its spring, one valve, the chain"
WORDS = ("lobe", "lifter", "journal", "pushrod", "rocker", "spring", "valve", "chain")


def told(words: str, cause: str = "a", source: str = "memory", shown: str = "") -> str:
    return (
        f"told:\n  - {{id: {cause}, messages: 4, source: {source}, words: {{{words}}},"
        f" shown: {{{shown}}}}}\n"
    )


@cache
def fitted(*said: str) -> str:
    """The rule file for these messages of one cause, and as many of another."""
    rows = [{"said": s, "accept": [CAUSE]} for s in said]
    rows += [{"said": "it is the exhaust manifold", "accept": [OTHER]}] * len(said)
    causes, messages = script.read_messages(rows)
    fit = script.fit(causes, messages)
    return "\n".join(script.listed(fit, script.spellings(rows, INDEX), messages))


def words_of(file: str, cause: str = CAUSE) -> dict[str, float]:
    rows = yaml.safe_load(file)["told"] or []
    return next((dict(row["words"]) for row in rows if row["id"] == cause), {})


def test_a_word_is_listed_that_three_messages_of_a_cause_share() -> None:
    rest = "with lifter and journal and rocker and spring and valve"
    found = words_of(fitted(f"lobe {rest}", f"lobes {rest}", f"lobe, lobe {rest} and chain"))
    assert found["lobe"] > 0 and "chain" not in found


def test_a_word_no_cause_has_is_not_listed_however_often() -> None:
    rest = "lobe lifter journal rocker spring valve"
    found = words_of(fitted(*(f"Zebulon {n} {rest}" for n in ("one", "two", "three"))))
    assert found and "zebulon" not in found


def test_a_word_that_yaml_has_its_own_meaning_for_stays_a_word() -> None:
    rest = "is false and lobe lifter journal rocker spring valve"
    assert "false" in words_of(fitted(*(f"the true mark {rest} {n}" for n in ("a", "b", "c"))))


def test_the_weights_are_the_best_there_are() -> None:
    """Karush, Kuhn and Tucker's conditions of the least loss (Boyd and Vandenberghe, "Convex
    Optimization", 5.5.3): no slope at a weight above zero, none down where one is zero."""
    rng = np.random.default_rng(4)
    what = np.abs(rng.normal(size=(60, 5))) / 3
    beside = rng.normal(size=(60, 3))
    wanted = np.eye(3)[rng.integers(0, 3, 60)]
    shared = np.ones((5, 3), bool)
    shared[0, 0] = False
    counts = rng.choice([0.3, 1.0], size=(60, 1))
    weights = script._descend(what, beside, wanted, (shared, counts))
    odds = np.exp(beside + what @ weights)
    chances = odds / odds.sum(axis=1, keepdims=True)
    slope = what.T @ (counts * (chances - wanted)) + script._RIDGE * weights
    free, held = shared & (weights > 0), shared & (weights == 0)
    assert free.any() and held.any() and weights[0, 0] == 0
    assert np.abs(slope[free]).max() < 1e-3 and slope[held].min() > -1e-3


def test_the_program_weighs_a_message_as_the_fit_did() -> None:
    rest = "lifter journal rocker spring valve chain"
    rows = [{"said": f"the lobe ticks, {rest}, {n}", "accept": [CAUSE]} for n in ("a", "b", "c")]
    rows += [{"said": f"the manifold hisses, {rest}", "accept": [OTHER]}] * 3
    causes, messages = script.read_messages(rows)
    fit = script.fit(causes, messages)
    fitted = script._matrix(messages[:1], fit.traits) @ fit.weights.round(1)
    listed = yaml.safe_load("\n".join(script.listed(fit, script.spellings(rows, INDEX), messages)))
    ones = {row["id"]: Told(**row) for row in listed["told"]}
    weights = build_likeness(KNOWLEDGE._replace(told=ones), INDEX.words, INDEX.spelling)
    seen = [" ".join(trait) for trait in messages[0].traits if len(trait) > 1]
    found = likeness(telling_stems(rows[0]["said"], INDEX.words, INDEX.spelling), seen, weights)
    own = dict(zip(causes, fitted[0], strict=True))
    assert CAUSE in found and max(own, key=own.__getitem__) == CAUSE
    assert found == pytest.approx({c: x for c, x in own.items() if x > 0})


def test_a_message_from_memory_counts_less_than_one_that_was_met() -> None:
    rest = "lobe lifter journal rocker spring valve"
    rows = [{"said": f"{rest} {n}", "accept": [CAUSE]} for n in ("a", "b", "c")]
    rows += [{"said": "the manifold hisses", "accept": [OTHER]}] * 3
    weights = []
    for basis in ("confirmed", "memory"):
        causes, messages = script.read_messages([{**row, "basis": basis} for row in rows])
        weights.append(script.fit(causes, messages).weights.sum())
    assert 0 < weights[1] < weights[0]


def test_the_fit_knows_the_figures_of_the_program() -> None:
    settings = KNOWLEDGE.words.settings
    assert (settings["counted_beside"], ranking.FLOOR) == (script._BESIDE, script.FLOOR)


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
        (told("hum: 21"), "wrong_type", "2:50"),
        (told("hum: 0"), "wrong_type", "2:50"),
        (told("hum: -1"), "wrong_type", "2:50"),
        (told("hum: often"), "wrong_type", "2:50"),
        (told("hum: 1", shown="hiss present: 1"), "unknown_finding", "2:67"),
        (told("hum: 1", shown="gap high up: 1"), "wrong_type", "2:67"),
        (told("hum: 3").replace("messages: 4, ", ""), "missing_key", "2:5"),
        (told("hum: 3").replace("messages: 4", "messages: 0"), "wrong_type", "2:13"),
        (told("hum: 3").replace("messages: 4", "messages: -1"), "wrong_type", "2:13"),
    ],
)
def test_what_can_be_no_weight_is_told_with_its_place(
    text: str, code: str, place: str, tmp_path: Path
) -> None:
    with pytest.raises(KnowledgeError) as caught:
        load_knowledge(write_rules(tmp_path, {"told.yaml": text}))
    found = [(p.code, f"{p.place.line}:{p.place.column}") for p in caught.value.problems]
    assert found == [(code, place)]


def alike(told: dict[str, Told], text: str = SAID, seen: str = "") -> dict[str, float]:
    weights = build_likeness(KNOWLEDGE._replace(told=told), INDEX.words, INDEX.spelling)
    return likeness(telling_stems(text, INDEX.words, INDEX.spelling), [seen], weights)


def test_likeness_is_the_sum_of_the_weights_over_the_root_of_a_full_message() -> None:
    """Eight words of weight 2 against six of weight 1, in a message weighed as one of twenty."""
    ones = {CAUSE: Told(CAUSE, 30, dict.fromkeys(WORDS, 2.0), "memory")}
    ones |= {OTHER: Told(OTHER, 30, dict.fromkeys(WORDS[:6], 1.0), "memory")}
    found = alike(ones)
    assert found[CAUSE] == pytest.approx(16 / math.sqrt(20))
    assert found[OTHER] == pytest.approx(6 / math.sqrt(20))


def test_what_was_heard_is_weighed_beside_the_words_and_a_few_words_are_like_nothing() -> None:
    ones = {CAUSE: Told(CAUSE, 30, dict.fromkeys(WORDS, 2.0), "memory", {"noise_tick present": 4})}
    assert alike(ones, seen="noise_tick present")[CAUSE] > alike(ones)[CAUSE]
    assert alike(ones, text="lobe and lifter and valve") == {}


def ranked(told: dict[str, Told], *turns: str) -> tuple[Network, Ranking]:
    talk = new_conversation(None)
    index = talk.index
    weights = build_likeness(KNOWLEDGE._replace(told=told), index.words, index.spelling)
    talk = Conversation(talk.bench, index._replace(likeness=weights))
    for turn in turns:
        talk.say(turn)
    return talk.bench.network, talk.last.ranking


LIFTED = {OTHER: Told(OTHER, 30, dict.fromkeys(WORDS, 9.0), "memory")}


def test_a_message_like_those_of_a_cause_draws_it_to_the_front_and_answers_push_it_back() -> None:
    plain, drawn = ranked({}, SAID)[1], ranked(LIFTED, SAID)[1]
    assert drawn.ranked[0].cause == OTHER and plain.ranked[0].cause != OTHER
    later = ranked(LIFTED, SAID, "the exhaust does not leak, no knock, oil pressure is good")[1]
    assert later.p(OTHER) < drawn.p(OTHER)


def test_likeness_decides_neither_what_is_checked_nor_when_asking_ends() -> None:
    plain, drawn = ranked({}, SAID)[1], ranked(LIFTED, SAID)[1]
    assert (plain.shares, plain.certain) == (drawn.shares, drawn.certain)


def test_the_shipped_weights_are_of_causes_with_messages_enough() -> None:
    rows = KNOWLEDGE.told.values()
    assert len(rows) > 150
    assert all(row.messages + row.written >= script.LEAST and row.words for row in rows)


def test_every_cause_counted_is_one_the_ranking_has() -> None:
    file = yaml.safe_load((rules_folder() / "told.yaml").read_text("utf-8"))
    assert {row["id"] for row in file["told"]} <= set(new_conversation(None).bench.network.causes)


def test_rows_of_several_files_are_read_in_order(tmp_path: Path) -> None:
    for name in ("a", "b"):
        (tmp_path / name).write_text(json.dumps({"said": name, "accept": [CAUSE]}) + "\n\n")
    rows = script.read_rows([str(tmp_path / "b"), str(tmp_path / "a")], KNOWLEDGE)
    assert [row["said"] for row in rows] == ["b", "a"]

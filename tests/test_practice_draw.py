"""Drawn faults: the same for the same seed, and never against the rule base."""

import os
from collections.abc import Mapping

import pytest
from lengths import tries

from diagnose.cases.assess import Workbench, load_workbench
from diagnose.cases.log import Statement
from diagnose.cases.state import judged, limit_of
from diagnose.knowledge.conditions import parse
from diagnose.language.index import LanguageIndex, load_index
from diagnose.practice.drawing import NothingFits, draw
from diagnose.practice.scenario import LEVELS, Scenario
from diagnose.practice.stand import Stand
from diagnose.practice.truth import clash

# a full count is DIAGNOSE_DRAWS=2000
SEEDS = range(int(os.environ.get("DIAGNOSE_DRAWS", tries(40, 10))))


@pytest.fixture(scope="module")
def bench() -> Workbench:
    return load_workbench()


@pytest.fixture(scope="module")
def index(bench: Workbench) -> LanguageIndex:
    return load_index(bench.knowledge)


@pytest.fixture(scope="module")
def drawn(bench: Workbench) -> list[Scenario]:
    return [draw(bench, seed, seed % 5 + 1) for seed in SEEDS]


def test_the_same_seed_gives_the_same_engine(bench: Workbench, drawn: list[Scenario]) -> None:
    assert [draw(bench, seed, seed % 5 + 1) for seed in range(5)] == drawn[:5]


def test_a_level_that_does_not_exist_is_refused(bench: Workbench) -> None:
    with pytest.raises(NothingFits, match="no level 9"):
        draw(bench, 1, 9)


def test_no_engine_contradicts_a_rule(bench: Workbench, drawn: list[Scenario]) -> None:
    """No two findings that exclude each other, nothing that follows and is not so."""
    for one in drawn:
        found = clash(bench._replace(sheet=one.sheet), one.faults, one.truth)
        assert (found.together, found.follows, found.impossible) == ([], {}, set()), one.key


def test_every_fault_can_be_there_and_is_proved(bench: Workbench, drawn: list[Scenario]) -> None:
    causes = bench.knowledge.causes
    for one in drawn:
        for fault in one.faults:
            confirm = causes[fault].confirm
            assert one.truth[confirm.finding] == confirm.state, one.key
            assert all(holds(one.truth, text) for text in causes[fault].only_if), one.key


def holds(truth: Mapping[str, str], text: str) -> bool:
    condition = parse(text)
    assert condition is not None
    inside = truth.get(condition.name) in condition.states
    return inside if condition.kind == "is" else not inside


def test_the_fitted_parts_are_those_of_the_sheet(drawn: list[Scenario]) -> None:
    for one in drawn:
        fitted = one.sheet.fitted if one.sheet else ()
        assert all(one.truth[p.finding] == p.state for p in fitted), one.key


def test_every_state_is_one_that_the_finding_has(bench: Workbench, drawn: list[Scenario]) -> None:
    findings = bench.knowledge.findings
    strange = [
        (one.key, f) for one in drawn for f, s in one.truth.items() if s not in findings[f].states
    ]
    assert strange == []


def test_every_true_figure_lies_on_the_side_of_its_state(
    bench: Workbench, drawn: list[Scenario]
) -> None:
    findings, wrong = bench.knowledge.findings, []
    for one in drawn:
        for name, value in one.values.items():
            limit = limit_of(findings[name], one.sheet)
            if limit is not None and (limit.low is not None or limit.high is not None):
                said = Statement("measured", name, 0, value=value, unit=findings[name].unit)
                state = judged(findings[name], one.sheet, said)
                if state.verdict.state != one.truth[name] or not state.possible:
                    wrong.append((one.key, name, value, one.truth[name]))
    assert wrong == []


def test_every_check_has_an_answer(bench: Workbench, drawn: list[Scenario]) -> None:
    """A state, a figure, or why it can't be done; each look in a fresh start."""
    knowledge, silent = bench.knowledge, []
    for one in drawn:
        stand = Stand(bench, one)
        for finding, key in knowledge.settled_by.items():
            check = knowledge.checks[key]
            why = stand.why_not(check, [finding])
            stand.looked[finding] = 1
            answer = why or stand._seen(knowledge.findings[finding], 1)[1]
            if not answer.strip():
                silent.append((one.key, finding))
    assert silent == []


def test_the_opening_never_tells_the_proof(bench: Workbench, drawn: list[Scenario]) -> None:
    causes = bench.knowledge.causes
    for one in drawn:
        proofs = {causes[f].confirm.finding for f in one.faults}
        assert not proofs & {f for f, _ in one.known}, one.key
        assert one.known and len(one.words) == len(one.known)


def test_the_levels_differ_as_they_say(drawn: list[Scenario]) -> None:
    easy = [one for one in drawn if one.level == LEVELS[1]]
    hard = [one for one in drawn if one.level == LEVELS[5]]
    assert {len(one.faults) for one in easy} == {1} and not any(o.missing for o in easy)
    assert {len(one.faults) for one in hard} == {2} and all(len(o.missing) == 2 for o in hard)

"""Every cause can win and every cause can fall: fed what the rule base itself says of it."""

from collections.abc import Iterator

import pytest

from diagnose.cases.assess import load_workbench
from diagnose.cases.log import Statement
from diagnose.knowledge.conditions import parse
from diagnose.knowledge.model import Cause, ChainRule
from diagnose.reasoning.ranking import Ranking

BENCH = load_workbench()
CAUSES, FINDINGS = BENCH.knowledge.causes, BENCH.knowledge.findings
USUAL, UNHEARD_OF = {"often", "usually", "always"}, {"never", "rarely"}
AGAINST = ("speaks_against", "rules_out")


def usual_signs(cause: Cause) -> dict[str, str]:
    return {sign.finding: sign.state for sign in cause.signs if sign.how_often in USUAL}


def counter_signs(cause: Cause) -> set[tuple[str, str]]:
    """What speaks against it: its proving part found otherwise, what it never shows, its rules."""
    return {*_proof_otherwise(cause), *_never_shown(cause), *_in_rules(cause)}


def _proof_otherwise(cause: Cause) -> Iterator[tuple[str, str]]:
    proof = FINDINGS[cause.confirm.finding]
    shown = {sign.state for sign in cause.signs if sign.finding == proof.id}
    yield from ((proof.id, s) for s in proof.known_states if s not in shown)


def _never_shown(cause: Cause) -> Iterator[tuple[str, str]]:
    yield from ((s.finding, s.state) for s in cause.signs if s.how_often in UNHEARD_OF)


def _in_rules(cause: Cause) -> Iterator[tuple[str, str]]:
    for rule in BENCH.knowledge.rules.values():
        condition = parse(rule.when[0])
        alone = len(rule.when) == 1 and condition is not None and condition.kind == "is"
        if alone and condition is not None and _is_against(rule, cause):
            yield from ((condition.name, state) for state in condition.states)


def _is_against(rule: ChainRule, cause: Cause) -> bool:
    return any(action.get(verb) == cause.id for action in rule.then for verb in AGAINST)


def ranked(known: dict[str, str]) -> Ranking:
    return BENCH.ranked(Statement("said", f, 1, state=s) for f, s in known.items())


@pytest.mark.parametrize("cause", CAUSES.values(), ids=CAUSES)
def test_a_cause_leads_on_its_own_usual_signs(cause: Cause) -> None:
    assert ranked(usual_signs(cause)).ranked[0].cause == cause.id


@pytest.mark.parametrize("cause", CAUSES.values(), ids=CAUSES)
def test_with_its_strongest_counter_sign_it_leads_no_longer(cause: Cause) -> None:
    known = usual_signs(cause)
    told = [ranked({**known, finding: state}) for finding, state in sorted(counter_signs(cause))]
    weakest = min(told, key=lambda ranking: ranking.p(cause.id))
    assert not weakest.ranked or weakest.ranked[0].cause != cause.id

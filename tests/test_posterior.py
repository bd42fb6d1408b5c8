"""The ranking's sums against a reference library, and the promises that hold for any evidence."""

import random

import numpy as np
import pyagrum as gum
import pytest
from dense import dense_showings
from lengths import tries

from diagnose.knowledge.load import load_knowledge
from diagnose.reasoning.network import NONE, build_network
from diagnose.reasoning.posterior import (
    Evidence,
    alone,
    factors,
    many_faults,
    one_fault,
    tempered,
)

KNOWLEDGE = load_knowledge()
NETWORK = build_network(KNOWLEDGE)
SHOWN = dense_showings(NETWORK)


def some_evidence(rng: random.Random, columns: list[int], most: int = 8) -> list[Evidence]:
    """Evidence on findings that at least one of the causes in `columns` shows."""
    touched = [f for f in SHOWN if SHOWN[f].shows[:, columns].any()]
    picked = rng.sample(touched, min(most, len(touched)))
    return [Evidence(f, rng.choice([SHOWN[f].normal, *SHOWN[f].states])) for f in picked]


def reference(columns: list[int], prior: np.ndarray, evidence: list[Evidence]) -> np.ndarray:
    """The same network in pyagrum: every source makes each finding show a state or leaves it.

    Each cause has, for each finding, a node of what it makes it show (a row of chances when it is
    there, nothing when not); the finding is their deterministic union. Nothing of our sums is used.
    """
    model = gum.BayesNet()
    for column in columns:
        model.add(gum.LabelizedVariable(f"c{column}", "", 2))
        model.cpt(f"c{column}").fillWith([1 - prior[column], prior[column]])
    hard = {}
    for number, item in enumerate(evidence):
        showing = SHOWN[item.finding]
        count = len(showing.states)
        wanted = 0 if item.state == showing.normal else showing.states.index(item.state) + 1
        last = _background(model, number, showing, wanted)
        for column in columns:
            last = _joined(model, number, last, column, showing, wanted)
        hard[last] = 2 if wanted else 0
        assert count
    for column in columns:
        _odds(model, column, evidence, hard)
    engine = gum.LazyPropagation(model)
    engine.setEvidence(hard)
    engine.makeInference()
    return np.array([engine.posterior(f"c{c}")[1] for c in columns])


def _three(shown: np.ndarray, wanted: int) -> list[float]:
    """Chances of: silent, another abnormal state, the wanted abnormal state."""
    this = float(shown[wanted - 1]) if wanted else 0.0
    return [1 - float(shown.sum()), float(shown.sum()) - this, this]


# a running union: 0 nothing shown yet, 1 another state shown (contradicts), 2 the wanted one
def _background(model, number, showing, wanted) -> str:
    name = f"f{number}_leak"
    model.add(gum.LabelizedVariable(name, "", 3))
    leak = 1 - (1 - showing.leak) * (1 - showing.mistaken)
    this = float(leak[wanted - 1]) if wanted else 0.0
    model.cpt(name).fillWith([1 - this, 0.0, this])
    return name


def _joined(model, number, last, column, showing, wanted) -> str:
    name = f"f{number}_c{column}"
    model.add(gum.LabelizedVariable(name, "", 3))
    model.addArc(last, name)
    model.addArc(f"c{column}", name)
    silent, other, this = _three(showing.shows[:, column] * (1 - showing.misread), wanted)
    table = model.cpt(name)
    for before in range(3):
        table[{last: before, f"c{column}": 0}] = [float(before == s) for s in range(3)]
        row = [0.0, 0.0, 0.0]
        row[before] += silent
        row[1] += other
        row[before if before == 1 else 2 if wanted else 1] += this
        table[{last: before, f"c{column}": 1}] = row
    return name


def _odds(model, column, evidence, hard) -> None:
    """A sign rarer than the background, and a part found otherwise: evidence of its own."""
    factor = 1.0
    for item in evidence:
        showing = SHOWN[item.finding]
        factor *= showing.denied(item.state, column)
        if item.state != showing.normal:
            factor *= float(showing.odds[showing.states.index(item.state), column])
    name = f"odds{column}"
    model.add(gum.LabelizedVariable(name, "", 2))
    model.addArc(f"c{column}", name)
    model.cpt(name)[{f"c{column}": 0}] = [0.0, 1.0]
    model.cpt(name)[{f"c{column}": 1}] = [1 - factor, factor]
    hard[name] = 1


def ours(columns: list[int], prior: np.ndarray, evidence: list[Evidence]) -> np.ndarray:
    alone = np.full(len(NETWORK.causes), 1e-300)
    alone[columns] = prior[columns]
    return np.array(many_faults(factors(NETWORK, alone.tolist(), evidence)))[columns]


@pytest.mark.parametrize("block", range(tries(10, 3)))
def test_many_faults_equal_the_reference_library_on_the_shipped_rule_base(block: int) -> None:
    """Random evidence sets on random parts of the rule base, in blocks of twenty: 200 in full."""
    rng = random.Random(block)
    worst = 0.0
    for _ in range(20):
        columns = sorted(rng.sample(range(len(NETWORK.causes) - 1), 7))
        evidence = some_evidence(rng, columns, 6)
        prior = np.array([rng.uniform(0.01, 0.4) for _ in NETWORK.causes])
        gap = np.abs(ours(columns, prior, evidence) - reference(columns, prior, evidence))
        worst = max(worst, float(gap.max()))
    assert worst <= 1e-9


def test_one_fault_shares_sum_to_one() -> None:
    rng = random.Random(1)
    evidence = some_evidence(rng, list(range(150)), 9)
    shares = one_fault(factors(NETWORK, NETWORK.prior["unknown"], evidence))
    assert sum(shares) == pytest.approx(1.0, abs=1e-12)


def test_the_order_of_the_evidence_does_not_matter() -> None:
    rng = random.Random(2)
    evidence = some_evidence(rng, list(range(150)), 10)
    shuffled = rng.sample(evidence, len(evidence))
    prior = NETWORK.prior["unknown"]
    first, second = (many_faults(factors(NETWORK, prior, e)) for e in (evidence, shuffled))
    assert np.allclose(first, second, rtol=0, atol=1e-12)


def test_no_evidence_leaves_the_prior() -> None:
    prior = NETWORK.prior["after_build"]
    assert np.allclose(many_faults(factors(NETWORK, prior, [])), prior)


def test_the_last_column_is_the_cause_outside_the_rule_base() -> None:
    assert NETWORK.causes[-1] == NONE


def test_tempering_draws_toward_the_prior_and_never_past_it() -> None:
    raw = [0.02, 0.1, 0.9]
    drawn = tempered(raw, [0.1, 0.1, 0.1], 0.5)
    assert raw[0] < drawn[0] < 0.1 < drawn[2] < raw[2]
    assert drawn[1] == pytest.approx(0.1)


@pytest.mark.parametrize("doubt", [0.1, 0.5, 0.8])
def test_what_may_be_misheard_is_weighed_both_ways(doubt: float) -> None:
    """The law of total probability: heard right, or misheard, as often as it is told of any engine.

    Exact for a cause that shows the state heard or lets the finding alone, whatever it shows else.
    """
    rng = random.Random(8)
    prior = [0.01] * len(NETWORK.causes)
    for finding in rng.sample(sorted(NETWORK.showings), tries(150, 40)):
        showing = NETWORK.showings[finding]
        for row, state in enumerate(showing.states):
            plain = alone(factors(NETWORK, prior, [Evidence(finding, state)]))
            heard = alone(factors(NETWORK, prior, [Evidence(finding, state, doubt=doubt)]))
            start = 0.01 / 0.99
            mixed = [(1 - doubt) * p / start + doubt * showing.usual[row] for p in plain]
            touched = {*showing.odds[row], *showing.denies[row]}
            touched |= {c for r, shows in enumerate(showing.shows) if r != row for c in shows}
            free = [c for c in range(len(prior)) if c not in touched]
            ratio = [heard[c] / mixed[c] for c in free]
            assert max(ratio) == pytest.approx(min(ratio), rel=1e-9)


def test_a_denial_that_may_be_misheard_leaves_the_doubt() -> None:
    prior = [0.01] * len(NETWORK.causes)
    showing = next(s for s in NETWORK.showings.values() if s.shows[0])
    column = max(showing.shows[0], key=showing.shows[0].__getitem__)
    plain, heard = (
        factors(NETWORK, prior, [Evidence(showing.finding, showing.normal, doubt=d)]).weight[column]
        for d in (0.0, 0.5)
    )
    start = 0.01 / 0.99
    assert plain < heard < start
    if not showing.denies[-1]:
        assert heard == pytest.approx((plain + start) / 2)

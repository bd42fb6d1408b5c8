"""The sums over many faults against plain counting of every set of causes, nothing left out."""

import random
from itertools import product

import numpy as np
import pytest
from dense import Dense, dense_showings
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.knowledge.load import load_knowledge
from diagnose.reasoning.network import build_network
from diagnose.reasoning.posterior import (
    MOST_EXACT,
    Evidence,
    factors,
    likelihoods,
    many_faults,
    many_faults_weighed,
    one_fault,
    several_faults,
    share_of_one_fault,
    spelt_out,
    tempered,
)
from diagnose.reasoning.second import remainder
from diagnose.reasoning.walk import Explainer, plain_chances, quick_chances

NETWORK = build_network(load_knowledge())
SHOWINGS = dense_showings(NETWORK)
PRIOR = np.array(NETWORK.prior["unknown"])
COUNT = len(NETWORK.causes)


def likelihood(there: tuple[int, ...], evidence: list[Evidence]) -> float:
    """How likely all of the evidence is when exactly the causes in `there` are there."""
    whole = 1.0
    for item in evidence:
        if item.finding in NETWORK.circumstances:
            table = NETWORK.circumstances[item.finding][item.state]
            whole *= float(np.prod([table.get(c, 1.0) for c in there]))
        else:
            showing = SHOWINGS[item.finding]
            whole *= shown(showing, there, item)
            whole *= float(np.prod([showing.denied(item.state, c) for c in there]))
    return whole


def shown(showing: Dense, there: tuple[int, ...], item: Evidence) -> float:
    """Somebody made it show this state, nobody another; what the background adds is apart."""
    chances = [showing.shows[:, c] * (1 - showing.misread) for c in there]
    if item.state == showing.normal:
        return float(np.prod([1 - c.sum() for c in chances]))
    row = showing.states.index(item.state)
    unexplained = (1 - showing.leak[row]) * (1 - showing.mistaken[row])
    quiet = float(np.prod([1 - c.sum() + c[row] for c in chances]))
    silent = float(np.prod([1 - c.sum() for c in chances]))
    return (quiet - unexplained * silent) * float(np.prod([showing.odds[row, c] for c in there]))


def counted(columns: list[int], prior: np.ndarray, evidence: list[Evidence]) -> np.ndarray:
    """The chance of each cause by adding up every set of causes."""
    total, per_cause = 0.0, np.zeros(len(columns))
    for there in product((0, 1), repeat=len(columns)):
        faults = tuple(c for c, is_there in zip(columns, there, strict=True) if is_there)
        odds = np.prod([prior[c] / (1 - prior[c]) for c in faults])
        weight = float(odds) * likelihood(faults, evidence)
        total += weight
        per_cause += weight * np.array(there)
    return per_cause / total


def some_evidence(rng: random.Random, columns: list[int], most: int) -> list[Evidence]:
    """Circumstances and effects that bear on the causes in `columns`."""
    findings = [f for f, s in SHOWINGS.items() if s.shows[:, columns].any()]
    facts = [f for f, s in NETWORK.circumstances.items() if any(s.values())]
    picked = rng.sample(findings, most - 1)
    out = [Evidence(f, rng.choice([SHOWINGS[f].normal, *SHOWINGS[f].states])) for f in picked]
    fact = rng.choice(facts)
    return [*out, Evidence(fact, rng.choice(list(NETWORK.circumstances[fact])))]


@pytest.mark.parametrize("seed", range(12))
def test_many_faults_equal_plain_counting_with_circumstances(seed: int) -> None:
    rng = random.Random(seed)
    columns = sorted(rng.sample(range(COUNT - 1), 8))
    evidence = some_evidence(rng, columns, 7)
    prior = np.array([rng.uniform(0.01, 0.4) for _ in range(COUNT)])
    alone = np.full(COUNT, 1e-300)
    alone[columns] = prior[columns]
    ours = np.array(many_faults(factors(NETWORK, alone.tolist(), evidence)))[columns]
    assert np.abs(ours - counted(columns, prior, evidence)).max() <= 1e-9


@pytest.mark.parametrize("seed", range(5))
def test_one_fault_equals_bayes_however_many_findings_there_are(seed: int) -> None:
    """Findings beyond the exact ones count as odds; for a single fault that changes nothing."""
    rng = random.Random(seed)
    evidence = some_evidence(rng, list(range(COUNT)), 25)
    scores = [PRIOR[c] / (1 - PRIOR[c]) * likelihood((c,), evidence) for c in range(COUNT)]
    plain = np.array(scores) / sum(scores)
    assert np.abs(one_fault(factors(NETWORK, PRIOR, evidence)) - plain).max() <= 1e-9


@pytest.mark.parametrize("seed", range(5))
def test_chances_stay_chances_under_a_flood_of_findings(seed: int) -> None:
    rng = random.Random(seed)
    findings = rng.sample(list(SHOWINGS), 60)
    evidence = [Evidence(f, SHOWINGS[f].states[0]) for f in findings]
    given_ = factors(NETWORK, PRIOR, evidence)
    found = np.array(many_faults(given_))
    assert len(given_.findings) == MOST_EXACT
    assert np.isfinite(found).all()
    assert ((found >= 0) & (found <= 1)).all()


@pytest.mark.parametrize("seed", range(4))
def test_an_undecided_reading_counts_in_every_state_it_may_be_in(seed: int) -> None:
    """Virtual evidence: the sum over its true state, as by adding up every set of causes."""
    rng = random.Random(seed)
    reading = next(f for f, s in SHOWINGS.items() if {*s.states, s.normal} == {"low", "ok", "high"})
    columns = sorted({*np.flatnonzero(SHOWINGS[reading].shows[:-1].any(axis=0))[:4], 1, 5, 9})
    columns = [int(c) for c in columns if c < COUNT - 1]
    chances = (("ok", 0.35), ("high", 0.6), ("low", 0.05))
    evidence = [e for e in some_evidence(rng, columns, 5) if e.finding != reading]
    prior = np.full(COUNT, 1e-300)
    prior[columns] = [rng.uniform(0.01, 0.4) for _ in columns]
    ways = spelt_out([*evidence, Evidence(reading, "high", chances)])
    found = several_faults([(c, factors(NETWORK, prior, list(w))) for c, w in ways], prior)[0]
    total, per_cause = 0.0, np.zeros(len(columns))
    for there in product((0, 1), repeat=len(columns)):
        faults = tuple(c for c, is_there in zip(columns, there, strict=True) if is_there)
        odds = float(np.prod([prior[c] / (1 - prior[c]) for c in faults]))
        seen = sum(p * likelihood(faults, [*evidence, Evidence(reading, s)]) for s, p in chances)
        total += odds * seen
        per_cause += odds * seen * np.array(there)
    assert np.abs(np.array(found)[columns] - per_cause / total).max() <= 1e-9


def test_a_sign_for_a_cause_makes_it_likelier_and_its_absence_less_likely() -> None:
    showing = SHOWINGS[next(iter(SHOWINGS))]
    cause = int(showing.shows[0].argmax())
    seen, unseen = (
        many_faults(factors(NETWORK, PRIOR, [Evidence(showing.finding, state)]))[cause]
        for state in (showing.states[0], showing.normal)
    )
    assert unseen < PRIOR[cause] < seen


@given(st.floats(1e-6, 0.999), st.floats(1e-6, 0.999), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_tempering_grows_with_its_exponent(
    raw: float, prior: float, one: float, two: float
) -> None:
    low, high = (tempered([raw], [prior], e)[0] for e in sorted((one, two)))
    assert abs(low - prior) <= abs(high - prior) + 1e-12


@given(st.floats(1e-6, 0.99), st.floats(1e-6, 0.99), st.floats(1e-6, 0.99), st.floats(0.01, 1.0))
def test_tempering_keeps_the_order(one: float, two: float, prior: float, exponent: float) -> None:
    drawn = tempered(sorted((one, two)), [prior, prior], exponent)
    assert drawn[0] <= drawn[1] + 1e-12


@settings(max_examples=30, deadline=None, derandomize=True)
@given(st.randoms(use_true_random=False))
def test_the_order_of_the_evidence_never_matters(rng: random.Random) -> None:
    evidence = some_evidence(rng, list(range(COUNT)), 8)
    shuffled = rng.sample(evidence, len(evidence))
    one, two = (many_faults(factors(NETWORK, PRIOR, e)) for e in (evidence, shuffled))
    assert np.allclose(one, two, rtol=0, atol=1e-12)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.integers(0, 9), st.integers(0, 30), st.randoms(use_true_random=False))
def test_the_walk_in_plain_lists_equals_the_walk_in_arrays(
    findings: int, causes: int, rng: random.Random
) -> None:
    leak = [rng.uniform(1e-4, 0.9) for _ in range(findings)]
    explainers = [
        Explainer(
            10 ** rng.uniform(-9, 60),
            tuple((j, rng.random()) for j in range(findings) if rng.random() < 0.4),
        )
        for _ in range(causes)
    ]
    (one, total), (two, other) = plain_chances(explainers, leak), quick_chances(explainers, leak)
    assert one == pytest.approx(two, rel=1e-9, abs=1e-12)
    assert total == pytest.approx(other, rel=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_the_two_views_are_weighed_by_how_likely_they_make_the_evidence(seed: int) -> None:
    """Against adding up every set of causes, and every single cause, by Bayes' rule."""
    rng = random.Random(seed)
    columns = sorted(rng.sample(range(COUNT - 1), 7))
    evidence = some_evidence(rng, columns, 5)
    chances = [rng.uniform(0.01, 0.4) for _ in columns]
    prior = [1e-300] * COUNT
    for column, chance in zip(columns, chances, strict=True):
        prior[column] = chance
    odds = {c: p / (1 - p) for c, p in zip(columns, chances, strict=True)}
    single = sum(odds[c] * likelihood((c,), evidence) for c in columns) / sum(odds.values())
    sets = product((0, 1), repeat=len(columns))
    several = sum(
        float(
            np.prod([p if is_there else 1 - p for p, is_there in zip(chances, there, strict=True)])
        )
        * likelihood(tuple(c for c, one in zip(columns, there, strict=True) if one), evidence)
        for there in sets
    )
    given_ = factors(NETWORK, prior, evidence)
    _, total = many_faults_weighed(given_)
    found = share_of_one_fault(*likelihoods(given_, prior, total), 0.7)
    assert found == pytest.approx(0.7 * single / (0.7 * single + 0.3 * several), abs=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_a_second_fault_is_weighed_as_plain_bayes_beside_the_first(seed: int) -> None:
    rng = random.Random(seed)
    first = rng.randrange(COUNT - 1)
    evidence = some_evidence(rng, list(range(COUNT)), 8)
    rest = remainder(factors(NETWORK, PRIOR, evidence), [first], 0.3, 0.1)
    alone = likelihood((first,), evidence)
    for column, share in enumerate(rest.shares[:-1]):
        if share and alone:
            odds = 0.3 * PRIOR[column] / (1 - PRIOR[column])
            expected = odds * likelihood((first, column), evidence) / alone
            assert share / rest.shares[-1] == pytest.approx(expected, rel=1e-9)


def test_what_one_cause_explains_leaves_no_second_to_look_for() -> None:
    finding, column = next(
        (f, int(c))
        for f, s in SHOWINGS.items()
        for c in np.flatnonzero(s.shows.max(axis=0) > 0.5)
        if c < COUNT - 1
    )
    row = int(np.argmax(SHOWINGS[finding].shows[:, column]))
    seen = factors(NETWORK, PRIOR, [Evidence(finding, SHOWINGS[finding].states[row])])
    assert remainder(seen, [column], 0.3, 0.1).unexplained == ()
    silent = next(c for c in range(COUNT - 1) if not SHOWINGS[finding].shows[:, c].any())
    assert remainder(seen, [silent], 0.3, 0.5).unexplained == (finding,)

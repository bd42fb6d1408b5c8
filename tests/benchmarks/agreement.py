"""B2: the ranking's sums against a general Bayesian-network library, on the shipped rule base."""

from __future__ import annotations

import random
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pyagrum as gum

sys.path.insert(0, str(Path(__file__).parents[1]))

import test_exactness as exact  # noqa: E402
import test_posterior as several  # noqa: E402

from diagnose.reasoning.posterior import (  # noqa: E402
    Evidence,
    factors,
    one_fault,
)

from .tables import Table, milliseconds  # noqa: E402

NETWORK = several.NETWORK
_COUNT = len(NETWORK.causes)
_PRIOR = NETWORK.prior["unknown"]


def many_faults_gap(seed: int) -> float:
    """Largest difference on one set of findings and seven causes."""
    rng = random.Random(seed)
    columns = sorted(rng.sample(range(_COUNT - 1), 7))
    evidence = several.some_evidence(rng, columns, 6)
    prior = np.array([rng.uniform(0.01, 0.4) for _ in NETWORK.causes])
    gap = several.ours(columns, prior, evidence) - several.reference(columns, prior, evidence)
    return float(np.abs(gap).max())


def one_fault_net(evidence: list[Evidence]) -> Any:
    """One cause of all there are; every observation a child with its likelihood."""
    model = gum.BayesNet()
    model.add(gum.LabelizedVariable("cause", "", _COUNT))
    odds = np.array([p / (1 - p) for p in _PRIOR])
    model.cpt("cause").fillWith((odds / odds.sum()).tolist())
    for number, item in enumerate(evidence):
        name = f"seen{number}"
        chance = np.array([exact.likelihood((c,), [item]) for c in range(_COUNT)])
        chance /= max(chance.max(), 1.0)
        model.add(gum.LabelizedVariable(name, "", 2))
        model.addArc("cause", name)
        model.cpt(name)[:] = np.stack([1 - chance, chance], axis=1)
    return model


def asked(model: Any, count: int) -> Any:
    """The library's answer for every cause."""
    engine = gum.LazyPropagation(model)
    engine.setEvidence({f"seen{n}": 1 for n in range(count)})
    engine.setTargets({"cause"})
    engine.makeInference()
    return engine.posterior("cause").toarray()


def table(sets: int = 500) -> Table:
    """Largest differences over the sets, and the times of both."""
    many = max(many_faults_gap(seed) for seed in range(sets))
    one, ours, theirs = 0.0, [], []
    for seed in range(sets):
        evidence = exact.some_evidence(random.Random(seed), list(range(_COUNT)), 20)
        model = one_fault_net(evidence)
        found = np.array(one_fault(factors(NETWORK, _PRIOR, evidence)))
        one = max(one, float(np.abs(found - asked(model, 20)).max()))
        if seed < 20:
            ours.append(milliseconds(lambda e=evidence: one_fault(factors(NETWORK, _PRIOR, e)), 3))
            theirs.append(milliseconds(lambda m=model: asked(m, 20), 3))
    rows = [
        ("several faults, 7 causes, 6 findings", sets, many, "", ""),
        (f"one fault, {_COUNT} causes, 20 findings", sets, one, float(np.median(ours)),
         float(np.median(theirs)) / float(np.median(ours))),
    ]  # fmt: skip
    return Table(
        "B2 largest difference to pyagrum", ("sums", "sets", "gap", "ours ms", "pyagrum /"), rows
    )

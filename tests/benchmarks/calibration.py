"""B3: whether a stated chance means what it says, on cases drawn from the rule base itself.

This shows that the sums are right, not that the figures of the rule base are.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from diagnose.cases.assess import Workbench, load_workbench
from diagnose.reasoning.posterior import Evidence, alone, factors, shared

from .tables import Table

_FINDINGS = 25
_BINS = 15


class Case(NamedTuple):
    """A hidden cause and what was found."""

    cause: int
    evidence: list[Evidence]


def drawn(bench: Workbench, seed: int, jitter: float = 0.0) -> Case:
    """One cause, and the answers to 25 findings.

    `jitter` moves the log odds of every chance by so much: figures of the rule base that are off.
    """
    rng = random.Random(seed)
    odds = [p / (1 - p) for p in bench.network.prior["unknown"]]
    cause = rng.choices(range(len(odds)), odds)[0]
    names = sorted(bench.tables)
    picked = rng.sample(names, _FINDINGS)
    evidence = []
    for finding in picked:
        answers = bench.tables[finding]
        chances = [a.under.get(cause, a.usual) for a in answers]
        if jitter:
            chances = [c * np.exp(rng.gauss(0, jitter)) for c in chances]
        state = rng.choices([a.state for a in answers], chances)[0]
        evidence.append(Evidence(finding, state))
    return Case(cause, evidence)


def told(bench: Workbench, case: Case, exponent: float = 1.0) -> Any:
    """The stated shares of every cause when there is exactly one."""
    prior = bench.network.prior["unknown"]
    given = factors(bench.network, prior, case.evidence)
    odds = np.array([p / (1 - p) for p in prior])
    raw = np.array(alone(given))
    return np.array(shared(odds * (raw / odds) ** exponent))


def by_answers(bench: Workbench, case: Case) -> Any:
    """The exact posterior of the model the case was drawn from."""
    score = np.array([p / (1 - p) for p in bench.network.prior["unknown"]])
    for item in case.evidence:
        answer = next(a for a in bench.tables[item.finding] if a.state == item.state)
        score *= [answer.under.get(c, answer.usual) for c in range(len(score))]
    return score / score.sum()


def table(cases: int = 5000) -> Table:
    """Log loss, hits and calibration error; the exact posterior and the prior beside ours."""
    bench = load_workbench()
    prior = np.array([p / (1 - p) for p in bench.network.prior["unknown"]])
    prior /= prior.sum()
    clean = [drawn(bench, seed) for seed in range(cases)]
    off = [drawn(bench, seed, 0.5) for seed in range(cases)]
    stated: Mapping[str, list[tuple[int, Any]]] = {
        "ours": [(c.cause, told(bench, c)) for c in clean],
        "exact posterior": [(c.cause, by_answers(bench, c)) for c in clean],
        "prior only": [(c.cause, prior) for c in clean],
        "figures off by .5, as they are": [(c.cause, told(bench, c)) for c in off],
        "figures off by .5, tempered .9": [(c.cause, told(bench, c, 0.9)) for c in off],
    }
    rows = [(name, *_scores(cases_)) for name, cases_ in stated.items()]
    columns = ("stated by", "log loss", "top 1", "top 3", "ECE")
    return Table(f"B3 calibration, {cases} cases drawn from the rule base", columns, rows)


def _scores(stated: list[tuple[int, Any]]) -> tuple[float, ...]:
    loss = float(np.mean([-np.log(max(shares[c], 1e-12)) for c, shares in stated]))
    places = [int((shares > shares[c]).sum()) for c, shares in stated]
    tops = np.array([shares.max() for _, shares in stated])
    hits = np.array([place == 0 for place in places])
    return loss, float(hits.mean()), float(np.mean(np.array(places) < 3)), _ece(tops, hits)


def _ece(tops: Any, hits: Any) -> float:
    """Expected calibration error of the leading cause, 15 equal bins."""
    place = np.minimum((tops * _BINS).astype(int), _BINS - 1)
    gaps = [
        (place == b).mean() * abs(tops[place == b].mean() - hits[place == b].mean())
        for b in range(_BINS)
        if (place == b).any()
    ]
    return float(sum(gaps))

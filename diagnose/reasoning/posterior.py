"""Exact probabilities over the network: one fault at a time, and several at once.

The many-fault sums walk over the sets of abnormal findings that are already explained, forward
and backward, and never subtract, so nothing is lost to rounding however many findings there are.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.network import Array, Network, Showing

MOST_EXACT = 11  # abnormal findings walked exactly; more would double the time each


class Evidence(NamedTuple):
    """One observed state of a finding; `doubt` is the chance that it was misread."""

    finding: str
    state: str
    doubt: float | None = None


class Factors(NamedTuple):
    """The evidence as arrays: weights of each cause, and the findings still to be explained.

    `weight[c]` is the odds of c before the abnormal findings are explained; `explains[j, c]` the
    chance that c explains abnormal finding j; `leak[j]` that the background does.
    """

    weight: Array
    explains: Array
    leak: Array
    findings: tuple[str, ...]


def factors(network: Network, prior: Array, evidence: Sequence[Evidence]) -> Factors:
    """Fold the evidence into weights; the abnormal findings beyond the exact ones go in as odds."""
    weight = prior / (1 - prior)
    rows: list[tuple[str, Array, float]] = []
    for item in evidence:
        circumstance = network.circumstances.get(item.finding)
        if circumstance is not None:
            weight = weight * circumstance.get(item.state, np.ones_like(weight))
            continue
        showing = network.showings[item.finding]
        silent, explains, leak = _split(showing, item)
        weight = weight * silent
        if explains is not None:
            rows.append((item.finding, explains, leak))
    return _ranked_rows(weight, rows)


def _split(showing: Showing, item: Evidence) -> tuple[Array, Array | None, float]:
    """What one observation does: a factor on every cause, and what would explain it."""
    doubt = showing.misread if item.doubt is None else item.doubt
    shows = showing.shows * (1 - doubt)
    mistaken = showing.mistaken if item.doubt is None else item.doubt / len(showing.states)
    leak = 1 - (1 - showing.leak) * (1 - mistaken)
    if item.state == showing.normal:
        return 1 - shows.sum(axis=0), None, 0.0
    row = showing.states.index(item.state)
    others = shows.sum(axis=0) - shows[row]
    quiet = np.maximum(1 - others, 0.0)
    explains = np.divide(shows[row], quiet, out=np.zeros_like(quiet), where=quiet > 0)
    return quiet * showing.odds[row], explains, float(leak[row])


def _ranked_rows(weight: Array, rows: list[tuple[str, Array, float]]) -> Factors:
    rows.sort(key=lambda r: r[2])
    for _, explains, leak in rows[MOST_EXACT:]:
        weight = weight * (1 + explains * (1 - leak) / leak)
    kept = rows[:MOST_EXACT]
    explains = np.array([r[1] for r in kept]).reshape(len(kept), len(weight))
    leaks = np.array([r[2] for r in kept])
    return Factors(weight, explains, leaks, tuple(r[0] for r in kept))


def alone(given: Factors) -> Array:
    """The weight of each cause as the only one there; the background alone weighs prod(leak)."""
    shown = 1 - (1 - given.explains) * (1 - given.leak[:, None])
    return np.asarray(given.weight * np.prod(shown, axis=0))


def one_fault(given: Factors) -> Array:
    """The chance of each cause when exactly one is there; sums to 1."""
    scores = alone(given)
    total = scores.sum()
    return scores / total if total > 0 else np.full(len(scores), 1 / len(scores))


def many_faults(given: Factors) -> Array:
    """The chance that each cause is there, however many others are."""
    useful = np.flatnonzero((given.explains > 0).any(axis=0) & (given.weight > 0))
    out = given.weight / (1 + given.weight)
    if len(given.leak) == 0 or len(useful) == 0:
        return out
    before = _forward(given, useful)
    after = np.zeros(1 << len(given.leak))
    after[-1] = 1.0
    total = before[-1][-1]
    for place in range(len(useful) - 1, -1, -1):
        cause = useful[place]
        weight = given.weight[cause]
        out[cause] = weight * float(_explain(given, cause, before[place]) @ after) / total
        after = after + weight * _explained_back(given, cause, after)
    return np.minimum(out, 1.0)


def _forward(given: Factors, useful: NDArray[np.intp]) -> list[Array]:
    count = len(given.leak)
    sets = np.ones(1)
    for j in range(count):
        sets = np.concatenate([sets * (1 - given.leak[j]), sets * given.leak[j]])
    steps = [sets]
    for cause in useful:
        sets = sets + given.weight[cause] * _explain(given, cause, sets)
        top = sets.max()
        if top > 1e100:  # keep the numbers in range; only ratios matter, so scale all steps
            sets = sets / top
            steps = [s / top for s in steps]
        steps.append(sets)
    return steps


def _explain(given: Factors, cause: int, sets: Array) -> Array:
    out = sets.copy()
    for j in np.flatnonzero(given.explains[:, cause]):
        chance = given.explains[j, cause]
        view = out.reshape(-1, 2, 1 << j)
        moved = view[:, 0] * chance
        view[:, 1] += moved
        view[:, 0] -= moved
    return out


def _explained_back(given: Factors, cause: int, after: Array) -> Array:
    out = after.copy()
    for j in np.flatnonzero(given.explains[:, cause]):
        chance = given.explains[j, cause]
        view = out.reshape(-1, 2, 1 << j)
        view[:, 0] += chance * (view[:, 1] - view[:, 0])
    return out


def tempered(raw: Array, prior: Array, exponent: float) -> Array:
    """Draw probabilities back toward the prior: the evidence counts with this exponent."""
    raw = np.clip(raw, 1e-12, 1 - 1e-12)
    start = np.log(prior / (1 - prior))
    shift = np.log(raw / (1 - raw)) - start
    return np.asarray(1 / (1 + np.exp(-(start + exponent * shift))))

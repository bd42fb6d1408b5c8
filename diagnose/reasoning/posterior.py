"""Exact probabilities over the network: one fault at a time, and several at once.

The many-fault sums walk over the sets of abnormal findings that are already explained, forward
and backward, and never subtract, so nothing is lost to rounding however many findings there are.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Iterable, Sequence

from diagnose.named import Named
from diagnose.reasoning.network import Columns, Network, Showing
from diagnose.reasoning.walk import Explainer, chances

MOST_EXACT = 11  # abnormal findings walked exactly; more would double the time each
_MOST_OPEN = 3  # undecided readings weighed in every state they may be in
_NEAR = 1e-12


class Evidence(Named):
    """One observed state of a finding.

    `chances` are those of the states a reading near a limit may really be in; empty where the
    state is plain. They are alike for all causes, so they weigh the evidence, not the causes.
    `doubt` is the chance that it was misheard: then it says nothing of any cause.
    """

    finding: str
    state: str
    chances: tuple[tuple[str, float], ...] = ()
    doubt: float = 0.0


class Factors(Named):
    """The evidence as figures: weights of each cause, and the findings still to be explained.

    `weight[c]` is the odds of c before the abnormal findings are explained; `explains[j][c]` the
    chance that c explains abnormal finding j (0 where missing); `leak[j]` that the background does.
    """

    weight: Sequence[float]
    explains: Sequence[Columns]
    leak: Sequence[float]
    findings: tuple[str, ...]

    @property
    def explainers(self) -> list[int]:
        """The causes that could explain at least one abnormal finding."""
        columns = {c for row in self.explains for c, chance in row.items() if chance > 0}
        return sorted(c for c in columns if self.weight[c] > 0)


def spelt_out(evidence: Sequence[Evidence]) -> list[tuple[float, tuple[Evidence, ...]]]:
    """Every way the undecided readings may really stand, with its chance, the likeliest first.

    With `_MOST_OPEN` undecided readings at most; further ones count as their likeliest state.
    """
    ways: list[tuple[float, tuple[Evidence, ...]]] = [(1.0, ())]
    left = _MOST_OPEN
    for item in evidence:
        states = item.chances if item.chances and left else ((item.state, 1.0),)
        left -= len(states) > 1
        ways = [
            (chance * share, (*before, Evidence(item.finding, state, doubt=item.doubt)))
            for chance, before in ways
            for state, share in states
        ]
    return sorted(ways, key=lambda way: -way[0])


def factors(network: Network, prior: Sequence[float], evidence: Sequence[Evidence]) -> Factors:
    """Fold the evidence into weights; the abnormal findings beyond the exact ones go in as odds."""
    weight = [p / (1 - p) for p in prior]
    rows: list[tuple[str, Columns, float]] = []
    for item in evidence:
        circumstance = network.circumstances.get(item.finding)
        if circumstance is not None:
            _multiply(weight, _doubted(circumstance.get(item.state, {}), item.doubt))
            continue
        showing = network.showings[item.finding]
        silent, explains, leak = _split(showing, item)
        _multiply(weight, silent)
        _multiply(weight, _doubted(showing.denies[_place(showing, item.state)], item.doubt))
        if leak:
            rows.append((item.finding, explains, leak))
    return _ranked_rows(weight, rows)


def _place(showing: Showing, state: str) -> int:
    return -1 if state == showing.normal else showing.states.index(state)


def _multiply(weight: list[float], by: Columns) -> None:
    for column, factor in by.items():
        weight[column] *= factor


def _doubted(factor: Columns, doubt: float) -> Columns:
    """Factors on causes, drawn to 1 by the chance that what puts them was misheard."""
    return {c: (1 - doubt) * f + doubt for c, f in factor.items()} if doubt else factor


def _split(showing: Showing, item: Evidence) -> tuple[Columns, Columns, float]:
    """What one observation does: a factor on causes, what would explain it, the background's part.

    A normal finding needs no explanation: the background's part is 0. What may be misheard needs
    none either in that part, so mishearing is one more thing in the background: as often as the
    state is told of all engines, by the odds of the doubt.
    """
    sure = 1 - showing.misread
    total: dict[int, float] = {}
    for shows in showing.shows:
        for column, share in shows.items():
            total[column] = total.get(column, 0.0) + share * sure
    if item.state == showing.normal:
        denied = {column: 1 - share for column, share in total.items()}
        return _doubted(denied, item.doubt), {}, 0.0
    row = showing.states.index(item.state)
    silent, explains = dict(showing.odds[row]), {}
    for column, share in total.items():
        this = showing.shows[row].get(column, 0.0) * sure
        quiet = max(1 - (share - this), 0.0)
        silent[column] = silent.get(column, 1.0) * quiet
        if this and quiet:
            explains[column] = this / quiet
    leak = 1 - (1 - showing.leak[row]) * (1 - showing.mistaken[row])
    misheard = item.doubt / (1 - item.doubt) * showing.usual[row]
    if misheard:
        part = leak / (leak + misheard)
        silent = {c: f if c in explains else part * f + 1 - part for c, f in silent.items()}
    return silent, explains, 1 - (1 - leak) / (1 + misheard)


def _ranked_rows(weight: list[float], rows: list[tuple[str, Columns, float]]) -> Factors:
    rows.sort(key=lambda r: r[2])
    for _, explains, leak in rows[MOST_EXACT:]:
        _multiply(weight, {c: 1 + e * (1 - leak) / leak for c, e in explains.items()})
    kept = rows[:MOST_EXACT]
    return Factors(weight, [r[1] for r in kept], [r[2] for r in kept], tuple(r[0] for r in kept))


def alone(given: Factors) -> list[float]:
    """The weight of each cause as the only one there; the background alone weighs prod(leak)."""
    background = math.prod(given.leak)
    out = [weight * background for weight in given.weight]
    for column in given.explainers:
        shown = 1.0
        for row, leak in zip(given.explains, given.leak, strict=True):
            shown *= 1 - (1 - row.get(column, 0.0)) * (1 - leak)
        out[column] = given.weight[column] * shown
    return out


def one_fault(given: Factors) -> list[float]:
    """The chance of each cause when exactly one is there; sums to 1."""
    return shared(alone(given))


def shared(scores: Sequence[float]) -> list[float]:
    """Scores as shares of their sum; equal ones when all are 0."""
    total = math.fsum(scores)
    return [s / total for s in scores] if total > 0 else [1 / len(scores)] * len(scores)


def many_faults(given: Factors) -> list[float]:
    """The chance that each cause is there, however many others are."""
    return many_faults_weighed(given)[0]


def many_faults_weighed(given: Factors) -> tuple[list[float], float]:
    """`many_faults`, and how likely the abnormal findings are in that view (0 to 1)."""
    out = [weight / (1 + weight) for weight in given.weight]
    explainers = given.explainers
    useful = [
        Explainer(
            given.weight[c], tuple((j, row[c]) for j, row in enumerate(given.explains) if c in row)
        )
        for c in explainers
    ]
    found, total = chances(useful, given.leak)
    for column, chance in zip(explainers, found, strict=True):
        out[column] = min(chance, 1.0)
    return out, total


def likelihoods(given: Factors, prior: Sequence[float], total: float) -> tuple[float, float]:
    """How likely the evidence is with exactly one fault, and with several (0 to 1 each).

    `total` is what `many_faults_weighed` returned with these factors.
    """
    odds = [p / (1 - p) for p in prior]
    one = math.fsum(alone(given)) / math.fsum(odds)
    shift = math.fsum(
        math.log1p(w) - math.log1p(o) for w, o in zip(given.weight, odds, strict=True)
    )
    return one, total * math.exp(shift)


def explained_beside(given: Factors, found: Sequence[int]) -> list[float]:
    """How likely each abnormal finding shows by the background and the causes `found` alone."""
    return [
        1 - (1 - leak) * math.prod(1 - row.get(c, 0.0) for c in found)
        for row, leak in zip(given.explains, given.leak, strict=True)
    ]


def one_more(given: Factors, columns: Iterable[int], explained: Sequence[float]) -> list[float]:
    """The weight of each of these causes as one more fault, the findings `explained` so far.

    In the network's order; the causes not named weigh nothing.
    """
    out = [0.0] * len(given.weight)
    for column in columns:
        out[column] = given.weight[column] * math.prod(
            1 + row.get(column, 0.0) * (1 - chance) / chance
            for row, chance in zip(given.explains, explained, strict=True)
        )
    return out


Ways = Sequence[tuple[float, Factors]]
"""The evidence as figures for each way the undecided readings may stand, with its chance."""


def several_faults(ways: Ways, prior: Sequence[float]) -> tuple[list[float], float, float]:
    """The chance of each cause, however many others are there, over all ways a reading may stand.

    With it how likely the evidence is with exactly one fault, and with several.
    """
    found, ones, manys = [], [], []
    for chance, given in ways:
        raw, total = many_faults_weighed(given)
        one, many = likelihoods(given, prior, total)
        found.append(raw)
        ones.append(chance * one)
        manys.append(chance * many)
    weights = shared(manys)
    mixed = [math.fsum(map(operator.mul, weights, column)) for column in zip(*found, strict=True)]
    return mixed, math.fsum(ones), math.fsum(manys)


def share_of_one_fault(one: float, many: float, usual: float) -> float:
    """How far the view of exactly one fault is to be believed, seeing the evidence.

    `usual` is the share it has before. Two parts both found broken are next to impossible with one
    fault: then the other view counts.
    """
    return usual * one / (usual * one + (1 - usual) * many) if one or many else usual


def tempered(raw: Sequence[float], prior: Sequence[float], exponent: float) -> list[float]:
    """Draw probabilities back toward the prior: the evidence counts with this exponent."""
    return [
        _drawn(min(max(one, _NEAR), 1 - _NEAR), start, exponent)
        for one, start in zip(raw, prior, strict=True)
    ]


def _drawn(raw: float, prior: float, exponent: float) -> float:
    start = math.log(prior / (1 - prior))
    shift = math.log(raw / (1 - raw)) - start
    return 1 / (1 + math.exp(-(start + exponent * shift)))

"""B6: more than one fault: how many of the true ones are among the first three."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import pyagrum as gum

from diagnose.reasoning.posterior import Factors, many_faults, one_fault

from .tables import Table, milliseconds

_CAUSES, _FINDINGS, _ABSENT = 100, 200, 20
_LOADS = (0.4, 0.8, 1.3)


class Drawn(NamedTuple):
    """A noisy-OR engine and one case on it."""

    prior: Any
    links: Any
    leak: Any
    faults: Any
    present: list[int]
    absent: list[int]


def drawn(seed: int, load: float) -> Drawn:
    """A case with 3 to 8 findings present; every finding is shown by up to five causes."""
    rng = np.random.default_rng([seed, int(load * 10)])
    raw = rng.lognormal(0, 1, _CAUSES)
    prior = np.minimum(raw / raw.sum() * load, 0.4)
    links = np.zeros((_FINDINGS, _CAUSES))
    for row in links:
        causes = rng.choice(_CAUSES, int(rng.integers(2, 6)), replace=False)
        row[causes] = rng.uniform(0.2, 0.9, len(causes))
    leak = rng.uniform(0.005, 0.03, _FINDINGS)
    while True:
        faults = rng.random(_CAUSES) < prior
        shown = rng.random(_FINDINGS) < 1 - (1 - leak) * np.prod(1 - links[:, faults], axis=1)
        present = np.flatnonzero(shown)
        if faults.any() and len(present) >= 3:
            break
    present = rng.choice(present, min(len(present), int(rng.integers(3, 9))), replace=False)
    absent = rng.choice(np.flatnonzero(~shown), _ABSENT, replace=False)
    return Drawn(prior, links, leak, np.flatnonzero(faults), present.tolist(), absent.tolist())


def factors_of(case: Drawn) -> Factors:
    """The case as the ranking wants it."""
    weight = case.prior / (1 - case.prior) * np.prod(1 - case.links[case.absent], axis=0)
    rows = [
        {int(c): float(case.links[f, c]) for c in np.flatnonzero(case.links[f])}
        for f in case.present
    ]
    names = tuple(map(str, case.present))
    return Factors(weight.tolist(), rows, [float(case.leak[f]) for f in case.present], names)


def reference(case: Drawn) -> Any:
    """The same with the library: present findings as noisy-or nodes, absent ones in the priors."""
    given = factors_of(case)
    return asked(net_of(given), given)


def net_of(given: Factors) -> Any:
    """The library's net of what the present findings bear on."""
    model = gum.BayesNet()
    for cause in given.explainers:
        chance = given.weight[cause] / (1 + given.weight[cause])
        model.add(gum.LabelizedVariable(f"c{cause}", "", 2))
        model.cpt(f"c{cause}").fillWith([1 - chance, chance])
    for number, (row, leak) in enumerate(zip(given.explains, given.leak, strict=True)):
        model.addNoisyORNet(gum.LabelizedVariable(f"f{number}", "", 2), leak)
        for cause, chance in row.items():
            model.addWeightedArc(f"c{cause}", f"f{number}", chance)
    return model


def asked(model: Any, given: Factors) -> Any:
    """The library's answer for every cause."""
    out = np.array(given.weight) / (1 + np.array(given.weight))
    engine = gum.LazyPropagation(model)
    engine.setEvidence({f"f{n}": 1 for n in range(len(given.leak))})
    engine.makeInference()
    for cause in given.explainers:
        out[cause] = engine.posterior(f"c{cause}")[1]
    return out


def whole_net(case: Drawn) -> Any:
    """The library's net of the whole engine, as it stands before anything is found."""
    model = gum.BayesNet()
    for cause, chance in enumerate(case.prior.tolist()):
        model.add(gum.LabelizedVariable(f"c{cause}", "", 2))
        model.cpt(f"c{cause}").fillWith([1 - chance, chance])
    for number, row in enumerate(case.links):
        model.addNoisyORNet(gum.LabelizedVariable(f"f{number}", "", 2), float(case.leak[number]))
        for cause in np.flatnonzero(row):
            model.addWeightedArc(f"c{cause}", f"f{number}", float(row[cause]))
    return model


def asked_whole(model: Any, case: Drawn) -> Any:
    """The library's answer for every cause, from all that was found present and absent."""
    engine = gum.LazyPropagation(model)
    found = {f"f{n}": 1 for n in case.present} | {f"f{n}": 0 for n in case.absent}
    engine.setEvidence(found)
    engine.setTargets({f"c{cause}" for cause in range(_CAUSES)})
    engine.makeInference()
    return np.array([engine.posterior(f"c{cause}")[1] for cause in range(_CAUSES)])


class Quickness(NamedTuple):
    """How many times longer the library takes, its net ready made; the middle of some cases.

    `same`: both are given the engine and what was found. `cut`: the library's net holds only what
    the present findings bear on, and both have the absent ones in the priors already.
    """

    same: float
    cut: float


def quickness(cases: int = 30) -> Quickness:
    """Both ratios over some cases."""
    same, cut = [], []
    for seed in range(cases):
        case = drawn(seed, 0.8)
        whole, given = whole_net(case), factors_of(case)
        theirs = milliseconds(lambda m=whole, c=case: asked_whole(m, c), 3)
        same.append(theirs / milliseconds(lambda c=case: many_faults(factors_of(c)), 3))
        model = net_of(given)
        theirs = milliseconds(lambda m=model, g=given: asked(m, g), 3)
        cut.append(theirs / milliseconds(lambda g=given: many_faults(g), 3))
    return Quickness(float(np.median(same)), float(np.median(cut)))


def table(cases: int = 400, timed: bool = True) -> Table:
    """The share of true faults among the first three, by load, and the gap to exact."""
    rows = []
    for load in _LOADS:
        found: dict[str, list[float]] = {"ours": [], "exact": [], "one fault": []}
        gap = 0.0
        for seed in range(cases):
            case = drawn(seed, load)
            given = factors_of(case)
            ours, exact = np.array(many_faults(given)), reference(case)
            gap = max(gap, float(np.abs(ours - exact).max()))
            for way, chances in (
                ("ours", ours), ("exact", exact), ("one fault", np.array(one_fault(given))),
            ):  # fmt: skip
                first = set(np.argsort(-chances)[:3].tolist())
                found[way].append(len(first & set(case.faults.tolist())) / len(case.faults))
        rows.append((f"{load} faults", *(float(np.mean(v)) for v in found.values()), gap))
    columns = ("mean faults", "ours", "exact", "one fault", "largest gap")
    title = f"B6 true faults among the first three, {cases} cases each"
    if timed:
        quick = quickness()
        title += f"; on the same net pyagrum takes {quick.same:.1f} times as long, on one cut to "
        title += f"what the present findings bear on {quick.cut:.1f} times"
    return Table(title, columns, rows)

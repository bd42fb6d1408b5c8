"""B3 on messages that nobody wrote for the rule base: what is stated against the prior alone.

CASES and LABELS are lines of JSON, `{"id", "said"}` and `{"id", "in_scope", "accept": [causes]}`;
`none` among the accepted stands for a cause that is not in the rule base.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from diagnose.cases.assess import load_workbench
from diagnose.dialogue.conversation import Conversation
from diagnose.language.index import load_index
from diagnose.reasoning.network import NONE
from diagnose.reasoning.ranking import Ranking

from .tables import Table

_DRAWS, _LEAST = 10_000, 1e-4  # what is too unlikely to be listed counts as `_LEAST`, ours only
_NONE = "none"


def stated(ranking: Ranking, accepted: list[str]) -> float:
    """The share of all that is stated which falls on the accepted causes."""
    there = {r.cause: r.p for r in ranking.ranked} | {NONE: ranking.none_of_these}
    return max(_part(there, accepted), _LEAST)


def _part(there: Mapping[str, float], accepted: list[str]) -> float:
    names = {NONE if c == _NONE else c for c in accepted}
    return sum(there.get(name, 0.0) for name in names) / sum(there.values())


def table(cases: Path, labels: Path) -> Table:
    """Log loss of what is stated after the message, of the prior, and how much lower it is."""
    bench = load_workbench()
    index = load_index(bench.knowledge)
    accept = {r["id"]: r["accept"] for r in _rows(labels) if r.get("in_scope") and r["accept"]}
    rows = [r for r in _rows(cases) if r["id"] in accept]
    before = dict(zip(bench.network.causes, bench.network.prior["unknown"], strict=True))
    ours, prior = [], []
    for row in rows:
        talk = Conversation(bench, index)
        talk.say(row["said"])
        ours.append(-np.log(stated(talk.last.ranking, accept[row["id"]])))
        prior.append(-np.log(_part(before, accept[row["id"]])))
    low, high = bootstrap(np.array(ours), np.array(prior))
    columns = ("stated by", "log loss", "below the prior", "from", "to")
    below = 1 - float(np.mean(ours)) / float(np.mean(prior))
    lines = [
        ("ours", float(np.mean(ours)), below, low, high),
        ("prior only", float(np.mean(prior)), 0.0, 0.0, 0.0),
    ]
    title = f"B3 on {len(rows)} messages; from and to: 95 of 100 bootstrap draws"
    return Table(title, columns, lines)


def bootstrap(ours: Any, prior: Any, draws: int = _DRAWS) -> tuple[float, float]:
    """The middle 95 % of how much lower our loss is, over messages drawn with replacement."""
    picked = np.random.default_rng(0).integers(0, len(ours), (draws, len(ours)))
    below = 1 - ours[picked].mean(axis=1) / prior[picked].mean(axis=1)
    return float(np.quantile(below, 0.025)), float(np.quantile(below, 0.975))


def _rows(path: Path) -> list[dict[str, Any]]:
    return [json.loads(line) for line in path.read_text("utf-8").splitlines() if line.strip()]

"""The rule base as a two-layer network of causes and findings, ready for arithmetic; no talk here.

Each cause that is present makes each finding show one of its abnormal states, or leaves it alone;
so does everything outside the rule base (the background). A finding shows a state when at least one
of them made it show that state and none another. With two states this is the noisy-OR of the
literature. Facts of the engine or its history do not show because of a fault: they make a cause
more or less common, and count as odds.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from diagnose.knowledge.model import Cause, Finding, Knowledge

Array = NDArray[np.float64]
NONE = ""  # the last column: a cause that is not in the rule base
_LEAST = 0.02  # no single circumstance may speak more than 1 : 50 for or against


class Showing(NamedTuple):
    """How one finding shows: rows are its abnormal states, columns the causes.

    `shows[s, c]` is the chance that cause c makes it show state s; `leak[s]` the background;
    `odds[s, c]` what a state does to the odds of c beyond that (1 where nothing). `misread` is the
    chance that an answer is wrong; `mistaken[s]` the chance to report state s where it is not.
    """

    finding: str
    states: tuple[str, ...]
    normal: str
    shows: Array
    leak: Array
    odds: Array
    misread: float
    mistaken: Array


class Network(NamedTuple):
    """The causes with their prior odds, and how every finding bears on them."""

    causes: tuple[str, ...]
    prior: dict[str, Array]
    showings: dict[str, Showing]
    circumstances: dict[str, dict[str, Array]]
    groups: dict[str, str]
    columns: dict[str, int]

    def column(self, cause: str) -> int:
        """The column of a cause id."""
        return self.columns[cause]


def build_network(knowledge: Knowledge) -> Network:
    """Turn the words of the rule base into arrays, once per rule base."""
    causes = (*knowledge.causes, NONE)
    signs = _signs_by_finding(knowledge)
    showings, circumstances = {}, {}
    for finding in knowledge.findings.values():
        if finding.is_circumstance:
            circumstances[finding.id] = _circumstance(knowledge, finding, signs)
        else:
            showings[finding.id] = _showing(knowledge, finding, signs)
    groups = {f.id: f.same_symptom for f in knowledge.findings.values() if f.same_symptom}
    columns = {cause: column for column, cause in enumerate(causes)}
    return Network(causes, _priors(knowledge), showings, circumstances, groups, columns)


Signs = dict[str, list[tuple[int, str, float]]]


def _signs_by_finding(knowledge: Knowledge) -> Signs:
    often = knowledge.words.how_often
    out: Signs = {key: [] for key in knowledge.findings}
    for column, cause in enumerate(knowledge.causes.values()):
        for sign in cause.signs:
            out[sign.finding].append((column, sign.state, often[sign.how_often]))
    return out


def _priors(knowledge: Knowledge) -> dict[str, Array]:
    settings = knowledge.words.settings
    out = {}
    for setting in ("after_build", "in_service"):
        weights = np.array([_weight(knowledge, c, setting) for c in knowledge.causes.values()])
        share = weights / weights.sum() * settings["expected_faults"]
        out[setting] = np.append(np.minimum(share, 0.5), settings["none_of_these"])
    out["unknown"] = (out["after_build"] + out["in_service"]) / 2
    return out


def _weight(knowledge: Knowledge, cause: Cause, setting: str) -> float:
    return knowledge.words.how_common[getattr(cause.how_common, setting)]


def _misread(knowledge: Knowledge, finding: str) -> float:
    check = knowledge.check_of(finding)
    return knowledge.words.settings["misread"] if check is None else check.misread


def _showing(knowledge: Knowledge, finding: Finding, signs: Signs) -> Showing:
    states = tuple(s for s in finding.known_states if s != finding.normal)
    size = (len(states), len(knowledge.causes) + 1)
    shows, odds = np.zeros(size), np.ones(size)
    words = knowledge.words.background
    leak = np.array([words[finding.background.get(s, "rare")] for s in states])
    for column, state, share in signs[finding.id]:
        if state == finding.normal:
            if len(states) == 1 and share < 0.5:
                shows[0, column] = 1 - share
            continue
        row = states.index(state)
        shows[row, column] = share
        if share < leak[row]:
            shows[row, column] = 0.0
            odds[row, column] = share / leak[row]
    shows[:, -1] = knowledge.words.settings["none_shows"] / len(states)
    misread = _misread(knowledge, finding.id)
    mistaken = np.full(len(states), misread / max(len(states), 1))
    for row in _defining(knowledge, finding, states):
        leak[row] = min(leak[row], knowledge.words.background["none"])
        mistaken[row] = min(mistaken[row], knowledge.words.settings["mistaken_proof"])
    return Showing(finding.id, states, finding.normal, shows, leak, odds, misread, mistaken)


def _defining(knowledge: Knowledge, finding: Finding, states: tuple[str, ...]) -> list[int]:
    """The states that prove a cause by being seen: they hardly show without it.

    What is heard or felt with the engine running proves nothing by itself.
    """
    check = knowledge.check_of(finding.id)
    if check is None or knowledge.access[check.access].engine_running:
        return []
    proofs = {c.confirm.state for c in knowledge.causes.values() if c.confirm.finding == finding.id}
    return [row for row, state in enumerate(states) if state in proofs]


def _circumstance(knowledge: Knowledge, finding: Finding, signs: Signs) -> dict[str, Array]:
    share = _shares(knowledge, finding)
    out = {s: np.ones(len(knowledge.causes) + 1) for s in share}
    by_cause: dict[int, dict[str, float]] = {}
    for column, state, value in signs[finding.id]:
        by_cause.setdefault(column, {})[state] = value
    for column, said in by_cause.items():
        for state, value in _completed(said, share).items():
            ratio = value / share[state]
            out[state][column] = min(max(ratio, _LEAST), 1 / _LEAST)
    return out


def _shares(knowledge: Knowledge, finding: Finding) -> dict[str, float]:
    words = knowledge.words.background
    share = {s: words[finding.background[s]] for s in finding.background}
    rest = [s for s in finding.known_states if s not in share]
    left = max(1 - sum(share.values()), 0.05)
    share |= {s: left / len(rest) for s in rest}
    total = sum(share.values())
    return {s: v / total for s, v in share.items()}


def _completed(said: dict[str, float], share: dict[str, float]) -> dict[str, float]:
    """The states a cause does not mention share what is left, as they do in all engines."""
    rest = {s: v for s, v in share.items() if s not in said}
    left = max(1 - sum(said.values()), 0.0)
    total = sum(rest.values()) or 1.0
    return {
        **{s: v for s, v in said.items() if s in share},
        **{s: left * v / total for s, v in rest.items()},
    }

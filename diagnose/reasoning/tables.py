"""The chance of every answer to every finding that a check settles, under every single cause."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from math import log2

from diagnose.knowledge.model import Knowledge
from diagnose.named import Named
from diagnose.reasoning.network import Columns, Network

LEAST = 1e-12  # chances below this tell nothing


class Answer(Named):
    """The chance of one answer: `usual` with no fault and with most causes, `under[c]` with c.

    All answers to a finding speak of the same causes, in the same order. `parts` are what these
    chances add to the negative entropy, the usual one last.
    """

    state: str
    usual: float
    under: Columns
    parts: tuple[float, ...]


def answer(state: str, usual: float, under: Columns) -> Answer:
    """An answer with its parts worked out."""
    return Answer(
        state, usual, under, (*map(negative_entropy, under.values()), negative_entropy(usual))
    )


Tables = dict[str, tuple[Answer, ...]]
"""Every answer to every finding that a check settles."""


def build_tables(knowledge: Knowledge, network: Network) -> Tables:
    """Chances of every answer under every single cause, once per rule base."""
    return {
        finding: tuple(_answers(network, finding, knowledge.findings[finding].known_states))
        for finding in knowledge.findings
        if finding in knowledge.settled_by
    }


class TablesBeside(dict[str, tuple[Answer, ...]]):
    """`build_tables` for an engine in which the causes of some columns are there already.

    Worked out for a finding when it is first asked for: a turn needs few of them.
    """

    def __init__(self, knowledge: Knowledge, network: Network, found: Sequence[int]) -> None:
        super().__init__()
        self._knowledge, self._network, self._found = knowledge, network, found

    def __missing__(self, finding: str) -> tuple[Answer, ...]:
        usual: Mapping[str, float] | None = None
        states = self._knowledge.findings[finding].known_states
        for column in self._found:
            answers = _answers(self._network, finding, states, usual)
            usual = {one.state: one.under.get(column, one.usual) for one in answers}
        self[finding] = tuple(_answers(self._network, finding, states, usual))
        return self[finding]


def _answers(
    network: Network,
    finding: str,
    states: Sequence[str],
    beside: Mapping[str, float] | None = None,
) -> Iterator[Answer]:
    raw = [_answer(network, finding, state, beside) for state in states]
    usual = math.fsum(one.usual for one in raw)
    columns = sorted({c for one in raw for c in one.under})
    total = {c: math.fsum(one.under.get(c, one.usual) for one in raw) for c in columns}
    for one in raw:
        under = {c: one.under.get(c, one.usual) / total[c] for c in columns}
        yield answer(one.state, one.usual / usual, under)


class _Raw(Named):
    state: str
    usual: float
    under: Columns


def _answer(network: Network, finding: str, state: str, beside: Mapping[str, float] | None) -> _Raw:
    """One answer before the answers to a finding are made to sum to 1 under each cause.

    `beside` are the usual chances of the answers where they are not those of a sound engine.
    """
    circumstance = network.circumstances.get(finding)
    if circumstance is not None:  # only ratios count: as if each state were as common
        return _Raw(state, 1.0, circumstance[state])
    showing = network.showings[finding]
    leak = [1 - (1 - a) * (1 - b) for a, b in zip(showing.leak, showing.mistaken, strict=True)]
    if beside is not None:
        leak = [beside[state] for state in showing.states]
    still = max(1 - sum(leak), 0.01)
    columns = {c for shows in (*showing.shows, *showing.odds) for c in shows}
    sure = 1 - showing.misread
    quiet = {c: 1 - sure * sum(s.get(c, 0.0) for s in showing.shows) for c in columns}
    denied = showing.denies[-1 if state == showing.normal else showing.states.index(state)]
    if state == showing.normal:
        return _Raw(state, still, {c: quiet[c] * still * denied.get(c, 1.0) for c in columns})
    row = showing.states.index(state)
    shows, odds = showing.shows[row], showing.odds[row]
    under = {}
    for c in columns:
        here = shows.get(c, 0.0) * sure
        chance = (quiet[c] + here) * (still + leak[row]) - quiet[c] * still
        under[c] = max(chance * odds.get(c, 1.0) * denied.get(c, 1.0), 1e-6)
    return _Raw(state, leak[row], under)


def negative_entropy(share: float) -> float:
    """What one share adds to the negative entropy, in bits."""
    return share * log2(share) if share > LEAST else 0.0

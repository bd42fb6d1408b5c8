"""Whether a cause can ever come first: its best case is that all its usual signs are told."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.model import Cause, Knowledge
from diagnose.reasoning.network import ANY, Network
from diagnose.reasoning.posterior import Evidence, alone, factors

_USUAL = ("often", "usually", "always")


def never_first(knowledge: Knowledge, network: Network) -> Iterator[tuple[str, str]]:
    """Each cause that stays behind another even in its best case, and that other one.

    Only signs count here, one fault at a time: a rule may lift a cause, but should not have to.
    """
    prior = network.prior[ANY]
    for cause in knowledge.causes.values():
        weights = alone(factors(network, prior, _best_case(knowledge, cause)))
        ahead = max(range(len(network.causes) - 1), key=weights.__getitem__)
        if weights[ahead] > weights[network.column(cause.id)]:
            yield cause.id, network.causes[ahead]


def _best_case(knowledge: Knowledge, cause: Cause) -> list[Evidence]:
    """Each usual sign once: of a finding's states the one shown most."""
    share = knowledge.words.how_often
    told: dict[str, str] = {}
    for sign in sorted(cause.signs, key=lambda s: share.get(s.how_often, 0.0)):
        if sign.how_often in _USUAL:
            told[sign.finding] = sign.state
    return [Evidence(finding, state) for finding, state in sorted(told.items())]

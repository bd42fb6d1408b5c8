"""The network's showings as whole arrays, with nothing left out: easier to count with in tests."""

from typing import Any, NamedTuple

import numpy as np

from diagnose.reasoning.network import Columns, Network


class Dense(NamedTuple):
    """A showing with a figure for every cause: rows are its abnormal states."""

    finding: str
    states: tuple[str, ...]
    normal: str
    shows: Any
    leak: Any
    odds: Any
    misread: float
    mistaken: Any
    denies: Any

    def denied(self, state: str, column: int) -> float:
        """What seeing this state does to the odds of a cause that another state proves."""
        place = -1 if state == self.normal else self.states.index(state)
        return float(self.denies[place, column])


def spread(columns: Columns, count: int, usual: float) -> Any:
    """A figure for every cause."""
    return np.array([columns.get(c, usual) for c in range(count)])


def dense_showings(network: Network) -> dict[str, Dense]:
    """Every showing of the network, spread out."""
    count = len(network.causes)
    return {
        finding: Dense(
            showing.finding,
            showing.states,
            showing.normal,
            np.array([spread(row, count, 0.0) for row in showing.shows]),
            np.array(showing.leak),
            np.array([spread(row, count, 1.0) for row in showing.odds]),
            showing.misread,
            np.array(showing.mistaken),
            np.array([spread(row, count, 1.0) for row in showing.denies]),
        )
        for finding, showing in network.showings.items()
    }

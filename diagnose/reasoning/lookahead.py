"""Looking one or two steps ahead: ask, or try the likeliest repair first and ask if it fails.

Trying a repair is a test as well: it tells whether it was right. What a check could tell about the
others need only be asked once it has failed, so a check has to beat that, not only the bare order
of repairs. Shares are those of `Repairs`; they are not normalised: their sum is the chance of
getting there.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from math import inf
from operator import mul

from diagnose.named import Named
from diagnose.reasoning.minutes import Repairs

Shares = Sequence[float]
Then = Callable[[list[float], Repairs, str], float]
"""The expected minutes from some shares on, a finding asked for last."""


class Look(Named):
    """A finding that could be asked for: minutes with its access open, and a row an answer.

    A row is the chance of the answer in each place of the shares.
    """

    finding: str
    access: str
    minutes: float
    rows: tuple[Sequence[float], ...]


class Lookahead:
    """Expected minutes to a cured engine, seen from a few looks that could come next."""

    def __init__(self, looks: Collection[Look]) -> None:
        self._looks = looks

    def once(self, shares: Shares, repairs: Repairs, asked: str = "") -> float:
        """The best of repairing, and of one more look before it."""
        best = repairs.expected(shares)
        most = best - repairs.least(shares)  # no look can save more
        whole = sum(shares)
        for look in self._looks:
            cost = look.minutes + repairs.reach.get(look.access, 0.0)
            if look.finding != asked and cost * whole < most:
                best = min(best, self.asking(look, shares, repairs, best))
        return best

    def asking(
        self,
        look: Look,
        shares: Shares,
        repairs: Repairs,
        limit: float = inf,
        then: Then | None = None,
    ) -> float:
        """Ask, then go on as best from each answer: with repairs, or as `then` tells.

        What costs the `limit` or more need not be known exactly: the sum ends there.
        """
        spent = (look.minutes + repairs.reach.get(look.access, 0.0)) * sum(shares)
        open_ = repairs.opened(look.access)
        for row in look.rows:
            if spent >= limit:
                break
            left = [*map(mul, shares, row)]
            spent += then(left, open_, look.finding) if then else open_.expected(left)
        return spent

    def asking_twice(self, look: Look, shares: Shares, repairs: Repairs, limit: float) -> float:
        """Ask, then see one step further from each answer; exact where below the `limit`."""
        return self.asking(look, shares, repairs, limit, self.once)

    def repairing(self, shares: Shares, repairs: Repairs) -> float:
        """Try the best repair; if it does not help, look once more where that is better."""
        place, minutes, access = repairs.first(shares)
        undo, left = repairs.after(shares, place)
        faulty = sum(shares) - shares[-1]
        return minutes * faulty + undo + self.once(left, repairs.opened(access))

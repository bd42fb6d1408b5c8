"""What lies behind a failed part is ranked by the same evidence as the part itself."""

import pytest

from diagnose.reasoning.posterior import Factors
from diagnose.reasoning.roots import root_shares

FOUND, FIRST, SECOND, OTHER = range(4)


def given(explains: list[dict[int, float]], leak: list[float]) -> Factors:
    names = tuple(f"finding {n}" for n in range(len(leak)))
    return Factors([1.0, 0.02, 0.01, 0.5], explains, leak, names)


def test_before_anything_is_seen_the_usual_share_has_a_root() -> None:
    shares = root_shares(given([], []), [FOUND], [FIRST, SECOND], usual=0.5)
    assert sum(shares) == pytest.approx(1)
    assert shares[-1] == pytest.approx(0.5)
    assert shares[FIRST] == pytest.approx(2 * shares[SECOND])
    assert shares[FOUND] == shares[OTHER] == 0


def test_a_root_gains_by_what_the_failed_part_does_not_explain() -> None:
    seen = given([{SECOND: 0.9}], [0.01])
    shares = root_shares(seen, [FOUND], [FIRST, SECOND], usual=0.5)
    # odds of the second: 1/3 of one half, times (1 + 0.9 x 0.99 / 0.01)
    assert shares[SECOND] / shares[-1] == pytest.approx(1 / 3 * (1 + 0.9 * 0.99 / 0.01))


def test_a_root_gains_nothing_by_what_the_failed_part_explains() -> None:
    seen = given([{FOUND: 1.0, SECOND: 0.9}], [0.01])
    plain = root_shares(given([], []), [FOUND], [FIRST, SECOND], usual=0.5)
    assert root_shares(seen, [FOUND], [FIRST, SECOND], usual=0.5) == pytest.approx(plain)


def test_a_cause_without_roots_has_nothing_behind_it() -> None:
    assert root_shares(given([], []), [FOUND], [], usual=0.5)[-1] == 1

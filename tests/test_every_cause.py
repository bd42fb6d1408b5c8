"""Every cause can win and every cause can fall: fed what the rule base itself says of it."""

from collections.abc import Iterator

import pytest

from diagnose.cases.assess import load_workbench
from diagnose.cases.log import Statement
from diagnose.knowledge.model import Cause
from diagnose.reasoning.ranking import Ranking

BENCH = load_workbench()
CAUSES = BENCH.knowledge.causes
USUAL, UNHEARD_OF = {"often", "usually", "always"}, {"never", "rarely"}


def usual_signs(cause: Cause) -> dict[str, str]:
    return {sign.finding: sign.state for sign in cause.signs if sign.how_often in USUAL}


def counter_signs(cause: Cause) -> Iterator[tuple[str, str]]:
    """What speaks against it: its proving part found otherwise, and what it never shows."""
    proof = BENCH.knowledge.findings[cause.confirm.finding]
    shown = {sign.state for sign in cause.signs if sign.finding == proof.id}
    yield from ((proof.id, s) for s in proof.known_states[:2] if s not in shown)
    yield from ((s.finding, s.state) for s in cause.signs if s.how_often in UNHEARD_OF)


def ranked(known: dict[str, str]) -> Ranking:
    return BENCH.assess([Statement("said", f, 1, state=s) for f, s in known.items()]).ranking


def falls(cause: Cause, finding: str, state: str) -> bool:
    found = ranked({**usual_signs(cause), finding: state})
    leader = found.ranked[0] if found.ranked else None
    return leader is None or leader.cause != cause.id or found.none_of_these > leader.p


@pytest.mark.parametrize("cause", CAUSES.values(), ids=CAUSES)
def test_a_cause_leads_on_its_own_usual_signs(cause: Cause) -> None:
    assert ranked(usual_signs(cause)).ranked[0].cause == cause.id


@pytest.mark.parametrize("cause", CAUSES.values(), ids=CAUSES)
def test_what_speaks_against_a_cause_lowers_it(cause: Cause) -> None:
    known = usual_signs(cause)
    before = ranked(known).p(cause.id)
    lowest = min(ranked({**known, f: s}).p(cause.id) for f, s in counter_signs(cause))
    assert lowest < before


def test_most_causes_fall_to_a_single_sign_against_them() -> None:
    """Against ten signs for it one is not always enough, nor should it be: it may be misread."""
    standing = [
        c.id for c in CAUSES.values() if not any(falls(c, f, s) for f, s in counter_signs(c))
    ]
    assert len(standing) <= 0.25 * len(CAUSES), standing

"""A number says in words what its finding's `also_says` tells, and only where that is sure."""

from __future__ import annotations

import pytest

from diagnose.cli.talk import new_conversation
from diagnose.language.understand import understand
from diagnose.language.understanding import Context

INDEX = new_conversation(None).index

# 10 psi for each 1,000 rpm: rule of thumb of the trade (common-practice, no published source).
TOLD = [
    ("9 psi at hot idle", "low"),
    ("60 kPa of oil pressure at hot idle", "low"),
    ("45 psi at hot idle", "good"),
    ("18 psi at hot idle", None),
    ("over 40 psi at hot idle", "good"),
    ("9 psi at hot idle and 60 psi at 3000 rpm", None),
    ("oil pressure jumps about, 45 psi at hot idle", "fluctuates"),
]


@pytest.mark.parametrize(("text", "state"), TOLD)
def test_a_number_also_says_its_state(text: str, state: str | None) -> None:
    taken = understand(text, INDEX, Context()).taken
    assert next((t.state for t in taken if t.finding == "oil_pressure"), None) == state


def test_a_limit_of_the_sheet_or_a_question_keeps_the_number_alone() -> None:
    for context in (
        Context(limits=frozenset({"oil_pressure_idle_hot"})),
        Context(asked="oil_pressure_idle_hot"),
    ):
        taken = understand("45 psi at hot idle", INDEX, context).taken
        assert [t.finding for t in taken] == ["oil_pressure_idle_hot"]

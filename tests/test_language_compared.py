"""Several numbers of one kind are held against each other, whoever they belong to.

70 per cent of the highest and 100 psi: 2006 workshop manual, compression test and what it means,
http://gm.saturn.team/Pontiac/Solstice/2006/58/1/5348/136040
"""

from __future__ import annotations

import pytest

from diagnose.cli.talk import new_conversation
from diagnose.language.understand import understand
from diagnose.language.understanding import Context

INDEX = new_conversation(None).index

TOLD = [
    ("compression test 150 160 155 158", "even_good"),
    ("compression was 150/145/60/150", "one_low"),
    ("compression: 1 150, 2 155, 3 60, 4 70", "several_low"),
    ("compression 60, 70, 65, 70 psi", "all_low"),
    ("compression dry 150, 108, 150", "even_good"),
    ("compression dry 150, 104, 150", "one_low"),
    ("compression is 150 on number 1", None),
    ("did a compression test after 2500 miles", None),
]


@pytest.mark.parametrize(("text", "state"), TOLD)
def test_numbers_say_which_are_low(text: str, state: str | None) -> None:
    taken = understand(text, INDEX, Context()).taken
    assert next((t.state for t in taken if t.finding == "compression"), None) == state


def test_a_number_of_the_row_is_no_reading_of_its_own() -> None:
    taken = understand("compression: 1 150 psi, 2 155, 3 35 psi, 4 150", INDEX, Context()).taken
    assert [t.finding for t in taken] == ["compression"]

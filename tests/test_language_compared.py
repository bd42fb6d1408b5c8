"""Several numbers of one kind are held against each other, whoever they belong to.

70 per cent of the highest and 100 psi: 2006 workshop manual, compression test and what it means,
http://gm.saturn.team/Pontiac/Solstice/2006/58/1/5348/136040. Two low are neighbours where one
gasket parts them: in a row by numbers that follow, of a V8 two of one bank (common practice).
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
    ("compression: 1 150, 2 155, 3 60, 4 70", "neighbours_low"),
    ("compression: 1 60, 2 155, 3 150, 4 70", "several_low"),
    ("compression 150 60 65 155", "neighbours_low"),
    ("compression test: 3 and 4 ok at about 140, 1 and 2 both zero", "neighbours_low"),
    ("#1 140, #2 nothing, #3 nothing, #4 145 psi of compression", "neighbours_low"),
    ("compression 1 180, 2 185, 3 40, 4 180, 5 35, 6 182, 7 185, 8 180", "neighbours_low"),
    ("compression 1 180, 2 185, 3 40, 4 38, 5 180, 6 182, 7 185, 8 180", "several_low"),
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

"""Wordings composed of word classes: what a pattern stands for, and what is told of a bad one."""

from __future__ import annotations

import pytest

from diagnose.knowledge.composing import MOST, Unfit, composed

CLASSES = {"ruined": "eaten|worn_out"}


@pytest.mark.parametrize(
    ("pattern", "wordings"),
    [
        ("gear gone", ["gear gone"]),
        ("second|third gear", ["second gear", "third gear"]),
        ("gear <ruined>", ["gear eaten", "gear worn out"]),
        ("gear <ruined>|gone", ["gear eaten", "gear worn out", "gear gone"]),
        ("runs very? rough", ["runs very rough", "runs rough"]),
    ],
)
def test_a_pattern_stands_for_each_choice(pattern: str, wordings: list[str]) -> None:
    assert list(composed(pattern, CLASSES)) == wordings


def test_an_unknown_class_is_told_with_those_there_are() -> None:
    with pytest.raises(Unfit) as fault:
        list(composed("gear <runied>", CLASSES))
    assert fault.value.args == ("runied", "ruined")


def test_a_pattern_of_too_many_wordings_is_refused() -> None:
    word = "|".join(str(n) for n in range(int(MOST**0.5) + 1))
    with pytest.raises(Unfit):
        list(composed(f"{word} {word}", CLASSES))

"""Spelling: slips are put right, ordinary words are left alone."""

from __future__ import annotations

import pytest
from language_toy import toy_index

from diagnose.language.spelling import read_stems

SLIPS = [
    ("widgit", "widget"),
    ("wigdet", "widget"),
    ("ratle", "rattle"),
    ("sheerd", "sheared"),
    ("pressuer", "pressure"),
]
LEFT = ["window", "knee", "clock", "rate"]


def stems(text: str) -> list[str]:
    index = toy_index()
    return read_stems(text, index.words, index.spelling)


@pytest.mark.parametrize(("typed", "meant"), SLIPS)
def test_a_slip_is_put_right(typed: str, meant: str) -> None:
    assert stems(typed) == stems(meant)


@pytest.mark.parametrize("word", LEFT)
def test_an_ordinary_word_is_never_corrected(word: str) -> None:
    assert toy_index().spelling.read(word) == (word,)


def test_run_together_words_are_parted() -> None:
    assert stems("widgetloose") == stems("widget loose")


def test_equal_words_become_one() -> None:
    assert stems("the follower and the tappet") == ["lifter", "lifter"]
    assert stems("cam end float") == stems("camshaft end play")


def test_words_people_use_to_command_are_known() -> None:
    assert toy_index().spelling.read("undo") == ("undo",)

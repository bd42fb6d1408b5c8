"""Tokens and stems: what is written, level and in place."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.language.stems import stem
from diagnose.language.tokens import tokenise

NUMBERS = [
    ("0,15", 0.15),
    (".oo8", 0.008),
    ("1,200", 1200),
    ("1/16", 0.0625),
    ("3/8", 0.375),
    ("½", 0.5),
    ("0,125", 0.125),
]
ALIKE = [("knocks", "knocking"), ("idles", "idling"), ("stopped", "stops"), ("bodies", "body")]
APART = [("timing", "time"), ("bearing", "bear"), ("came", "cam"), ("tape", "tap")]


@pytest.mark.parametrize(("text", "value"), NUMBERS)
def test_a_number_is_read_as_people_type_it(text: str, value: float) -> None:
    assert tokenise(text)[0].value == pytest.approx(value)


def test_an_oil_grade_is_no_number() -> None:
    assert [t.kind for t in tokenise("10w-40")] == ["word"]
    assert tokenise("10/30")[0].value is None


def test_an_apostrophe_does_not_part_a_word() -> None:
    assert [t.text for t in tokenise("doesn’t isn't")] == ["doesnt", "isnt"]


@given(st.text(max_size=60))
def test_every_token_stands_where_it_says(text: str) -> None:
    tokens = tokenise(text)
    assert all(0 <= t.start < t.end <= len(text) for t in tokens)
    assert tokens == sorted(tokens, key=lambda t: t.start)


@pytest.mark.parametrize(("one", "other"), ALIKE)
def test_endings_do_not_make_another_word(one: str, other: str) -> None:
    assert stem(one) == stem(other)


@pytest.mark.parametrize(("one", "other"), APART)
def test_words_that_only_look_alike_stay_apart(one: str, other: str) -> None:
    assert stem(one) != stem(other)

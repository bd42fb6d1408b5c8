"""Any text is survived, and bounded in time."""

from __future__ import annotations

import pickle
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from language_toy import heard, toy_index

from diagnose.language.understand import understand
from diagnose.language.understanding import Context

STRANGE = [
    "",
    "   ",
    "👍🔧",
    "0031 4471",
    "SELECT id FROM parts WHERE stock > 0;",
    "<div class='row'>test</div>",
    "hola, alguien me puede ayudar",
    "\x00\xff\ufffe",
]
LONG = ["x" * 100_000, "12 " * 30_000, "no " * 30_000, "it knocks at the front, " * 4000]


@pytest.mark.parametrize("text", STRANGE)
def test_what_is_no_report_takes_nothing(text: str) -> None:
    found = heard(text)
    assert (found.taken, found.unclear) == ((), ())


@given(st.text(max_size=200))
def test_no_text_raises(text: str) -> None:
    assert heard(text, Context(asked="widget")).intent


@pytest.mark.parametrize("text", LONG)
def test_a_very_long_text_is_bounded_in_time(text: str) -> None:
    toy_index()
    start = time.perf_counter()
    heard(text)
    assert time.perf_counter() - start < 1


def test_the_same_text_is_understood_the_same_by_a_copy_of_the_index() -> None:
    text = "it knocks at the front, widget is loose, shaft play 8 thou"
    copied = pickle.loads(pickle.dumps(toy_index()))
    assert understand(text, copied, Context()) == heard(text)

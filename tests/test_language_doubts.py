"""Wordings with several meanings are asked back."""

from __future__ import annotations

from language_toy import heard, states


def test_words_that_two_findings_share_are_asked_back() -> None:
    found = heard("plate is worn")
    assert found.taken == ()
    assert {o.finding for o in found.unclear[0].options} == {"upper_plate", "lower_plate"}


def test_the_word_that_tells_settles_it() -> None:
    assert states("upper plate is worn") == {"upper_plate": "worn"}

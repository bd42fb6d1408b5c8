"""Patterns of words: choices, gaps and tied ends."""

from __future__ import annotations

import pytest

from diagnose.language.patterns import Patterns

CASES = [
    ("why not", "so why not that", (1, 3)),
    ("may|might be", "it might be", (1, 3)),
    ("if * was", "if the oil had was", (0, 5)),
    ("^stop", "please stop", None),
    ("^stop$", "stop now", None),
    ("stop$", "please stop", (1, 2)),
    ("if * was", "if a b c d e f was", None),
    ("new cam !gear|bolt", "a new cam went in", (1, 3)),
    ("new cam !gear|bolt", "a new cam", (1, 3)),
    ("new cam !gear|bolt", "a new cam gear", None),
]


@pytest.mark.parametrize(("line", "text", "place"), CASES)
def test_a_pattern_holds_where_it_should(
    line: str, text: str, place: tuple[int, int] | None
) -> None:
    assert Patterns.of([line]).find(text.split()) == place


def test_every_place_is_found_once() -> None:
    assert Patterns.of(["a b"]).find_all(["a", "b", "x", "a", "b"]) == [(0, 2), (3, 5)]


def test_the_longest_pattern_at_a_place_wins() -> None:
    assert Patterns.of(["a", "a b"]).find(["a", "b", "c"]) == (0, 2)

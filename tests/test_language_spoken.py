"""Patterns of typed words: order and tense tell, the longest pattern of a finding wins."""

from __future__ import annotations

import pytest
from language_toy import finding

from diagnose.language.spoken import read_spoken, sayings

SPOKEN = read_spoken(
    [
        finding("stopped", ("no", "yes"), {})._replace(
            spoken={"yes": ("it|engine died", "quit on me"), "no": ("never * died",)}
        ),
        finding("power", ("absent", "present"), {})._replace(
            spoken={"present": ("loss of power",), "absent": ("no|without loss of power",)}
        ),
    ]
)


@pytest.mark.parametrize(
    ("clause", "told"),
    [
        ("then the engine died", [("stopped", "yes")]),
        ("it dies when hot", []),
        ("died it", []),
        ("it quit on me twice", [("stopped", "yes")]),
        ("there is loss of power", [("power", "present")]),
        ("runs well with no loss of power", [("power", "absent")]),
        ("it died with loss of power", [("stopped", "yes"), ("power", "present")]),
    ],
)
def test_a_clause_is_heard_word_for_word(clause: str, told: list[tuple[str, str]]) -> None:
    assert [(s.finding, s.state) for s in sayings([clause.split()], SPOKEN)] == told


def test_each_clause_is_heard_by_itself() -> None:
    found = list(sayings([["the", "engine"], ["it", "died"]], SPOKEN))
    assert [(s.finding, s.clause) for s in found] == [("stopped", 1)]

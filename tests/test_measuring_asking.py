"""How a sum reads its values, the wording of each refusal, and the one rule of proof."""

import math

import pytest

from diagnose.measuring.asking import Given, positive, prove, worst_of
from diagnose.measuring.verdict import judge
from diagnose.measuring.worked import CONFORMS, FAILS, UNDECIDED, Input, Refused, Values

ASKED = (
    Input("size", "how long is it?", "length", "thou"),
    Input("count", "how many are there?", "", ""),
    Input("angle", "which angle?", "angle", "deg", usual=82.0),
    Input("extra", "anything else?", "length", "thou", optional=True),
    Input("many", "which ones?", "length", "thou", many=True),
)


def given(**values: tuple[float, ...]) -> Given:
    return Given(ASKED, values)


def test_what_is_not_given_is_the_usual_or_nothing() -> None:
    assert given().one("angle") == 82.0
    assert given().perhaps("extra") is None
    assert given(many=(1.0, 2.0)).row("many") == (1.0, 2.0)
    assert given(size=(-1.0,)).one("size", -5.0) == -1.0


@pytest.mark.parametrize(
    ("name", "values", "wrong"),
    [
        ("size", {}, "size is missing; give it in thou: how long is it?"),
        ("count", {}, "count is missing; give a number: how many are there?"),
        ("size", {"size": (-1.0,)}, "size is -1; it must be a number of 0 or more"),
        ("size", {"size": (math.nan,)}, "size is nan; it must be a number of 0 or more"),
        ("many", {"many": (1.0, math.inf)}, "many is inf; it must be a number of 0 or more"),
        ("size", {"size": (1.0, 2.0)}, "size is given 2 times; give one value"),
    ],
)
def test_each_refusal_has_one_wording(name: str, values: Values, wrong: str) -> None:
    with pytest.raises(Refused) as fault:
        Given(ASKED, values).row(name)
    assert str(fault.value) == wrong


def test_a_value_with_no_least_one_must_still_be_a_number() -> None:
    with pytest.raises(Refused, match="it must be a number$"):
        given(size=(math.nan,)).one("size", -math.inf)


def test_what_another_value_needs_is_asked_for_with_the_reason() -> None:
    assert given(extra=(3.0,)).needed("extra", "size") == 3.0
    with pytest.raises(Refused, match="^extra is missing; size needs it$"):
        given().needed("extra", "size")


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_what_must_be_above_zero_is_refused_by_name(value: float) -> None:
    with pytest.raises(Refused, match="^pitch-radius is .*; it must be a number above zero$"):
        positive(pitch_radius=value)


def test_the_whole_give_or_take_is_the_guard_band() -> None:
    """Guard band w = U: JCGM 106:2012, 8.3.2 (from memory). Limit 20.05, U 0.015: 20.035 and
    20.065, pages on ISO 14253-1 as in test_measuring_judging.py."""
    found = [prove(v, 0.015, None, 20.05) for v in (20.034, 20.036, 20.064, 20.066)]
    assert found == [CONFORMS, UNDECIDED, UNDECIDED, FAILS]


@pytest.mark.parametrize("value", [0.5, 2.9, 3.1, 4.0, 5.0, 6.9, 7.1, 8.0])
def test_a_reading_in_a_conversation_is_proved_by_the_same_rule(value: float) -> None:
    """`judge` takes the standard uncertainty of one reading: U is 1.96 of it."""
    proof = prove(value, 1.0, 2.0, 8.0)
    found = judge(value, 1.0 / 1.959964, 2.0, 8.0)
    assert found.sure == (proof != UNDECIDED)
    assert found.state == "ok" or proof != CONFORMS


@pytest.mark.parametrize(
    ("value", "doubt", "low", "high"),
    [(math.nan, 1, 1, 6), (math.inf, 1, 1, 6), (5, -1, 1, 6), (5, math.nan, 1, 6), (5, 1, 6, 1)],
)
def test_what_can_not_be_judged_is_refused(
    value: float, doubt: float, low: float, high: float
) -> None:
    with pytest.raises(Refused, match="can't be judged"):
        prove(value, doubt, low, high)


def test_one_failure_fails_all_and_one_doubt_leaves_all_open() -> None:
    assert worst_of([CONFORMS, UNDECIDED, FAILS]) == FAILS
    assert worst_of([CONFORMS, UNDECIDED]) == UNDECIDED
    assert worst_of([CONFORMS, CONFORMS]) == CONFORMS

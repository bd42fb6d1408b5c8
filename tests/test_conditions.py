"""The small language of `when` and `only_if`, and what is no condition."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.conditions import Condition, parse


@pytest.mark.parametrize(
    ("text", "condition"),
    [
        ("lamp is dark", Condition("is", "lamp", ("dark",))),
        ("lamp is dark or dim", Condition("is", "lamp", ("dark", "dim"))),
        ("lamp is not lit", Condition("is_not", "lamp", ("lit",))),
        ("lamp is not lit or dim", Condition("is_not", "lamp", ("lit", "dim"))),
        ("gap is read", Condition("read", "gap")),
        ("gap is known", Condition("known", "gap")),
        ("gap is not known", Condition("not_known", "gap")),
        ("note box_open", Condition("note", "box_open")),
        ("note box_open is not set", Condition("no_note", "box_open")),
        ("note is dark", Condition("is", "note", ("dark",))),
        ("lamp2 is on_3", Condition("is", "lamp2", ("on_3",))),
    ],
)
def test_a_condition_is_read(text: str, condition: Condition) -> None:
    assert parse(text) == condition


@pytest.mark.parametrize(
    "text",
    [
        "",
        "lamp",
        "lamp is",
        "lamp is ",
        "is dark",
        "lamp dark",
        "lamp are dark",
        "lamp is dark, hum is present",
        "lamp is dark and dim",
        "lamp is dark or",
        "lamp is Dark",
        "Lamp is dark",
        "lamp is not not lit",
        "lamp  is dark",
        "lamp is dark\n",
        "note",
        "note box_open is set",
        "note Box",
        "2lamp is dark",
    ],
)
def test_what_can_not_be_read_is_no_condition(text: str) -> None:
    assert parse(text) is None


@given(st.text())
def test_any_text_is_a_condition_or_none(text: str) -> None:
    assert parse(text) is None or isinstance(parse(text), Condition)

"""What a text asks of the assistant."""

from __future__ import annotations

import pytest
from language_toy import heard

INTENTS = [
    ("undo", "undo"),
    ("take back what i said about the widget", "undo"),
    ("start over", "restart"),
    ("why do you want to know that", "why"),
    ("why not a bent rod", "why_not"),
    ("how do i check the shaft play", "how"),
    ("what have i told you so far", "list"),
    ("i want it in mm", "change_unit"),
    ("stop", "stop"),
    ("help", "help"),
    ("g'day", "greeting"),
    ("it wont start again when it knocks", "tell"),
    ("what time do you shut on saturday", "other"),
    ("", "other"),
]


@pytest.mark.parametrize(("text", "intent"), INTENTS)
def test_the_intent_is_heard(text: str, intent: str) -> None:
    assert heard(text).intent == intent


def test_a_question_names_its_cause() -> None:
    assert heard("why not a bent rod").target == "bent_rod"


def test_a_question_names_its_reading() -> None:
    assert heard("how do i check the shaft play").target == "shaft_play"


def test_a_command_takes_no_findings() -> None:
    assert heard("take back that it knocks").taken == ()

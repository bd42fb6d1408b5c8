"""The phone manner: the caller's tools are asked for once, and no check is put that needs more."""

from __future__ import annotations

import pytest
from lengths import tries

from diagnose.cli.talk import new_conversation
from diagnose.dialogue.conversation import Conversation
from diagnose.dialogue.wording_aloud import PHONE_GREETING, spoken
from diagnose.language.equipment import lacking, read_equipment

TALK = new_conversation(None)
KINDS = frozenset(TALK.index.words.equipment.tools)
SYMPTOMS = [
    "it ticks at the front cover",
    "it knocks low down when warm, oil pressure is low",
    "it won't hold its timing and backfires through the carb",
    "low on power and it misfires at idle",
    "it squeals at the front",
    "the fuel pump ticks and fuel pressure is low",
]


def phone() -> Conversation:
    return Conversation(TALK.bench, TALK.index, phone=True)


@pytest.mark.parametrize(
    ("text", "has", "open_"),
    [
        ("no tools", set(), ()),
        ("none", set(), ()),
        ("just his hands", set(), ()),
        ("a feeler gauge and a timing light", {"feeler gauge", "timing light", "spanners"}, ()),
        ("he has spanners and a vacuum gauge", {"spanners", "vacuum gauge"}, ()),
        ("cover's off", set(), ("front_cover_off",)),
        (
            "the pan is off, and I have a dial indicator",
            {"dial indicator", "spanners"},
            ("pan_off",),
        ),
        ("everything, it's a workshop", set(KINDS), ()),
        ("the front cover is still on", set(), ()),
    ],
)
def test_tools_and_access_are_understood(text: str, has: set[str], open_: tuple[str, ...]) -> None:
    told = read_equipment(text, TALK.index)
    assert (set(told.has), told.open) == (has, open_)


def test_a_tool_that_is_not_there_leaves_the_others() -> None:
    told = read_equipment("no dial indicator", TALK.index)
    assert told.beside(None, TALK.index) == KINDS - {"dial indicator"}


@pytest.mark.parametrize("text", ["it ticks at the front", "oil pressure is low", "hello"])
def test_a_report_is_no_answer_about_tools(text: str) -> None:
    assert not read_equipment(text, TALK.index).told


@pytest.mark.parametrize("kit", ["no tools", "a feeler gauge and a timing light", "spanners"])
@pytest.mark.parametrize("symptom", SYMPTOMS)
def test_no_check_is_put_that_needs_a_tool_the_caller_lacks(kit: str, symptom: str) -> None:
    talk = phone()
    talk.say(kit)
    reply, put = talk.say(symptom), 0
    while reply.next is not None and put < tries(12, 4):
        check, put = TALK.bench.knowledge.checks[reply.next["check"]], put + 1
        assert talk.caller is not None and talk.caller.kit is not None
        if lacking(check.tools, talk.caller.kit, TALK.index):
            assert check.without_tool and f"Without the tool: {check.without_tool}" in reply.text
        reply = talk.say("don't know")
    assert put


@pytest.mark.parametrize(
    "text",
    [
        "it ticks at the front, end play 11 thou measured with a dial indicator",
        "it turns over but does nothing",
        "knocks low down, oil pressure gauge reads 5 psi hot at idle",
    ],
)
def test_a_report_does_not_empty_the_toolbox(text: str) -> None:
    talk = phone()
    talk.say(text)
    assert talk.caller is not None and talk.caller.kit is None
    assert not talk.last.state.cannot


def test_tools_and_a_report_may_be_told_at_once() -> None:
    talk = phone()
    reply = talk.say("it ticks at the front, he has no tools")
    assert talk.caller is not None and talk.caller.kit == frozenset()
    assert {"noise_tick", "noise_at_front"} <= set(reply.engine["known"])


def test_the_question_about_tools_is_put_once() -> None:
    talk = phone()
    assert talk.greeting == PHONE_GREETING
    replies = [talk.say(t).text for t in ("it ticks at the front", "no", "don't know")]
    assert not any("tools are at hand" in text for text in replies)


def test_an_access_that_is_open_costs_no_minutes() -> None:
    talk = phone()
    talk.say("the front cover is off, I have everything")
    assert "front_cover_off" in talk.last.state.open


def test_nothing_is_opened_where_nothing_may_be() -> None:
    talk = phone()
    talk.say("nothing can come off, he has spanners and a torch")
    reply, put = talk.say("it whines at the front"), 0
    while reply.next is not None and put < 12:
        check, put = TALK.bench.knowledge.checks[reply.next["check"]], put + 1
        assert check.access in ("running", "cranking", "outside")
        reply = talk.say("don't know")


def test_tools_told_later_are_no_answer_to_the_open_question() -> None:
    talk = phone()
    first = talk.say("it ticks at the front")
    assert first.next is not None
    reply = talk.say("no tools")
    assert "Noted of the caller: no tools" in reply.text
    assert not set(first.next["settles"]) & set(reply.engine["known"])


@pytest.mark.parametrize(
    ("finding", "unit", "ends"),
    [
        ("cam_end_play", "thou", "In thousandths of an inch, please."),
        ("oil_pressure_idle_hot", "psi", "In pounds per square inch, please."),
        ("noise_tick", None, "with the engine running?"),
    ],
)
def test_a_question_is_put_as_it_is_spoken(finding: str, unit: str | None, ends: str) -> None:
    assert spoken(TALK.bench.knowledge, [finding], unit).endswith(ends)


def test_no_question_read_aloud_has_brackets() -> None:
    knowledge = TALK.bench.knowledge
    for finding in knowledge.settled_by:
        unit = knowledge.findings[finding].unit
        assert not set("()[]") & set(spoken(knowledge, [finding], unit)), finding

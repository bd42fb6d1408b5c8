"""What a learner's text asks for, in the words learners use."""

import pytest

from diagnose.cases.assess import load_workbench
from diagnose.language.index import load_index
from diagnose.practice.asking import Asker


@pytest.fixture(scope="module")
def asker() -> Asker:
    knowledge = load_workbench().knowledge
    return Asker(knowledge, load_index(knowledge))


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("check the cam end play", ("cam_end_play",)),
        ("what does the oil pressure read at hot idle?", ("oil_pressure_idle_hot",)),
        ("how is the distributor gear worn", ("distributor_gear_wear",)),
        ("measure timing chain slack", ("timing_chain_slack",)),
        ("compression test", ("compression",)),
        ("pull the front cover and measure cam end play", ("cam_end_play",)),
        ("cam end play and lobe lift", ("cam_end_play", "lobe_lift")),
        ("put a second gauge on the oil pressure", ("oil_gauge_checked",)),
        ("pull the valve cover and check rocker oil", ("rocker_oil",)),
        ("measure the fuel pressure", ("fuel_pressure",)),
    ],
)
def test_a_look_is_understood(asker: Asker, text: str, names: tuple[str, ...]) -> None:
    ask = asker.ask(text)
    assert (ask.kind, ask.names) == ("look", names)


@pytest.mark.parametrize(
    ("text", "cause", "root", "sure"),
    [
        ("it is a collapsed lifter, 80% sure", "lifter_collapsed", None, 0.8),
        ("commit: timing chain worn and slack 70 percent", "timing_chain_slack", None, 0.7),
        ("diagnosis: oil gauge wrong", "oil_gauge_wrong", None, None),
        (
            "I say rod bearing worn because of dirt in the oil 60 %",
            "rod_bearing_worn",
            "dirt_in_oil",
            0.6,
        ),
    ],
)
def test_a_diagnosis_is_understood(
    asker: Asker, text: str, cause: str, root: str | None, sure: float | None
) -> None:
    ask = asker.ask(text)
    assert (ask.kind, ask.names, ask.root, ask.sure) == ("commit", (cause,), root, sure)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("give me a hint", "hint"),
        ("what should I check next?", "hint"),
        ("tell me the answer", "answer"),
        ("I give up", "give_up"),
        ("how do I check the cam end play", "how"),
        ("what do I know", "list"),
        ("help", "help"),
        ("stop", "stop"),
        ("75 %", "sure"),
        ("nothing", "nothing"),
        ("hello there", "other"),
        ("please fly to the moon", "other"),
    ],
)
def test_other_wishes_are_understood(asker: Asker, text: str, kind: str) -> None:
    assert asker.ask(text).kind == kind


def test_a_text_with_one_word_of_the_trade_spends_no_minutes(asker: Asker) -> None:
    ask = asker.ask("what colour is the sky")
    assert ask.names == ()


def test_every_finding_can_be_asked_for_by_its_title(asker: Asker) -> None:
    """At least it is among what is offered."""
    missed = []
    for finding in asker.knowledge.settled_by:
        ask = asker.ask(asker.knowledge.findings[finding].title)
        if finding not in (*ask.names, *(o.name for o in ask.options)):
            missed.append(finding)
    assert missed == []


def test_every_cause_can_be_committed_to_by_its_title(asker: Asker) -> None:
    causes = asker.knowledge.causes.values()
    missed = [c.id for c in causes if asker.ask(f"it is {c.title}, 90 %").names != (c.id,)]
    assert missed == []

"""A bare mention says nothing, and a loss of oil pressure is never heard as good."""

import pytest

from diagnose.cli.talk import new_conversation
from diagnose.knowledge.load import load_knowledge
from diagnose.language.index import load_index
from diagnose.language.understand import understand
from diagnose.language.understanding import Context

INDEX = load_index(load_knowledge())


def heard(text: str) -> dict[str, str | None]:
    taken = understand(text, INDEX, Context()).taken
    return {t.finding: t.state for t in taken if t.value is None}


@pytest.mark.parametrize("text", ["oil pressure", "the oil pressure", "oil pressure 110 psi cold"])
def test_naming_the_oil_pressure_says_nothing_of_its_state(text: str) -> None:
    assert "oil_pressure" not in heard(text)


@pytest.mark.parametrize(
    ("text", "state"),
    [
        ("zero oil pressure", "none"),
        ("oil gauge went to zero", "none"),
        ("oil pressure is gone", "none"),
        ("oil presure lo", "low"),
    ],
)
def test_lost_oil_pressure_is_heard_as_lost(text: str, state: str) -> None:
    assert heard(text)["oil_pressure"] == state


@pytest.mark.parametrize("asked", ["noise_tick", "noise_knock"])
@pytest.mark.parametrize("text", ["it is quiet", "no noise", "starts well, no miss, no noise"])
def test_a_quiet_engine_is_never_heard_as_noisy(text: str, asked: str) -> None:
    taken = understand(text, INDEX, Context(asked=asked)).taken
    assert "present" not in {t.state for t in taken}


def test_no_foam_is_no_foam_whatever_follows() -> None:
    assert heard("no foam, oil level is right")["oil_foam"] == "absent"


@pytest.mark.parametrize("text", ["a heavy knock low down", "it knocks low down", "knock down low"])
def test_a_knock_low_down_is_heard_with_its_place(text: str) -> None:
    told = heard(text)
    assert (told.get("noise_knock"), told.get("noise_at_bottom")) == ("present", "present")


def test_an_engine_that_must_not_run_is_not_to_be_started_for_a_look() -> None:
    talk = new_conversation(None)
    reply = talk.say("no oil pressure, a second gauge shows none too, rotor turns")
    asked = []
    while reply.next is not None and len(asked) < 12:
        asked += reply.next["settles"]
        reply = talk.say("don't know")
    assert asked
    assert not {"engine_starts", "hard_start", "hot_restart"} & set(asked)

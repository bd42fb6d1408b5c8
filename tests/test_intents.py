"""What a person may ask back: why, why not, how, what if, list, undo; none of it is a finding."""

from pathlib import Path

import pytest
from rule_files import FILES, cause, write_rules

from diagnose.cases.assess import load_workbench
from diagnose.dialogue import wording, wording_back
from diagnose.dialogue.conversation import Conversation
from diagnose.language.index import load_index
from diagnose.screens.words import WORDS

RULE_OUT = """  - id: lit_is_well
    when: [lamp is lit]
    then: {rules_out: a}
    because: A lamp that is lit has nothing wrong with it
    source: memory
"""
CHANGED = {
    "causes/box/a.yaml": FILES["causes/box/a.yaml"].replace("the a thing", "broken switch"),
    "chaining/box.yaml": FILES["chaining/box.yaml"] + RULE_OUT,
    "causes/box/b.yaml": cause("b", "gap", "high", "only_if: [hum is present]\n"),
}


@pytest.fixture
def talk(tmp_path: Path) -> Conversation:
    bench = load_workbench(folder=write_rules(tmp_path, dict(CHANGED)))
    return Conversation(bench, load_index(bench.knowledge))


def test_why_names_the_signs_and_their_sources(talk: Conversation) -> None:
    talk.say("the lamp is out")
    said = talk.say("why").text
    assert "Why cause a leads:\n  It does that [memory]" in said


def test_why_tells_what_the_open_question_is_for(talk: Conversation) -> None:
    talk.say("hello")
    assert talk.say("why").text.startswith("Why I ask: ")


def test_why_says_when_only_its_being_common_speaks_for_a_cause(talk: Conversation) -> None:
    talk.say("the lamp glows")
    assert wording_back.NO_REASON in talk.say("why").text


def test_why_not_gives_the_rule_that_spoke_against_it(talk: Conversation) -> None:
    talk.say("the lamp glows")
    said = talk.say("why not the broken switch").text
    assert "A lamp that is lit has nothing wrong with it" in said
    assert "The lamp: lit (with this fault always dark)" in said


def test_why_not_gives_what_the_cause_needs(talk: Conversation) -> None:
    talk.say("silent box")
    assert "It needs: hum is present" in talk.say("why not the b thing").text


def test_why_not_says_when_nothing_speaks_against_it(talk: Conversation) -> None:
    talk.say("the lamp is out")
    assert "Nothing told so far speaks against it" in talk.say("why not the c thing").text


def test_how_tells_the_steps_of_the_check_asked_for(talk: Conversation) -> None:
    talk.say({"ask": "gap", "unit": "mm"})
    said = talk.say("how do i check the box gap").text
    assert said.startswith("Measure:\n  1. Measure.\n  Good: In band.\n  Bad: Out of it.")


def test_how_without_a_name_is_about_the_open_question(talk: Conversation) -> None:
    step = talk.say("hello").next
    title = talk.bench.knowledge.checks[step["check"]].title
    assert talk.say("how do I do that").text.startswith(f"{title}:")


def test_what_if_shows_the_change_and_keeps_nothing(talk: Conversation) -> None:
    talk.say("silent box")
    known = dict(talk.last.state.known)
    said = talk.say("what if the lamp is out").text
    assert "If that were so (nothing is kept):\n  Cause a: almost certain" in said
    assert dict(talk.last.state.known) == known


def test_what_if_of_nothing_says_what_would_be_usable(talk: Conversation) -> None:
    assert wording.NOT_USABLE in talk.say("what if pigs fly").text


def test_list_tells_all_that_was_told(talk: Conversation) -> None:
    talk.say([{"finding": "lamp", "state": "lit"}, {"finding": "gap", "value": 3, "unit": "mm"}])
    said = talk.say("list").text
    assert "  The lamp: lit" in said
    assert "  The gap: 3 mm (118.1 thou)" in said


def test_list_of_nothing_says_so(talk: Conversation) -> None:
    assert wording.NOTHING_YET in talk.say("list").text


def test_undo_names_what_it_took_back(talk: Conversation) -> None:
    talk.say("the lamp is out")
    assert "Taken back: The lamp." in talk.say("undo").text


def test_undo_of_nothing_says_so(talk: Conversation) -> None:
    assert wording.NOTHING_TO_UNDO in talk.say("undo").text


def test_undo_can_go_back_more_than_once(talk: Conversation) -> None:
    for text in ("the lamp is out", "the box is humming", "undo", "undo"):
        talk.say(text)
    assert talk.last.state.states == {}


def test_start_over_asks_as_if_nothing_had_been_said(talk: Conversation) -> None:
    first = talk.say("hello").next
    talk.say("the lamp is out")
    reply = talk.say("start over")
    assert wording.STARTED_OVER in reply.text
    assert (reply.next, reply.cautions) == (first, [])


@pytest.mark.parametrize("command", [word.say for word in WORDS if not word.act])
def test_every_command_that_is_offered_is_understood(command: str, talk: Conversation) -> None:
    talk.say("the box is humming")
    assert wording.NOT_USABLE not in talk.say(command).text


def test_a_guess_is_heard_as_a_guess(talk: Conversation) -> None:
    reply = talk.say("it is the broken switch")
    assert "Heard as a guess, not as a finding: cause a." in reply.text
    assert reply.understood == []


def test_a_wanted_unit_is_said_back_and_kept(talk: Conversation) -> None:
    talk.say({"ask": "gap", "unit": "mm"})
    talk.say([{"dont_know": "hum"}, {"finding": "lamp", "state": "dark"}])
    reply = talk.say("can we do this in thou")
    assert "Asked in thou from now on." in reply.text
    assert talk.last.state.units == {"length": "thou"}


def test_a_change_of_units_without_a_unit_asks_which(talk: Conversation) -> None:
    assert wording.WHICH_UNIT in talk.say("change the units").text

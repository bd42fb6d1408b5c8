"""One turn of conversation on a made-up rule base: what is kept, refused, asked and taken back."""

from pathlib import Path

import pytest
from rule_files import write_rules

from diagnose.cases.assess import UnknownSheet, load_workbench
from diagnose.dialogue.conversation import Conversation, TurnError
from diagnose.language.index import load_index


@pytest.fixture
def talk(tmp_path: Path) -> Conversation:
    bench = load_workbench(folder=write_rules(tmp_path))
    return Conversation(bench, load_index(bench.knowledge))


def said(finding: str, state: str) -> dict[str, str]:
    return {"finding": finding, "state": state}


def gap(value: float, unit: str = "mm") -> dict[str, object]:
    return {"finding": "gap", "value": value, "unit": unit}


def test_the_fields_of_a_reply_are_the_agreed_ones(talk: Conversation) -> None:
    assert list(talk.say(said("hum", "present")).as_dict()) == [
        "turn", "text", "understood", "unclear", "not_understood", "cautions", "causes",
        "none_of_these", "next", "conclusion", "engine", "invalid",
    ]  # fmt: skip


def test_a_text_and_a_statement_say_the_same(talk: Conversation) -> None:
    told = talk.say("the lamp is out").understood[0]
    assert (told["finding"], told["state"]) == ("lamp", "dark")


def test_the_cause_that_shows_it_leads(talk: Conversation) -> None:
    assert talk.say(said("lamp", "dark")).causes[0]["id"] == "a"


def test_a_reason_carries_its_rule_and_source(talk: Conversation) -> None:
    (reason,) = talk.say(said("lamp", "dark")).causes[0]["because"]
    assert (reason["rule"], reason["source"]) == ("a/lamp/dark", "memory")


def test_a_rule_raises_its_caution_only_when_all_of_it_holds(talk: Conversation) -> None:
    assert talk.say(said("lamp", "dark")).cautions == []
    (caution,) = talk.say(said("hum", "present")).cautions
    assert (caution["id"], caution["stop_engine"]) == ("hands_off", True)


def test_an_engine_that_must_not_run_is_not_asked_to_run(talk: Conversation) -> None:
    reply = talk.say([said("lamp", "dark"), said("hum", "present"), gap(1.5)])
    assert reply.next is None or reply.next["check"] != "listen"


def test_a_reading_is_judged_against_the_band(talk: Conversation) -> None:
    assert [talk.say(gap(v)).understood[0]["state"] for v in (0.2, 1.5, 3.0)] == [
        "low", "ok", "high",
    ]  # fmt: skip


def test_a_reading_in_another_unit_is_the_same_reading(talk: Conversation) -> None:
    assert talk.say(gap(0.118, "in")).understood[0]["state"] == "high"


def test_an_impossible_reading_is_kept_but_not_used(talk: Conversation) -> None:
    reply = talk.say(gap(3000))
    assert reply.invalid[0]["finding"] == "gap"
    assert reply.causes == talk.say({"dont_know": "hum"}).causes


def test_a_refused_reading_stays_refused_until_it_is_taken_again(talk: Conversation) -> None:
    talk.say([gap(3.0), said("lamp", "dark")])
    after = talk.say(said("lamp", "lit"))
    assert [i["finding"] for i in after.invalid] == ["gap"]
    assert talk.say(gap(3.0)).invalid == []


def test_undo_returns_to_the_state_before(talk: Conversation) -> None:
    before = talk.say(said("hum", "absent")).causes
    talk.say(said("lamp", "dark"))
    assert talk.say({"undo": 1}).causes == before


def test_the_last_word_counts(talk: Conversation) -> None:
    talk.say(said("lamp", "dark"))
    assert talk.say(said("lamp", "lit")).engine["known"]["lamp"] == "lit"


def test_no_question_is_put_twice(talk: Conversation) -> None:
    asked = []
    for _ in range(8):
        step = talk.say({"open": "outside"}).next
        asked += step["settles"] if step else []
    assert len(asked) == len(set(asked))


def test_what_can_not_be_checked_is_put_aside(talk: Conversation) -> None:
    talk.say([{"cannot": "hum"}, {"dont_know": "lamp"}])
    step = talk.say({"open": "outside"}).next
    assert step is None or not {"hum", "lamp"} & set(step["settles"])


def test_a_question_from_outside_is_the_one_that_is_answered(talk: Conversation) -> None:
    assert talk.say({"ask": "gap", "unit": "mm"}).next["settles"] == ["gap"]
    told = talk.say("1.6").understood[0]
    assert (told["finding"], told["value"], told["unit"]) == ("gap", 1.6, "mm")


def test_order_of_independent_statements_changes_no_ranking(talk: Conversation) -> None:
    one = Conversation(talk.bench, talk.index)
    for turn in (said("lamp", "dark"), gap(3.0), said("hum", "absent")):
        first = talk.say(turn)
    for turn in (said("hum", "absent"), gap(3.0), said("lamp", "dark")):
        second = one.say(turn)
    assert [(c["id"], c["p"]) for c in first.causes] == [(c["id"], c["p"]) for c in second.causes]


@pytest.mark.parametrize(
    ("turn", "part"),
    [
        ({"finding": "lamb", "state": "dark"}, "did you mean 'lamp'"),
        ({"finding": "lamp", "state": "broken"}, "unknown state of lamp"),
        ({"finding": "gap", "value": 1, "unit": "psi"}, "needs a unit of length"),
        ({"finding": "gap", "value": "wide", "unit": "mm"}, "must be a number"),
        ({"finding": "gap", "value": float("nan"), "unit": "mm"}, "must be a number"),
        ({"finding": "lamp", "value": 3, "unit": "mm"}, "is not a reading"),
        ({"undo": 0}, "whole number"),
        ({"open": "attic"}, "unknown access"),
        ({"tell": "x"}, "needs one of"),
        (7, "a turn is a text"),
    ],
)
def test_a_statement_that_can_not_be_used_says_what_would_be_right(
    talk: Conversation, turn: object, part: str
) -> None:
    before = list(talk.log.statements)
    with pytest.raises(TurnError, match=part):
        talk.say(turn)
    assert talk.log.statements == before


def test_an_unknown_sheet_is_named_with_those_there_are(tmp_path: Path) -> None:
    with pytest.raises(UnknownSheet, match="plain"):
        load_workbench("fancy", write_rules(tmp_path))


def test_a_sheet_limit_goes_before_the_general_band(tmp_path: Path) -> None:
    bench = load_workbench("plain", write_rules(tmp_path))
    talk = Conversation(bench, load_index(bench.knowledge))
    assert talk.say(gap(1.9)).understood[0]["state"] == "high"


@pytest.mark.parametrize("text", ["why", "how", "list", "help", "undo", "what if the lamp is out"])
def test_asking_back_adds_nothing_to_the_case(talk: Conversation, text: str) -> None:
    talk.say(said("hum", "present"))
    known = dict(talk.last.state.known)
    reply = talk.say(text)
    assert reply.text
    assert text == "undo" or dict(talk.last.state.known) == known


def test_starting_over_forgets_the_case(talk: Conversation) -> None:
    talk.say(said("hum", "present"))
    assert talk.say("start over").engine["known"] == {}


def test_stop_ends(talk: Conversation) -> None:
    assert talk.say("stop").done


@pytest.mark.parametrize("text", ["", "blah blah blah", "why", "how", "list"])
def test_a_turn_that_answers_nothing_leaves_the_question_open(
    talk: Conversation, text: str
) -> None:
    step = talk.say(said("hum", "present")).next
    assert talk.say(text).next == step


def test_one_line_of_what_was_taken_is_taken_back_by_its_number(talk: Conversation) -> None:
    talk.say([said("hum", "present"), said("lamp", "dark")])
    reply = talk.say("not the second one")
    assert reply.engine["known"] == {"hum": "present"}
    assert "Taken back" in reply.text
    talk.say("undo")
    assert set(dict(talk.last.state.known)) == {"hum", "lamp"}


def test_a_number_without_a_line_takes_nothing_back(talk: Conversation) -> None:
    talk.say(said("hum", "present"))
    assert talk.say("not the third one").engine["known"] == {"hum": "present"}


@pytest.mark.parametrize(
    "text", ["how sure are you", "what would settle it", "what else can i check"]
)
def test_asking_how_sure_keeps_case_and_question(talk: Conversation, text: str) -> None:
    before = talk.say(said("hum", "present"))
    reply = talk.say(text)
    assert reply.next == before.next
    assert reply.engine["known"] == {"hum": "present"}
    assert reply.text not in ("", before.text)


def test_what_is_out_of_reach_has_another_check_named(talk: Conversation) -> None:
    asked = talk.say({"ask": "hum"}).next
    other = talk.say("what next if i cant do that")
    assert asked is not None
    assert f"Next: {asked['ask']}" not in other.text


def test_the_correction_of_a_reading_out_of_band_is_worked_out(talk: Conversation) -> None:
    end = talk.say(gap(3.5)).conclusion
    assert end is not None
    assert (end["worked_out"]["limit"], end["worked_out"]["change"]) == (2.0, -1.5)


@pytest.mark.parametrize(("value", "told"), [(2.05, "good to 0.05 mm"), (2.004, "on the limit")])
def test_an_undecided_reading_is_told_what_would_settle_it(
    talk: Conversation, value: float, told: str
) -> None:
    assert told in talk.say(f"box gap {value} mm").text

"""What the shipped rule base hears in plain sentences, and what it must leave alone."""

import pytest

from diagnose.cli.talk import new_conversation
from diagnose.dialogue.conversation import Conversation
from diagnose.dialogue.reply import Reply

TALK = new_conversation(None)


def say(*turns: str) -> Reply:
    talk = Conversation(TALK.bench, TALK.index)
    return [talk.say(turn) for turn in turns][-1]


def taken(*turns: str) -> dict[str, object]:
    return {u["finding"]: u["state"] or u["value"] for u in say(*turns).understood}


@pytest.mark.parametrize(
    "text",
    ["it goes quiet after ten seconds", "two days later it was back", "I live six miles away"],
)
def test_a_while_or_a_way_is_not_running_time_or_distance(text: str) -> None:
    assert not {"engine_hours", "distance_since_build"} & set(taken(text))


@pytest.mark.parametrize("text", ["300 miles on it", "five hundred miles to date"])
def test_distance_told_as_such_is_heard(text: str) -> None:
    assert taken(text)["distance_since_build"] == "low"


def test_after_top_dead_centre_is_the_other_side_of_zero() -> None:
    (found,) = say("ignition timing is 2 degrees after top dead centre").understood
    assert (found["finding"], found["value"], found["state"]) == ("ignition_timing", -2, "low")


@pytest.mark.parametrize(
    ("word", "finding"), [("overreacting", "overheats"), ("overhead", "overheats")]
)
def test_an_ordinary_word_is_no_slip_of_a_trade_word(word: str, finding: str) -> None:
    assert finding not in taken(f"people say I am {word} about my motor")


def test_a_word_that_fits_anything_does_not_answer_for_another_part() -> None:
    assert "noise_tick" not in taken("there is some noise", "the chain is new")


def test_a_reading_of_something_else_is_no_answer_in_words() -> None:
    first = say("it ticks").next
    assert first is not None
    heard = taken("it ticks", "300 miles on it")
    assert not set(first["settles"]) & set(heard)


@pytest.mark.parametrize("text", ["it broke a pushrod years ago", "the old motor had a rod knock"])
def test_what_is_long_past_or_of_another_engine_is_not_taken(text: str) -> None:
    assert taken(text) == {}


def test_no_covers_what_runs_on_over_and() -> None:
    assert taken("no foam, oil level is right")["oil_foam"] == "absent"


def test_an_engine_in_pieces_is_not_told_not_to_run() -> None:
    apart = say("the engine is in bits on the bench", "the rod bearing is spun")
    whole = say("the rod bearing is spun")
    assert [c["stop_engine"] for c in whole.cautions if c["id"] == "bearing_failed"] == [True]
    assert [c["stop_engine"] for c in apart.cautions if c["id"] == "bearing_failed"] == [False]


@pytest.mark.parametrize(
    "text",
    [
        "oil pressure gone",
        "pressure went to zero",
        "it wont build any pressure on the drill",
        "fuel pump pin is walking out",
        "something went through the cylinder",
    ],
)
def test_what_must_not_run_is_stopped_however_it_is_said(text: str) -> None:
    assert any(c["stop_engine"] for c in say(text).cautions)


def test_a_knock_at_the_bellhousing_is_warned_of() -> None:
    ids = {c["id"] for c in say("there is a knock at the bellhousing").cautions}
    assert "look_at_flexplate" in ids


def test_words_alone_conclude_nothing() -> None:
    """They order the causes; what is checked and when asking ends rests on what is found."""
    assert say("I have a question about the fuel pump rod and its eccentric").conclusion is None


def test_what_is_told_after_a_but_is_heard_though_the_question_is_put_aside() -> None:
    first = "it knocks low down when warm, oil pressure is low hot, second gauge agrees"
    heard = taken(first, "can't measure that, but with one cylinder cut out the knock softens")
    assert heard["cylinder_cut_noise"] == "softens"


def test_the_words_of_a_vacuum_gauge_are_never_oil_pressure() -> None:
    heard = taken("runs hot, low on power", "needle steady at 14 inHg")
    assert heard == {"manifold_vacuum": "low", "vacuum_needle": "steady"}


def test_a_number_told_of_one_reading_answers_for_no_other() -> None:
    marks = "front cover off, there are bolt head marks on the back of the cam gear"
    assert "bolt_head_height" not in taken(marks, "cam end play is 3 thou, gear bolt torqued")


@pytest.mark.parametrize(
    "text",
    ["knocks when its cold, gone when hot", "ticking, loud cold, less when hot", "tick eases warm"],
)
def test_what_goes_when_hot_is_no_noise_of_the_hot_engine(text: str) -> None:
    assert taken(text).get("noise_hot_only", "absent") == "absent"


@pytest.mark.parametrize(
    "text",
    [
        "not the second one",
        "not number 2",
        "no not the 2nd",
        "the second one is wrong",
        "drop line 2",
    ],
)
def test_a_line_is_taken_back_however_its_number_is_said(text: str) -> None:
    told = "tick at the front cover and the oil pressure is fine"
    lines = [u["finding"] for u in say(told).understood]
    assert set(lines) - set(say(told, text).engine["known"]) == {lines[1]}


def test_a_cylinder_dropped_out_is_no_line_taken_back() -> None:
    assert taken("drop number 3 and the knock nearly dies")["cylinder_cut_noise"] == "softens"

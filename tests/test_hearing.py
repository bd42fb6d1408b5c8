"""What the shipped rule base hears in plain sentences, and what it must leave alone."""

import pytest

from diagnose.cli.talk import new_conversation
from diagnose.dialogue.conversation import Conversation
from diagnose.dialogue.reply import Reply
from diagnose.language.understand import understand
from diagnose.language.understanding import Context

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
    ("text", "value", "state"),
    [
        ("valve timing advanced 6 degrees", -6, "low"),
        ("degree wheel says the cam is 8 degrees early", -8, "low"),
        ("cam timing error -6 degrees", -6, "low"),
        ("valve timing error minus 6 degrees", -6, "low"),
        ("cam timing 5 degrees late", 5, "high"),
        ("ignition timing - 8 degrees", 8, "ok"),
        ("ignition timing -4 degrees", -4, "low"),
    ],
)
def test_early_late_and_a_minus_tell_the_side_of_zero(text: str, value: int, state: str) -> None:
    (found,) = say(text).understood
    assert (found["value"], found["state"]) == (value, state)


@pytest.mark.parametrize(
    ("answer", "value"),
    [("6 early", -6), ("-6", -6), ("minus 6", -6), ("6 degrees early", -6), ("6 late", 6)],
)
def test_an_answer_tells_the_side_of_zero(answer: str, value: int) -> None:
    talk = Conversation(TALK.bench, TALK.index)
    talk.say({"ask": "valve_timing_error", "unit": "deg"})
    assert talk.say(answer).understood[0]["value"] == value


def test_an_answer_after_top_dead_centre_is_the_other_side_of_zero() -> None:
    talk = Conversation(TALK.bench, TALK.index)
    talk.say({"ask": "ignition_timing", "unit": "deg"})
    assert talk.say("4 after top").understood[0]["value"] == -4


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


DIALOGUES = [
    (("metal_in_oil",), "it's fine", {"metal_in_oil": "none"}),
    # an answer that belongs to another question
    (("mark_inside_cover",), "from the first start", {"trouble_since": "first_start"}),
    (("mark_inside_cover",), "since the first start up", {"trouble_since": "first_start"}),
    (("cam_end_play", "thou"), "the cam teeth are good", {}),
    (("cam_end_play", "thou"), "the teeth on the cam are all good", {}),
    (("cam_bolt",), "the dowel is sheared", {"cam_dowel": "sheared"}),
    (("pushrod_condition",), "the lifters are good", {"lifter_condition": "good"}),
    (("lifter_condition",), "the pushrods are straight", {"pushrod_condition": "straight"}),
    (("oil_pressure_idle_hot", "psi"), "two bent pushrods", {"pushrod_condition": "bent"}),
    (("oil_pressure_idle_hot", "psi"), "the gauge is broken", {}),
    (("oil_pressure_idle_hot", "psi"), "40 cold", {"oil_pressure_cold": 40}),
    (("noise_tick",), "more of a knock", {"noise_knock": "present"}),
    (("rod_bearing",), "customer reckons it was fine last week", {}),
    (("cam_bolt",), "it was tight last month", {}),
    (("cam_bolt",), "it used to be tight", {}),
    (("end_play_gear_torqued",), "the cover is coming off tomorrow", {}),
    (("cam_bolt",), "I'll check that tomorrow", {}),
    (("trouble_since",), "from the first start", {"trouble_since": "first_start"}),
    # the bare answer
    (("cam_bolt",), "bit loose", {"cam_bolt": "loose"}),
    (("cam_bolt",), "a touch slack", {"cam_bolt": "loose"}),
    (("cam_dowel",), "bit loose", {"cam_dowel": "loose"}),
    (("cam_end_play", "thou"), "bit loose", {"cam_end_play": "high"}),
    (("cam_end_play", "thou"), "too much", {"cam_end_play": "high"}),
    (("oil_pressure_idle_hot", "psi"), "too low", {"oil_pressure_idle_hot": "low"}),
    (("oil_pressure_idle_hot", "psi"), "fine", {"oil_pressure_idle_hot": "ok"}),
    (("cam_end_play", "thou"), "about 12", {"cam_end_play": 12}),
    (("cam_end_play", "thou"), "twelve or so", {"cam_end_play": 12}),
    (("cam_end_play", "thou"), "about 12 i'd say", {"cam_end_play": 12}),
    (("distance_since_build", "miles"), "about 400", {"distance_since_build": 400}),
    (("pushrod_condition",), "two are bent", {"pushrod_condition": "bent"}),
    (("pushrod_condition",), "number 4 is bent", {"pushrod_condition": "bent"}),
    (("cam_bolt",), "nope, all good", {"cam_bolt": "tight"}),
    (("cam_dowel",), "nope, all good", {"cam_dowel": "whole"}),
    (("noise_tick",), "nope, all good", {"noise_tick": "absent"}),
    (("timing_marks",), "nope, all good", {"timing_marks": "in_line"}),
    (("noise_knock",), "no it doesn't", {"noise_knock": "absent"}),
    (("noise_knock",), "no it doesn't knock", {"noise_knock": "absent"}),
    (("noise_knock",), "not any more", {"noise_knock": "absent"}),
    (("noise_hot_only",), "the same hot and cold", {"noise_cold_only": "absent"}),
    # what is told beyond the question
    (
        ("noise_at_front",),
        "no, at the back",
        {"noise_at_front": "absent", "noise_at_rear": "present"},
    ),
    (
        ("noise_at_front",),
        "no its at the distributor",
        {"noise_at_front": "absent", "noise_at_distributor": "present"},
    ),
    (
        ("noise_tick",),
        "yes and it knocks at the bottom",
        {"noise_tick": "present", "noise_knock": "present", "noise_at_bottom": "present"},
    ),
    (("cam_bolt",), "tight, end play 9 thou", {"cam_bolt": "tight", "cam_end_play": 9}),
    (
        ("oil_pressure_idle_hot", "psi"),
        "40 cold, 8 hot",
        {"oil_pressure_cold": 40, "oil_pressure_idle_hot": 8},
    ),
    (
        ("oil_pressure_idle_hot", "psi"),
        "8 at idle, 35 at two thousand",
        {"oil_pressure_idle_hot": 8, "oil_pressure_speed": 35},
    ),
    # an answer passed on
    (("noise_tick",), "he says no", {"noise_tick": "absent"}),
    (("noise_tick",), "she says yes", {"noise_tick": "present"}),
    (("cam_end_play", "thou"), "customer reckons about 8", {"cam_end_play": 8}),
    (("cam_bolt",), "says it's tight", {"cam_bolt": "tight"}),
    (("cam_bolt",), "he says the dowel is sheared", {"cam_dowel": "sheared"}),
]
CORRECTIONS = [
    ("cam end play is 8 thou", "no, I meant crank end play", {"crank_end_play": 8}, "cam_end_play"),
    ("cam end play 8 thou", "sorry that was crank end play", {"crank_end_play": 8}, "cam_end_play"),
    ("cam end play 8 thou", "make that 18", {"cam_end_play": 18}, None),
    ("cam end play 8 thou", "correction, 18 thou", {"cam_end_play": 18}, None),
    ("cam end play 8 thou", "not 8, 18 thou", {"cam_end_play": 18}, None),
    ("cam end play 8 thou", "no wait, 18", {"cam_end_play": 18}, None),
    ("it ticks at the front", "no, I meant it knocks", {"noise_knock": "present"}, "noise_tick"),
    (
        "it ticks at the front",
        "I meant at the rear",
        {"noise_at_rear": "present"},
        "noise_at_front",
    ),
    ("the cam bolt is loose", "no, I meant the dowel", {"cam_dowel": "loose"}, "cam_bolt"),
    (
        "the cam bolt is loose",
        "no, I meant the flywheel bolts",
        {"flywheel_bolts": "loose"},
        "cam_bolt",
    ),
    ("the cam bolt is loose", "no wait, tight", {"cam_bolt": "tight"}, None),
    ("the cam bolt is loose", "actually tight", {"cam_bolt": "tight"}, None),
    ("the cam bolt is loose", "sorry, tight", {"cam_bolt": "tight"}, None),
]


def heard_after(asked: tuple[str, ...], text: str) -> dict[str, object]:
    talk = Conversation(TALK.bench, TALK.index)
    talk.say({"ask": asked[0], **({"unit": asked[1]} if asked[1:] else {})})
    understood = talk.say(text).understood
    return {u["finding"]: u["state"] if u["value"] is None else u["value"] for u in understood}


@pytest.mark.parametrize(("asked", "text", "heard"), DIALOGUES)
def test_an_answer_is_heard_for_what_it_answers(
    asked: tuple[str, ...], text: str, heard: dict[str, object]
) -> None:
    assert heard_after(asked, text) == heard


@pytest.mark.parametrize(("told", "text", "heard", "gone"), CORRECTIONS)
def test_a_word_put_right_takes_the_place_of_the_first(
    told: str, text: str, heard: dict[str, object], gone: str | None
) -> None:
    reply = say(told, text)
    understood = {u["finding"]: u["value"] or u["state"] for u in reply.understood}
    assert understood == heard
    assert gone not in reply.engine["known"]


def test_a_correction_leaves_the_question_open() -> None:
    first, then = say("it ticks at the front"), say("it ticks at the front", "I meant at the rear")
    assert first.next is not None and then.next is not None
    assert then.next["ask"] == first.next["ask"]


def test_what_was_asked_for_a_reading_falls_with_the_reading() -> None:
    told = ("cam end play is 12 thou", "no, I meant crank end play")
    first, then = say(told[0]).next, say(*told).next
    assert first is not None and then is not None
    assert "end_play_gear_torqued" in first["settles"]
    assert "end_play_gear_torqued" not in then["settles"]


def test_one_answer_may_be_of_everything_that_was_asked() -> None:
    talk = Conversation(TALK.bench, TALK.index)
    step = talk.say("hello").next
    assert step is not None and len(step["settles"]) > 1
    heard = {u["finding"]: u["state"] for u in talk.say("no to both").understood}
    assert heard == dict.fromkeys(step["settles"], "absent")


@pytest.mark.parametrize(
    ("text", "mean"),
    [
        ("cam end play read 7, 8 and 7.5 thou with the gear torqued", 7.5),
        ("cam end play 5, 5, 6 thou", 16 / 3),
        ("end play is 4 and 5 thou", 4.5),
    ],
)
def test_several_readings_of_one_thing_are_taken_as_their_mean(text: str, mean: float) -> None:
    assert taken(text)["cam_end_play"] in ("ok", "high")
    (read,) = [u for u in say(text).understood if u["finding"] == "cam_end_play"]
    assert read["value"] == pytest.approx(mean)


def test_readings_that_scatter_prove_less() -> None:
    """A range is a rectangle: its width over the root of 12 adds to the gauge (JCGM 100, 4.3.7)."""
    assert "inside the band" in say("cam end play 5.9 thou, gear torqued").text
    assert "too near the edge" in say("cam end play 4.5, 6, 7.2 thou, gear torqued").text


@pytest.mark.parametrize(
    "text",
    [
        "oil pump is out on the bench and its perfect",
        "changed the oil and filter. the pump is out on the bench and its perfect",
        "put a new water pump on, that pump tested fine on the bench",
    ],
)
def test_a_pump_of_another_kind_is_not_the_fuel_pump(text: str) -> None:
    assert "fuel_pump_itself" not in taken(text)


def test_a_pump_without_a_kind_is_still_heard() -> None:
    assert taken("no fuel at the carb, pump works by hand")["fuel_pump_itself"] == "good"


def test_the_gauge_of_an_undecided_reading_is_asked_for_and_counts() -> None:
    undecided = "cam end play 7.5 thou, gear torqued"
    assert "What does the gauge read to" in say(undecided).text
    fine = say(undecided, "the dial reads to a tenth of a thou")
    assert "above the band" in fine.text
    assert fine.next == say(undecided).next
    assert "too near the edge" in say(undecided, "it was a feeler of 2 thou steps").text


def test_a_gauge_told_without_an_undecided_reading_changes_nothing() -> None:
    plain = say("cam end play 4 thou, gear torqued", "the dial reads to a tenth of a thou")
    assert "Gauge noted" not in plain.text


def test_what_somebody_says_it_does_is_heard_and_what_they_say_it_is_stays_a_guess() -> None:
    assert taken("says it clatters like a sewing machine")["noise_rattle"] == "present"
    assert taken("says it is rod knock") == {}


def test_talk_of_other_things_points_to_no_cause() -> None:
    talk = Conversation(TALK.bench, TALK.index)
    talk.say("my wife wants the garage door painted and the lawn mowed before the show in spring")
    assert talk.last.state.talked == {}


def test_every_offered_answer_is_heard_as_it_stands() -> None:
    wrong = []
    for finding in TALK.bench.knowledge.findings.values():
        for state in () if finding.is_reading else finding.known_states:
            for typed in (finding.say[state], finding.say[state].upper() + "."):
                told = understand(typed, TALK.index, Context(asked=finding.id)).taken
                if [(t.finding, t.state) for t in told] != [(finding.id, state)]:
                    wrong.append((finding.id, state, typed))
    assert wrong == []


LONG = (
    "Rebuilt the six over the winter with new rings and bearings, and it ran sweetly for a month. "
    "Now there is a tick from the top, the oil pressure is low at idle and the lifters are dry."
)


def doubts(*turns: str) -> dict[str, float]:
    talk = Conversation(TALK.bench, TALK.index)
    for turn in turns:
        talk.say(turn)
    return dict(talk.last.state.doubts(0.5))


def test_what_a_long_message_says_in_passing_is_in_doubt_until_it_was_let_stand() -> None:
    first, later = (
        doubts(LONG)["noise_tick"],
        doubts(LONG, "the timing marks line up")["noise_tick"],
    )
    assert 0.2 < first <= 0.5
    assert later == first / 2


def test_a_few_words_and_an_answer_are_in_no_doubt() -> None:
    talk = Conversation(TALK.bench, TALK.index)
    talk.say({"ask": "oil_pressure"})
    talk.say(LONG)
    assert "noise_tick" not in doubts("it ticks at the top")
    assert "oil_pressure" not in talk.last.state.doubts(0.5)

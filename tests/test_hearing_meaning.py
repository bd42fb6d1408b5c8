"""Conditions, times, comparisons, lists and plans, heard with the shipped rule base."""

from __future__ import annotations

import pytest

from diagnose.cli.talk import new_conversation
from diagnose.language.understand import understand
from diagnose.language.understanding import Context, Understanding

INDEX = new_conversation(None).index
HEARD = [
    # conditions
    ("it doesnt knock unless its hot", {"noise_knock": "present", "noise_hot_only": "present"}),
    ("no tick unless its cold", {"noise_tick": "present", "noise_cold_only": "present"}),
    ("ticks until warm", {"noise_tick": "present", "noise_cold_only": "present"}),
    ("it knocks till it's hot", {"noise_knock": "present", "noise_cold_only": "present"}),
    ("no knock until it is hot", {"noise_knock": "present", "noise_hot_only": "present"}),
    ("it doesn't rattle unless you rev it", {"noise_rattle": "present"}),
    (
        "it's fine until it gets hot then it knocks",
        {"noise_knock": "present", "noise_hot_only": "present"},
    ),
    ("knocks unless it is cold", {"noise_knock": "present", "noise_hot_only": "present"}),
    ("only knocks when hot", {"noise_knock": "present", "noise_hot_only": "present"}),
    # what goes at times is there at others
    ("the rattle comes and goes", {"noise_rattle": "present", "noise_intermittent": "present"}),
    ("knock comes and goes", {"noise_knock": "present", "noise_intermittent": "present"}),
    (
        "put it in gear and the knock goes away",
        {"noise_knock": "present", "gear_or_clutch_noise": "changes"},
    ),
    (
        "when I press the clutch the rattle stops",
        {"noise_rattle": "present", "gear_or_clutch_noise": "changes"},
    ),
    # what a "no" denies
    ("there is no sign of water in the oil", {"oil_foam": "absent"}),
    ("water in the sump", {"oil_foam": "present"}),
    ("no oil at the gauge", {"oil_pressure": "none"}),
    ("no loud knock", {"noise_knock": "absent"}),
    ("no misfires, and it accelerates cleanly", {"misfire": "absent"}),
    # times
    ("suddenly it knocks", {"noise_knock": "present", "trouble_since": "sudden"}),
    ("it used to tick, now it knocks", {"noise_knock": "present"}),
    ("it used to knock, now it's quiet", {"noise_knock": "absent"}),
    ("last week it was quiet, now it knocks", {"noise_knock": "present"}),
    ("last week it was ticking, today nothing", {"noise_tick": "absent"}),
    ("yesterday it knocked, today it is quiet", {"noise_knock": "absent"}),
    ("it was quiet yesterday, now it rattles", {"noise_rattle": "present"}),
    # comparison
    ("the noise is getting louder every day", {"noise_growing": "present"}),
    ("it is no worse than it was", {"noise_growing": "absent"}),
    ("the knock is no worse than before", {"noise_knock": "present", "noise_growing": "absent"}),
    # things that share one ending
    (
        "distributor gear, pin and teeth are all whole",
        {"distributor_gear_pin": "whole", "distributor_gear_teeth": "whole"},
    ),
    (
        "lifters, pushrods and rockers are fine",
        {"lifter_condition": "good", "pushrod_condition": "straight", "rocker_condition": "good"},
    ),
    (
        "rod bearings, mains and cam bearings are all worn",
        {"rod_bearing": "worn", "main_bearing": "worn", "cam_bearing_condition": "worn"},
    ),
    (
        "the pump arm, the rod and the eccentric are worn",
        {"fuel_pump_arm": "worn", "fuel_eccentric": "worn"},
    ),
    # what an engine has
    (
        "it has spark, fuel and compression",
        {"spark_at_plug": "present", "fuel_at_carburettor": "yes", "compression": "even_good"},
    ),
    (
        "got fuel and spark but no compression",
        {"spark_at_plug": "present", "fuel_at_carburettor": "yes", "compression": "all_low"},
    ),
    # a pump is the one spoken of, however far back
    ("The oil was changed. Left it. Had tea. The pump is good on the bench", {}),
    # two gauges and more
    ("three gauges say so", {"oil_gauge_checked": "agrees"}),
    ("tested it, it's not the gauge", {"oil_gauge_checked": "agrees"}),
    # what can't be done is no word about who worked on it, and tapping it home is no noise
    ("the distributor won't drop the last quarter inch", {}),
    ("ended up tapping it down", {}),
    # stopped, and how it cranks since
    ("the engine stopped dead", {"engine_stopped_suddenly": "yes"}),
    ("it cranks really fast now", {"cranking_speed": "fast"}),
    # swapped for another is not swapped over
    (
        "no spark, swapped the lead and the plug",
        {"spark_at_plug": "absent", "last_work_ignition_fuel": "yes"},
    ),
    ("two leads swapped", {"plug_leads": "wrong"}),
    # water and oil
    ("white mayo on the dipstick", {"oil_foam": "present"}),
    ("oil in the water", {"oil_foam": "present"}),
    # the cam that binds, told as people do
    (
        "torqued the cam bolt and now the cam won't turn, it was free with the bolt loose",
        {"cam_gear_binds": "present"},
    ),
    ("lost oil pressure", {"oil_pressure": "none"}),
    ("lost some oil pressure", {"oil_pressure": "low"}),
    ("the cam bolt is not there", {"cam_bolt": "missing"}),
    # what happened once, and what is since
    ("it has ticked ever since I broke a pushrod", {"noise_tick": "present"}),
    (
        "since I changed the cam the oil pressure is low",
        {"oil_pressure": "low", "last_work_front": "yes", "new_cam_and_lifters": "yes"},
    ),
    # whose engine it is
    ("mate's tractor has no oil pressure", {"oil_pressure": "none"}),
    ("neighbour's car knocks, mine ticks", {"noise_tick": "present"}),
    ("it ticks. Mate's tractor has no oil pressure", {"noise_tick": "present"}),
    # a straight six, and straight after the build
    ("rebuilt my straight six", {"last_work_bottom_end": "yes"}),
    (
        "it knocks straight after the rebuild",
        {"noise_knock": "present", "trouble_since": "first_start"},
    ),
    # what it sounds like is no finding
    ("sounds just like a loose rocker", {}),
    ("ticking like a sticking lifter", {"noise_tick": "present"}),
    # a needle is that of the gauge spoken of
    ("oil changed and the needle doesn't move", {"oil_pressure": "none"}),
    ("vacuum gauge on, needle doesn't move", {"vacuum_needle": "steady"}),
    # where no oil is
    ("no oil until I prime it, then fine", {"oil_pressure": "none", "oil_primed": "yes"}),
    ("there is no oil in the water", {"oil_foam": "absent"}),
    # adjusters at their end
    ("the adjusters are right out and still no gap", {"valve_lash": "low"}),
    ("ran out of adjuster on that one", {"valve_lash": "high"}),
    # lost, stuck, lifting less
    ("never found the nut off the air filter", {"object_in_cylinder": "present"}),
    ("the follower won't lift out at the top", {"lifter_condition": "stuck"}),
    ("number 3 hardly moves beside number 4", {"lobe_lift_compare": "one_low"}),
    # a denial that answers denies nothing behind it
    ("no it doesn't knock", {"noise_knock": "absent"}),
    ("no there's a knock at the bottom", {"noise_knock": "present", "noise_at_bottom": "present"}),
    # relayed speech
    ("he says it's knocking low down", {"noise_knock": "present", "noise_at_bottom": "present"}),
    (
        "bloke says it's ticking at the front",
        {"noise_tick": "present", "noise_at_front": "present"},
    ),
    ("he says he can hear a whine", {"noise_whine": "present"}),
    ("bloke says it's a lifter", {}),
    # work
    (
        "changed the fuel pump and it started knocking",
        {"last_work_fuel_pump": "yes", "noise_knock": "present"},
    ),
    ("front cover was off last week", {"last_work_front": "yes"}),
    (
        "the timing chain is coming apart",
        {"timing_chain_condition": "coming_apart", "cam_drive": "chain"},
    ),
    ("the tick is worse than before", {"noise_tick": "present", "noise_growing": "present"}),
]
NOTHING = [
    "front cover is coming off this weekend",
    "the cover is coming off tomorrow",
    "I'll pull the cover on saturday",
    "about to drop the pan",
    "I am going to fit a new cam",
    "thinking of changing the fuel pump",
    "might put new lifters in",
    "changed the plugs, no change",
    "fitted a new fuel pump, made no difference",
    "swapped the distributor, still the same",
    "new carb didn't help",
    "cover was off last week",
    "used to have good oil pressure",
]
FIGURES = [
    (
        "oil pressure cold 30-35, hot 8-9 psi",
        {"oil_pressure_cold": 32.5, "oil_pressure_idle_hot": 8.5},
    ),
    (
        "oil pressure cold 30-35/hot 8-9 psi",
        {"oil_pressure_cold": 32.5, "oil_pressure_idle_hot": 8.5},
    ),
    (
        "70 kPa at idle and 170 at twenty five hundred",
        {"oil_pressure_idle_hot": 70, "oil_pressure_speed": 170},
    ),
    ("8 psi at idle and 35 at 2500", {"oil_pressure_idle_hot": 8, "oil_pressure_speed": 35}),
    (
        "oil pressure 15 psi at idle, 40 at 2500 rpm",
        {"oil_pressure_idle_hot": 15, "oil_pressure_speed": 40},
    ),
    ("60 psi cold and 15 hot", {"oil_pressure_cold": 60, "oil_pressure_idle_hot": 15}),
    (
        "oil pressure is 45 psi cold and drops to 6 at idle when hot",
        {"oil_pressure_cold": 45, "oil_pressure_idle_hot": 6},
    ),
    ("400 easy miles", {"distance_since_build": 400}),
    ("it has done 400 easy miles since the rebuild", {"distance_since_build": 400}),
    ("25 psi at governed speed where it was 50", {"oil_pressure_speed": 25}),
]
ASKED_BACK = [
    ("it turns over", {"engine_starts"}),
    ("tick on the left side", {"noise_side"}),
    ("it has a miss", {"misfire", "cranking_speed"}),
    ("engine is missing", {"misfire"}),
    ("20 pounds", {"oil_pressure_idle_hot", "fuel_pressure", "cam_bolt_torque"}),
    (
        "oil pressure is 20 pounds",
        {"oil_pressure_idle_hot", "oil_pressure_speed", "oil_pressure_cold"},
    ),
    ("10 thou on the clock", {"distance_since_build", "cam_end_play"}),
    ("the lash is 20 thou", {"valve_lash", "timing_gear_backlash"}),
    ("timing is 12 degrees", {"ignition_timing", "valve_timing_error"}),
    ("cam end play 5 mil", {"cam_end_play"}),
    ("5 mil end play", {"cam_end_play"}),
    ("end play is 25", {"cam_end_play"}),
    ("cam end play 25", {"cam_end_play"}),
    ("cam end play 5 inches", {"cam_end_play"}),
    ("oil pressure 4000 psi", {"oil_pressure_speed"}),
]
PLAIN = [
    ("valve lash is 20 thou", "valve_lash"),
    ("starts well, no miss", "misfire"),
    ("has a miss at idle", "misfire"),
    ("the dowel is missing", "cam_dowel"),
    ("20 pounds of oil pressure at hot idle", "oil_pressure_idle_hot"),
    ("it turns over but wont start", "engine_starts"),
]


def heard(text: str, context: Context | None = None) -> Understanding:
    return understand(text, INDEX, context or Context())


@pytest.mark.parametrize(("text", "states"), HEARD)
def test_a_sentence_is_heard_as_it_is_meant(text: str, states: dict[str, str]) -> None:
    assert {t.finding: t.state for t in heard(text).taken} == states


@pytest.mark.parametrize("text", NOTHING)
def test_what_is_planned_tried_or_past_is_not_taken_and_not_asked_back(text: str) -> None:
    found = heard(text)
    assert (found.taken, found.unclear) == ((), ())


@pytest.mark.parametrize(("text", "values"), FIGURES)
def test_figures_are_of_the_reading_they_are_told_of(text: str, values: dict[str, float]) -> None:
    told = heard(text).taken
    assert {t.finding: t.value for t in told if t.value is not None} == values


@pytest.mark.parametrize(("text", "choices"), ASKED_BACK)
def test_what_can_mean_several_things_is_asked_back(text: str, choices: set[str]) -> None:
    found = heard(text)
    assert not choices & {t.finding for t in found.taken}
    assert choices == {o.finding for o in found.unclear[0].options}
    assert all(1 <= len(u.options) <= 3 for u in found.unclear)


@pytest.mark.parametrize(("text", "finding"), PLAIN)
def test_what_the_sentence_itself_settles_is_not_asked_back(text: str, finding: str) -> None:
    found = heard(text)
    assert finding in {t.finding for t in found.taken}
    assert finding not in {o.finding for u in found.unclear for o in u.options}


def test_a_figure_that_cannot_be_is_questioned_with_the_point_put_back() -> None:
    found = heard("25", Context(asked="cam_end_play", asked_unit="in"))
    assert found.taken == ()
    assert (0.25, "in") in {(o.value, o.unit) for o in found.unclear[0].options}


def test_a_yes_takes_the_only_meaning_offered() -> None:
    talk = new_conversation(None)
    talk.say("cam end play 25")
    (taken,) = talk.say("yes").understood
    assert (taken["finding"], taken["value"], taken["unit"]) == ("cam_end_play", 25, "thou")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("it has spark", {"spark_at_plug": "present"}),
        ("we have a spark and it still won't start", {"spark_at_plug": "present"}),
        ("i don't have a spark", {"spark_at_plug": "absent"}),
        ("it has new spark plugs", {}),
        ("it has fuel", {"fuel_at_carburettor": "yes"}),
        ("there's gas in the tank", {}),
        ("the same gear has failed a couple of times", {"repeat_failure": "yes"}),
        ("it failed for the first time", {}),
        ("noisy every now and then", {"noise_intermittent": "present"}),
    ],
)
def test_what_is_had_or_happens_is_heard_from_plain_words(text: str, told: dict[str, str]) -> None:
    about = {"spark_at_plug", "fuel_at_carburettor", "repeat_failure", "noise_intermittent"}
    found = {t.finding: t.state for t in heard(text).taken if t.finding in about}
    assert found == told


@pytest.mark.parametrize("text", ["no change", "no difference", "same as before, no change"])
def test_no_change_answers_that_it_is_the_same(text: str) -> None:
    (told,) = heard(text, Context(asked="belts_off_noise")).taken
    assert told.state == "same"


def test_a_time_of_a_noise_stays_in_its_clause() -> None:
    told = {t.finding: t.state for t in heard("rattle once hot, quiet cold").taken}
    assert told.get("noise_hot_only") == "present"
    assert told.get("noise_cold_only") != "present"


OF_IT = [
    ("oil pressure was good last month, now it's low", {"oil_pressure": "low"}),
    ("oil pressure used to be good, now its low", {"oil_pressure": "low"}),
    ("i had the pushrods out. all fine", {}),
]


@pytest.mark.parametrize(
    ("asked", "text", "told"),
    [
        (
            "metal_in_oil",
            "oil pressure's fine, belts off makes no odds",
            {"oil_pressure": "good", "belts_off_noise": "same"},
        ),
        (
            "metal_in_oil",
            "no, oil pressure's fine",
            {"oil_pressure": "good", "metal_in_oil": "none"},
        ),
    ],
)
def test_clauses_that_each_tell_of_something_else_answer_nothing(
    asked: str, text: str, told: dict[str, str]
) -> None:
    assert {t.finding: t.state for t in heard(text, Context(asked=asked)).taken} == told


@pytest.mark.parametrize(("text", "told"), OF_IT)
def test_a_short_clause_is_of_the_thing_named_just_before(text: str, told: dict[str, str]) -> None:
    assert {t.finding: t.state for t in heard(text).taken} == told


@pytest.mark.parametrize(
    "text",
    [
        "I backed off and parked it",
        "the cam gear looked good",
        "crank clearance is fine",
        "new spark plugs",
    ],
)
def test_words_of_something_else_are_no_noise_lobe_starter_or_spark(text: str) -> None:
    others = {"noise_off_load", "cam_lobe_face", "cranking_speed", "spark_at_plug"}
    assert not others & {t.finding for t in heard(text).taken}


def test_a_named_noise_needs_no_unnamed_one_beside_it() -> None:
    told = {t.finding for t in heard("it started making a knocking noise").taken}
    assert "noise_knock" in told
    assert "noise_unspecified" not in told


@pytest.mark.parametrize(
    "text",
    ["lower than it should be, the oil pressure", "oil pressure is lower than it should be"],
)
def test_what_is_held_against_the_book_is_heard(text: str) -> None:
    assert {t.finding: t.state for t in heard(text).taken} == {"oil_pressure": "low"}


def test_a_list_that_begins_with_new_is_all_new() -> None:
    told = {
        t.finding: t.state for t in heard("new rings, bearings, camshaft and timing chain").taken
    }
    assert told.items() >= {
        ("last_work_bottom_end", "yes"),
        ("new_cam_and_lifters", "yes"),
        ("last_work_front", "yes"),
    }


def test_a_gauge_that_cannot_be_fitted_tells_nothing_of_the_pressure() -> None:
    told = {
        t.finding: t.state for t in heard("needle still on zero, second gauge he cant fit").taken
    }
    assert told == {"oil_pressure": "none"}


@pytest.mark.parametrize("text", ["the gear looks like new", "shorter than the new one"])
def test_like_new_is_no_new_part(text: str) -> None:
    assert not [t for t in heard(text).taken if t.finding.startswith("last_work")]


@pytest.mark.parametrize(
    "text",
    ["no trail of oil behind us", "pressed down on the lid", "98 psi"],
)
def test_a_word_that_only_stands_near_is_neither_denied_nor_measured(text: str) -> None:
    assert understand(text, INDEX, Context()).taken == ()


@pytest.mark.parametrize(
    "text",
    ["220,000 miles on the clock", "after 45 minutes it stops", "it began 90 hours ago"],
)
def test_the_age_of_the_car_and_a_while_of_one_run_are_not_told_of_the_build(text: str) -> None:
    taken = understand(text, INDEX, Context()).taken
    assert not {t.finding for t in taken} & {"engine_hours", "distance_since_build"}


def test_a_high_mileage_since_the_rebuild_is_one_of_the_build() -> None:
    (taken,) = understand("60,000 miles since the rebuild", INDEX, Context()).taken
    assert (taken.finding, taken.value) == ("distance_since_build", 60_000)

"""How people tell a whole story: kinds of sentence that real messages were misheard in."""

import pytest

from diagnose.cli.talk import new_conversation
from diagnose.language.understand import understand
from diagnose.language.understanding import Context

INDEX = new_conversation(None).index
TOLD = [
    # words of one clause belong together, however near the same word stands in the other
    ("the starter spins over but the rotor arm isnt turning", "rotor_turns_when_cranking", "no"),
    ("it turns over, the rotor does not turn", "rotor_turns_when_cranking", "no"),
    # told in order, not only in the same words
    ("it took ten seconds to get any oil pressure", "oil_pressure", "slow_to_rise"),
    ("pressure jumps about like mad when i brake", "oil_pressure", "fluctuates"),
    ("the oil pressure went to nothing", "oil_pressure", "none"),
    ("it keeps shearing the pin", "repeat_failure", "yes"),
    ("fourth fuel pump this summer", "repeat_failure", "yes"),
    ("the engine simply died on the motorway", "engine_stopped_suddenly", "yes"),
    ("it let go and then it seized", "engine_stopped_suddenly", "yes"),
    ("fuel in the sump", "fuel_in_oil", "present"),
    ("it loses its prime overnight", "oil_pressure", "slow_to_rise"),
    ("now it wont restart until it cools down", "hot_restart", "fails"),
    ("bits of gear are lying in the sump", "loose_part_in_engine", "yes"),
    ("makes a strange noise at the front", "noise_unspecified", "present"),
    ("3 of the 6 cylinders are low", "compression", "several_low"),
    ("no fuel at the carb, new pump last month", "last_work_fuel_pump", "yes"),
    ("it is not like the thing wont start", "engine_starts", "yes"),
    ("all of a sudden it ran rough", "trouble_since", "sudden"),
    ("temperature climbs into the red", "overheats", "present"),
    ("it blows clouds of smoke on the road", "smoke_or_oil_use", "present"),
    ("it has barely enough power to move", "low_power", "present"),
    ("it was parked six years in a barn", "stood_unused", "yes"),
]
NOT_TOLD = [
    # what was looked for, figured or thought of is not what was found
    ("had both heads checked for stuck valves", "valve_stem"),
    ("looked inside to see if a spring was broken", "valve_spring"),
    ("we figured a burnt valve", "valve_face"),
    ("I was convinced the flexplate was cracked", "flexplate"),
    # the same words in another order, or of another thing
    ("the pressure of 60 is over 40", "last_work_bottom_end"),
    ("two of the pushrods were in the tray", "pushrod_condition"),
    ("the car started to make a bad smell", "hard_start"),
    ("checked oil, plugs, water and fuel, all fine", "fuel_in_oil"),
    ("the timing cover has dots on it", "timing_marks"),
    ("a gasket scraped clean", "noise_grind"),
    ("the gauge for the fuel goes to zero", "oil_pressure"),
    ("it squealed for a minute and then stopped dead", "engine_stopped_suddenly"),
    ("ever since I broke a pushrod it ticks", "pushrod_condition"),
]


@pytest.mark.parametrize(("text", "finding", "state"), TOLD)
def test_what_is_told_is_heard(text: str, finding: str, state: str) -> None:
    assert {t.finding: t.state for t in understand(text, INDEX, Context()).taken}[finding] == state


@pytest.mark.parametrize(("text", "finding"), NOT_TOLD)
def test_what_is_not_told_is_not_heard(text: str, finding: str) -> None:
    assert finding not in {t.finding for t in understand(text, INDEX, Context()).taken}

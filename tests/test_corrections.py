"""What a conclusion works out: the sums a cause names, on a made-up rule base."""

from pathlib import Path
from typing import Any

import pytest
from rule_files import FILES, write_rules

from diagnose.cases.assess import load_workbench
from diagnose.cases.log import Statement
from diagnose.dialogue.correction import worked_out
from diagnose.dialogue.wording_end import worked_out_lines
from diagnose.knowledge.checks import problems_across
from diagnose.knowledge.load import read_folder
from diagnose.knowledge.own_sheet import read_sheet
from diagnose.knowledge.problems import KnowledgeError

CAUSE = "causes/box/b.yaml"
PLATE = """
corrections:
  - id: box_gap
    reading: gap
    ways:
      - title: Packing
        sum: part-to-fit
        fill:
          side: {values: [1], source: memory}
          gain: {size: box_gain, values: [1], source: book}
          fitted: {size: packing, ask: Measure the packing}
"""
SHEET = FILES["engines/plain.yaml"].rstrip() + "\nsizes:\n"
PACKING = "  - {name: packing, values: [4], unit: mm, source: book}\n"


def folder(tmp_path: Path, correction: str = PLATE, sheet: str = "") -> Path:
    changed = {
        CAUSE: FILES[CAUSE].replace("recheck:", "work_out: box_gap\nrecheck:"),
        "corrections.yaml": correction,
    }
    if sheet:
        changed["engines/plain.yaml"] = SHEET + sheet
    return write_rules(tmp_path, changed)


def correct(rules: Path, value: float | None, engine: str | None = None) -> dict[str, Any]:
    bench = load_workbench(engine, folder=rules)
    said = [] if value is None else [Statement("measured", "gap", 1, value=value, unit="mm")]
    return worked_out(bench, bench.assess(said), bench.knowledge.causes["b"])


def test_what_a_way_still_needs_is_asked_for(tmp_path: Path) -> None:
    out = correct(folder(tmp_path), 3.0)
    assert out["ways"][0]["missing"] == [{"input": "fitted", "ask": "Measure the packing"}]


def test_a_reading_never_taken_is_asked_for_and_nothing_made_up(tmp_path: Path) -> None:
    out = correct(folder(tmp_path), None)
    assert out == {"missing": [{"finding": "gap", "ask": "How wide is the gap?"}]}


def test_the_part_is_worked_out_from_the_size_on_the_sheet(tmp_path: Path) -> None:
    """3 mm read, 1.2 to 1.8 on the sheet: take up 1.5, so packing of 4 becomes 5.5 mm."""
    (way,) = correct(folder(tmp_path, sheet=PACKING), 3.0, "plain")["ways"]
    figures = {f["name"]: f for f in way["figures"]}
    assert figures["part to fit"]["value"] == pytest.approx(5.5 / 0.0254)
    assert figures["part to grow by"]["u"] == pytest.approx(1.96 * 0.05 / 0.0254, rel=1e-4)


def test_every_value_tells_where_it_comes_from(tmp_path: Path) -> None:
    (way,) = correct(folder(tmp_path, sheet=PACKING), 3.0, "plain")["ways"]
    sources = {g["input"]: g["source"] for g in way["given"]}
    assert (sources["measured"], sources["target-low"]) == ("the case", "book")
    assert (sources["fitted"], sources["gain"], sources["side"]) == ("book", "book", "memory")


def test_a_size_of_the_sheet_counts_before_the_usual_one(tmp_path: Path) -> None:
    sheet = PACKING + "  - {name: box_gain, values: [2], source: book}\n"
    (way,) = correct(folder(tmp_path, sheet=sheet), 3.0, "plain")["ways"]
    grows = next(f["value"] for f in way["figures"] if f["name"] == "part to grow by")
    assert grows == pytest.approx(0.75 / 0.0254)


def test_a_reading_that_is_right_has_nothing_to_correct(tmp_path: Path) -> None:
    assert correct(folder(tmp_path, sheet=PACKING), 1.5, "plain") == {}


def test_what_a_sum_refuses_is_told_and_not_hidden(tmp_path: Path) -> None:
    """0.1 mm read and 1.5 wanted: the packing of 1 mm would have to be thinner than nothing."""
    thin = PACKING.replace("[4]", "[1]")
    out = correct(folder(tmp_path, sheet=thin), 0.1, "plain")
    assert "smaller" in out["ways"][0]["refused"]


def test_only_the_sheet_s_own_band_counts_where_the_usual_one_is_too_wide(tmp_path: Path) -> None:
    strict = PLATE + "          target-low: {take: sheet_low, ask: Find the gap wanted}\n"
    assert correct(folder(tmp_path / "a", strict), 3.0)["ways"][0]["missing"][0]["ask"] == (
        "Find the gap wanted"
    )
    assert "says" in correct(folder(tmp_path / "b", strict, PACKING), 3.0, "plain")["ways"][0]


def test_the_lines_tell_the_part_in_the_person_s_unit(tmp_path: Path) -> None:
    rules = folder(tmp_path, sheet=PACKING)
    text = "\n".join(
        worked_out_lines(load_workbench(folder=rules).knowledge, correct(rules, 3.0, "plain"))
    )
    assert "Packing: The part must be" in text
    assert "part to fit: 5.5 mm" in text
    assert "Counted with box gain 1 (A book); packing" in text


def test_the_lines_ask_for_what_is_missing(tmp_path: Path) -> None:
    rules = folder(tmp_path)
    knowledge = load_workbench(folder=rules).knowledge
    assert (
        "Packing: to work it out, measure the packing."
        in worked_out_lines(knowledge, correct(rules, 3.0))[-1]
    )
    assert "measure: How wide is the gap?" in worked_out_lines(knowledge, correct(rules, None))[0]


# Each correction of the shipped rule base on the generic sheet: what was read, and one figure of it
# that can be worked out by hand.
SHIPPED = [
    ("thrust_plate_worn", {"cam_end_play": "11 thou"}, "shims", 7),
    ("cam_button_wrong", {"cam_button_play": "20 thou"}, "part to grow by", 13.5),
    ("lifter_preload_large", {"lifter_preload": "110 thou"}, "turns", 70 / (1 + 1 / 1.5) * 0.024),
    ("lifter_preload_small", {"lifter_preload": "5 thou"}, "travel of the adjuster", 21),
    ("pushrod_length_wrong", {"lifter_preload": "5 thou", "pushrod_length": "7.8 in"},
     "nearest sold", 7.85),
    ("plate_bolt_heads_proud", {"bolt_head_height": "5.3 mm", "thrust_bearing_stack": "4 mm"},
     "gap, gear pushed in", -1.3 / 0.0254),
    ("cam_bolt_loose", {}, "clamp load", 42.5 * 12 / 0.2 / 0.375 * 4.4482216),
    ("fuel_pump_rod_worn", {"fuel_pump_rod_wear": "250 thou", "fuel_pump_rod_length": "5.5 in"},
     "part to fit", 5.75),
    ("fuel_pump_rod_worn", {"fuel_pump_rod_wear": "250 thou", "fuel_pump_rod_lift": "0.3 in"},
     "stroke lost", 250 / 3),
    ("distributor_shaft_play_large", {"distributor_shaft_end_play": "60 thou"}, "shims", 30),
    ("distributor_shaft_play_small", {"distributor_shaft_end_play": "1 thou"},
     "part to grow by", -28.5),
    ("cam_indexed_wrong", {"valve_timing_error": "-5 deg"}, "offset to fit", 4),
    ("valve_timing_off_tooth", {"valve_timing_error": "21 deg"}, "teeth off", 21 / 20),
    ("timing_gear_backlash_large", {"timing_gear_backlash": "9 thou"}, "part to grow by", 5),
    ("timing_gear_backlash_small", {"timing_gear_backlash": "1 thou"}, "part to grow by", -3),
    ("bearing_clearance_large", {"rod_bearing_clearance": "5 thou"}, "part to grow by", 3),
    ("main_bearing_worn", {"main_bearing_clearance": "5 thou"}, "part to grow by", 3),
    ("crank_thrust_worn", {"crank_end_play": "20 thou"}, "part to grow by", 15),
    ("valve_spring_bind", {"spring_room": "30 thou"}, "part to grow by", -30 - 1.96 * 3),
]  # fmt: skip


@pytest.mark.parametrize(("cause", "read", "name", "value"), SHIPPED)
def test_each_correction_of_the_rule_base_has_its_figure(
    cause: str, read: dict[str, str], name: str, value: float
) -> None:
    bench = load_workbench("generic-small-pushrod-v8")
    said = []
    for finding, text in read.items():
        number, unit = text.split()
        said.append(Statement("measured", finding, 1, value=float(number), unit=unit))
    out = worked_out(bench, bench.assess(said), bench.knowledge.causes[cause])
    figures = {f["name"]: f["value"] for way in out["ways"] for f in way.get("figures", ())}
    assert figures[name] == pytest.approx(value, rel=1e-4)


@pytest.mark.parametrize(
    ("cause", "read", "name", "value"),
    [
        ("valve_lash_large", "valve_lash 22 thou", "travel of the adjuster", 7 / 1.5),
        ("valve_lash_small", "valve_lash 5 thou", "travel of the adjuster", 10 / 1.5),
        ("ignition_too_early", "ignition_timing 24 deg", "reading then", 8),
        ("ignition_too_late", "ignition_timing -2 deg", "change, crank degrees", 10),
    ],
)
def test_what_is_set_to_the_sheet_is_worked_from_the_sheet(
    cause: str, read: str, name: str, value: float
) -> None:
    """The sheet asks for 15 thou of lash and 8 degrees; screw at the pushrod end, ratio 1.5."""
    bench = load_workbench("forklift-four")
    finding, number, unit = read.split()
    said = [Statement("measured", finding, 1, value=float(number), unit=unit)]
    out = worked_out(bench, bench.assess(said), bench.knowledge.causes[cause])
    figures = {f["name"]: f["value"] for f in out["ways"][0]["figures"]}
    assert figures[name] == pytest.approx(value, rel=1e-4)


@pytest.mark.parametrize(
    "cause",
    ["fuel_pump_rod_wrong", "fuel_pump_spacer_wrong", "cam_bolt_bottomed", "valve_lash_large"],
)
def test_what_is_not_known_of_an_engine_is_asked_for(cause: str) -> None:
    bench = load_workbench(None)
    readings = {"fuel_pump_rod_wrong": ("fuel_pump_rod_length", 5.5, "in"),
                "fuel_pump_spacer_wrong": ("fuel_pump_rod_lift", 0.2, "in"),
                "cam_bolt_bottomed": ("cam_bolt_torque", 42.0, "lbf.ft"),
                "valve_lash_large": ("valve_lash", 32.0, "thou")}  # fmt: skip
    finding, value, unit = readings[cause]
    said = [Statement("measured", finding, 1, value=value, unit=unit)]
    out = worked_out(bench, bench.assess(said), bench.knowledge.causes[cause])
    assert all(each["ask"] for way in out["ways"] for each in way["missing"])


BAD = [
    ("unknown_word", "sum: part-to-fit", "sum: part-to-fitt"),
    ("unknown_word", "gain:", "gane:"),
    ("unknown_finding", "reading: gap", "reading: gab"),
    ("wrong_type", "reading: gap", "reading: lamp"),
    ("missing_key", "          side: {values: [1], source: memory}\n", ""),
    ("missing_key", "values: [1], source: memory", "values: [1]"),
    ("missing_key", "{size: packing, ask: Measure the packing}", "{unit: mm}"),
    ("unknown_source", "source: book", "source: boook"),
    ("unknown_finding", "{size: packing,", "{finding: packing,"),
    ("unit_of_other_kind", "values: [1], source: book", "values: [1], unit: mm, source: book"),
    ("wrong_type", "values: [1], source: book", "values: [1, 2], source: book"),
    ("unknown_word", "id: box_gap", "id: other_gap"),
]


@pytest.mark.parametrize(("code", "old", "new"), BAD)
def test_a_correction_that_can_not_be_worked_out_is_found(
    code: str, old: str, new: str, tmp_path: Path
) -> None:
    assert old in PLATE
    book, problems = read_folder(folder(tmp_path, PLATE.replace(old, new, 1)))
    assert code in {p.code for p in [*problems, *problems_across(book)]}


@pytest.mark.parametrize(
    ("code", "size"),
    [
        ("unknown_word", PACKING.replace("packing", "pakking")),
        ("unit_of_other_kind", PACKING.replace("mm", "psi")),
        ("unit_of_other_kind", PACKING.replace("unit: mm, ", "")),
        ("missing_key", PACKING.replace("[4]", "[]")),
        ("unknown_source", PACKING.replace("book", "boook")),
    ],
)
def test_a_size_no_sum_can_take_is_found_on_an_own_sheet(
    code: str, size: str, tmp_path: Path
) -> None:
    knowledge = load_workbench(folder=folder(tmp_path / "rules")).knowledge
    own = tmp_path / "own.yaml"
    own.write_text(SHEET + size)
    with pytest.raises(KnowledgeError) as caught:
        read_sheet(own, knowledge)
    assert code in {p.code for p in caught.value.problems}

"""Values typed for a sum: read as meant, or refused with what would be right."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.measuring.given import read_values, unit_named
from diagnose.measuring.table import read_table
from diagnose.measuring.worked import Input, Refused

PLAY = Input("reading", "The play read", "length", "mm", many=True)
BAND = Input("low", "Low end of the band", "length", "mm")
COUNT = Input("cylinders", "How many cylinders", "", "")


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("5 thou", 0.127),
        ("0.005 in", 0.127),
        (".005in", 0.127),
        ("0,127 mm", 0.127),
        ("1/64 in", 25.4 / 64),
        ("1 1/2 in", 38.1),
        ("-1 1/2 in", -38.1),
        ("+0.1 mm", 0.1),
    ],
)
def test_one_quantity_however_it_is_written(text: str, mm: float) -> None:
    assert read_values(text, PLAY) == pytest.approx((mm,))


@pytest.mark.parametrize(
    "text", ["4 5 6 thou", "4; 5; 6 thou", "4 thou 5 thou 6 thou", "4thou;5thou;6thou"]
)
def test_a_row_of_readings_takes_its_unit_from_the_end(text: str) -> None:
    assert read_values(text, PLAY) == pytest.approx((0.1016, 0.127, 0.1524))


@pytest.mark.parametrize(
    ("text", "wanted", "told"),
    [
        ("5", BAND, "has no unit"),
        ("5 psi", BAND, "does not measure length"),
        ("4 thou 0.1 mm", PLAY, "two units"),
        ("4 5 thou", BAND, "takes one value"),
        ("about five", BAND, "is no number"),
        ("nan mm", BAND, "is no number"),
        ("1e999 mm", BAND, "beyond all measure"),
        ("1/0 in", BAND, "beyond all measure"),
        ("", BAND, "is empty"),
        ("8 cylinders", COUNT, "plain number"),
    ],
)
def test_what_can_not_be_read_is_refused_by_name(text: str, wanted: Input, told: str) -> None:
    with pytest.raises(Refused, match=told) as fault:
        read_values(text, wanted)
    assert wanted.name in str(fault.value)


def test_a_row_without_end_is_refused() -> None:
    with pytest.raises(Refused, match="most"):
        read_values("4 thou " * 20_000, PLAY)
    with pytest.raises(Refused, match="most"):
        read_table(["4 thou"] * 20_000, PLAY)


def test_a_thousand_readings_are_read() -> None:
    assert len(read_values("4 " * 1000 + "thou", PLAY)) == 1000
    assert read_table(["play (mm)"] + ["0,1"] * 1000, PLAY) == (0.1,) * 1000


def test_two_spellings_of_one_unit_are_one_unit() -> None:
    assert read_values("1 in 2 inch", PLAY) == pytest.approx((25.4, 50.8))


@pytest.mark.parametrize("table", [["4 thou", "0.1 mm"], ["play (mm)", "0.1", "4 thou"]])
def test_a_table_with_two_units_is_refused(table: list[str]) -> None:
    with pytest.raises(Refused, match="two units, .*; give all its values in one"):
        read_table(table, PLAY)


def test_a_table_for_one_value_has_one() -> None:
    assert read_table(["1 mm"], BAND) == (1.0,)
    with pytest.raises(Refused, match="low takes one value and the table has 2"):
        read_table(["1 mm", "2 mm"], BAND)


@pytest.mark.parametrize(
    ("text", "unit"),
    [("0.1 0.2 mm", "mm"), ("no;play (mm)\n1;0,1", "mm"), ("5", ""), ("5 psi", "")],
)
def test_the_persons_own_unit_is_known(text: str, unit: str) -> None:
    assert unit_named(text, PLAY) == unit


@pytest.mark.parametrize(
    "table",
    [
        "4 thou\n5 thou\n",
        "no,play (thou)\n1,4\n\n2,5\n",
        "no;play thou\n1;4,0\n2;5,0\n",
        "run\tplay\n1\t4 thou\n2\t5 thou\n",
    ],
)
def test_a_table_of_readings(table: str) -> None:
    assert read_table(table.splitlines(), PLAY) == pytest.approx((0.1016, 0.127))


@pytest.mark.parametrize(
    "table",
    [
        "thou\n4,5\n5,0\n",
        "run,play (thou)\n1,4.5\n2,5.0\n",
        "run,play thou,by\n1,4.5,Ann\n2,5.0,Ann\n",
        "play thou,run\n4.5,1\n5.0,2\n",
        "run;play thou\n1;4,5\n2;\n3;5,0\n",
        "play\nthou\n4.5\n\n5.0\n",
    ],
)
def test_the_column_of_the_readings_is_found(table: str) -> None:
    assert read_table(table.splitlines(), PLAY) == pytest.approx((4.5 * 0.0254, 5 * 0.0254))


def test_lines_numbered_in_front_need_no_heading() -> None:
    assert read_table(["1,4 mm", "2,5 mm", "3,5 mm"], PLAY) == (4.0, 5.0, 5.0)


@pytest.mark.parametrize(
    ("table", "told"),
    [
        ("4,5\n5,0\n", "line 1: '4,5' can be one value or two"),
        ("5\n4,5 mm\n", "line 2: '4,5 mm' can be one value or two"),
        ("play mm\n4.5\n\nbroken\n5\n", "line 4: 'broken' is no number"),
        ("play mm\n4.5\nnan\n", "line 3: 'nan' is no number"),
        ("run,play mm\n1,4.5\n2,off\n", "line 3: 'off' is no number"),
        ('play mm\n"4.5\n5"\n' + "4" * 200_000, "can't be read"),
        ("\tmm\n4.5\n", "no number for reading in the column whose heading names its unit"),
    ],
)
def test_what_a_table_does_not_tell_for_sure_is_refused(table: str, told: str) -> None:
    with pytest.raises(Refused, match=re.escape(told)):
        read_table(table.splitlines(), PLAY)


@settings(max_examples=200, deadline=None)
@given(st.lists(st.text(alphabet='0123456789,.;\t "-xmthou', max_size=12), max_size=6))
def test_any_table_is_read_or_refused(lines: list[str]) -> None:
    try:
        assert read_table(lines, PLAY)
    except Refused as fault:
        assert str(fault)


def test_a_table_without_a_number_or_a_unit_is_refused() -> None:
    with pytest.raises(Refused, match="no number"):
        read_table(["play", "none"], PLAY)
    with pytest.raises(Refused, match="no unit"):
        read_table(["4", "5"], PLAY)


@settings(max_examples=50, deadline=None)
@given(st.floats(-1e6, 1e6, allow_nan=False), st.sampled_from(["mm", "thou", "in"]))
def test_any_figure_comes_back_in_the_unit_of_the_sum(value: float, unit: str) -> None:
    factor = {"mm": 1.0, "thou": 0.0254, "in": 25.4}[unit]
    assert read_values(f"{value:.6f} {unit}", PLAY)[0] == pytest.approx(value * factor, abs=1e-4)


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        read_values(text, PLAY)
    except Refused as fault:
        assert "reading" in str(fault)


@pytest.mark.parametrize(("text", "value"), [("yes", 1.0), (" No ", 0.0), ("1", 1.0)])
def test_a_question_of_yes_or_no_is_answered_in_words(text: str, value: float) -> None:
    asked = Input("gear-torqued", "is its bolt torqued? (yes or no)", "", "")
    assert read_values(text, asked) == (value,)

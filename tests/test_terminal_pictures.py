"""What the screens are made of: cells, the status line, bars and bands in letters."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rule_files import write_rules

from diagnose.cases.assess import load_workbench
from diagnose.cases.state import Judged
from diagnose.dialogue import wording as talked
from diagnose.dialogue.conversation import Conversation
from diagnose.dialogue.standing import Standing
from diagnose.language.index import load_index
from diagnose.screens import pictures, wording
from diagnose.screens.cells import cells, clean, cut, filled, pieces, wrapped
from diagnose.screens.status import fitted

CAUTION = "Do not run the engine: it is alive and it will bite whoever reaches in"


@pytest.mark.parametrize("columns", [1, 21, 40, 79, 200])
def test_no_line_is_wider_than_the_window(columns: int) -> None:
    lines = list(wrapped(f"{talked.HELP}\n    {CAUTION}\n\n{'x' * 300}\n{'気' * 99}", columns))
    assert max(map(cells, lines)) < max(columns, 21)


def test_wrapping_keeps_every_word_and_the_indent() -> None:
    lines = list(wrapped(f"  {CAUTION}", 30))
    assert " ".join(line.strip() for line in lines) == CAUTION
    assert [len(line) - len(line.lstrip()) for line in lines] == [2] + [4] * (len(lines) - 1)


def test_wide_letters_are_wrapped_as_others_are() -> None:
    text = "  " + CAUTION.replace("alive", "aliveé")
    wide = [line.replace("é", "") for line in pieces(text, 31)]
    assert " ".join(line.strip() for line in wide) == CAUTION
    assert all(line.startswith("  ") for line in wide)


def test_an_empty_line_stays() -> None:
    assert list(wrapped("a\n\nb", 40)) == ["a", "", "b"]


@pytest.mark.parametrize(
    ("text", "wide"), [("abc", 3), ("é", 1), ("e\u0301", 1), ("気筒", 4), ("🔧", 2)]
)
def test_cells_are_those_of_a_terminal(text: str, wide: int) -> None:
    assert cells(text) == wide


@given(st.text(), st.integers(0, 40))
def test_what_is_cut_fits(text: str, columns: int) -> None:
    assert cells(cut(text, columns)) <= columns


def test_what_is_filled_is_as_wide_as_it_should_be() -> None:
    assert cells(filled("気", 6)) == 6


@given(st.text())
def test_nothing_that_a_terminal_obeys_is_left(text: str) -> None:
    assert not {c for c in clean(text) if ord(c) < 32 and c not in "\n\t"}


@pytest.mark.parametrize(
    "orders",
    ["\x1b[31m", "\x1b[2J\x1b[H", "\x1b]0;name\x07", "\x1b]8;;x\x1b\\", "\x1b(B", "\x1bc", "\x9b"],
)
def test_orders_go_and_words_stay(orders: str) -> None:
    assert clean(f"lamp {orders}out\r\nnow") == "lamp out\nnow"


PARTS = [
    ("Do not run the engine", "DO NOT RUN"),
    ("Leads: Cause a, likely", "Cause a"),
    ("9 min", "9"),
]


@pytest.mark.parametrize(
    ("columns", "line"),
    [
        (80, "Do not run the engine | Leads: Cause a, likely | 9 min"),
        (51, "Do not run the engine | Leads: Cause a, likely | 9"),
        (40, "Do not run the engine | Cause a | 9"),
        (24, "DO NOT RUN | Cause a | 9"),
        (22, "DO NOT RUN | Cause a"),
        (12, "DO NOT RUN"),
        (26, "DO NOT RUN | Cause a | 9"),
        (6, "DO..."),
        (1, "."),
    ],
)
def test_the_status_line_shrinks_and_what_weighs_most_stays(columns: int, line: str) -> None:
    assert fitted(PARTS, columns) == line


def test_a_long_part_is_cut_where_enough_of_it_is_left() -> None:
    parts = [("Do not run the engine", "DO NOT RUN"), ("x" * 90, "Rod bearing worn or spun")]
    assert fitted(parts, 30) == "DO NOT RUN | Rod bearing wo..."


@pytest.mark.parametrize(
    ("minutes", "columns", "line"),
    [
        (0.0, 80, "0 min of checks so far | Leads: Cause a, likely (60 to 80 %) | usual bands"),
        (12.4, 40, "12 min | Cause a, likely | usual bands"),
        (12.4, 20, "12 min"),
        (12.4, 24, "12 min | Cause a, likely"),
    ],
)
def test_the_minutes_so_far_stand_before_the_cause(minutes: float, columns: int, line: str) -> None:
    one = {**cause("a", 0.7), "band": "likely (60 to 80 %)"}
    now = Standing(None, (), minutes, one, stop=False, caution=False)
    assert fitted(wording.status_parts(now, ""), columns) == line


def test_nothing_told_has_cost_no_minutes_worth_telling() -> None:
    now = Standing(None, (), 0.0, None, stop=False, caution=False)
    assert wording.status_parts(now, "")[0][1] == wording.NO_SUSPECT


def cause(name: str, p: float) -> dict[str, object]:
    return {"id": name, "title": f"Cause {name}", "p": p, "band": talked.band(p)}


def test_bars_show_what_stays_what_came_and_what_went() -> None:
    before = pictures.shares([cause("a", 0.2), cause("b", 0.7), cause("d", 0.1)])
    lines = pictures.bars([cause("a", 0.6), cause("b", 0.35), cause("c", 0.02)], before, 80)
    assert lines == [
        "  Cause a [======++++++++++++............] likely, up from less likely",
        "  Cause b [==========-----------.........] possible, down from likely",
        "  Cause c [=.............................] unlikely, new",
        f"  {wording.LEGEND}",
    ]


def test_bars_of_a_first_turn_have_not_moved() -> None:
    assert pictures.bars([cause("a", 0.6)], {}, 80) == [f"  Cause a [{'=' * 18}{'.' * 12}] likely"]


def test_a_share_that_hardly_moved_is_as_before() -> None:
    before = pictures.shares([cause("a", 0.6)])
    assert pictures.bars([cause("a", 0.605)], before, 80)[0].endswith("likely, as before")


@pytest.mark.parametrize("columns", [12, 40, 60, 80, 160])
def test_bars_fit_the_window_and_keep_their_words(columns: int) -> None:
    causes = [cause("a" * 60, 0.95), cause("b", 0.4)]
    before = pictures.shares([cause("a" * 60, 0.05)])
    lines = pictures.bars(causes, before, columns)
    assert max(map(cells, lines[:-1])) < max(columns, 40)
    assert any("almost certain, up from unlikely" in line for line in lines)


@pytest.fixture
def talk(tmp_path: Path) -> Conversation:
    bench = load_workbench("plain", write_rules(tmp_path))
    return Conversation(bench, load_index(bench.knowledge))


def judged(talk: Conversation, value: float, unit: str = "mm") -> Judged:
    talk.say({"finding": "gap", "value": value, "unit": unit})
    return talk.last.state.judged["gap"]


@pytest.mark.parametrize(
    ("value", "says"),
    [
        (2.3, "0.5 mm above the band."),
        (0.7, "0.5 mm below the band."),
        (1.5, "inside the band."),
        (1.81, f"0.01 mm above the band{wording.UNSURE}."),
    ],
)
def test_the_band_says_in_words_where_the_reading_lies(
    value: float, says: str, talk: Conversation
) -> None:
    assert pictures.band("The gap", judged(talk, value), 60)[0].endswith(says)


@pytest.mark.parametrize("value", [0.2, 1.199, 1.2, 1.5, 1.8, 1.801, 40.0])
def test_the_mark_stands_over_the_band_only_where_the_reading_is_in_it(
    value: float, talk: Conversation
) -> None:
    _, row, mark, *_ = pictures.band("The gap", judged(talk, value), 60)
    inside = row[mark.index("^")] == "="
    assert inside == (1.2 <= value <= 1.8)


@pytest.mark.parametrize("columns", [10, 40, 200])
def test_the_band_fits_the_window(columns: int, talk: Conversation) -> None:
    lines = pictures.band("The gap", judged(talk, 2.3), columns)[1:3]
    assert max(map(len, lines)) <= max(columns, 12)


def test_a_target_is_told_apart_from_the_band(talk: Conversation) -> None:
    one = judged(talk, 1.5)._replace(target=(1.4, 1.6))
    lines = pictures.band("The gap", one, 60)
    assert "#" in lines[1] and "=" in lines[1]
    assert lines[3] == "  = the band, 1.2 to 1.8 mm; # aimed at, 1.4 to 1.6 mm"


def test_a_band_open_at_one_side_is_drawn_open(talk: Conversation) -> None:
    row = pictures.band("The gap", judged(talk, 1.0)._replace(high=None), 40)[1].strip()
    assert row.startswith(".") and row.endswith("=")


def test_the_drawing_holds_reading_band_and_target(talk: Conversation) -> None:
    svg = pictures.drawing("The gap", judged(talk, 1.5)._replace(target=(1.4, 1.6)))
    assert svg.startswith("<svg")
    assert all(f">{name}: " in svg for name in (wording.BAND, wording.AIM, wording.READING))

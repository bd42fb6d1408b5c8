"""What closed cases teach, and the desk with its open calls."""

import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest
from cases_toy import turn

from diagnose.cases import elsewhere, statistics
from diagnose.cases.assess import load_workbench
from diagnose.cases.faults import StoreError
from diagnose.cases.log import Statement
from diagnose.cases.statistics import Outcome
from diagnose.cases.store import Store
from diagnose.cli.case_lines import statistics_lines
from diagnose.cli.main import main
from diagnose.dialogue.conversation import Conversation
from diagnose.knowledge.load import load_knowledge
from diagnose.language.index import load_index

BANDS = ((0.9, "sure"), (0.5, "likely"), (0.0, "hardly"))
Capture = pytest.CaptureFixture[str]


def closed(cause: str, led: str = "a", share: float = 0.95, minutes: float = 10) -> Statement:
    return Statement("closed", cause, 1, state=led, value=share, low=minutes)


def test_only_closed_cases_with_a_cause_count_and_the_last_word_holds(store: Store) -> None:
    for said in (closed("a"), closed("b"), closed(""), Statement("note", "", 1)):
        store.begin([*turn(1), said])
    store.append(1, [Statement("reopened", "", 1)])
    store.append(2, [Statement("reopened", "", 1), closed("c")])
    assert statistics.outcomes(store) == [Outcome("c", "a", 0.95, 10)]


@pytest.mark.parametrize(("right", "total"), [(0, 1), (1, 1), (7, 9), (30, 31), (50, 1000)])
def test_the_range_is_that_of_wilson(right: int, total: int) -> None:
    from scipy import stats  # takes a second to load, for this test alone

    known = stats.binomtest(right, total).proportion_ci(0.95, method="wilson")
    assert statistics.interval(right, total) == pytest.approx((known.low, known.high), abs=1e-7)


def test_a_stated_share_is_held_against_what_was_confirmed() -> None:
    found = [Outcome("a", "a", 0.95, None)] * 8 + [Outcome("b", "a", 0.91, None)] * 2
    found += [Outcome("a", "a", 0.6, None), Outcome("a", "", None, None)]
    rows = list(statistics.kept_word(found, BANDS))
    assert [(r.words, r.cases, r.right) for r in rows] == [("sure", 10, 8), ("likely", 1, 1)]
    assert rows[0].low < rows[0].part < rows[0].high


def test_handbook_and_counts_are_put_together_as_stated() -> None:
    knowledge = load_knowledge()
    shares = statistics.handbook(knowledge)
    first = max(shares, key=lambda c: shares[c])
    (row,) = statistics.counted(knowledge, {first: 50})
    assert sum(shares.values()) == pytest.approx(1)
    assert row.together == pytest.approx((200 * shares[first] + 50) / 250)
    assert row.handbook < row.together < 50 / 50


def test_enough_closed_cases_draw_the_beforehand_chances_and_say_so() -> None:
    bench = load_workbench()
    shares = statistics.handbook(bench.knowledge)
    first, other = sorted(shares, key=lambda c: -shares[c])[:2]
    place, beside = bench.network.column(first), bench.network.column(other)
    few = statistics.learned(bench, {first: statistics.ENOUGH - 1})
    assert (few.counted, few.network) == (0, bench.network)
    many = statistics.learned(bench, {first: 60})
    (row,) = statistics.counted(bench.knowledge, {first: 60})
    for setting, before in bench.network.prior.items():
        after = many.network.prior[setting]
        drawn = min(before[place] * row.together / row.handbook, 0.5)
        assert after[place] == pytest.approx(drawn)
        assert after[beside] / before[beside] == pytest.approx(200 / 260)
        assert after[-1] == before[-1]  # what is not in the rule base is not counted
    talk = Conversation(many, load_index(many.knowledge))
    talk.say("light tick")
    assert "60 closed cases" in talk.say("how sure are you").text


def test_few_cases_are_told_to_be_few() -> None:
    knowledge = load_knowledge()
    few = list(statistics_lines(knowledge, [], {"y": {"x": 29}}, {}))
    many = list(statistics_lines(knowledge, [], {"y": {"x": 30}}, {}))
    assert (few[2].startswith("Fewer than 30"), "Fewer" in many[2]) == (True, False)


def test_the_counts_of_another_shop_are_kept_once_and_left_out_again(store: Store) -> None:
    store.begin([Statement("closed", "a", 0)])
    elsewhere.take_in(store, "north", {"a": 9, "b": 1})
    elsewhere.take_in(store, "north", {"a": 5})
    elsewhere.take_in(store, "south", {"c": 2})
    assert elsewhere.taken(store) == {"north": {"a": 5}, "south": {"c": 2}}
    assert elsewhere.all_counts(store) == {"a": 6, "c": 2}
    elsewhere.leave_out(store, "north")
    assert elsewhere.all_counts(store) == {"a": 1, "c": 2}
    with pytest.raises(StoreError, match="no counts of 'north'"):
        elsewhere.leave_out(store, "north")


@pytest.mark.parametrize("shop", ["", " ", "x" * 101])
def test_a_shop_has_a_name_that_can_be_read(store: Store, shop: str) -> None:
    with pytest.raises(StoreError, match="names of up to 100"):
        elsewhere.take_in(store, shop, {"a": 1})


def test_counts_taken_in_are_told_wherever_they_count(
    calls: Callable[..., str], capsys: Capture, tmp_path: Path
) -> None:
    file = tmp_path / "north.json"
    file.write_text(statistics.as_text({"thrust_plate_worn": 40}), encoding="utf-8")
    main(["cases", "statistics", "--with", str(file)])
    assert "The answers rest on the handbook alone" in capsys.readouterr().out
    assert "40 closed cases" not in calls("light tick\n")
    main(["cases", "statistics", "--take-in", str(file)])
    told = capsys.readouterr().out
    assert "  40 taken in from north\n" in told
    assert "The answers rest on the handbook and on 40 of these cases" in told
    assert "40 closed cases" in calls("light tick\n")
    main(["cases", "statistics", "--leave-out", "north"])
    assert "40 closed cases" not in calls("light tick\n")


def test_the_store_counts_as_its_cases_say(store: Store) -> None:
    for causes in (["a"], ["b", "a"], ["a", ""], ["b"]):
        store.begin([Statement("closed", c, 0) for c in causes])
    store.append(4, [Statement("reopened", "", 0)])
    counts = statistics.counts_of(statistics.outcomes(store))
    assert statistics.counts_in(store) == counts == {"a": 2}


def test_counts_for_another_shop_hold_nothing_of_anybody() -> None:
    text = statistics.as_text({"b": 2, "a": 1})
    assert statistics.from_text(text) == {"a": 1, "b": 2}
    assert json.loads(text).keys() == {"file", "form", "counts"}


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{}", '{"file": "counts of diagnose", "form": 1}']
    + [
        f'{{"file": "counts of diagnose", "form": 1, "counts": {{"a": {value}}}}}'
        for value in ("-1", "0", "true", "1.5", '"1"', "null")
    ],
)
def test_what_are_no_counts_is_refused(text: str) -> None:
    with pytest.raises(StoreError, match="counts of another shop"):
        statistics.from_text(text)


@pytest.fixture
def calls(monkeypatch: pytest.MonkeyPatch, capsys: Capture) -> Callable[..., str]:
    """Take a call; what the assistant said."""

    def take(text: str, *words: str) -> str:
        monkeypatch.setattr("sys.stdin", io.StringIO(text))
        main(["chat", "--new", *words] if "--case" not in words else ["chat", *words])
        return capsys.readouterr().out

    return take


def test_the_desk_shows_each_open_call(calls: Callable[..., str], capsys: Capture) -> None:
    calls("deep knock low down in the block, oil pressure is low\n", "--caller", "Jo")
    calls("light tick\n")
    main(["cases", "hold", "1"])
    main(["cases", "close", "2"])
    calls("light tick\n")
    capsys.readouterr()
    main(["cases", "desk"])
    lines = capsys.readouterr().out.splitlines()
    heads = [line for line in lines if not line.startswith("        ")]
    assert [line.split()[0] for line in heads] == ["3", "1"]
    assert "on hold  Jo  deep knock" in heads[1]
    assert sum("Do not run the engine:" in line for line in lines) == 2
    assert sum("next: " in line for line in lines) == 2


def test_an_empty_desk_says_so(capsys: Capture) -> None:
    assert main(["cases", "desk"]) == 0
    assert capsys.readouterr().out == "No call is open.\n"


def test_a_call_on_hold_is_open_again_when_taken_up(
    calls: Callable[..., str], capsys: Capture
) -> None:
    calls("light tick\n")
    main(["cases", "hold", "1"])
    calls("no knock\n", "--case", "1")
    main(["cases", "list"])
    assert "     1  open " in capsys.readouterr().out


def test_earlier_cases_of_a_caller_are_offered(calls: Callable[..., str]) -> None:
    calls("light tick\n", "--caller", "Jo")
    assert "Earlier case 1: light tick. Go on with it:" in calls("hello\n", "--caller", "Jo")
    assert "Earlier" not in calls("hello\n", "--caller", "Mo")


def test_closing_keeps_what_was_stated_and_the_minutes(
    calls: Callable[..., str], capsys: Capture, tmp_path: Path
) -> None:
    calls("light tick\n")
    main(["cases", "close", "1", "--cause", "thrust_plate_worn", "--minutes", "90"])
    target = tmp_path / "counts.json"
    capsys.readouterr()
    assert main(["cases", "statistics", "--export", str(target), "--with", str(target)]) == 0
    out = capsys.readouterr().out
    assert out.startswith("2 closed cases with a confirmed cause (1 of this store).\n")
    assert "What was said of the leading cause" in out
    assert "Minutes to the end: median 90, of 1 cases told." in out


@pytest.mark.parametrize("minutes", ["-1", "nan", "1e9"])
def test_minutes_that_cant_be(calls: Callable[..., str], capsys: Capture, minutes: str) -> None:
    calls("light tick\n")
    assert main(["cases", "close", "1", "--minutes", minutes]) == 1
    assert "minutes can't be" in capsys.readouterr().err

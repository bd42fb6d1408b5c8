"""What one line leads to, without a terminal: picks, words of the screen, guesses, calls."""

import io
from pathlib import Path

import pytest
from rule_files import write_rules

from diagnose.cases.assess import load_workbench
from diagnose.cases.faults import StoreError
from diagnose.cli.talk import new_conversation
from diagnose.dialogue.conversation import Conversation
from diagnose.knowledge.load import load_knowledge
from diagnose.language.index import load_index
from diagnose.screens import plain, wording
from diagnose.screens.calls import Call, Shelf
from diagnose.screens.desk import MOST_LETTERS, Desk, names_of
from diagnose.screens.manner import MANNERS, PLAIN, blocks, set_out
from diagnose.screens.picks import Pick, picked, picks, turn_of
from diagnose.screens.words import WORDS, heard


@pytest.fixture
def talk(tmp_path: Path) -> Conversation:
    bench = load_workbench("plain", write_rules(tmp_path))
    return Conversation(bench, load_index(bench.knowledge))


@pytest.fixture
def desk(talk: Conversation) -> Desk:
    return Desk(talk, PLAIN)


@pytest.fixture(scope="module")
def trade() -> Conversation:
    """A talk on the rule base itself, in which one complaint is not yet a conclusion."""
    return new_conversation(None)


@pytest.fixture
def whole(trade: Conversation) -> Conversation:
    return Conversation(trade.bench, trade.index)


TICK = "tick at the front cover, it came later on"
LAMP = [Pick("lit", 1), Pick("dark", 2), Pick("don't know", 3), Pick("can't check that", 4)]


@pytest.mark.parametrize(
    ("line", "turn"),
    [("1", 1), (" 2 ", 2), ("da", 2), ("L", 1), ("lit", 1), ("don", 3), ("c", 4)]
    + [("d", None), ("0", None), ("5", None), ("99999", None), ("", None), ("zzz", None)]
    + [("dark since the last thunderstorm", None), ("²", None)],
)
def test_an_answer_is_picked_by_its_number_or_first_letters(line: str, turn: int | None) -> None:
    found = picked(line, LAMP)
    assert (found.turn if found else None) == turn


def test_a_label_said_whole_is_picked_though_another_begins_with_it() -> None:
    found = picked("lit", [Pick("lit up", 1), Pick("lit", 2)])
    assert found is not None and found.turn == 2


def test_the_answers_are_those_of_the_open_question(talk: Conversation) -> None:
    talk.say({"ask": "lamp"})
    labels = [pick.label for pick in picks(talk)]
    assert labels == ["lit", "dark", wording.DONT_KNOW, wording.CANT_CHECK]


@pytest.mark.parametrize("turn", [{"ask": "gap"}, "box gap 3 mil"])
def test_nothing_is_picked_where_a_figure_or_a_meaning_is_asked(
    turn: object, talk: Conversation
) -> None:
    talk.say(turn)
    assert picks(talk) == []


def test_a_pick_is_told_as_the_state_it_stands_for(desk: Desk) -> None:
    desk.talk.say({"ask": "lamp"})
    desk.take("2")
    assert desk.talk.last.state.states["lamp"] == "dark"


def test_a_pick_is_taken_as_its_state_however_it_is_told(trade: Conversation) -> None:
    wrong = []
    for finding in list(trade.bench.knowledge.findings.values())[::12]:
        talk = Conversation(trade.bench, trade.index)
        talk.say({"ask": finding.id})
        for pick in picks(talk)[:-2][:1]:
            talk.say(turn_of(pick, talk))
            told = talk.last.state.states
            wrong += [] if told == {finding.id: pick.turn["state"]} else [(finding.id, told)]  # type: ignore[index]
    assert wrong == []


def test_a_pick_in_words_is_kept_in_words(whole: Conversation) -> None:
    whole.say(TICK)
    first = picks(whole)[0]
    assert turn_of(first, whole) == first.label


def test_the_answers_stand_under_the_question(whole: Conversation) -> None:
    said = Desk(whole, PLAIN).take(TICK).text.splitlines()
    asked = next(n for n, line in enumerate(said) if line.startswith("Next: "))
    assert any(line.startswith("  Pick: 1 ") for line in said[asked:])


def test_a_bare_number_is_a_reading_where_one_is_asked_in_a_unit(desk: Desk) -> None:
    desk.talk.say({"ask": "gap", "unit": "mm"})
    desk.take("3")
    assert desk.talk.last.state.judged["gap"].value == 3


@pytest.mark.parametrize(
    "line",
    [
        "caller says it lost oil pressure after an oil change",
        "caller has no tools",
        "caller reckons a rod",
        "call him back tomorrow",
        "case is cracked",
    ],
)
def test_what_is_told_of_the_engine_is_no_word_of_the_screen(line: str) -> None:
    assert heard(line) is None


@pytest.mark.parametrize("name", ["Kim", "Kim from the boat yard", "O'Brien"])
def test_a_name_is_noted(name: str) -> None:
    found = heard(f"caller {name}")
    assert found is not None
    assert (found[0].say, found[1]) == ("caller", name)


def test_a_word_of_the_screen_is_heard_as_a_whole_line_only() -> None:
    assert heard("the bars are bent") is None
    assert heard("hold the wheel") is None
    assert heard("  GUESS   first ")[0].say == "guess first"  # type: ignore[index]
    assert heard("draw play.svg")[1] == "play.svg"  # type: ignore[index]
    assert heard("?")[0].say == "help"  # type: ignore[index]


def test_every_word_of_the_registry_is_answered_by_something(talk: Conversation) -> None:
    for word in WORDS:
        desk = Desk(Conversation(talk.bench, talk.index), PLAIN)
        desk.take("the lamp is out")
        before = desk.talk.last.state.states
        assert desk.take(word.say).text, word.say
        assert word.say in ("undo", "start over", "hold") or desk.talk.last.state.states == before


def test_no_word_of_the_registry_is_told_to_the_engine() -> None:
    knowledge = load_knowledge()
    phrases = {
        phrase.lower()
        for finding in knowledge.findings.values()
        for told in finding.phrases.values()
        for phrase in told
    }
    assert {word.say for word in WORDS if word.act} & phrases == set()


def test_help_is_made_from_the_registry(desk: Desk) -> None:
    text = desk.take("help").text
    assert [w.say for w in WORDS if w.shown not in text or w.does not in text] == []


def test_what_a_terminal_would_obey_is_not_said_back(desk: Desk) -> None:
    text = desk.take("the \x1b[31mlamp is out\x07").text
    assert "\x1b" not in text
    assert desk.talk.last.state.states == {"lamp": "dark"}


def test_a_line_beyond_reason_is_cut_and_said_to_be(desk: Desk) -> None:
    text = desk.take("the lamp is out. " + "x" * 1_000_000).text
    assert text.startswith(wording.cut_line(MOST_LETTERS))
    assert desk.talk.last.state.states == {"lamp": "dark"}


def test_a_guess_is_asked_before_the_causes_are_shown(whole: Conversation) -> None:
    desk = Desk(whole, MANNERS["student"])
    first = desk.take(TICK).text
    assert {"think", "question"} & {part.kind for part in blocks(first)} == set()
    then = desk.take("worn thrust plate").text
    assert then.startswith("Your guess: Thrust plate worn")
    assert (blocks(then)[1].kind, "What I took" in then) == ("think", False)


@pytest.mark.parametrize(
    ("guess", "answer"), [("", wording.NO_GUESS), ("qqqqqqq", wording.NOT_A_CAUSE)]
)
def test_a_guess_may_be_left_out_or_name_nothing(
    guess: str, answer: str, whole: Conversation
) -> None:
    desk = Desk(whole, PLAIN, guess_first=True)
    desk.take(TICK)
    assert desk.take(guess).text.splitlines()[0] == answer
    assert desk.talk.turn == 1


def test_a_guess_that_does_not_fit_is_told_so(whole: Conversation) -> None:
    desk = Desk(whole, PLAIN, guess_first=True)
    desk.take(TICK)
    assert "It is not among those" in desk.take("valve spring broken").text


def test_a_word_of_the_screen_goes_before_a_guess(whole: Conversation) -> None:
    desk = Desk(whole, PLAIN, guess_first=True)
    desk.take(TICK)
    assert desk.take("stop").done


def test_guess_first_can_be_switched(whole: Conversation) -> None:
    desk = Desk(whole, PLAIN)
    assert desk.take("guess first").text == wording.GUESS_ON
    assert desk.take("guess first").text == wording.GUESS_OFF
    assert "think" in {part.kind for part in blocks(desk.take(TICK).text)}


def test_calls_are_held_and_taken_up_with_all_that_was_said(desk: Desk) -> None:
    desk.take("caller Kim")
    desk.take("the lamp is out")
    desk.take("hold")
    assert desk.talk.last.state.states == {}
    desk.take("the box is humming")
    assert desk.take("call 1").text.startswith("1. Kim (here): Cause a")
    assert desk.talk.last.state.states == {"lamp": "dark"}
    assert desk.take("call").text.startswith("2. no name (here)")


def test_calls_that_are_not_there_are_said_to_be_so(desk: Desk) -> None:
    assert desk.take("call").text == wording.ONE_CALL
    assert desk.take("call 7").text == wording.NO_SUCH_CALL
    assert desk.take("call home").text == wording.NO_SUCH_CALL


def test_the_status_names_caller_and_tools_and_those_on_hold(desk: Desk) -> None:
    assert desk.call_text() == ""
    desk.take("tools feelers and lamp")
    desk.take("hold")
    desk.take("caller Ann")
    assert desk.call_text() == "Call 2 Ann, 1 on hold"
    desk.take("call 1")
    assert desk.call_text() == "Call 1, has feelers, lamp, 1 on hold"


def test_the_tools_of_the_caller_are_held_against_those_needed(talk: Conversation) -> None:
    call = Call(talk, 1)
    call.tools = ["feelers", "dial indicator"]
    needed = ["feelers", "dial indicator with base", "pry bar"]
    assert call.tools_for(needed) == (["feelers", "dial indicator with base"], ["pry bar"])


def test_on_the_phone_warnings_and_questions_are_marked_to_be_read_out(
    talk: Conversation,
) -> None:
    talk.phone = True
    desk = Desk(talk, MANNERS["phone"])
    desk.take("tools ruler, rule")
    text = desk.take("the lamp is out, the box is humming").text
    assert "Read out: Do not run the engine: Hands off." in text
    assert "\nRead out: How wide is the gap?" in text or "\nRead out: " in text


def test_what_to_mind_at_a_check_is_read_out_too(whole: Conversation) -> None:
    text = Desk(whole, MANNERS["phone"]).take(TICK).text
    assert "\n  Read out: Take care: " in text


def test_the_question_on_the_phone_tells_what_the_caller_has(tmp_path: Path) -> None:
    bench = load_workbench("plain", write_rules(tmp_path))
    desk = Desk(Conversation(bench, load_index(bench.knowledge), True), MANNERS["phone"])
    desk.take("tools rule")
    reply = desk.talk.say({"ask": "gap"})
    assert "has: rule." in desk._shown(reply)


def test_the_bench_has_its_answers_one_below_the_other(whole: Conversation) -> None:
    text = Desk(whole, MANNERS["bench"]).take(TICK).text
    assert "    1   " in text
    think = next(b for b in blocks(text) if b.kind == "think")
    assert len(think.lines) == 2


def test_a_reply_in_the_plain_manner_keeps_every_line(talk: Conversation) -> None:
    reply = talk.say("the lamp is out, the box is humming")
    assert set_out(blocks(reply.text), PLAIN, []) == reply.text


def test_a_turn_that_can_not_be_told_is_answered(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    from diagnose.dialogue.conversation import TurnError

    def full(turn: object) -> None:
        raise TurnError("the disk is full")

    monkeypatch.setattr(desk.talk, "say", full)
    assert desk.take("the lamp is out").text == "the disk is full"


def test_the_minutes_are_those_of_the_checks_asked_and_answered(desk: Desk) -> None:
    desk.take("the lamp is out")
    assert desk.standing().minutes == 0
    desk.talk.say({"ask": "gap"})
    desk.take("gap 3 mm")
    assert desk.standing().minutes == 5


def test_bars_and_band_say_so_where_there_is_nothing(desk: Desk) -> None:
    assert desk.take("bars").text == wording.NO_BARS
    assert desk.take("band").text == wording.NO_READING
    assert desk.take("again").text == wording.NOTHING_AGAIN
    assert desk.take("draw").text == wording.NAME_FILE
    assert desk.take("draw x.svg").text == wording.NO_READING


def test_a_reading_is_drawn_into_a_file(desk: Desk, tmp_path: Path) -> None:
    desk.take("box gap 3 mm")
    file = tmp_path / "gap.svg"
    assert desk.take(f"draw {file}").text == wording.drawn(str(file))
    assert file.read_text("utf-8").startswith("<svg")
    assert "can't be saved" in desk.take(f"draw {tmp_path}/no/gap.svg").text


def test_the_last_answer_comes_again(desk: Desk) -> None:
    first = desk.take("the lamp is out").text
    assert desk.take("again").text == first


def test_plain_lines_with_somebody_there_show_a_prompt_and_are_wrapped(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    out = io.StringIO()
    plain.run(desk, io.StringIO("the lamp is out, the box is humming\n"), out, live=True)
    assert max(map(len, out.getvalue().splitlines())) < 40
    assert out.getvalue().count(wording.PROMPT) == 2
    assert out.getvalue().rstrip().endswith(desk.farewell)


class Keyboard(io.StringIO):
    """Lines; one of them is Ctrl-C, another a terminal that vanished."""

    def readline(self, size: int = -1) -> str:
        line = super().readline(size)
        if "CTRL-C" in line:
            raise KeyboardInterrupt
        if "GONE" in line:
            raise OSError
        return line


def test_plain_lines_outlive_control_c_and_a_terminal_that_vanishes(desk: Desk) -> None:
    out = io.StringIO()
    keys = Keyboard("the lamp is out\nCTRL-C\nthe box is humming\nGONE\n")
    assert plain.run(desk, keys, out, live=True) == 0
    assert desk.talk.last.state.states == {"lamp": "dark", "hum": "present"}
    assert wording.TO_END in out.getvalue()


def test_control_c_ends_what_comes_from_a_pipe(desk: Desk) -> None:
    with pytest.raises(KeyboardInterrupt):
        plain.run(desk, Keyboard("CTRL-C\n"), io.StringIO())


def shelved(talk: Conversation) -> Desk:
    """A desk with one kept case, of which it can also be told that it is closed."""

    def take(number: int) -> Conversation:
        if number != 3:
            raise StoreError(f"case {number} is closed; reopen it")
        return Conversation(talk.bench, talk.index)

    return Desk(talk, PLAIN, shelf=Shelf(lambda: [(3, "lamp out")], take))


def test_a_kept_case_is_gone_on_with_as_a_call_of_its_own(talk: Conversation) -> None:
    desk = shelved(talk)
    assert desk.take("case").text == wording.kept_case_line(3, "lamp out")
    assert ("case 3", "lamp out") in names_of(desk)
    assert desk.take("case 3").text == desk.greeting
    assert (desk.call.number, desk.talk is talk) == (2, False)


def test_a_kept_case_that_can_not_be_taken_up_says_why(talk: Conversation) -> None:
    desk = shelved(talk)
    assert desk.take("case 4").text == "case 4 is closed; reopen it"
    assert desk.talk is talk


def test_where_nothing_is_kept_there_is_no_case_to_go_on_with(desk: Desk) -> None:
    assert {desk.take("case").text, desk.take("case 3").text} == {wording.NONE_KEPT}


def test_a_store_that_can_not_be_read_offers_nothing(talk: Conversation) -> None:
    def fails() -> list[tuple[int, str]]:
        raise StoreError("no room; make some")

    desk = Desk(talk, PLAIN, shelf=Shelf(fails, lambda number: talk))
    assert desk.kept() == ()


def test_a_cracked_case_is_no_kept_case(talk: Conversation) -> None:
    assert heard("case cracked at the pump") is None

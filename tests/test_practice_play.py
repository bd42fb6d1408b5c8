"""Playing: answers that do not hang on order, nothing hidden told, everything kindly handled."""

import json
from random import Random

import practice_players as players
import pytest
from lengths import LONG, tries

from diagnose.cases.assess import Workbench, load_workbench
from diagnose.language.index import LanguageIndex, load_index
from diagnose.practice import debrief
from diagnose.practice.drawing import draw
from diagnose.practice.exercise import Exercise
from diagnose.practice.lessons import find_lesson, from_lesson
from diagnose.practice.scenario import Scenario
from diagnose.practice.score import score

LOOKS = (
    "check the cam end play",
    "oil pressure at hot idle in figures",
    "compression test",
    "spark plugs tight?",
    "look at the drive belts",
    "fuel pressure",
    "is the engine hard to start",
    "noise at the distributor",
)


@pytest.fixture(scope="module")
def bench() -> Workbench:
    return load_workbench()


@pytest.fixture(scope="module")
def quick(bench: Workbench) -> Workbench:
    return players.Remembering(*bench)


@pytest.fixture(scope="module")
def index(bench: Workbench) -> LanguageIndex:
    return load_index(bench.knowledge)


@pytest.fixture(scope="module")
def engine(bench: Workbench) -> Scenario:
    """A level 2 engine whose fault is known to the test alone."""
    return draw(bench, 21, 2)


@pytest.fixture
def play(bench: Workbench, index: LanguageIndex, engine: Scenario) -> Exercise:
    return Exercise(bench, index, engine)


def right(play: Exercise) -> str:
    return play.knowledge.causes[play.scenario.faults[0]].title


def wrong(play: Exercise) -> str:
    causes = play.knowledge.causes
    return next(c.title for c in causes.values() if c.id not in play.scenario.faults)


def test_no_answer_hangs_on_the_order_of_asking(
    bench: Workbench, index: LanguageIndex, play: Exercise
) -> None:
    other = Exercise(bench, index, play.scenario)
    there = {f["finding"]: f for t in LOOKS for f in play.say(t).found}
    back = {f["finding"]: f for t in reversed(LOOKS) for f in other.say(t).found}
    assert there == back and len(there) > 4


def test_what_is_hidden_changes_no_word_before_the_end(
    bench: Workbench, index: LanguageIndex
) -> None:
    """Two engines alike in all that can be seen, with other faults: letter for letter the same."""
    one = draw(bench, 33, 3)
    other = next(c for c in bench.knowledge.causes if c not in one.faults)
    texts = [*LOOKS, "hint", "list", "tell me the answer", "how do I check lobe lift", "stop", "xq"]
    turns = []
    for scenario in (one, one._replace(faults=(other,), root=None)):
        playing = Exercise(bench, index, scenario)
        turns.append([playing.opening(), *(json.dumps(playing.say(t).as_dict()) for t in texts)])
    assert turns[0] == turns[1]


@pytest.mark.parametrize("seed", range(tries(20, 5)))
def test_no_turn_names_the_fault(bench: Workbench, index: LanguageIndex, seed: int) -> None:
    playing = Exercise(bench, index, draw(bench, seed, 1))
    told = [playing.opening(), *(json.dumps(playing.say(t).as_dict()) for t in LOOKS)]
    names = [*playing.scenario.faults, right(playing)]
    assert not [n for n in names for text in told if n.lower() in text.lower()]


def test_asking_for_the_answer_costs_nothing_and_tells_nothing(play: Exercise) -> None:
    turn = play.say("just tell me what is wrong")
    assert (turn.kind, turn.minutes, turn.done) == ("answer", 0.0, False)


@pytest.mark.parametrize("text", ["", "   ", "qwrt zzz", "42", "?!", "the weather is fine", "\x00"])
def test_nonsense_costs_nothing(play: Exercise, text: str) -> None:
    turn = play.say(text)
    assert (turn.minutes, turn.done) == (0.0, False) and turn.text


def test_the_same_look_again_is_told_free_of_charge(play: Exercise) -> None:
    first, second = play.say("look at the drive belts"), play.say("look at the drive belts")
    assert first.minutes > 0 and second.minutes == 0.0
    assert "already" in second.text and first.found[0]["text"] in second.text


def test_said_again_it_is_done_again_and_paid(play: Exercise) -> None:
    play.say("look at the drive belts")
    assert play.say("look at the drive belts again").minutes > 0


def test_an_impossible_check_costs_nothing(
    bench: Workbench, index: LanguageIndex, engine: Scenario
) -> None:
    tools = bench.knowledge.checks[bench.knowledge.settled_by["compression"]].tools
    playing = Exercise(bench, index, engine._replace(missing=tools[:1]))
    turn = playing.say("compression test")
    assert turn.minutes == 0.0 and tools[0] in turn.text


def test_an_engine_that_will_not_start_is_not_listened_to(
    bench: Workbench, index: LanguageIndex
) -> None:
    playing = Exercise(
        bench, index, from_lesson(bench, find_lesson(bench.knowledge, "bolt_and_dowel"))
    )
    turn = playing.say("fuel pressure")
    assert turn.minutes == 0.0 and "can't be run" in turn.text


def test_a_diagnosis_without_confidence_is_asked_for_it(play: Exercise) -> None:
    first = play.say(f"it is {right(play)}")
    assert first.kind == "sure" and not play.done
    play.say("80")
    assert play.found == [play.scenario.faults[0]] and play.steps[-1].sure == 0.8


def test_a_wrong_part_costs_its_repair_and_the_exercise_goes_on(play: Exercise) -> None:
    turn = play.say(f"it is {wrong(play)}, 90 %")
    result = score(play)
    assert turn.minutes > 45 and not play.done
    assert (result.wrong_parts, result.brier) == (1, 0.81)


def test_what_lies_behind_is_asked_and_scored(bench: Workbench, index: LanguageIndex) -> None:
    lesson = find_lesson(bench.knowledge, "gear_root_is_the_pump")
    results = []
    for answer in ("the oil pump binds", "nothing"):
        playing = Exercise(bench, index, from_lesson(bench, lesson))
        assert playing.say(f"it is {right(playing)}, 90 %").kind == "root"
        playing.say(answer)
        results.append((playing.done, score(playing).root))
    assert results == [(True, True), (True, False)]


def test_running_it_against_a_warning_counts_as_danger(
    bench: Workbench, index: LanguageIndex
) -> None:
    lesson = find_lesson(bench.knowledge, "stop_before_you_listen")
    playing = Exercise(bench, index, from_lesson(bench, lesson))
    playing.say("fuel pressure")
    result = score(playing)
    assert (result.dangers, result.idea) == (1, "danger")


def test_a_reading_before_the_gear_is_torqued_is_false_and_taken_anew(
    bench: Workbench, index: LanguageIndex
) -> None:
    lesson = find_lesson(bench.knowledge, "gear_torqued_first")
    playing = Exercise(bench, index, from_lesson(bench, lesson))
    first = playing.say("check the cam end play").found[0]["value"]
    assert "put it right" in playing.say("is the gear torqued when end play was read").text
    second = playing.say("cam end play again").found[0]["value"]
    assert (first, second) == (22.0, 4.0)


def test_the_debrief_has_two_sentences_and_sources_for_every_step(
    bench: Workbench, index: LanguageIndex
) -> None:
    playing = Exercise(bench, index, draw(bench, 5, 2))
    result = players.run(playing, players.guessing, 5)
    steps = debrief.steps(playing, result)
    assert len(steps) == len(playing.steps)
    assert all(s["best"] and s["tells"] and s["sources"] for s in steps)
    assert "To practise next" in debrief.text(playing, result)


@pytest.mark.parametrize("name", load_workbench().knowledge.lessons)
def test_every_lesson_can_be_solved(quick: Workbench, index: LanguageIndex, name: str) -> None:
    """By the best policy; and by words alone: its moves, its fault, what lies behind."""
    lesson = find_lesson(quick.knowledge, name)
    scenario = from_lesson(quick, lesson)
    if LONG or len(name) % 5 == 0:  # the best policy takes its time
        first = Exercise(quick, index, scenario)
        players.play_out(first, players.best, 0)
        assert set(first.scenario.felt) <= set(first.found)
    playing = Exercise(quick, index, scenario)
    for finding in lesson.moves:
        playing.say(quick.knowledge.findings[finding].title)
    causes = quick.knowledge.causes
    behind = f" because of {causes[lesson.root].title}" if lesson.root else ""
    playing.say(f"it is {causes[lesson.faults[0]].title} 90 %{behind}")
    playing.say("nothing")
    result = score(playing)
    assert (playing.done, result.solved, result.wrong_parts) == (True, True, 0)
    assert result.root in (None, True)


def test_the_best_policy_loses_nothing_and_guessing_much(quick: Workbench) -> None:
    """Once on each level; `tests/practice_players.py 300` prints the table over many seeds."""
    found = players.table(quick, range(tries(10, 2)))
    lost = {name: sum(s.lost for s in scores) for name, scores in found.items()}
    assert all(s.solved for s in found["best"])
    assert lost["best"] == pytest.approx(0.0, abs=0.01)
    assert lost["best"] < lost["sensible"] < 0.7 * lost["guessing"]


def test_chance_is_the_only_thing_a_player_is_given(play: Exercise) -> None:
    """The players choose from the log: with other faults hidden they choose the same."""
    hidden = play.scenario._replace(faults=("cam_lobe_worn",))
    other = Exercise(play.bench, play.asker.index, hidden)
    for player in players.PLAYERS.values():
        assert player(play, Random(1)) == player(other, Random(1))

"""A conversation that is kept: resumed, shared between desks, refused when it can't be kept."""

from collections.abc import Callable
from pathlib import Path

import postgres
import pytest
from cases_toy import desk, plain_talk
from conftest import missing

from diagnose.cases import upkeep
from diagnose.cases.entries import reasoned
from diagnose.cases.faults import StoreError
from diagnose.cases.log import Statement
from diagnose.cases.store import Store, Wanted
from diagnose.dialogue import wording
from diagnose.dialogue.conversation import Conversation
from diagnose.dialogue.recording import NotKept

Opener = Callable[[str], Store]


@pytest.fixture
def base(tmp_path: Path) -> Conversation:
    return plain_talk(tmp_path / "rules")


def kinds(store: Store, number: int = 1) -> list[tuple[int, str, str]]:
    said = [e.statement for e in store.entries(number)]
    return [(s.turn, s.kind, s.name) for s in said if s.kind not in ("asked", "talked")]


def test_a_turn_is_in_the_store_before_its_answer(base: Conversation, store: Store) -> None:
    talk = desk(base, store)
    talk.say("the lamp is out")
    assert kinds(store) == [(1, "typed", ""), (1, "said", "lamp")]
    assert reasoned(store.entries(1)) == talk.log.statements


def test_the_answer_is_that_of_a_talk_not_kept(base: Conversation, store: Store) -> None:
    talk = desk(base, store)
    for text in ("the lamp is out", "why", "box gap 0.11 mm", "undo", "list"):
        assert talk.say(text) == base.say(text)


def test_a_case_taken_up_answers_as_if_it_had_never_been_left(
    base: Conversation, store: Store
) -> None:
    first = desk(base, store)
    texts = ["the lamp is out", "box gap 3 mm", "the box is humming", "undo"]
    whole = [base.say(text) for text in texts]
    first.say(texts[0])
    again = [desk(base, store, 1).say(text) for text in texts[1:]]
    assert again == whole[1:]


def test_what_was_taken_back_or_read_on_a_gauge_stays_so_in_a_case_taken_up(
    base: Conversation, store: Store
) -> None:
    desk(base, store).say("box gap 3 mm")
    log = [Statement("gauge", "gap", 1, value=0.5, unit="mm"), Statement("dropped", "gap", 2)]
    store.append(1, log)
    talk = desk(base, store, 1)
    assert [s.kind for s in talk.log.statements if s.kind in ("gauge", "dropped")] == [
        "gauge",
        "dropped",
    ]
    assert "Told so far:" not in talk.greeting


def test_the_open_question_is_open_again(base: Conversation, store: Store) -> None:
    asked = desk(base, store).say("wobbly").next
    talk = desk(base, store, 1)
    assert asked is not None
    assert talk.context().asked == asked["settles"][0]
    assert asked["ask"] in talk.greeting


def test_a_case_taken_up_says_what_was_told(base: Conversation, store: Store) -> None:
    desk(base, store).say("the lamp is out, box gap 3 mm")
    lines = desk(base, store, 1).greeting.splitlines()
    assert lines[:4] == [
        "Going on with case 1: the lamp is out, box gap 3 mm",
        "Told so far:",
        "  The lamp: dark",
        "  The gap: 3 mm (118.1 thou)",
    ]


def test_a_greeting_or_a_stop_begins_no_case(base: Conversation, store: Store) -> None:
    talk = desk(base, store)
    for text in ("hello", "help", "stop"):
        talk.say(text)
    assert store.listed(Wanted()) == []
    assert talk.farewell == wording.STOPPED


def test_what_is_not_understood_is_kept_too(base: Conversation, store: Store) -> None:
    desk(base, store).say("wobbly clonkers")
    assert store.entries(1)[0].statement.text == "wobbly clonkers"


def test_stop_says_where_the_case_is(base: Conversation, store: Store) -> None:
    talk = desk(base, store)
    talk.say("the lamp is out")
    assert talk.say("stop").text.endswith("Kept as case 1. Go on with: diagnose chat --case 1")


def test_starting_over_leaves_the_case_and_begins_another(base: Conversation, store: Store) -> None:
    talk = desk(base, store)
    talk.say("the lamp is out")
    talk.say("start over")
    assert len(store.listed(Wanted())) == 1
    talk.say("the box is humming")
    assert ((1, "said", "lamp") in kinds(store), kinds(store, 2)[-1][1:]) == (True, ("said", "hum"))
    assert talk.last.state.states == {"hum": "present"}


def test_statements_as_data_are_kept_as_they_came(base: Conversation, store: Store) -> None:
    desk(base, store).say([{"finding": "lamp", "state": "dark"}, {"cannot": "gap"}])
    first = store.entries(1)[0].statement
    assert first.text == '[{"finding": "lamp", "state": "dark"}, {"cannot": "gap"}]'
    assert kinds(store)[1:] == [(1, "said", "lamp"), (1, "cannot", "gap")]


def test_two_desks_see_each_other(base: Conversation, store: Store) -> None:
    ann = desk(base, store, who="Ann")
    ann.say("the lamp is out")
    bob = desk(base, store, 1, who="Bob")
    ann.say("the box is humming")
    reply = bob.say("box gap 3 mm")
    assert reply.text.startswith('Since your last line Ann said: "the box is humming"\n')
    assert set(bob.last.state.known) == {"lamp", "hum", "gap"}
    assert (reply.turn, ann.say("list").turn) == (3, 4)
    assert set(ann.last.state.known) == {"lamp", "hum", "gap"}


def test_an_answer_is_to_the_question_that_desk_saw(base: Conversation, store: Store) -> None:
    ann = desk(base, store, who="Ann")
    ann.say({"ask": "lamp"})
    ann.say("the box is humming")
    bob = desk(base, store, 1, who="Bob")
    bob.say({"ask": "lamp"})
    ann.say("box gap 3 mm")
    bob.say("lit")
    assert bob.last.state.states["lamp"] == "lit"


def test_a_turn_worked_out_on_a_stale_view_is_worked_out_again(
    base: Conversation, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    ann, bob = desk(base, store, who="Ann"), None
    ann.say("the lamp is out")
    bob = desk(base, store, 1, who="Bob")
    keep, meanwhile = bob.record.keep, ["the box is humming"]

    def late(statements: list[Statement], anew: bool = False) -> None:
        if meanwhile:  # Ann is quicker while Bob's turn is being worked out
            ann.say(meanwhile.pop())
        keep(statements, anew)

    monkeypatch.setattr(bob.record, "keep", late)
    reply = bob.say("box gap 3 mm")
    assert 'Ann said: "the box is humming"' in reply.text
    assert [t for t, kind, _ in kinds(store) if kind == "typed"] == [1, 2, 3]
    assert [s.turn for s in bob.log.statements if s.name == "gap" and s.kind == "measured"] == [3]


def test_notes_and_closing_by_others_are_told(base: Conversation, store: Store) -> None:
    talk = desk(base, store)
    talk.say("the lamp is out")
    store.append(1, [Statement("note", "", 1, text="bulb\x1b[2J ordered")], "Ann")
    assert 'Ann noted: "bulb\N{REPLACEMENT CHARACTER}[2J ordered"' in talk.say("list").text
    store.append(1, [Statement("closed", "a", 1)], "Ann")
    with pytest.raises(NotKept, match="does not count: case 1 is closed; open it again"):
        talk.say("the box is humming")


def test_a_refused_turn_leaves_no_trace_and_can_be_said_again(
    base: Conversation, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    talk = desk(base, store)
    talk.say("the lamp is out")
    before = (list(talk.log.statements), talk.turn, talk.context(), talk.last)

    def fail(*_: object) -> None:
        raise StoreError("the disk is full")

    with monkeypatch.context() as broken:
        broken.setattr(talk.record, "keep", fail)
        for text in ("the box is humming", "wobbly", "undo", "box gap 3 mm"):
            with pytest.raises(NotKept, match="not kept and does not count: the disk is full"):
                talk.say(text)
    assert (talk.log.statements, talk.turn, talk.context(), talk.last) == before
    assert talk.say("the box is humming").turn == 2
    assert upkeep.check(store) == []


def test_a_case_forgotten_elsewhere_is_told(base: Conversation, store: Store) -> None:
    talk = desk(base, store)
    talk.say("the lamp is out")
    upkeep.forget(store, 1)
    with pytest.raises(NotKept, match="there is no case 1"):
        talk.say("the box is humming")


def test_what_the_rules_no_longer_name_is_kept_and_left_out(
    base: Conversation, store: Store
) -> None:
    strange = [
        Statement("said", "gone", 1, state="x"),
        Statement("said", "lamp", 1, state="purple"),
        Statement("measured", "lamp", 1, value=3.0, unit="mm"),
        Statement("measured", "gap", 1, value=3.0, unit="psi"),
        Statement("guessed", "nothing", 1),
        Statement("open", "nowhere", 1),
    ]
    store.begin([Statement("typed", "", 1, text="old"), *strange])
    talk = desk(base, store, 1)
    assert (talk.log.statements, len(store.entries(1))) == ([], 7)
    assert talk.say("the lamp is out").turn == 2


@pytest.mark.postgres
def test_a_database_that_goes_away_refuses_the_turn(base: Conversation, opened: Opener) -> None:
    if not postgres.is_here():
        missing("PostgreSQL")
    with postgres.server() as address:
        talk = desk(base, opened(address))
        talk.say("the lamp is out")
    with pytest.raises(NotKept, match="the shared database .* can't be reached"):
        talk.say("the box is humming")
    assert talk.last.state.states == {"lamp": "dark"}
    assert talk.turn == 1


@pytest.mark.postgres
def test_a_lost_connection_is_made_anew(base: Conversation, shared: str, opened: Opener) -> None:
    from sqlalchemy import text

    store = opened(shared)
    talk = desk(base, store)
    talk.say("the lamp is out")
    line = "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE pid <> pg_backend_pid()"
    with opened(shared).reading() as db:
        db.execute(text(line + " AND datname = current_database()"))
    assert talk.say("the box is humming").turn == 2

"""The store keeps what was said, whole and in order, in a file and in a shared database alike."""

import io
import random
import string
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from threading import Barrier
from typing import Any

import pytest
from cases_toy import FORK, field, killed, moments, plain_talk, several, turn
from lengths import tries
from sqlalchemy import event, text

from diagnose.cases import duplicates, elsewhere, exchange, learners, upkeep
from diagnose.cases.entries import Head, fold, reasoned
from diagnose.cases.faults import CaseClosed, NoSuchCase, StaleView, StoreError
from diagnose.cases.log import Statement
from diagnose.cases.search import search
from diagnose.cases.statistics import counts_in
from diagnose.cases.store import Store, Wanted, open_store

Opener = Callable[[str], Store]


def exported(store: Store) -> str:
    out = io.StringIO()
    exchange.export(store, out)
    return out.getvalue()


def numbers(heads: list[Head]) -> list[int]:
    return [head.number for head in heads]


def test_what_was_added_is_read_back_as_it_was(store: Store) -> None:
    store.begin(turn(1), "Ann")
    store.append(1, turn(2), "Bob")
    entries = store.entries(1)
    assert [e.statement for e in entries] == turn(1) + turn(2)
    assert [(e.seq, e.who) for e in entries][2:4] == [(3, "Ann"), (4, "Bob")]


def test_the_head_is_what_the_entries_fold_to(store: Store) -> None:
    store.begin([field("caller", "Jo"), *turn(1)], "Ann")
    store.append(1, [Statement("tag", "", 1, text="urgent")])
    head = store.append(1, [Statement("closed", "a", 1)])
    assert head == store.head(1) == fold(Head(1, head.key), store.entries(1))
    assert (head.caller, head.tags, head.status, head.cause, head.owner) == (
        ("Jo", "urgent", "closed", "a", "Ann")
    )


def test_only_what_is_of_the_engine_is_reasoned_with(store: Store) -> None:
    store.begin([field("caller", "Jo"), *turn(1)])
    assert [s.kind for s in reasoned(store.entries(1))] == ["said", "measured"]


def test_a_stale_view_writes_nothing(store: Store) -> None:
    head = store.begin(turn(1))
    store.append(1, turn(2), seen=head.last)
    with pytest.raises(StaleView):
        store.append(1, turn(3), seen=head.last)
    assert len(store.entries(1)) == 6


def test_a_closed_case_takes_a_note_but_no_statement(store: Store) -> None:
    store.begin(turn(1))
    store.append(1, [Statement("closed", "", 1)])
    store.append(1, [Statement("note", "", 1, text="paid")])
    with pytest.raises(CaseClosed, match="cases reopen 1"):
        store.append(1, turn(2))


def test_no_such_case(store: Store) -> None:
    with pytest.raises(NoSuchCase, match="there is no case 7;"):
        store.append(7, turn(1))


@pytest.mark.parametrize("number", [-1, 2**31, 2**70])
def test_a_number_no_case_can_have(store: Store, number: int) -> None:
    with pytest.raises(NoSuchCase):
        store.head(number)


def test_signs_no_store_takes_are_left_out(store: Store) -> None:
    store.begin([Statement("typed", "", 1, text="a\0b\ud800c \U0001f527")])
    assert store.entries(1)[0].statement.text == "ab?c \U0001f527"


def test_lists_are_newest_first_and_narrowed(store: Store) -> None:
    for caller in ("Jo", "Mo", "Jo"):
        store.begin([field("caller", caller), *turn(1)], caller)
    store.append(1, [Statement("tag", "", 1, text="boat")])
    store.append(2, [Statement("closed", "", 1)])
    assert numbers(store.listed(Wanted())) == [2, 1, 3]
    assert numbers(store.listed(Wanted(caller="Jo", status="open"))) == [1, 3]
    assert numbers(store.listed(Wanted(tag="boat"))) == [1]
    assert numbers(store.listed(Wanted(tag="bo%"))) == []
    assert numbers(store.listed(Wanted(since="2999-01-01"))) == []
    assert numbers(store.listed(Wanted(), most=1)) == [2]


def test_fields_as_long_as_they_may_be_are_kept_and_listed(store: Store) -> None:
    long = "".join(random.Random(1).choices(string.ascii_letters, k=20_000))
    store.begin([field("caller", long), field("job", long), Statement("tag", "", 0, text=long)])
    assert numbers(store.listed(Wanted(caller=long, tag=long))) == [1]


PLANS = [
    (Wanted(caller="Jo"), "cases_caller"),
    (Wanted(tag="boat"), "cases_tagged"),
    (Wanted(status="open"), "cases_status"),
    (Wanted(), "cases_changed"),
]


@pytest.mark.parametrize(("wanted", "index"), PLANS)
def test_no_list_reads_every_case(
    tmp_path: Path, opened: Opener, wanted: Wanted, index: str
) -> None:
    store = opened(f"sqlite:///{tmp_path}/cases.db")
    with lines_done(store) as done:
        store.listed(wanted)
    assert index in plan_of(store, *done[-1])


def test_closed_cases_are_counted_from_an_index_alone(tmp_path: Path, opened: Opener) -> None:
    store = opened(f"sqlite:///{tmp_path}/cases.db")
    with lines_done(store) as done:
        counts_in(store)
    assert "COVERING INDEX cases_cause" in plan_of(store, *done[-1])


@pytest.mark.parametrize("word", ["zzyzx", "distribtuor", "j50231"])
def test_no_search_looks_at_every_word(tmp_path: Path, opened: Opener, word: str) -> None:
    store = opened(f"sqlite:///{tmp_path}/cases.db")
    with lines_done(store) as done:
        search(store, word)
    plans = [plan_of(store, *one) for one in done if "known_words" in one[0]]
    assert len(plans) == 3  # itself, what begins alike, what ends alike
    assert all("SEARCH known_words" in plan for plan in plans)


@contextmanager
def lines_done(store: Store) -> Iterator[list[tuple[str, Any]]]:
    """The SQL that is done meanwhile, with its values."""
    done: list[tuple[str, Any]] = []

    def note(*given: Any) -> None:
        done.append(given[2:4])

    event.listen(store.engine, "before_cursor_execute", note)
    yield done
    event.remove(store.engine, "before_cursor_execute", note)


def plan_of(store: Store, line: str, values: Any) -> str:
    """How SQLite means to do it."""
    with store.reading() as db:
        return str(db.exec_driver_sql(f"EXPLAIN QUERY PLAN {line}", values).all())


def found(store: Store, words: str) -> list[int]:
    return numbers(list(search(store, words).heads))


def test_search_finds_all_words_or_their_beginnings_in_any_case_and_accent(store: Store) -> None:
    store.begin([field("caller", "Zoë O'Neil"), *turn(1, "Tick at the FRONT cover")])
    store.begin(turn(1, "rattle at the front"))
    assert found(store, "front") == [2, 1]
    assert found(store, "front tick") == [1]
    assert found(store, "zoe neil") == [1]
    assert found(store, "ratt") == [2]
    assert found(store, "knock") == []


def test_search_forgives_slips_and_says_so(store: Store) -> None:
    store.begin(turn(1, "chewed distributor gear"))
    hits = search(store, "distribtuor gaer")
    assert numbers(list(hits.heads)) == [1]
    assert hits.instead == (("distribtuor", ("distributor",)), ("gaer", ("gear",)))


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("distributer", "distributor"),
        ("istributor", "distributor"),
        ("fistributor", "distributor"),
        ("distrbutors", "distributor"),
        ("j50231", "j50213"),
        ("h50213", "j50213"),
        ("ab12ce", "ab12cd"),
    ],
)
def test_a_slip_at_the_beginning_or_the_end_is_forgiven(
    store: Store, typed: str, meant: str
) -> None:
    store.begin([field("job", "J50213"), field("registration", "AB12CD"), *turn(1, "distributor")])
    assert search(store, typed).instead == ((typed, (meant,)),)


def test_the_slip_most_likely_is_looked_for_alone(store: Store) -> None:
    for word in ("distributor", "distribbtor", "distribxtor"):
        store.begin(turn(1, word))
    assert search(store, "distribtuor").instead == (("distribtuor", ("distributor",)),)


def test_a_forgotten_word_is_no_longer_offered(store: Store) -> None:
    store.begin(turn(1, "Xanthippe and the trolley"))
    store.begin(turn(1, "the trolley"))
    upkeep.forget(store, 1)
    assert (found(store, "xanthipe"), found(store, "troley")) == ([], [2])
    with store.reading() as db:
        known = set(db.execute(text("SELECT word FROM known_words")).scalars())
    assert known == {"the", "trolley"}


@pytest.mark.parametrize("words", ["", "   ", "'\"*() OR AND NOT", "a:b & !c", "--", "\0"])
def test_search_words_are_never_a_query(store: Store, words: str) -> None:
    store.begin(turn(1, "tick"))
    assert found(store, words) == []


def test_a_note_can_be_found(store: Store) -> None:
    store.begin(turn(1))
    store.append(1, [Statement("note", "", 1, text="the pump trolley")])
    assert found(store, "trolley pump") == [1]


def test_an_export_read_into_an_empty_store_makes_it_equal(
    store: Store, tmp_path: Path, opened: Opener
) -> None:
    store.begin([field("caller", "Jo\n\u2028"), *turn(1)], "Ann")
    store.begin(turn(1, "tick"))
    store.append(1, [Statement("closed", "a", 2, text="done")], "Bob")
    other = opened(f"sqlite:///{tmp_path}/other.db")
    taken = exchange.read_in(other, io.StringIO(exported(store)))
    assert taken == exchange.Taken(new=2)
    assert exported(other) == exported(store)
    assert [other.head(n) for n in (1, 2)] == [store.head(n) for n in (1, 2)]
    assert (upkeep.check(other), found(other, "tick")) == ([], [2])


def test_an_export_goes_back_into_each_kind_of_store(
    store: Store, tmp_path: Path, opened: Opener
) -> None:
    other = opened(f"sqlite:///{tmp_path}/other.db")
    other.begin(turn(1))
    other.begin(turn(1))
    upkeep.forget(other, 1)
    exchange.read_in(store, io.StringIO(exported(other)))
    assert exported(store) == exported(other)
    assert store.begin(turn(1)).number == 3  # the next number is free


def test_an_import_continues_and_never_overwrites(
    store: Store, tmp_path: Path, opened: Opener
) -> None:
    store.begin(turn(1))
    store.begin(turn(1))
    other = opened(f"sqlite:///{tmp_path}/other.db")
    exchange.read_in(other, io.StringIO(exported(store)))
    store.append(1, turn(2, "there"))
    store.append(2, turn(2, "there"))
    other.append(2, turn(2, "here"))
    taken = exchange.read_in(other, io.StringIO(exported(store)))
    assert taken == exchange.Taken(continued=1, differ=(2,))
    assert [e.statement.text for e in other.entries(2)][3] == "here"
    assert exchange.read_in(store, io.StringIO(exported(store))) == exchange.Taken(known=2)


def whole(store: Store) -> str:
    out = io.StringIO()
    exchange.export(store, out, everything=True)
    return out.getvalue()


def test_an_export_of_everything_makes_an_equal_store(
    store: Store, tmp_path: Path, opened: Opener
) -> None:
    store.begin(turn(1))
    for lost in (3.0, 1.0):
        learners.file_result(store, "Ann\u2028", {}, {"lost": lost})
    learners.keep_begun(store, "", {"seed": 1}, ["a\0", "b"])
    elsewhere.take_in(store, "north", {"a": 3})
    other = opened(f"sqlite:///{tmp_path}/other.db")
    for _ in range(2):  # read in twice it is still the same
        exchange.read_in(other, io.StringIO(whole(store)))
    assert whole(other) == whole(store)
    assert [r["lost"] for r in learners.results(other, "Ann\u2028")] == [3.0, 1.0]
    assert "Ann" not in exported(store)  # learners are not handed on unasked


HEAD = '{"file": "cases of diagnose", "form": 1}\n'
LONG_TEXT = '"text": "' + "x" * 20_001 + '"'
ENTRY = '{"who": "", "at": "2031-01-01T00:00:00Z", "kind": "note", "turn": 0}'


BAD_EXPORTS = [
    ("", "line 1: it is not JSON"),
    ("[]\n", "line 1: an export begins with"),
    (HEAD + "{", "line 2: it is not JSON"),
    (HEAD + "3\n", "line 2: a case and each of its entries is an object"),
    (HEAD + '{"number": 1, "key": "k"}', "line 2: 'entries' is missing"),
    (HEAD + '{"number": 1, "key": "k", "entries": []}', "line 2: a case has a number"),
    (HEAD + '{"number": true, "key": "k", "entries": [1]}', "line 2: 'number' is missing"),
    (
        HEAD + f'{{"number": 1, "key": "k", "entries": [{ENTRY}, {{"kind": 3}}]}}',
        "line 2: 'who' is missing",
    ),
    (
        HEAD + f'{{"number": 1, "key": "k", "entries": [{ENTRY.replace("note", "drop")}]}}',
        "line 2: entry 1 is of the kind 'drop'",
    ),
    (
        HEAD + f'{{"number": 1, "key": "k", "entries": [{ENTRY[:-1]}, "x": 1}}]}}',
        "line 2: entry 1 has 'x'",
    ),
    (
        HEAD + f'{{"number": 1, "key": "k", "entries": [{ENTRY[:-1]}, {LONG_TEXT}}}]}}',
        "line 2: entry 1 holds more than 20000 letters",
    ),
    *(
        (HEAD + f'{{"number": 1, "key": "k", "entries": [{ENTRY[:-1]}, {more}}}]}}', told)
        for more, told in (
            ('"value": NaN', "line 2: entry 1 has a figure beyond"),
            ('"value": 1' + "0" * 400, "line 2: entry 1 has a figure beyond"),
            ('"turn": 1' + "0" * 40, "line 2: entry 1 needs a time with its zone, and a turn"),
            ('"turn": -1', "line 2: entry 1 needs a time with its zone, and a turn"),
            ('"at": "noon"', "line 2: entry 1 needs a time with its zone, and a turn"),
            ('"at": "2031-01-01"', "line 2: entry 1 needs a time with its zone, and a turn"),
            ('"value": true', "line 2: 'value' is missing or of the wrong kind"),
        )
    ),
    (HEAD + "[" * 100_000, "line 2: it is not JSON"),
    *(
        (HEAD + f'{{"table": {row}}}', "line 2: ")
        for row in (
            '"cases"',
            "3",
            '"counts_elsewhere", "shop": "n", "cause": "c", "cases": 0',
            '"counts_elsewhere", "shop": "n", "cause": "c", "cases": true',
            '"counts_elsewhere", "shop": "n", "cause": "c"',
            '"practice_results", "key": "k", "learner": "", "result": "[]"',
            '"practice_results", "key": "k", "learner": "", "result": "{"',
            '"practice_begun", "learner": "", "what": "{}", "texts": "3", "changed": ""',
        )
    ),
]


def test_a_bad_export_takes_nothing_in(store: Store) -> None:
    good = HEAD + f'{{"number": 5, "key": "g", "entries": [{ENTRY}]}}\n'
    for bad, told in BAD_EXPORTS:
        spoiled = good + bad.removeprefix(HEAD) if bad.startswith(HEAD) else bad
        with pytest.raises(StoreError, match="nothing was taken in") as fault:
            exchange.read_in(store, io.StringIO(spoiled))
        assert str(fault.value).startswith(told.replace("line 2", "line 3")), bad
        assert store.listed(Wanted()) == [], bad


def test_a_field_of_no_name_we_know_changes_no_head(store: Store) -> None:
    text = ENTRY.replace('"note"', '"field", "name": "number", "text": "9"')
    exchange.read_in(store, io.StringIO(HEAD + f'{{"number": 1, "key": "k", "entries": [{text}]}}'))
    assert (store.head(1).number, upkeep.check(store)) == (1, [])


def test_twins_are_found_by_what_was_typed_however_it_was(store: Store) -> None:
    store.begin([field("registration", "AB 12-CD"), *turn(1)])
    store.begin([field("caller", "Jo"), field("engine", "Straight six"), *turn(1)])
    store.begin([field("registration", "ab12cd"), *turn(1)])
    store.begin([field("engine", "straight SIX"), field("caller", "jo"), *turn(1)])
    pairs = [(p.first.number, p.second.number, p.by) for p in duplicates.twins(store)]
    assert pairs == [(1, 3, ("registration",)), (2, 4, ("caller and engine",))]


def test_cases_begun_long_apart_are_no_twins(store: Store) -> None:
    store.begin([field("job", "7"), *turn(1)])
    store.begin([field("job", "7"), *turn(1)])
    assert duplicates.twins(store, days=-1) == []


def test_merged_cases_go_on_as_one_and_nothing_is_lost(store: Store) -> None:
    store.begin(turn(1, "first"))
    store.begin([*turn(1, "second"), Statement("undone", "", 1, value=1.0)])
    head = duplicates.merge(store, 1, 2)
    kept = [e.statement for e in store.entries(1)]
    assert [s.text for s in kept if s.kind == "typed"] == ["first", "second"]
    assert kept[-1] == Statement("undone", "", 3, value=3.0)
    assert (head.last, store.head(2).merged_into, upkeep.check(store)) == (7, 1, [])
    with pytest.raises(CaseClosed, match="went on as case 1"):
        store.append(2, turn(2))
    with pytest.raises(StoreError, match="already"):
        duplicates.merge(store, 1, 2)


def test_a_case_is_not_merged_with_itself(store: Store) -> None:
    store.begin(turn(1))
    with pytest.raises(StoreError, match="already one case"):
        duplicates.merge(store, 1, 1)


def test_a_forgotten_case_is_gone_and_its_number_is_not_used_again(store: Store) -> None:
    store.begin([field("caller", "Xanthippe"), *turn(1)])
    store.begin(turn(1))
    upkeep.forget(store, 2)
    upkeep.forget(store, 1)
    assert (store.listed(Wanted()), found(store, "xanthippe")) == ([], [])
    assert store.begin(turn(1)).number == 3
    assert upkeep.check(store) == []


def test_nothing_of_a_forgotten_case_is_left_in_the_file(tmp_path: Path, opened: Opener) -> None:
    store = opened(f"sqlite:///{tmp_path}/cases.db")
    store.begin([field("caller", "Xanthippe"), *turn(1, "secretword")])
    store.begin(turn(1))
    upkeep.forget(store, 1)
    left = b"".join(f.read_bytes().lower() for f in tmp_path.iterdir())
    assert (b"xanthippe" in left, b"secretword" in left) == (False, False)


def test_several_desks_never_lose_or_interleave_a_turn(address: str, opened: Opener) -> None:
    writers, count = 8, tries(200, 12)
    store = opened(address)
    store.begin([Statement("typed", "", 0, text="begun")])
    store.close()
    several(address, writers, count)
    entries = store.entries(1)
    typed = [(e.who, e.statement.text) for e in entries if e.statement.kind == "typed"][1:]
    for n in range(writers):
        assert [t for w, t in typed if w == f"w{n}"] == [f"w{n} {i}" for i in range(count)]
    assert len(entries) == 1 + 3 * writers * count
    whole = [e.statement.kind for e in entries[1:]]
    assert whole == ["typed", "said", "measured"] * (writers * count)
    assert upkeep.check(store) == []


def test_what_was_acknowledged_outlives_a_kill(
    address: str, tmp_path: Path, opened: Opener
) -> None:
    store = opened(address)
    store.begin(turn(0))
    store.close()
    told = 3
    for moment in moments(tries(200, 6)):
        told = max(killed(address, moment), told)
        last = store.head(1).last
        assert (last >= told, last % 3) == (True, 0)
        store.close()
    assert told > 3  # some were acknowledged
    assert [e.seq for e in store.entries(1)] == list(range(1, store.head(1).last + 1))
    assert upkeep.check(store) == []
    talk = plain_talk(tmp_path)
    assert len(list(talk.bench.assess(reasoned(store.entries(1))).state.judged)) == 1


def test_several_open_an_empty_store_at_once(address: str) -> None:
    work = [FORK.Process(target=open_store, args=(address,)) for _ in range(6)]
    for process in work:
        process.start()
    for process in work:
        process.join()
    assert [process.exitcode for process in work] == [0] * 6


def test_threads_that_open_a_new_file_at_once_wait_for_each_other(tmp_path: Path) -> None:
    """SQLite itself does not wait there: one time in ten it called the file locked."""
    together = Barrier(4)

    def opened_in(folder: Path) -> bool:
        together.wait()
        open_store(f"sqlite:///{folder}/cases.db").close()
        return True

    for number in range(tries(40, 8)):
        folder = tmp_path / str(number)
        folder.mkdir()
        with ThreadPoolExecutor(4) as pool:
            assert all(pool.map(opened_in, [folder] * 4))

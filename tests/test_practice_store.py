"""The practice record lies in the store of cases, of each kind; older files are taken in once."""

import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest
from cases_toy import FORK
from sqlalchemy import text

from diagnose.cases import learners, upkeep
from diagnose.cases.learners import Begun
from diagnose.cases.store import Store, open_store
from diagnose.cli.main import main
from diagnose.practice import classes, older
from diagnose.practice.record import Book

ONE, TWO = {"seed": 4, "level": 1}, {"lesson": "stop_first"}


@pytest.fixture
def book(store: Store) -> Book:
    return Book(store, "Ann")


def test_results_come_back_in_the_order_they_were_filed(book: Book) -> None:
    for lost in (9.0, 1.0, 5.0):
        book.file(ONE, {"lost": lost, "key": "k\0\ud800"})
    assert [r["lost"] for r in book.results()] == [9.0, 1.0, 5.0]
    assert book._replace(name="Bo").results() == []


def test_an_exercise_is_kept_with_all_its_words_until_it_is_filed(book: Book) -> None:
    book.keep(ONE, ["a"])
    book.keep(TWO, ["x"])
    book.keep(ONE, ["a", "b\0"])
    assert book.left_open() == Begun(ONE, ["a", "b\0"])
    book.file(ONE, {"lost": 1.0})
    assert (book.left_open(), book.left_open(ONE)) == (Begun(TWO, ["x"]), None)


def test_a_forgotten_learner_is_gone_and_nobody_else(book: Book) -> None:
    other = book._replace(name="Bo")
    for one in (book, other):
        one.file(ONE, {"lost": 1.0})
        one.keep(TWO, ["x"])
    assert (book.forget(), book.forget()) == (2, 0)
    assert (book.results(), book.left_open()) == ([], None)
    assert (len(other.results()), other.left_open()) == (1, Begun(TWO, ["x"]))


def test_nothing_of_a_forgotten_learner_is_left_in_the_file(
    tmp_path: Path, opened: Callable[[str], Store]
) -> None:
    book = Book(opened(f"sqlite:///{tmp_path}/cases.db"), "Xanthippe")
    book.file(ONE, {"lost": 1.0})
    book.keep(ONE, ["secretword"])
    book.forget()
    left = b"".join(f.read_bytes().lower() for f in tmp_path.iterdir())
    assert (b"xanthippe" in left, b"secretword" in left) == (False, False)


def test_without_a_store_nothing_is_kept() -> None:
    book = Book(None)
    book.keep(ONE, ["a"])
    book.file(ONE, {"lost": 1.0})
    assert (book.results(), book.left_open(), book.forget()) == ([], None, 0)


def test_a_spoiled_row_is_found_by_the_check(store: Store, book: Book) -> None:
    book.file(ONE, {"lost": 1.0})
    with store.writing() as db:
        db.execute(text("UPDATE practice_results SET result = '{'"))
    assert upkeep.check(store) == ["practice: 1 rows can't be read"]
    with pytest.raises(upkeep.faults.StoreError, match="damaged"):
        book.results()


def line(**more: object) -> str:
    return json.dumps({"when": "2031-01-01T08:00:00+00:00", "name": "Ann", "lost": 5.0, **more})


@pytest.fixture
def files(own_data: Path) -> Path:
    """The record as an older program kept it: two alike, two damaged, two exercises begun."""
    own_data.mkdir()
    lines = [line(), line(), line(name="", lost=7), '{"lost": \n[1]', line(lost="x"), ""]
    (own_data / "practice.jsonl").write_text("\n".join(lines), encoding="utf-8")
    begun = [{"what": ONE, "texts": ["a"]}, {"what": TWO, "texts": ["b", "c"]}, {"what": 1}]
    table = {"Ann": begun, "Bo": 3}
    (own_data / "practice-open.json").write_text(json.dumps(table), encoding="utf-8")
    return own_data


def test_an_older_record_is_taken_in_whole(store: Store, book: Book, files: Path) -> None:
    moved = older.take_in(store)
    assert moved is not None
    assert (moved.results, moved.unread) == (3, 3)
    assert [r["lost"] for r in book.results()] == [5.0, 5.0]
    assert [r["lost"] for r in book._replace(name="").results()] == [7]
    assert learners.begun(store, "Ann") == [Begun(ONE, ["a"]), Begun(TWO, ["b", "c"])]
    assert sorted(p.suffix for p in files.glob("practice*-taken-in.json*")) == [".json", ".jsonl"]


def test_what_had_no_name_is_that_of_who_is_at_the_desk(
    files: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("DIAGNOSE_WHO", "Cy")
    main(["practice", "history"])
    assert capsys.readouterr().out.startswith("1 done")
    typed(monkeypatch, "give up")
    main(["practice", "--seed", "4"])
    capsys.readouterr()
    main(["practice", "set", "--json"])
    rows = json.loads(capsys.readouterr().out)["learners"]
    assert {r["name"]: r["done"] for r in rows} == {"Ann": 1, "Cy": 2}


def test_an_older_record_is_taken_in_once(store: Store, book: Book, files: Path) -> None:
    older.take_in(store)
    assert older.take_in(store) is None
    (files / "practice-taken-in.jsonl").rename(files / "practice.jsonl")  # as a broken-off one
    with open(files / "practice.jsonl", "a", encoding="utf-8") as file:
        file.write(f"{line(lost=8)}\n")  # and the older program wrote once more
    moved = older.take_in(store)
    assert moved is not None
    assert (moved.results, [r["lost"] for r in book.results()]) == (1, [5.0, 5.0, 8])


def test_an_exercise_gone_on_with_is_not_put_back(store: Store, book: Book, files: Path) -> None:
    book.keep(ONE, ["a", "further"])
    older.take_in(store)
    assert book.left_open(ONE) == Begun(ONE, ["a", "further"])


@pytest.mark.parametrize("content", ["", "{", "[]", "3", "[" * 100_000])
def test_a_damaged_table_of_exercises_is_put_aside(store: Store, files: Path, content: str) -> None:
    (files / "practice-open.json").write_text(content, encoding="utf-8")
    moved = older.take_in(store)
    assert moved is not None
    assert (moved.results, moved.unread) == (3, 4)
    assert (files / "practice-open-taken-in.json").read_text(encoding="utf-8") == content


def test_a_teacher_sees_everybody_in_the_store(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["practice", "history"])  # takes the older record in
    capsys.readouterr()
    assert main(["practice", "set", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["learners"]
    assert [(r["name"], r["lost"]) for r in rows] == [("Ann", 5.0), ("-", 7.0)]


def _file_many(address: str, name: str) -> None:
    book = Book(open_store(address), name)
    for number in range(10):
        book.keep(ONE, [str(number)])
        book.file(ONE, {"lost": float(number)})


def _add_many(path: Path, name: str) -> None:
    for number in range(5):
        classes.add(path, {"name": name, "what": {"seed": number, "level": 1}, "lost": 1.0})


def together(work: Callable[..., None], place: object) -> None:
    """Four learners at once."""
    processes = [FORK.Process(target=work, args=(place, name)) for name in "abcd"]
    for process in processes:
        process.start()
    for process in processes:
        process.join()
    assert [process.exitcode for process in processes] == [0] * 4


def test_learners_at_once_lose_nothing_in_the_store(address: str, book: Book) -> None:
    book.results()
    book.store.close()  # type: ignore[union-attr]
    together(_file_many, address)
    found = [[r["lost"] for r in book._replace(name=name).results()] for name in "abcd"]
    assert found == [[float(n) for n in range(10)]] * 4


def test_learners_at_once_lose_nothing_in_a_class_file(tmp_path: Path) -> None:
    path = tmp_path / "class.json"
    classes.write(path, classes.make(5, 1, 1, []))
    together(_add_many, path)
    assert [r["done"] for r in classes.table([classes.read(path)])] == [5] * 4
    assert [p.name for p in tmp_path.iterdir()] == ["class.json"]


def test_one_who_was_killed_at_a_class_file_is_not_waited_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("diagnose.practice.record.PATIENCE", 0.05)
    path = tmp_path / "class.json"
    classes.write(path, classes.make(1, 1, 1, []))
    (tmp_path / ".class.json.lock").touch()
    classes.add(path, {"name": "Ann", "what": {}, "lost": 1.0})
    assert len(classes.read(path)["results"]) == 1
    assert not (tmp_path / ".class.json.lock").exists()


def typed(monkeypatch: pytest.MonkeyPatch, *lines: str) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("\n".join(lines) + "\n"))


def test_the_history_tells_that_the_record_moved(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["practice", "history", "--name", "Ann"]) == 0
    told = capsys.readouterr()
    assert "3 results taken in; 3 lines could not be read (the old files stay: " in told.err
    assert told.out.startswith("2 done")
    main(["practice", "history"])
    assert capsys.readouterr().err == ""


def test_a_store_that_fails_in_between_loses_nothing(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], own_data: Path
) -> None:
    def fails(*_: object) -> None:
        raise upkeep.faults.told("full", where="the store")

    typed(monkeypatch, "look at the drive belts", "stop")
    main(["practice", "--seed", "4"])
    with monkeypatch.context() as broken:
        broken.setattr(learners, "file_result", fails)
        typed(broken, "give up")
        assert main(["practice"]) == 1
    assert "the result is not kept: the disk is full" in capsys.readouterr().err
    typed(monkeypatch, "give up")
    assert main(["practice"]) == 0
    assert "You go on with drawn-1-4" in capsys.readouterr().out


def test_words_not_kept_are_kept_with_the_next(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    whole, calls = learners.keep_begun, iter([True, False])

    def once(*given: object) -> None:
        if next(calls):
            raise upkeep.faults.told("gone", where="there", why="no road")
        whole(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(learners, "keep_begun", once)
    typed(monkeypatch, "look at the drive belts", "fuel pressure")
    assert main(["practice", "--seed", "4"]) == 0
    assert "not kept yet: the shared database" in capsys.readouterr().err
    typed(monkeypatch)
    main(["practice"])
    assert "after 2 things said" in capsys.readouterr().out


def test_a_store_that_cant_be_opened_is_told_and_it_is_played_without(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], own_data: Path
) -> None:
    monkeypatch.setenv("DIAGNOSE_STORE", "nonsense")
    assert main(["practice"]) == 1
    assert "practice --no-record" in capsys.readouterr().err
    typed(monkeypatch, "stop")
    assert main(["practice", "--no-record", "--seed", "4"]) == 0
    assert "nothing of it is kept" in capsys.readouterr().out
    assert not own_data.exists()


def test_a_name_is_no_book(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["practice", "--name", "x" * 101]) == 1
    assert "at most 100 letters" in capsys.readouterr().err


def test_a_record_is_forgotten_only_when_it_is_meant(
    capsys: pytest.CaptureFixture[str], files: Path
) -> None:
    assert main(["practice", "forget", "--name", "Ann"]) == 1
    assert "say so with --yes" in capsys.readouterr().err
    assert main(["practice", "forget", "--name", "Ann", "--yes"]) == 0
    told = capsys.readouterr().out
    assert told.startswith("4 things removed for good from the record of Ann")
    assert "practice-taken-in.jsonl" in told

"""The command `practice`: play a hidden fault, see the record, make and read class files."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from random import Random, SystemRandom
from typing import Any

from diagnose.cases.assess import Workbench, load_workbench
from diagnose.cases.faults import StoreError
from diagnose.cases.place import who_writes
from diagnose.knowledge.problems import DiagnoseError
from diagnose.language.index import load_index
from diagnose.practice import classes, debrief, history, plots, record, wording, wording_kept
from diagnose.practice.desk import Desk
from diagnose.practice.lessons import find_lesson
from diagnose.practice.record import Book
from diagnose.practice.scenario import HIGHEST

_LONGEST_NAME = 100


class ClosedLevel(DiagnoseError):
    """A level that is not open yet, or does not exist."""


def run(given: argparse.Namespace) -> int:
    """Run one act of practice."""
    given.name = given.name or who_writes()
    return _ACTS.get(given.act or "", _start)(given)


def _book(given: argparse.Namespace) -> Book:
    """The learner's record; what an older program kept in files is taken in first."""
    if len(given.name) > _LONGEST_NAME:
        raise StoreError(wording_kept.long_name(_LONGEST_NAME))
    if given.no_record:
        return Book(None, given.name)
    from diagnose.cases.store import open_store
    from diagnose.practice import older

    try:
        store = open_store()
    except StoreError as fault:
        raise StoreError(wording_kept.without_record(fault)) from fault
    moved = older.take_in(store, who_writes())
    if moved is not None:
        print(wording_kept.taken_in(moved), file=sys.stderr)
    return Book(store, given.name)


def _start(given: argparse.Namespace) -> int:
    bench, book = load_workbench(), _book(given)
    chosen = given.new or given.seed is not None or given.lesson is not None
    left = None if chosen else book.left_open()
    what = left.what if left is not None else _wanted(bench, book, given)
    return _begin(_desk(bench, what, book), given)


def _wanted(bench: Workbench, book: Book, given: argparse.Namespace) -> dict[str, Any]:
    """The exercise asked for, else the one that fits the record."""
    if given.lesson is not None:
        return {"lesson": find_lesson(bench.knowledge, given.lesson).id}
    found = book.results()
    open_ = history.open_level(found)
    level = open_ if given.level is None else given.level
    if given.seed is not None:
        return {"seed": given.seed, "level": level}
    _hold_level(level)
    if level > open_:
        raise ClosedLevel(wording.level_closed(level, open_))
    chance = Random(SystemRandom().random())
    if given.level is not None:
        return history.next_drawn(bench, found, level, chance)
    return history.next_exercise(bench, found, level, chance)


def _hold_level(level: int) -> None:
    if not 1 <= level <= HIGHEST:
        raise ClosedLevel(wording.no_level(level, HIGHEST))


def _desk(bench: Workbench, what: Mapping[str, Any], book: Book) -> Desk:
    return Desk(bench, load_index(bench.knowledge), what, book)


def _begin(desk: Desk, given: argparse.Namespace, path: Path | None = None) -> int:
    """Go on with an exercise where it was left, or start it."""
    left = None if given.new else desk.book.left_open(desk.what)
    _open(desk, given, left.texts if left else [])
    _play_on(desk, given)
    if desk.result is not None:
        if not given.json:
            print(f"\n{desk.debrief()}", flush=True)
        if path is not None:
            classes.add(path, desk.as_result())
    return 1 if desk.fault else 0


def _open(desk: Desk, given: argparse.Namespace, texts: Sequence[str]) -> None:
    last = desk.go_on(texts)
    opening = desk.exercise.opening()
    if given.json:
        _print_json({"opening": opening, "said_before": len(texts)})
        return
    print(opening, flush=True)
    if texts:
        print(wording.goes_on(desk.exercise.scenario.key, len(texts)), flush=True)
        print(last.text if last else "", flush=True)


def _play_on(desk: Desk, given: argparse.Namespace) -> None:
    """Play until it is over, the learner leaves, or the input ends."""
    for text in _texts():
        turn = desk.say(text)
        if given.json:
            _print_json(turn.as_dict() | _end(desk))
        else:
            print(f"\n{turn.text}", flush=True)
        if desk.fault is not None:
            told = wording_kept.not_kept(desk.fault, desk.exercise.done)
            print(told, file=sys.stderr, flush=True)
        if turn.done or turn.left:
            break


def _end(desk: Desk) -> dict[str, Any]:
    """The score and the steps, in the last turn alone."""
    if desk.result is None:
        return {}
    steps = debrief.steps(desk.exercise, desk.result)
    return {"score": desk.result.as_dict(), "steps": steps, "debrief": desk.debrief()}


def _texts() -> Iterator[str]:
    """What the learner types: from a terminal with a prompt, else the lines that come."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        for line in sys.stdin:
            if line.strip():
                yield _plain(line)
        return
    with suppress(ImportError):  # arrow keys and earlier lines, where the system has them
        import readline  # noqa: F401
    while True:
        try:
            line = input(f"\n{wording.PROMPT}")
        except EOFError:
            return
        if line.strip():
            yield line


def _plain(line: str) -> str:
    """One line as a text; a JSON text is unwrapped."""
    text = line.strip()
    if text[:1] == '"':
        try:
            return str(json.loads(text))
        except ValueError:
            return text
    return text


def _print_json(data: dict[str, Any]) -> None:
    print(json.dumps(data, ensure_ascii=False), flush=True)


def _history(given: argparse.Namespace) -> int:
    found = _book(given).results()
    figures = history.summary(found)
    if given.html is not None:
        record.write_file(Path(given.html), plots.as_page(found, figures))
        print(given.html)
    elif given.json:
        _print_json(figures._asdict() | {"results": found})
    else:
        print("\n".join(wording.summary_lines(figures)))
        if figures.done:
            print(f"\n{wording.PLOT_LABEL}:\n{plots.in_characters(figures.lost)}")
    return 0


def _lessons(given: argparse.Namespace) -> int:
    lessons = load_workbench().knowledge.lessons.values()
    if given.json:
        _print_json({"lessons": [{"id": x.id, "title": x.title, "idea": x.idea} for x in lessons]})
        return 0
    for lesson in lessons:
        print(wording.lesson_line(lesson.id, lesson.title, lesson.teaches))
    return 0


def _set(given: argparse.Namespace) -> int:
    """Make a class file, or show the results in one or more."""
    if given.export is not None:
        bench = load_workbench()
        lessons = [find_lesson(bench.knowledge, x).id for x in given.lessons]
        seed = SystemRandom().randrange(10**6) if given.seed is None else given.seed
        level = 1 if given.level is None else given.level
        _hold_level(level)
        content = classes.make(max(given.count, 0), level, seed, lessons)
        classes.write(Path(given.export), content)
        print(wording.class_made(given.export, len(content["exercises"])))
        return 0
    contents = [classes.read(Path(f)) for f in given.files]
    rows = classes.table(contents or [{"results": _book(given).of_everybody()}])
    if given.json:
        _print_json({"learners": rows})
    elif rows:
        cells = [[str("" if r[c] is None else r[c]) for c in wording.CLASS_COLUMNS] for r in rows]
        print(wording.columns([c.replace("_", " ") for c in wording.CLASS_COLUMNS], cells))
    else:
        print(wording.NO_RESULTS)
    return 0


def _play(given: argparse.Namespace) -> int:
    """Play a lesson file of one's own, or the next exercise of a class file."""
    path, bench = Path(given.file), load_workbench()
    if path.suffix != ".json":
        return _begin(_desk(bench, {"file": str(path.resolve())}, _book(given)), given)
    what = classes.next_for(classes.read(path), given.name)
    if what is None:
        print(wording.class_done(given.name))
        return 0
    return _begin(_desk(bench, what, _book(given)), given, path)


def _forget(given: argparse.Namespace) -> int:
    """Remove a learner's record for good."""
    if not given.yes:
        raise StoreError(wording_kept.needs_yes(given.name))
    from diagnose.practice import older

    print(wording_kept.forgotten(given.name, _book(given).forget(), older.put_aside()))
    return 0


_ACTS = {
    "history": _history,
    "set": _set,
    "play": _play,
    "lessons": _lessons,
    "forget": _forget,
}

"""The command `cases`: what is kept, found again, handed on and looked after."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from diagnose.cases import duplicates, elsewhere, exchange, statistics, upkeep
from diagnose.cases.assess import Assessment, Workbench, load_workbench
from diagnose.cases.entries import FIELDS, Entry, Head, reasoned
from diagnose.cases.faults import StoreError
from diagnose.cases.fitting import fitting
from diagnose.cases.log import CaseLog, Statement
from diagnose.cases.place import who_writes
from diagnose.cases.plain import MOST_TEXT
from diagnose.cases.search import search
from diagnose.cases.store import Store, Wanted, open_store
from diagnose.cli import case_lines as lines
from diagnose.cli.output import json_line
from diagnose.knowledge.load import load_knowledge
from diagnose.knowledge.problems import DiagnoseError


def run(given: argparse.Namespace) -> int:
    """Do one act."""
    return int(_ACTS[given.act](open_store(), given))


def _list(store: Store, given: argparse.Namespace) -> int:
    for day in filter(None, (given.since, given.until)):
        _hold_day(day)
    wanted = Wanted(
        given.status or "", given.tag, given.owner, given.caller, given.since, given.until
    )
    _tell(given, store.listed(wanted, max(given.most, 1)))
    return 0


def _hold_day(text: str) -> None:
    try:
        date.fromisoformat(text)
    except ValueError as fault:
        raise StoreError(lines.bad_day(text)) from fault


def _tell(given: argparse.Namespace, heads: Sequence[Head]) -> None:
    _say(given, (head._asdict() for head in heads), lines.list_lines(heads))


def _say(given: argparse.Namespace, data: Iterable[Any], text: Iterable[str]) -> None:
    """What came of an act: for a program a value a line, for a person the lines."""
    if given.json:
        for value in data:
            json_line(value)
        return
    for line in text:
        print(line)


def _search(store: Store, given: argparse.Namespace) -> int:
    hits = search(store, " ".join(given.words), max(given.most, 1))
    for word, forms in hits.instead:
        print(lines.instead_line(word, forms), file=sys.stderr)
    _tell(given, hits.heads)
    return 0 if hits.heads else 1


def _show(store: Store, given: argparse.Namespace) -> int:
    head, entries = store.head(given.number), store.entries(given.number)
    whole = {**head._asdict(), "entries": list(map(_flat, entries))}
    text = () if given.json else lines.show_lines(load_knowledge(), head, entries)
    _say(given, [whole], text)
    return 0


def _flat(entry: Entry) -> dict[str, object]:
    return {"seq": entry.seq, "who": entry.who, "at": entry.at, **entry.statement._asdict()}


def _note(store: Store, given: argparse.Namespace) -> int:
    turn = store.head(given.number).turns
    said = [_held("note", "", " ".join(given.text), turn)] if given.text else []
    for name in FIELDS:
        if getattr(given, name) is not None:
            said.append(_held("field", name, getattr(given, name), turn))
    for tags, state in ((given.tag, None), (given.untag, "off")):
        said += [_tag(tag, turn)._replace(state=state) for tag in tags]
    if not said:
        raise StoreError(lines.NOTHING_TO_NOTE)
    return _write(store, given, said)


def _held(kind: str, name: str, text: str, turn: int) -> Statement:
    if len(text) > MOST_TEXT:
        raise StoreError(lines.note_too_long(len(text), MOST_TEXT))
    return Statement(kind, name, turn, text=text)


def _tag(text: str, turn: int) -> Statement:
    if len(text.split()) != 1:
        raise StoreError(lines.bad_tag(text))
    return _held("tag", "", text.strip(), turn)


def _write(store: Store, given: argparse.Namespace, said: Sequence[Statement]) -> int:
    head = store.append(given.number, said, who_writes())
    _say(given, [head._asdict()], [lines.done_line(head)])
    return 0


def _hand_over(store: Store, given: argparse.Namespace) -> int:
    turn = store.head(given.number).turns
    note = _held("handed_over", given.to, given.note, turn)
    _held("handed_over", "", given.to, turn)  # a name is no book either
    return _write(store, given, [note])


def _close(store: Store, given: argparse.Namespace) -> int:
    if given.cause:
        _hold_cause(given.cause)
    head = store.head(given.number)
    said = _held("closed", given.cause, given.note, head.turns)
    if given.minutes is not None and not 0 <= given.minutes < 1e6:
        raise StoreError(lines.bad_minutes(given.minutes))
    led, share = _leader(store, head) if given.cause else (None, None)
    return _write(store, given, [said._replace(state=led, value=share, low=given.minutes)])


def _leader(store: Store, head: Head) -> tuple[str | None, float | None]:
    """The cause that led when the case was closed, with its share: so that it can be judged."""
    ranked = _assessed(load_workbench(head.sheet or None), store, head).ranking.ranked
    return (ranked[0].cause, round(ranked[0].p, 4)) if ranked else (None, None)


def _assessed(bench: Workbench, store: Store, head: Head) -> Assessment:
    return bench.where(CaseLog(fitting(bench.knowledge, reasoned(store.entries(head.number)))))


def _desk(store: Store, given: argparse.Namespace) -> int:
    """Open calls first, then those put by; each as it stands now."""
    most = max(given.most, 1)
    heads = store.listed(Wanted(status="open"), most) + store.listed(Wanted(status="held"), most)
    if not heads and not given.json:
        print(lines.NO_CALLS)
    benches: dict[str, Workbench | None] = {}
    for head in heads[:most]:
        bench = benches.setdefault(head.sheet, _bench(head.sheet))
        found = _assessed(bench, store, head) if bench else None
        stands = lines.call_data(bench, found)
        _say(given, [{**head._asdict(), **stands}], lines.call_lines(head, stands))
    return 0


def _bench(sheet: str) -> Workbench | None:
    try:
        return load_workbench(sheet or None)
    except DiagnoseError:
        return None  # the sheet of that case is gone; the others are shown all the same


def _statistics(store: Store, given: argparse.Namespace) -> int:
    if given.take_in:
        shop = given.shop or Path(given.take_in).stem
        elsewhere.take_in(store, shop, statistics.from_text(_read(given.take_in)))
    if given.leave_out:
        elsewhere.leave_out(store, given.leave_out)
    found = statistics.outcomes(store)
    counts = statistics.counts_of(found)
    if given.export:
        try:
            Path(given.export).write_text(statistics.as_text(counts), encoding="utf-8")
        except OSError as fault:
            raise StoreError(lines.cant_open(given.export, fault.strerror)) from fault
    kept = elsewhere.taken(store)
    looked_at = {name: statistics.from_text(_read(name)) for name in given.others}
    knowledge = load_knowledge()
    data = lines.statistics_data(knowledge, found, kept, looked_at)
    _say(given, [data], lines.statistics_lines(knowledge, found, kept, looked_at))
    return 0


def _read(name: str) -> str:
    try:
        return Path(name).read_text(encoding="utf-8")
    except OSError as fault:
        raise StoreError(lines.cant_open(name, fault.strerror)) from fault
    except UnicodeDecodeError as fault:
        raise StoreError(lines.cant_open(name, lines.NO_TEXT)) from fault


def _hold_cause(name: str) -> None:
    causes = load_knowledge().causes
    if name not in causes:
        import difflib  # only for a slip

        raise StoreError(lines.unknown_cause(name, difflib.get_close_matches(name, causes, 2)))


def _turn_to(kind: str, store: Store, given: argparse.Namespace) -> int:
    turn = store.head(given.number).turns
    return _write(store, given, [Statement(kind, "", turn)])


def _export(store: Store, given: argparse.Namespace) -> int:
    numbers = [store.head(n).number for n in given.numbers]  # all are there before one is written
    if given.file == "-":
        exchange.export(store, sys.stdout, numbers, given.everything)
        return 0
    part = Path(f"{given.file}.part")
    try:
        with open(part, "w", encoding="utf-8") as target:
            count = exchange.export(store, target, numbers, given.everything)
        part.replace(given.file)
    except OSError as fault:
        raise StoreError(lines.cant_open(given.file, fault.strerror)) from fault
    done = {"cases": count, "file": given.file}
    _say(given, [done], [lines.exported_line(count, given.file)])
    return 0


def _import(store: Store, given: argparse.Namespace) -> int:
    try:
        if given.file == "-":
            taken = exchange.read_in(store, sys.stdin)
        else:
            with open(given.file, encoding="utf-8") as source:
                taken = exchange.read_in(store, source)
    except OSError as fault:
        raise StoreError(lines.cant_open(given.file, fault.strerror)) from fault
    except UnicodeDecodeError as fault:
        raise StoreError(lines.cant_open(given.file, lines.NO_TEXT)) from fault
    _say(given, [taken._asdict()], lines.taken_lines(taken))
    return 1 if taken.differ else 0


def _merge(store: Store, given: argparse.Namespace) -> int:
    if len(given.pair) not in (0, 2):
        raise StoreError(lines.TWO_NUMBERS)
    pairs = duplicates.twins(store, given.days) if not given.pair else []
    if given.pair or given.yes:
        wanted = [tuple(given.pair)] if given.pair else [(p[0].number, p[1].number) for p in pairs]
        for first, second in wanted:
            duplicates.merge(store, first, second, who_writes())
            done = {"case": second, "goes_on_in": first}
            _say(given, [done], [lines.merged_line(first, second)])
        return 0
    seem = ({"first": p.first.number, "second": p.second.number, "same": p.by} for p in pairs)
    hint = lines.how_to_merge(pairs) if pairs else lines.NO_TWINS
    _say(given, seem, [*map(lines.twins_line, pairs), hint])
    return 0


def _forget(store: Store, given: argparse.Namespace) -> int:
    head = store.head(given.number)
    if not given.yes:
        if given.json or not sys.stdin.isatty():
            raise StoreError(lines.NEEDS_YES)
        if input(lines.ask_forget(head)).strip().lower() != "yes":
            print(lines.NOT_FORGOTTEN)
            return 1
    upkeep.forget(store, given.number)
    _say(given, [{"removed": given.number}], [lines.forgotten_line(given.number)])
    return 0


def _check(store: Store, given: argparse.Namespace) -> int:
    wrong = upkeep.check(store)
    _say(given, [{"problems": wrong}], wrong or [lines.WHOLE])
    return 1 if wrong else 0


def _backup(store: Store, given: argparse.Namespace) -> int:
    upkeep.backup(store, Path(given.file))
    _say(given, [{"file": given.file}], [lines.copied_line(given.file)])
    return 0


def _restore(store: Store, given: argparse.Namespace) -> int:
    kept = upkeep.restore(store, Path(given.file))
    done = {"file": given.file, "before": str(kept)}
    _say(given, [done], [lines.restored_line(given.file, kept)])
    return 0


_ACTS = {
    "list": _list,
    "show": _show,
    "search": _search,
    "note": _note,
    "hand-over": _hand_over,
    "close": _close,
    "reopen": lambda store, given: _turn_to("reopened", store, given),
    "hold": lambda store, given: _turn_to("held", store, given),
    "export": _export,
    "import": _import,
    "merge-duplicates": _merge,
    "forget": _forget,
    "desk": _desk,
    "statistics": _statistics,
    "check": _check,
    "backup": _backup,
    "restore": _restore,
}

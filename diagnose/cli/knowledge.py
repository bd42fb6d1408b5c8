"""The command `knowledge`: check, show and search the rule base."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from diagnose.cli.output import json_line
from diagnose.cli.progress import counted
from diagnose.knowledge.checks import problems_across
from diagnose.knowledge.load import Book, load_knowledge, read_folder, rules_folder
from diagnose.knowledge.model import Knowledge, is_record
from diagnose.knowledge.problems import DiagnoseError, KnowledgeError, Problem
from diagnose.knowledge.tally import tally_by_system
from diagnose.reasoning.best_case import never_first
from diagnose.reasoning.building import build_program
from diagnose.reasoning.network import build_network

_MOST_HITS = 20


def run(given: argparse.Namespace) -> int:
    """Run one of check, show, search."""
    if given.act == "check":
        return _check(given)
    knowledge = load_knowledge()
    if given.act == "show":
        return _show(knowledge, given.id, given.json)
    return _search(knowledge, given.words, given.json)


def _check(given: argparse.Namespace) -> int:
    folder = Path(given.folder) if given.folder else rules_folder()
    if not folder.is_dir():
        raise DiagnoseError(f"{folder} is not a folder; give one with rule files")
    book, problems = read_folder(folder, _in_order)
    problems += problems_across(book)
    if problems:
        raise KnowledgeError(problems)
    knowledge = book.knowledge()
    problems += _refused(book, knowledge) or _never_first(book, knowledge)
    if given.phrases:
        problems += _unheard(book, knowledge)
    if problems:
        raise KnowledgeError(problems)
    counts = {
        "causes": len(knowledge.causes),
        "signs": sum(len(c.signs) for c in knowledge.causes.values()),
        "findings": len(knowledge.findings),
        "checks": len(knowledge.checks),
        "rules": len(knowledge.rules),
        "engine sheets": len(knowledge.sheets),
        "sources": len(knowledge.sources),
    }
    if given.json:
        rows = [row._asdict() for row in tally_by_system(knowledge)] if given.sources else []
        json_line({**counts, **({"sources by system": rows} if rows else {})})
        return 0
    print("No problems: " + ", ".join(f"{n} {what}" for what, n in counts.items()) + ".")
    for wanted, table in ((given.sources, _source_table), (given.systems, _system_table)):
        if wanted:
            print("\n".join(table(knowledge)))
    return 0


def _refused(book: Book, knowledge: Knowledge) -> list[Problem]:
    """Rules that no chainer could run."""
    try:
        build_program(knowledge)
    except KnowledgeError as fault:
        return [p._replace(place=book.place("rules", p.values[0], "id")) for p in fault.problems]
    return []


def _never_first(book: Book, knowledge: Knowledge) -> list[Problem]:
    """Causes that nothing anybody could tell brings to the first place."""
    pairs = never_first(knowledge, build_network(knowledge))
    return [Problem("cause_never_first", book.place("causes", p[0], "signs"), p) for p in pairs]


def _unheard(book: Book, knowledge: Knowledge) -> list[Problem]:
    """States that no phrase reaches; it needs the index of the language, which takes seconds."""
    from diagnose.language.index import load_index
    from diagnose.language.reached import unheard

    pairs = unheard(knowledge, load_index(knowledge))
    return [
        Problem("state_unheard", book.place("findings", p[0], "phrases", p[1]), p) for p in pairs
    ]


def _in_order(paths: list[Path]) -> Iterator[Path]:
    return counted(sorted(paths), len(paths), "rule files")


def _source_table(knowledge: Knowledge) -> Iterator[str]:
    """Signs of each system by where they come from, and how much of all trouble it stands for."""
    yield ""
    yield f"{'system':20} causes  signs  published  common practice  memory  share of faults"
    for row in tally_by_system(knowledge):
        yield (
            f"{row.system:20} {row.causes:6} {row.signs:6} {row.published:5}"
            f" {row.published_share:4.0%} {row.common_practice:15} {row.memory:7}"
            f" {row.weight:15.0%}"
        )


def _system_table(knowledge: Knowledge) -> Iterator[str]:
    """How much is said of each system, beside its share of all faults: thin ones stand out."""
    yield ""
    yield (
        f"{'system':20} causes  signs  signs a cause  share of signs"
        "  of faults after a build  of faults in service"
    )
    rows = tally_by_system(knowledge)
    for row in rows:
        share = row.signs / rows[-1].signs if rows[-1].signs else 0.0
        yield (
            f"{row.system:20} {row.causes:6} {row.signs:6} {row.signs_a_cause:14.1f} {share:15.0%}"
            f" {row.weight:24.0%} {row.weight_in_service:21.0%}"
        )


def tables(knowledge: Knowledge) -> Mapping[str, Mapping[str, object]]:
    """Every table of the rule base by the kind of its entries."""
    return {
        "cause": knowledge.causes,
        "finding": knowledge.findings,
        "check": knowledge.checks,
        "rule": knowledge.rules,
        "caution": knowledge.cautions,
        "engine sheet": knowledge.sheets,
        "access": knowledge.access,
        "source": knowledge.sources,
    }


def _show(knowledge: Knowledge, key: str, as_json: bool) -> int:
    for kind, table in tables(knowledge).items():
        if key in table and as_json:
            json_line({"kind": kind, "id": key, **_plain(table[key])})
            return 0
        if key in table:
            print(f"{kind} {key}")
            print("\n".join(_lines(table[key], "  ")))
            return 0
    close = [k for k, _, _ in _hits(knowledge, key.replace("_", " ").split())][:3]
    hint = f"; near it: {', '.join(close)}" if close else ""
    raise DiagnoseError(f"nothing is called '{key}'{hint}")


def _plain(record: object) -> Any:
    """A record, and what is in it, as plain data."""
    if is_record(record) or isinstance(record, Mapping):
        return {name: _plain(value) for name, value in _pairs(record)}
    if isinstance(record, tuple | list):
        return [_plain(item) for item in record]
    return record


def _lines(record: object, indent: str) -> Iterator[str]:
    for name, value in _pairs(record):
        if isinstance(value, str | int | float | bool):
            yield f"{indent}{name}: {value}"
        elif value:
            yield f"{indent}{name}:"
            yield from _nested(value, indent + "  ")


def _nested(value: object, indent: str) -> Iterator[str]:
    if isinstance(value, tuple | list) and not is_record(value):
        for item in value:
            if isinstance(item, str | int | float):
                yield f"{indent}- {item}"
            else:
                pairs = [f"{n}: {v}" for n, v in _pairs(item) if v is not None]
                yield f"{indent}- {'; '.join(pairs)}"
    else:
        yield from _lines(value, indent)


def _pairs(record: object) -> list[tuple[str, object]]:
    if isinstance(record, Mapping):
        return [(str(k), v) for k, v in record.items()]
    if is_record(record):
        return list(record._asdict().items())
    return []


def _search(knowledge: Knowledge, words: list[str], as_json: bool) -> int:
    hits = _hits(knowledge, words)
    if as_json:
        json_line([{"kind": kind, "id": key, "title": t} for key, kind, t in hits[:_MOST_HITS]])
        return 0 if hits else 1
    if not hits:
        print(f"nothing matches '{' '.join(words)}'; try fewer or other words", file=sys.stderr)
        return 1
    for key, kind, title in hits[:_MOST_HITS]:
        print(f"{kind:13} {key}  {title}")
    return 0


def _hits(knowledge: Knowledge, words: list[str]) -> list[tuple[str, str, str]]:
    from rapidfuzz import fuzz

    wanted = " ".join(words).lower()
    scored = []
    for kind, table in tables(knowledge).items():
        for key, record in table.items():
            title = str(getattr(record, "title", getattr(record, "because", "")))
            text = f"{key.replace('_', ' ')} {title}".lower()
            score = fuzz.token_set_ratio(wanted, text)
            if score >= 75:
                scored.append((-score, len(text), key, kind, title))
    return [(key, kind, title) for _, _, key, kind, title in sorted(scored)]

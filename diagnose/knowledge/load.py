"""Read the rule base from its folder; every problem of every file is collected, then reported once.

`load_knowledge` is the front door: it gives the compiled copy when its content still matches.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING, Any, TypeVar

import diagnose
from diagnose.knowledge import model
from diagnose.knowledge.cache import compiled, digest_of
from diagnose.knowledge.packed import Packed
from diagnose.knowledge.problems import KnowledgeError, Place, Problem

if TYPE_CHECKING:
    from pathlib import Path  # loaded where files are read, not where the compiled copy is

    from diagnose.knowledge.yamltext import Document

T = TypeVar("T")
SETTINGS = (
    "one_fault",
    "expected_faults",
    "none_of_these",
    "none_shows",
    "tempering",
    "misread",
    "well_without_complaint",
    "misheard",
    "talked_about",
    "talked_about_at_most",
    "counted",
    "counted_beside",
    "has_a_root",
    "complained_of",
    "looks_for_one_more",
    "question_price",
    "patience",
    "mistaken_proof",
    "disproved",
    "undo_minutes",
    "call_for_help_minutes",
)
_ONE_TABLE = "one table 'sources' is expected"
_LISTS = {
    "findings": model.Finding,
    "checks": model.Check,
    "access": model.Access,
    "rules": model.ChainRule,
    "cautions": model.Caution,
    "corrections": model.Correction,
    "told": model.Told,
}


def rules_folder() -> Path:
    """Where `rules/` lies: inside the installed package, or beside it in a working copy."""
    return _data_folder("rules")


def conversations_folder() -> Path:
    """Where `conversations/` lies, found the same way."""
    return _data_folder("conversations")


def load_knowledge(folder: Path | None = None) -> model.Knowledge:
    """The rule base of `folder`; raises `KnowledgeError` with every problem found."""
    digest = digest_of(folder or _data_place("rules"))

    def build() -> model.Knowledge:
        from diagnose.knowledge.checks import problems_across

        book, problems = read_folder(folder or rules_folder())
        problems += problems_across(book)
        if problems:
            raise KnowledgeError(problems)
        return book.knowledge(digest)

    return compiled("knowledge", digest, build)


NO_WORDS = model.Words({}, {}, {}, {}, {}, {})


class Book:
    """Everything read so far, and where each record stands.

    `is_whole` is False once a file or a record of it could not be used: what names it is not wrong.
    """

    def __init__(self) -> None:
        self.is_whole = True
        self.tables: dict[str, dict[str, Any]] = {}
        self.places: dict[tuple[str, str], Callable[..., Place]] = {}
        self.words = NO_WORDS

    def table(self, kind: str) -> dict[str, Any]:
        """The records of one kind by id."""
        return self.tables.setdefault(kind, {})

    def place(self, kind: str, key: str, *path: str | int) -> Place:
        """Where a record, or a part of it, stands."""
        finder = self.places.get((kind, key))
        return finder(*path) if finder else Place("rules", 1, 1)

    def knowledge(self, digest: str = "") -> model.Knowledge:
        """The finished rule base, every table in the order of its ids."""
        tables = {k: Packed(dict(sorted(v.items()))) for k, v in self.tables.items()}
        empty: dict[str, Any] = {}
        return model.Knowledge(
            findings=tables.get("findings", empty),
            checks=tables.get("checks", empty),
            causes=tables.get("causes", empty),
            access=tables.get("access", empty),
            rules=tables.get("rules", empty),
            cautions=tables.get("cautions", empty),
            sheets=tables.get("engines", empty),
            sources=tables.get("sources", empty),
            words=self.words,
            settled_by=model.settlers(tables.get("checks", empty)),
            digest=digest,
            lessons=tables.get("lessons", empty),
            corrections=tables.get("corrections", empty),
            told=tables.get("told", empty),
        )


def read_folder(
    folder: Path, order: Callable[[list[Path]], Iterable[Path]] = sorted
) -> tuple[Book, list[Problem]]:
    """Read every rule file of `folder` in the given order; nothing is raised."""
    book, problems = Book(), []
    for needed in ("words.yaml", "access.yaml", "sources.yaml"):
        if not (folder / needed).is_file():
            problems.append(Problem("missing_file", Place(needed, 1, 1), ("the rule base",)))
    for path in order(list(folder.rglob("*.yaml"))):
        problems += _read_file(folder, path, book)
    return book, problems


def _data_folder(name: str) -> Path:
    from pathlib import Path

    return Path(_data_place(name))


def _data_place(name: str) -> str:
    package = os.path.dirname(diagnose.__file__)
    inside = os.path.join(package, "_data", name)
    return inside if os.path.isdir(inside) else os.path.join(os.path.dirname(package), name)


def _read_file(folder: Path, path: Path, book: Book) -> list[Problem]:
    from diagnose.knowledge.yamltext import read

    parts = path.relative_to(folder).parts
    name = "/".join((folder.name, *parts))
    document = read(path, name)
    if document.problems:
        book.is_whole = False
        return document.problems
    if not isinstance(document.data, dict):
        book.is_whole = False
        return [Problem("wrong_type", Place(name, 1, 1), ("this file", "keys are expected"))]
    for kind, record, data_path in _records(parts, path.stem, document):
        if record is None:
            book.is_whole = False
        else:
            enter(book, kind, record, document, data_path)
    if parts == ("words.yaml",):
        _read_words(document, book)
    return document.problems


def _read_words(document: Document, book: Book) -> None:
    from diagnose.knowledge.shape import shaped

    words = shaped(model.Words, document, (), {})
    book.words = words or NO_WORDS
    book.places["words", ""] = lambda *rest: document.place(rest)
    for name in SETTINGS if words else ():
        if name not in book.words.settings:
            document.problems.append(Problem("missing_key", document.place(("settings",)), (name,)))


def _records(
    parts: tuple[str, ...], stem: str, document: Document
) -> Iterator[tuple[str, Any, Any]]:
    from diagnose.knowledge.shape import shaped

    area = parts[0].removesuffix(".yaml")
    if area == "causes":
        system = parts[1] if len(parts) > 2 else ""
        yield "causes", shaped(model.Cause, document, (), {"system": system}), ()
    elif area == "lessons":
        yield "lessons", shaped(model.Lesson, document, (), {}), ()
    elif area == "engines":
        yield "engines", shaped(model.EngineSheet, document, (), {}), ()
    elif area == "sources":
        yield from _shelf(document)
    elif area in ("findings", "checks", "access", "chaining", "corrections", "told"):
        yield from _listed(stem, document)


def _shelf(document: Document) -> Iterator[tuple[str, Any, Any]]:
    from diagnose.knowledge.shape import shaped

    table = document.data.get("sources")
    if not isinstance(table, dict) or len(document.data) > 1:
        place = document.place(("sources",))
        document.problems.append(Problem("wrong_type", place, ("this file", _ONE_TABLE)))
        return
    for key in table:
        path = ("sources", key)
        yield "sources", shaped(model.Source, document, path, {"key": key}), path


def _listed(stem: str, document: Document) -> Iterator[tuple[str, Any, Any]]:
    from diagnose.knowledge.shape import shaped

    for kind, items in document.data.items():
        if kind not in _LISTS or not isinstance(items, list):
            document.problems.append(Problem("unknown_key", document.place((kind,)), (kind,)))
            continue
        given = {"topic": stem} if kind in ("findings", "checks", "rules") else {}
        for i, item in enumerate(items):
            path = (kind, i)
            extra = dict(given)
            if kind == "rules" and isinstance(item, dict) and isinstance(item.get("then"), dict):
                extra["then"] = [item["then"]]  # type: ignore[assignment]
            yield kind, shaped(_LISTS[kind], document, path, extra), path


def enter(book: Book, kind: str, record: Any, document: Any, path: Any) -> None:
    """Put a record of a document in the book; one whose id is there already is reported."""
    key = record.key if kind == "sources" else record.id
    table = book.table(kind)
    here = document.place((*path, "id"))
    if key in table:
        first = str(book.place(kind, key))
        document.problems.append(Problem("id_repeated", here, (key, first)))
        return
    table[key] = record
    book.places[kind, key] = lambda *rest: document.place((*path, *rest))

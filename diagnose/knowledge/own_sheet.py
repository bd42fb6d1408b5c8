"""An engine sheet that somebody wrote for their own engine, held to the checks of the rule base."""

from __future__ import annotations

from pathlib import Path

from diagnose.knowledge import model
from diagnose.knowledge.checks import sheet_problems
from diagnose.knowledge.load import Book, enter
from diagnose.knowledge.problems import KnowledgeError, Place, Problem


def read_sheet(path: Path, knowledge: model.Knowledge) -> model.EngineSheet:
    """The sheet in the file; raises KnowledgeError with every problem and its place.

    Besides the keys of a shipped sheet it may have `sources`: titles (and addresses) of its own.
    """
    from diagnose.knowledge.shape import shaped
    from diagnose.knowledge.yamltext import read

    document = read(path, str(path))
    if document.problems:
        raise KnowledgeError(document.problems)
    if not isinstance(document.data, dict):
        fault = Problem("wrong_type", Place(str(path), 1, 1), ("this file", "keys are expected"))
        raise KnowledgeError([fault])
    book = _book_of(knowledge)
    sources = document.data.get("sources")
    for key in sources if isinstance(sources, dict) else ():
        record = shaped(model.Source, document, ("sources", key), {"key": key})
        if record is not None:
            book.table("sources")[key] = record
    document.data.pop("sources", None)  # a sheet itself has no such key
    sheet = shaped(model.EngineSheet, document, (), {})
    if sheet is not None:
        enter(book, "engines", sheet, document, ())
        document.problems += sheet_problems(book, sheet)
    if sheet is None or document.problems:
        raise KnowledgeError(document.problems)
    return sheet


def _book_of(knowledge: model.Knowledge) -> Book:
    """What a sheet may refer to; it may have the name of a shipped one."""
    book = Book()
    book.words = knowledge.words
    for kind in ("findings", "sources", "corrections"):
        book.table(kind).update(getattr(knowledge, kind))
    return book

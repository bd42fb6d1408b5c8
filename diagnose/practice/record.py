"""What a learner has done, kept as JSON Lines in the user's own data folder; judges nothing.

The only module of practice that touches files, so that it can move to another store.
"""

from __future__ import annotations

import json
import math
import os
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from diagnose.cases.place import data_folder
from diagnose.knowledge.problems import DiagnoseError

_RESULTS, _OPEN = "practice.jsonl", "practice-open.json"


class NotKept(DiagnoseError):
    """The data folder can't be written, or a file can't be read."""


def add_result(result: dict[str, Any]) -> None:
    """Append one result, with the time."""
    when = datetime.now(UTC).isoformat(timespec="seconds")
    line = json.dumps({"when": when, **result})
    try:
        data_folder().mkdir(parents=True, exist_ok=True, mode=0o700)
        with open(data_folder() / _RESULTS, "a", encoding="utf-8") as file:
            file.write(f"{line}\n")
    except OSError as fault:
        raise NotKept(f"{data_folder()}: can't be written: {fault.strerror}") from fault


def results(name: str = "") -> list[dict[str, Any]]:
    """The results of one learner, oldest first; a damaged line is passed over."""
    return [r for r in _lines(data_folder() / _RESULTS) if r.get("name", "") == name]


def keep_open(name: str, what: dict[str, Any], texts: list[str] | None) -> None:
    """Keep how far an exercise has come, or forget it (None); written whole or not at all."""
    path = data_folder() / _OPEN
    table = _table(path)
    begun = [one for one in _begun(table.get(name)) if one["what"] != what]
    table[name] = begun if texts is None else [*begun, {"what": what, "texts": texts}]
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        part = path.with_name(f"{path.name}.{os.getpid()}.part")
        part.write_text(json.dumps(table), encoding="utf-8")
        part.replace(path)
    except OSError as fault:
        raise NotKept(f"{path}: can't be written: {fault.strerror}") from fault


def left_open(name: str, what: dict[str, Any] | None = None) -> dict[str, Any] | None:
    """The exercise a learner left last, or that very one; None when there is none."""
    begun = _begun(_table(data_folder() / _OPEN).get(name))
    return next((one for one in reversed(begun) if what in (None, one["what"])), None)


def _begun(found: Any) -> list[dict[str, Any]]:
    return [
        one
        for one in (found if isinstance(found, list) else ())
        if isinstance(one, dict)
        and isinstance(one.get("what"), dict)
        and isinstance(one.get("texts"), list)
    ]


def is_result(found: Any) -> bool:
    """Whether something read from a file is a result that can be counted with."""
    if not isinstance(found, dict) or not _is_number(found.get("lost")):
        return False
    figures = (found.get(key) for key in ("brier", "wrong_parts", "dangers", "level"))
    return all(one is None or _is_number(one) for one in figures)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and math.isfinite(value)


def read_file(path: Path) -> Any:
    """A JSON file of somebody else's; raises NotKept when it can't be used."""
    try:
        return json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError) as fault:
        told = getattr(fault, "strerror", None) or "it is no JSON"
        raise NotKept(f"{path}: can't be read: {told}") from fault


def write_file(path: Path, content: str) -> None:
    """Write a file for somebody else; raises NotKept when it can't be."""
    try:
        path.write_text(content, encoding="utf-8")
    except OSError as fault:
        raise NotKept(f"{path}: can't be written: {fault.strerror}") from fault


def _lines(path: Path) -> Iterator[dict[str, Any]]:
    try:
        text = path.read_text(encoding="utf-8", errors="replace")
    except OSError:
        return
    for line in text.splitlines():
        try:
            found = json.loads(line)
        except (ValueError, RecursionError):
            continue
        if is_result(found):
            yield found


def _table(path: Path) -> dict[str, Any]:
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}

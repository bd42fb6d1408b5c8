"""The files an older program kept the practice record in, taken into the store once.

Each line has a key made of itself, so that nothing is ever taken in twice; the files are then put
aside, never removed, for what could not be read stays in them.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from diagnose.cases import learners
from diagnose.cases.learners import Begun
from diagnose.cases.place import data_folder
from diagnose.cases.store import Store
from diagnose.cases.upkeep import free_path
from diagnose.named import Named
from diagnose.practice.record import NotKept, is_result

_RESULTS, _BEGUN = "practice.jsonl", "practice-open.json"


class Moved(Named):
    """What was taken in: results, lines that could not be read, and where the files are now."""

    results: int
    unread: int
    aside: tuple[Path, ...]


def take_in(store: Store, who: str = "") -> Moved | None:
    """Take in what the files in the data folder hold; None when there are none.

    What was kept under no name is that of who is at this desk.
    """
    here = [f for f in (data_folder() / _RESULTS, data_folder() / _BEGUN) if f.is_file()]
    if not here:
        return None
    texts = {file.name: _read(file) for file in here}
    lines = [line for line in texts.get(_RESULTS, "").splitlines() if line.strip()]
    found = [(key, name or who, result) for key, name, result in _results(lines)]
    begun = _open_ones(texts.get(_BEGUN, "{}"))
    unread = len(lines) - len(found) + (begun is None)
    new = learners.take_in(store, found, [(name or who, one) for name, one in begun or ()])
    return Moved(new, unread, tuple(_put_aside(file) for file in here))


def put_aside() -> list[Path]:
    """The files that were put aside."""
    return sorted(data_folder().glob("practice*-taken-in*.json*"))


def _read(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8", errors="replace")
    except OSError as fault:
        raise NotKept(f"{file}: can't be read: {fault.strerror}") from fault


def _results(lines: list[str]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Key, learner and result of each line that can be read."""
    alike: Counter[str] = Counter()
    for line in lines:
        alike[line] += 1
        result = _json(line)
        if is_result(result):
            key = hashlib.sha256(f"{alike[line]} {line}".encode()).hexdigest()
            yield key, str(result.get("name", "")), result


def _open_ones(text: str) -> list[tuple[str, Begun]] | None:
    """Every exercise that was begun, with its learner; None when it can't be read."""
    table = _json(text)
    if not isinstance(table, dict):
        return None
    return [(name, one) for name, begun in table.items() for one in _begun(begun)]


def _begun(found: Any) -> Iterator[Begun]:
    for one in found if isinstance(found, list) else ():
        what, texts = (one.get("what"), one.get("texts")) if isinstance(one, dict) else (None, None)
        if isinstance(what, dict) and isinstance(texts, list):
            yield Begun(what, [str(text) for text in texts])


def _json(text: str) -> Any:
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        return None


def _put_aside(file: Path) -> Path:
    try:
        return file.rename(free_path(file.with_name(f"{file.stem}-taken-in{file.suffix}")))
    except OSError as fault:
        raise NotKept(
            f"{file}: is in the store now, but can't be put aside ({fault.strerror}); move it away"
        ) from fault

"""What a learner has done, kept in the store of cases; judges nothing.

The only module of practice that touches the store and files.
"""

from __future__ import annotations

import json
import math
import os
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from diagnose.cases import learners
from diagnose.cases.learners import Begun
from diagnose.cases.store import Store
from diagnose.knowledge.problems import DiagnoseError
from diagnose.named import Named

PATIENCE = 5.0  # seconds to wait for others at a shared file


class NotKept(DiagnoseError):
    """A file of somebody's can't be read or written."""


class Book(Named):
    """The record of one learner; without a store nothing is kept."""

    store: Store | None
    name: str = ""

    def results(self) -> list[dict[str, Any]]:
        """What was done, oldest first."""
        found = learners.results(self.store, self.name) if self.store else []
        return [one for one in found if is_result(one)]

    def of_everybody(self) -> list[dict[str, Any]]:
        """What all learners of this store did."""
        return learners.of_all(self.store) if self.store else []

    def left_open(self, what: Mapping[str, Any] | None = None) -> Begun | None:
        """The exercise left last, or that very one; None when there is none."""
        begun = learners.begun(self.store, self.name) if self.store else []
        return next((one for one in reversed(begun) if what in (None, one.what)), None)

    def keep(self, what: Mapping[str, Any], texts: Sequence[str]) -> None:
        """Keep how far an exercise has come."""
        if self.store:
            learners.keep_begun(self.store, self.name, what, texts)

    def file(self, what: Mapping[str, Any], result: Mapping[str, Any]) -> None:
        """File the result of an exercise, with the time; it is open no more."""
        if self.store:
            when = datetime.now(UTC).isoformat(timespec="seconds")
            learners.file_result(self.store, self.name, what, {"when": when, **result})

    def forget(self) -> int:
        """Remove all that is kept of the learner; how many things that were."""
        return learners.forget(self.store, self.name) if self.store else 0


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
    """Write a file for somebody else, whole or not at all; raises NotKept when it can't be."""
    part = path.with_name(f"{path.name}.{os.getpid()}.part")
    try:
        part.write_text(content, encoding="utf-8")
        part.replace(path)
    except OSError as fault:
        with suppress(OSError):
            part.unlink()
        raise NotKept(f"{path}: can't be written: {fault.strerror}") from fault


@contextmanager
def alone(path: Path) -> Iterator[None]:
    """Nobody else changes a shared file meanwhile; one who was killed at it is not waited for."""
    lock, until = path.with_name(f".{path.name}.lock"), time.monotonic() + PATIENCE
    while time.monotonic() < until:
        try:
            os.close(os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY))
            break
        except FileExistsError:
            time.sleep(0.02)
        except OSError as fault:
            raise NotKept(f"{path}: can't be written: {fault.strerror}") from fault
    try:
        yield
    finally:
        lock.unlink(missing_ok=True)

"""The shape of every rule file: which keys, which types; pydantic does the checking here alone.

Imported only when the rule base is read from YAML, never when the compiled copy is used.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError

from diagnose.knowledge import model
from diagnose.knowledge.problems import Problem
from diagnose.knowledge.yamltext import Document, Path_

T = TypeVar("T")
_ADAPTERS: dict[type[Any], TypeAdapter[Any]] = {}
_CODES = {"missing": "missing_key", "missing_argument": "missing_key"}
_UNKNOWN = {"extra_forbidden", "unexpected_keyword_argument"}


def shaped(kind: type[T], document: Document, path: Path_, given: Mapping[str, Any]) -> T | None:
    """The record of type `kind` at `path`, with `given` fields added; None and problems if not."""
    data = _at(document.data, path)
    if not isinstance(data, dict):
        _report(document, path, "wrong_type", (str(data), "a block of keys is expected"))
        return None
    try:
        return _adapter(kind).validate_python({**data, **given})
    except ValidationError as fault:
        for error in fault.errors():
            _translate(document, path, error)
        return None


def _adapter(kind: type[T]) -> TypeAdapter[T]:
    if not _ADAPTERS:
        for record in vars(model).values():
            if isinstance(record, type) and hasattr(record, "__dataclass_fields__"):
                setattr(record, "__pydantic_config__", {"extra": "forbid"})  # noqa: B010
    if kind not in _ADAPTERS:
        _ADAPTERS[kind] = TypeAdapter(kind)
    return _ADAPTERS[kind]


def _at(data: Any, path: Path_) -> Any:
    for step in path:
        data = data[step]
    return data


def _translate(document: Document, path: Path_, error: Any) -> None:
    where = (*path, *(step for step in error["loc"]))
    key = str(error["loc"][-1]) if error["loc"] else ""
    if error["type"] in _UNKNOWN:
        _report(document, where, "unknown_key", (key,))
    elif error["type"] in _CODES:
        _report(document, where, "missing_key", (key,))
    else:
        value = str(error.get("input"))[:60]
        _report(document, where, "wrong_type", (value, error["msg"].lower()))


def _report(document: Document, path: Path_, code: str, values: tuple[str, ...]) -> None:
    document.problems.append(Problem(code, document.place(path), values))

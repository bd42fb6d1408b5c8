"""The shape of every rule file: which keys, which types; pydantic does the checking here alone.

What a type can't say (a share lies between 0 and 1, a rule has a condition) stands in `_FITS`.
Imported only when the rule base is read from YAML, never when the compiled copy is used.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError

from diagnose.knowledge import model
from diagnose.knowledge.problems import Problem
from diagnose.knowledge.yamltext import Document, Path_

T = TypeVar("T")
_ADAPTERS: dict[type[Any], TypeAdapter[Any]] = {}
_CODES = {"missing": "missing_key", "missing_argument": "missing_key"}
_UNKNOWN = {"extra_forbidden", "unexpected_keyword_argument"}

Fit = tuple[Callable[[Any], bool], str]
_SHARE: Fit = (lambda x: 0 < x < 1, "a share between 0 and 1 is expected")
_ABOVE: Fit = (lambda x: x > 0, "a figure above 0 is expected")
_NOT_BELOW: Fit = (lambda x: x >= 0, "a figure of 0 or more is expected")
_SOME: Fit = (lambda x: len(x) > 0, "at least one is expected")
_FITS: dict[tuple[type[Any], str], Fit] = {
    (model.Words, "how_often"): _SHARE,
    (model.Words, "background"): _SHARE,
    (model.Words, "how_common"): _ABOVE,
    (model.Words, "strength"): (lambda x: x >= 1, "a factor of 1 or more is expected"),
    (model.Words, "settings"): _ABOVE,
    (model.Finding, "states"): (lambda x: len(set(x)) > 1, "two states or more are expected"),
    (model.Gauge, "u"): _NOT_BELOW,
    (model.Check, "minutes"): _NOT_BELOW,
    (model.Check, "misread"): (lambda x: 0 < x <= 0.5, "a share up to 0.5 is expected"),
    (model.Access, "minutes"): _NOT_BELOW,
    (model.Access, "each"): _ABOVE,
    (model.Repair, "minutes"): _NOT_BELOW,
    (model.Told, "messages"): _NOT_BELOW,
    (model.Told, "written"): _NOT_BELOW,
    (model.Told, "words"): _ABOVE,
    (model.ChainRule, "when"): _SOME,
    (model.ChainRule, "then"): _SOME,
}


def shaped(kind: type[T], document: Document, path: Path_, given: Mapping[str, Any]) -> T | None:
    """The record of type `kind` at `path`, with `given` fields added; None and problems if not."""
    data = _at(document.data, path)
    if not isinstance(data, dict):
        _report(document, path, "wrong_type", (str(data), "a block of keys is expected"))
        return None
    try:
        record = _adapter(kind).validate_python({**data, **given})
    except ValidationError as fault:
        for error in fault.errors():
            _translate(document, path, error)
        return None
    unfit = list(_unfit(record, path))
    for where, value, wanted in unfit:
        _report(document, where, "wrong_type", (str(value)[:60], wanted))
    return None if unfit else record


def _unfit(record: Any, path: Path_) -> Iterator[tuple[Path_, Any, str]]:
    """Every value in a record, or in a record within it, that its `_FITS` does not admit."""
    for name, value in record._asdict().items():
        where = (*path, name)
        if model.is_record(value):
            yield from _unfit(value, where)
        elif isinstance(value, tuple) and value and model.is_record(value[0]):
            for i, item in enumerate(value):
                yield from _unfit(item, (*where, i))
        elif (type(record), name) in _FITS:
            yield from _misfits(_FITS[type(record), name], value, where)


def _misfits(fit: Fit, value: Any, where: Path_) -> Iterator[tuple[Path_, Any, str]]:
    fits, wanted = fit
    table = isinstance(value, Mapping)
    places = {(*where, key): one for key, one in value.items()} if table else {where: value}
    return ((place, one, wanted) for place, one in places.items() if not fits(one))


def _adapter(kind: type[T]) -> TypeAdapter[T]:
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

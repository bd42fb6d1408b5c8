"""YAML text to plain data that remembers its lines; it knows no shape of any rule file.

Only true/false, null, plain integers and plain decimals are anything but text here, so that `no`,
`off` or `12:30` stay what was written. A key given twice is refused instead of silently lost.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from diagnose.knowledge.problems import Place, Problem

# PyYAML is also built without its C part, which reads ten times slower
_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

_INTEGER = re.compile(r"-?(?:0|[1-9]\d*)")
_DECIMAL = re.compile(r"-?\d+\.\d+")
_WORDS = {"true": True, "false": False, "null": None}
_MOST_BYTES = 2_000_000
_TWICE = "this block is named and used again (& and *); write it out where it is needed"
_TOO_DEEP = "its blocks stand too deep in each other"
Path_ = tuple[str | int, ...]


@dataclass(slots=True)
class Document:
    """The data of one file, and the place of every key and item in it."""

    file: str
    data: Any
    places: dict[Path_, Place] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    met: dict[int, yaml.Node] = field(default_factory=dict)

    def place(self, path: Path_) -> Place:
        """The place of `path`, or of the nearest thing around it."""
        while path and path not in self.places:
            path = path[:-1]
        return self.places.get(path, Place(self.file, 1, 1))


def read(path: Path, name: str) -> Document:
    """Read one file; what is wrong with its text stands in `problems`."""
    document = Document(name, None)
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise OSError("it is larger than 2 MB, which no rule file is")
        text = path.read_bytes().decode("utf-8")
        node = yaml.compose(text, Loader=_Loader)
        document.data = None if node is None else _build(node, (), document)
    except (OSError, UnicodeDecodeError) as fault:
        document.problems.append(Problem("unreadable_file", Place(name, 1, 1), (str(fault),)))
    except yaml.YAMLError as fault:
        document.problems.append(Problem("not_yaml", _mark(name, fault), (_reason(fault),)))
    except RecursionError:
        document.problems.append(Problem("not_yaml", Place(name, 1, 1), (_TOO_DEEP,)))
    return document


def _mark(name: str, fault: yaml.YAMLError) -> Place:
    mark = getattr(fault, "problem_mark", None)
    return Place(name, mark.line + 1, mark.column + 1) if mark else Place(name, 1, 1)


def _reason(fault: yaml.YAMLError) -> str:
    return str(getattr(fault, "problem", None) or "the text breaks off")


def _build(node: yaml.Node, path: Path_, document: Document) -> Any:
    document.places.setdefault(path, _place(node, document))
    if not isinstance(node, yaml.ScalarNode):
        if id(node) in document.met:  # built again and again, a few lines would fill the memory
            document.problems.append(Problem("not_yaml", _place(node, document), (_TWICE,)))
            return None
        document.met[id(node)] = node
    if isinstance(node, yaml.MappingNode):
        return _mapping(node, path, document)
    if isinstance(node, yaml.SequenceNode):
        return [_build(item, (*path, i), document) for i, item in enumerate(node.value)]
    return _scalar(node)


def _mapping(node: yaml.MappingNode, path: Path_, document: Document) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for key_node, value_node in node.value:
        key = str(key_node.value)
        place = _place(key_node, document)
        if key in out:
            document.problems.append(Problem("duplicate_key", place, (key,)))
            continue
        document.places[(*path, key)] = place
        out[key] = _build(value_node, (*path, key), document)
    return out


def _place(node: yaml.Node, document: Document) -> Place:
    return Place(document.file, node.start_mark.line + 1, node.start_mark.column + 1)


def _scalar(node: yaml.Node) -> Any:
    text = str(node.value)
    if getattr(node, "style", None):
        return text
    if text in _WORDS:
        return _WORDS[text]
    if _INTEGER.fullmatch(text):
        return int(text)
    return float(text) if _DECIMAL.fullmatch(text) else text

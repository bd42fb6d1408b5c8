"""A class file: the same exercises for several learners, and their results as one table."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from random import Random
from typing import Any

from diagnose.practice import record
from diagnose.practice.record import NotKept
from diagnose.practice.scenario import LEVELS

_KIND = "practice class"


def make(count: int, level: int, seed: int, lessons: Sequence[str]) -> dict[str, Any]:
    """A set of drawn engines after the lessons named; it tells no fault."""
    chance = Random(f"class/{seed}")
    drawn = [{"seed": chance.randrange(10**6), "level": level} for _ in range(count)]
    return {"kind": _KIND, "exercises": [*({"lesson": x} for x in lessons), *drawn], "results": []}


def write(path: Path, content: Mapping[str, Any]) -> None:
    """Write a class file."""
    record.write_file(path, json.dumps(content, indent=1) + "\n")


def read(path: Path) -> dict[str, Any]:
    """Read a class file; raises NotKept when it is none."""
    found = record.read_file(path)
    lists = isinstance(found, dict) and all(
        isinstance(found.get(k), list) for k in ("exercises", "results")
    )
    if not lists or found.get("kind") != _KIND:
        raise NotKept(
            f"{path}: is no class file; make one with: diagnose practice set --export FILE"
        )
    for one in found["exercises"]:
        if not _is_exercise(one):
            raise NotKept(f"{path}: can't use the exercise {json.dumps(one)[:60]}")
    return dict(found)


def _is_exercise(one: Any) -> bool:
    if not isinstance(one, dict):
        return False
    drawn = isinstance(one.get("seed"), int) and one.get("level") in LEVELS
    return isinstance(one.get("lesson"), str) or drawn


def next_for(content: Mapping[str, Any], name: str) -> dict[str, Any] | None:
    """The first exercise that a learner has not done."""
    results = [r for r in content["results"] if record.is_result(r)]
    done = [r.get("what") for r in results if r.get("name") == name]
    return next((dict(e) for e in content["exercises"] if e not in done), None)


def add(path: Path, result: Mapping[str, Any]) -> None:
    """Add a result to a class file; read anew and by one at a time, so that none is lost."""
    with record.alone(path):
        content = read(path)
        write(path, {**content, "results": [*content["results"], dict(result)]})


def table(contents: Iterable[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """One row a learner, the least minutes lost first; the same result in two files counts once."""
    by_name: dict[str, dict[str, Mapping[str, Any]]] = {}
    for content in contents:
        for one in content["results"]:
            if record.is_result(one):
                key = json.dumps(one.get("what"), sort_keys=True)
                by_name.setdefault(str(one.get("name") or "-"), {})[key] = one
    rows = [_learner(name, list(found.values())) for name, found in by_name.items()]
    return sorted(rows, key=lambda r: (-r["solved"], r["lost"], r["name"]))


def _learner(name: str, found: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    briers = [float(r["brier"]) for r in found if r.get("brier") is not None]
    return {
        "name": name,
        "done": len(found),
        "solved": sum(bool(r.get("solved")) for r in found),
        "lost": round(sum(float(r["lost"]) for r in found) / len(found), 1),
        "wrong_parts": sum(int(r.get("wrong_parts") or 0) for r in found),
        "dangers": sum(int(r.get("dangers") or 0) for r in found),
        "brier": round(sum(briers) / len(briers), 3) if briers else None,
    }

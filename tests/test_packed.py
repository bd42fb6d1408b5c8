"""A packed table is the dict it was made of, before and after it was kept."""

from __future__ import annotations

import pickle
from collections.abc import Callable, Mapping
from typing import Any

import pytest

from diagnose.knowledge.load import load_knowledge
from diagnose.knowledge.model import Source
from diagnose.knowledge.packed import Packed

TABLE = {key: Source(key, f"book {key}", "") for key in "caged"}


def kept() -> Packed[Source]:
    again = pickle.loads(pickle.dumps(Packed(TABLE)))
    assert isinstance(again, Packed)
    return again


@pytest.mark.parametrize("made", [lambda: Packed(TABLE), kept], ids=["made", "kept"])
@pytest.mark.parametrize(
    "use",
    [
        lambda table: table["a"],
        lambda table: table.get("a"),
        lambda table: table.get("z"),
        lambda table: table.get("z", 1),
        lambda table: ("a" in table, "z" in table),
        len,
        list,
        bool,
        lambda table: list(table.keys()),
        lambda table: list(table.values()),
        lambda table: list(table.items()),
        lambda table: {**table, "z": 1},
        dict,
        lambda table: table == TABLE,
        lambda table: table == {"a": 1},
        lambda table: [table["e"], *table],
        lambda table: sorted(table),
        lambda table: repr(table).removeprefix("Packed(").removesuffix(")"),
        lambda table: pickle.loads(pickle.dumps(table)),
    ],
)
def test_a_use_gives_what_the_dict_gives(
    use: Callable[[Any], Any], made: Callable[[], Mapping[str, Source]]
) -> None:
    assert use(made()) == use(TABLE)


def test_what_is_not_there_is_missing_as_in_a_dict() -> None:
    for table in (Packed(TABLE), kept()):
        with pytest.raises(KeyError, match="z"):
            table["z"]


def test_looking_at_one_record_unpacks_that_one_alone() -> None:
    table = kept()
    assert (table["a"], len(table), "d" in table) == (TABLE["a"], 5, True)
    assert [key for key in TABLE if dict.get(table, key)] == ["a"]


def test_the_shipped_tables_are_the_same_from_the_copy_as_from_the_files() -> None:
    knowledge = load_knowledge()
    again = pickle.loads(pickle.dumps(knowledge))
    assert again == knowledge
    assert list(again.causes) == list(knowledge.causes)

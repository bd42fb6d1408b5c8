"""A table of records whose kept copy is unpacked record by record, when one is asked for.

A question looks at a quarter of the causes and at fewer of the findings; unpacking them all took
longer than answering.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any, TypeVar

try:  # the C part of pickle alone: the rest takes a millisecond to load
    from _pickle import PickleError, dumps, loads
except ImportError:
    from pickle import PickleError, dumps, loads

if TYPE_CHECKING:
    from _collections_abc import dict_items, dict_keys, dict_values

__all__ = ("NEWEST", "Packed", "PickleError", "dumps", "loads")

T = TypeVar("T")
NEWEST = -1  # form of a pickle


class Packed(dict[str, T]):
    """A dict to look at, in the order of the table it was made of; nothing may be added to it.

    A record that was unpacked stands in the dict itself, so looking it up again costs no more than
    in any dict. `keys`, `in` and `len` unpack nothing; what walks over the records unpacks all.
    """

    __slots__ = ("_packed",)

    def __init__(self, table: Mapping[str, T]) -> None:
        super().__init__(table)
        self._packed: dict[str, bytes | None] = dict.fromkeys(table)

    def __missing__(self, key: str) -> T:
        packed = self._packed[key]
        if packed is None:  # in the table and not in the dict: somebody took it out
            raise KeyError(key)
        found: T = loads(packed)
        super().__setitem__(key, found)
        return found

    def __reduce__(self) -> tuple[Any, ...]:
        packed = {key: dumps(record, NEWEST) for key, record in self.items()}
        return _unpacked, (packed,)

    def get(self, key: str, default: Any = None) -> Any:
        """The record, or the default."""
        return self[key] if key in self._packed else default

    def __contains__(self, key: object) -> bool:
        return key in self._packed

    def __len__(self) -> int:
        return len(self._packed)

    def __iter__(self) -> Iterator[str]:
        return iter(self._packed)

    def keys(self) -> dict_keys[str, Any]:
        """The ids, in the order of the table."""
        return self._packed.keys()

    def values(self) -> dict_values[str, T]:
        """The records, in the order of the table."""
        return self._whole().values()

    def items(self) -> dict_items[str, T]:
        """The ids with their records, in the order of the table."""
        return self._whole().items()

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Mapping) and self._whole() == dict(other)

    __hash__ = None

    def __repr__(self) -> str:
        return f"Packed({self._whole()!r})"

    def _whole(self) -> dict[str, T]:
        return {key: self[key] for key in self._packed}


def _unpacked(packed: dict[str, bytes]) -> Packed[Any]:
    """The table as it comes out of a kept copy."""
    table: Packed[Any] = Packed({})
    table._packed = packed  # type: ignore[assignment]
    return table

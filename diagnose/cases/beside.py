"""What a store keeps beside its cases, as lines of an export and back again.

A line names its table and holds the columns; it never covers what is here already.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from sqlalchemy import Connection, text

from diagnose.cases.plain import storable
from diagnose.named import Named

_TABLES: dict[str, dict[str, type]] = {
    "practice_results": {"key": str, "learner": str, "result": str},
    "practice_begun": {"learner": str, "what": str, "texts": str, "changed": str},
    "counts_elsewhere": {"shop": str, "cause": str, "cases": int},
}
_ORDER = {"practice_results": "number", "practice_begun": "changed, learner, what"}


_JSON = {"result": dict, "what": dict, "texts": list}


class Row(Named):
    """One row of one of the tables."""

    table: str
    values: dict[str, Any]


def rows(db: Connection) -> Iterator[dict[str, Any]]:
    """Every row as a line of an export."""
    for table, columns in _TABLES.items():
        order = _ORDER.get(table, "shop, cause")
        found = db.execute(text(f"SELECT {', '.join(columns)} FROM {table} ORDER BY {order}"))
        for row in found.mappings():
            yield {"table": table, **row}


def row_of(data: Any) -> Row | None:
    """The row a line holds; None when it is no such line. Raises ValueError when it is spoiled."""
    table = data.get("table") if isinstance(data, dict) else None
    if table is None:
        return None
    columns = _TABLES.get(table) if isinstance(table, str) else None
    values = {name: value for name, value in data.items() if name != "table"}
    kinds = {name: type(value) for name, value in values.items()}
    if columns is None or kinds != columns or not 0 < values.get("cases", 1) < 2**31:
        raise ValueError("this is no row of a table that is known")
    for name, kind in _JSON.items():
        if name in values and not isinstance(json.loads(values[name]), kind):
            raise ValueError(f"'{name}' does not hold what it must")
    return Row(table, {k: storable(v) if isinstance(v, str) else v for k, v in values.items()})


def put(db: Connection, row: Row) -> None:
    """Put a row in unless one with its key is here."""
    names = list(row.values)
    places = ", ".join(f":{name}" for name in names)
    line = f"INSERT INTO {row.table} ({', '.join(names)}) VALUES ({places}) ON CONFLICT DO NOTHING"
    db.execute(text(line), row.values)

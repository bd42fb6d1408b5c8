"""The counts of other shops, each under its name: taken in once, shown apart, left out again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from sqlalchemy import column, delete, insert, select, table

from diagnose.cases.faults import StoreError
from diagnose.cases.plain import storable
from diagnose.cases.statistics import counts_in
from diagnose.cases.store import Store

_COUNTS = table("counts_elsewhere", column("shop"), column("cause"), column("cases"))
_LONGEST_NAME = 100


def taken(store: Store) -> dict[str, dict[str, int]]:
    """The counts of each shop that were taken in."""
    c = _COUNTS.c
    query = select(c.shop, c.cause, c.cases).order_by(c.shop, c.cause)
    out: dict[str, dict[str, int]] = {}
    with store.reading() as db:
        for shop, cause, cases in db.execute(query):
            out.setdefault(shop, {})[cause] = cases
    return out


def take_in(store: Store, shop: str, counts: Mapping[str, int]) -> None:
    """Keep the counts of a shop in place of those it sent before: no case counts twice."""
    name = storable(shop).strip()
    if not 0 < len(name) <= _LONGEST_NAME or max(map(len, counts), default=0) > _LONGEST_NAME:
        raise StoreError(f"a shop and a cause have names of up to {_LONGEST_NAME} letters")
    rows = [{"shop": name, "cause": storable(c), "cases": n} for c, n in sorted(counts.items())]
    with store.writing() as db:
        db.execute(delete(_COUNTS).where(_COUNTS.c.shop == name))
        if rows:
            db.execute(insert(_COUNTS), rows)


def leave_out(store: Store, shop: str) -> None:
    """Count a shop no more."""
    with store.writing() as db:
        gone = db.execute(delete(_COUNTS).where(_COUNTS.c.shop == storable(shop).strip()))
    if not gone.rowcount:
        raise StoreError(f"no counts of '{shop}' were taken in; 'diagnose cases statistics' lists")


def all_counts(store: Store) -> dict[str, int]:
    """Every case that counts: closed here, and those of other shops that were taken in."""
    total = Counter(counts_in(store))
    for counts in taken(store).values():
        total.update(counts)
    return dict(total)

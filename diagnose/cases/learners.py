"""What learners did, kept beside the cases: results are only added, each with its exercise's end.

What a result says is not known here; a learner is a name they typed, or none.
"""

from __future__ import annotations

import json
import uuid
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import column, delete, select, table, text

from diagnose.cases import faults
from diagnose.cases.plain import storable
from diagnose.cases.store import Store
from diagnose.cases.upkeep import sweep
from diagnose.named import Named

_RESULTS = table(
    "practice_results", column("number"), column("key"), column("learner"), column("result")
)
_BEGUN = table(
    "practice_begun", column("learner"), column("what"), column("texts"), column("changed")
)
_KEEP_ELSE = text(
    "INSERT INTO practice_begun (learner, what, texts, changed)"
    " VALUES (:learner, :what, :texts, :changed) ON CONFLICT DO NOTHING"
)
_KEEP = text(
    _KEEP_ELSE.text.replace(
        "DO NOTHING",
        "(learner, what) DO UPDATE SET texts = excluded.texts, changed = excluded.changed",
    )
)
_FILE = text(
    "INSERT INTO practice_results (key, learner, result)"
    " VALUES (:key, :learner, :result) ON CONFLICT DO NOTHING"
)
Data = Mapping[str, Any]


class Begun(Named):
    """An exercise that was begun: which one, and what was said in it."""

    what: dict[str, Any]
    texts: list[str]


def results(store: Store, learner: str) -> list[dict[str, Any]]:
    """The results of one learner in the order they were filed."""
    r = _RESULTS.c
    query = select(r.result).where(r.learner == storable(learner)).order_by(r.number)
    with store.reading() as db:
        return [_data(store, found) for found in db.execute(query).scalars()]


def of_all(store: Store) -> list[dict[str, Any]]:
    """The results of every learner in the order they were filed, each with its `name`."""
    r = _RESULTS.c
    with store.reading() as db:
        found = db.execute(select(r.learner, r.result).order_by(r.number)).all()
    return [{**_data(store, result), "name": learner} for learner, result in found]


def begun(store: Store, learner: str) -> list[Begun]:
    """What a learner has begun and not ended, what was left last at the end."""
    b = _BEGUN.c
    query = select(b.what, b.texts).where(b.learner == storable(learner)).order_by(b.changed)
    with store.reading() as db:
        rows = db.execute(query).all()
    return [Begun(_data(store, what), _data(store, texts)) for what, texts in rows]


def keep_begun(store: Store, learner: str, what: Data, texts: Sequence[str]) -> None:
    """Keep how far an exercise has come."""
    with store.writing() as db:
        db.execute(_KEEP, _begun_row(learner, what, texts))


def file_result(store: Store, learner: str, what: Data, result: Data) -> None:
    """File the result of an exercise, which is begun no more: both or neither."""
    with store.writing() as db:
        b = _BEGUN.c
        gone = delete(_BEGUN).where(b.learner == storable(learner), b.what == _text(what))
        db.execute(gone)
        db.execute(_FILE, _result_row(uuid.uuid4().hex, learner, result))


def take_in(
    store: Store, found: Iterable[tuple[str, str, Data]], open_: Iterable[tuple[str, Begun]]
) -> int:
    """Take in what was kept elsewhere, all or none; how many results were new.

    A result comes with a key of its own and its learner; one whose key is here is here already.
    """
    with store.writing() as db:
        for learner, one in open_:
            db.execute(_KEEP_ELSE, _begun_row(learner, one.what, one.texts))
        return sum(db.execute(_FILE, _result_row(*result)).rowcount for result in found)


def forget(store: Store, learner: str) -> int:
    """Remove all that is kept of a learner for good; how many rows there were."""
    with store.writing() as db:
        gone = [delete(t).where(t.c.learner == storable(learner)) for t in (_RESULTS, _BEGUN)]
        count = sum(db.execute(line).rowcount for line in gone)
    sweep(store)
    return count


def _begun_row(learner: str, what: Data, texts: Sequence[str]) -> dict[str, str]:
    now = datetime.now(UTC).isoformat(timespec="microseconds")
    said = json.dumps(list(texts))
    return {"learner": storable(learner), "what": _text(what), "texts": said, "changed": now}


def _result_row(key: str, learner: str, result: Data) -> dict[str, str]:
    return {"key": key, "learner": storable(learner), "result": _text(result)}


def _text(data: Data) -> str:
    return json.dumps(dict(data), sort_keys=True)


def _data(store: Store, kept: str) -> Any:
    try:
        return json.loads(kept)
    except ValueError as fault:
        raise faults.told("damaged", where=store.where, why=f"practice: {fault}") from fault

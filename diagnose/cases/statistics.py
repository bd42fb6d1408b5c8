"""What closed cases teach: how often which cause, and how often a stated share was right.

Handbook shares and counted cases are put together as a Dirichlet distribution: the handbook counts
as `WEIGHT` cases, and each closed case as one. With fewer than `ENOUGH` cases nothing changes.
"""

from __future__ import annotations

import json
import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from sqlalchemy import func, select

from diagnose.cases import schema
from diagnose.cases.assess import Workbench
from diagnose.cases.entries import CLOSED
from diagnose.cases.faults import StoreError
from diagnose.cases.store import Store
from diagnose.knowledge.model import Knowledge
from diagnose.named import Named

WEIGHT = 200.0  # closed cases the handbook is worth; judgement, stated wherever it is used
ENOUGH = 30  # below so many cases no share says much
_FORM = {"file": "counts of diagnose", "form": 1}
_MOST = 0.5  # no cause is expected beforehand in more engines than this
_Z = 1.959964  # of the normal distribution, for 95 %


class Outcome(Named):
    """One closed case: the confirmed cause, the one that led with its share, minutes if told."""

    cause: str
    led: str
    share: float | None
    minutes: float | None


class Counted(Named):
    """One cause: the handbook's share, the cases, and both together with a range of 95 %."""

    cause: str
    handbook: float
    cases: int
    together: float
    low: float
    high: float


class Kept(Named):
    """How often a stated share was right: cases, right ones, their part with a range of 95 %."""

    words: str
    cases: int
    right: int
    part: float
    low: float
    high: float


def outcomes(store: Store) -> list[Outcome]:
    """The closed cases with a confirmed cause; of one closed twice, the last word."""
    s, c = schema.statements.c, schema.cases.c
    query = select(s.case_number, s.name, s.state, s.value, s.low).where(s.kind == "closed")
    query = query.join(schema.cases, c.number == s.case_number).where(c.status == CLOSED)
    with store.reading() as db:
        rows = db.execute(query.order_by(s.case_number, s.seq)).all()
    last = {number: Outcome(cause, led or "", share, m) for number, cause, led, share, m in rows}
    return [outcome for outcome in last.values() if outcome.cause]


def counts_in(store: Store) -> dict[str, int]:
    """How many closed cases each cause was confirmed in, counted by the store itself."""
    c = schema.cases.c
    query = select(c.cause, func.count()).where(c.status == CLOSED, c.cause != "")
    with store.reading() as db:
        return {str(cause): count for cause, count in db.execute(query.group_by(c.cause))}


def counted(knowledge: Knowledge, counts: Mapping[str, int]) -> list[Counted]:
    """The causes that were counted, commonest first."""
    shares = handbook(knowledge)
    total = WEIGHT + sum(counts.values())
    rows = []
    for cause, cases in counts.items():
        alpha = WEIGHT * shares.get(cause, 0.0) + cases
        low, high = interval(alpha, total)
        rows.append(Counted(cause, shares.get(cause, 0.0), cases, alpha / total, low, high))
    return sorted(rows, key=lambda r: (-r.cases, r.cause))


def learned(bench: Workbench, counts: Mapping[str, int]) -> Workbench:
    """The workbench with its beforehand chances drawn to the counted cases, if they are enough.

    Each cause's chance is multiplied by what the cases do to its share.
    """
    cases = sum(counts.values())
    if cases < ENOUGH:
        return bench
    shares, network = handbook(bench.knowledge), bench.network
    drawn = [
        (WEIGHT + counts.get(cause, 0) / share) / (WEIGHT + cases)
        for cause, share in ((c, shares[c]) for c in bench.knowledge.causes)
    ]
    prior = {
        setting: (*(min(p * by, _MOST) for p, by in zip(chances, drawn, strict=False)), chances[-1])
        for setting, chances in network.prior.items()
    }
    return bench._replace(network=network._replace(prior=prior), counted=cases)


def handbook(knowledge: Knowledge) -> dict[str, float]:
    """The share of each cause among all trouble on a fresh build, as the rule base says."""
    common = knowledge.words.how_common
    weights = {c.id: common[c.how_common.after_build] for c in knowledge.causes.values()}
    total = sum(weights.values())
    return {cause: weight / total for cause, weight in weights.items()}


def kept_word(found: Iterable[Outcome], bands: Iterable[tuple[float, str]]) -> Iterator[Kept]:
    """For each band of shares: how often the cause that led was the one confirmed."""
    left = [o for o in found if o.led and o.share is not None]
    for least, words in bands:
        inside = [o for o in left if (o.share or 0.0) >= least]
        left = [o for o in left if (o.share or 0.0) < least]
        if inside:
            right = sum(o.led == o.cause for o in inside)
            low, high = interval(right, len(inside))
            yield Kept(words, len(inside), right, right / len(inside), low, high)


def interval(right: float, total: float) -> tuple[float, float]:
    """The range of 95 % of a share (Wilson 1927)."""
    share, z2 = right / total, _Z * _Z
    middle = (share + z2 / (2 * total)) / (1 + z2 / total)
    spread = share * (1 - share) / total + z2 / (4 * total * total)
    half = _Z / (1 + z2 / total) * math.sqrt(spread)
    return max(0.0, middle - half), min(1.0, middle + half)


def counts_of(found: Iterable[Outcome]) -> dict[str, int]:
    """How many cases each cause was confirmed in."""
    return dict(Counter(o.cause for o in found))


def as_text(counts: Mapping[str, int]) -> str:
    """Counts for another shop: causes and numbers, nothing of anybody."""
    return json.dumps({**_FORM, "counts": dict(sorted(counts.items()))}, indent=1) + "\n"


def from_text(text: str) -> dict[str, int]:
    """The counts of another shop; raises `StoreError`."""
    try:
        data: Any = json.loads(text)
    except (ValueError, RecursionError) as fault:
        raise StoreError(f"these are no counts of another shop: not JSON ({fault})") from fault
    named = isinstance(data, dict) and {k: data.get(k) for k in _FORM} == _FORM
    counts = data.get("counts") if named else None
    if not isinstance(counts, dict) or not all(map(_is_count, counts.values())):
        raise StoreError(f"counts of another shop hold {json.dumps(_FORM)} and whole numbers")
    return dict(counts)


def _is_count(value: object) -> bool:
    return type(value) is int and 0 < value < 2**31

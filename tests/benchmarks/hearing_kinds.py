"""Which kinds of error are left in what is heard, on labelled texts of your own.

    python tests/benchmarks/hearing_kinds.py DATA.jsonl [MORE.jsonl ...]

A row has a `text`, and either `findings` ({id: state}) with `readings` ([{finding, value, unit}])
or `says` ([[finding, state, words]], the state "value" for a reading); also `asked` and
`asked_unit` for an answer, `ask` for what must be asked back, `optional` for what may be taken or
not. Only counts are printed, never a text.
"""

from __future__ import annotations

import json
import math
import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from diagnose.knowledge.load import load_knowledge
from diagnose.knowledge.model import Finding
from diagnose.language.index import LanguageIndex, load_index
from diagnose.language.understand import understand
from diagnose.language.understanding import Context, Taken, Understanding
from diagnose.measuring.units import convert, read_unit

KINDS = (
    "right",
    "missed phrase",
    "asked back instead",
    "wrong state",
    "negation",
    "number",
    "over-taking",
    "not asked back",
)
_SAME = 0.02
_MOST_NAMED = 3
Row = Mapping[str, Any]


class Wanted(NamedTuple):
    """What a row says must be heard: states, and readings (no value: any value will do)."""

    states: Mapping[str, str]
    readings: Mapping[str, tuple[float, str] | None]


def wanted(row: Row) -> Wanted:
    """The labels of a row in either form."""
    states = dict(row.get("findings", {}))
    readings: dict[str, tuple[float, str] | None] = {
        r["finding"]: (float(r["value"]), str(r["unit"])) for r in row.get("readings", [])
    }
    for finding, state, *_ in row.get("says", []):
        if state == "value":
            readings[finding] = None
        else:
            states[finding] = state
    return Wanted(states, readings)


def kinds(row: Row, found: Understanding, index: LanguageIndex) -> Iterator[tuple[str, str]]:
    """Each thing heard, missed or over-taken in one row: its kind and its finding."""
    want, taken = wanted(row), {t.finding: t for t in found.taken}
    optional = set(row.get("optional", []))
    offered = {o.finding for u in found.unclear for o in u.options}
    for name, state in want.states.items():
        if name not in optional and name in index.findings:
            yield _of_state(taken.get(name), state, index.findings[name], offered), name
    for name, value in want.readings.items():
        if name not in optional and name in index.findings:
            yield _of_reading(taken.get(name), value, index.findings[name], offered), name
    for name in taken.keys() - want.states.keys() - want.readings.keys() - optional:
        yield "over-taking", name
    for name in row.get("ask", []):
        if not found.unclear or name in taken:
            yield "not asked back", name


def _of_state(taken: Taken | None, state: str, finding: Finding, offered: Iterable[str]) -> str:
    if taken is None:
        return "asked back instead" if finding.id in offered else "missed phrase"
    heard = _state(taken, finding)
    if heard == state:
        return "right"
    return "negation" if finding.normal in (heard, state) else "wrong state"


def _state(taken: Taken, finding: Finding) -> str | None:
    """The state of a reading told as a number is the side of the usual band it lies on."""
    band = finding.usual
    if taken.value is None or taken.unit is None or band is None:
        return taken.state
    there = convert(taken.value, taken.unit, band.unit)
    if band.low is not None and there < band.low:
        return "low"
    return "high" if band.high is not None and there > band.high else "ok"


def _of_reading(
    taken: Taken | None,
    value: tuple[float, str] | None,
    finding: Finding,
    offered: Iterable[str],
) -> str:
    if taken is None:
        return "asked back instead" if finding.id in offered else "number"
    return "right" if value is None or _is_same(taken, value, finding) else "number"


def _is_same(taken: Taken, value: tuple[float, str], finding: Finding) -> bool:
    unit = read_unit(value[1], finding.dimension)
    if taken.value is None or taken.unit is None or unit is None:
        return False
    return math.isclose(convert(taken.value, taken.unit, unit), value[0], rel_tol=_SAME)


def table(rows: Iterable[Row], index: LanguageIndex) -> list[str]:
    """The counts of each kind, with the findings it is commonest in."""
    counts: Counter[str] = Counter()
    named: dict[str, Counter[str]] = {kind: Counter() for kind in KINDS}
    for row in rows:
        context = Context(asked=row.get("asked"), asked_unit=row.get("asked_unit"))
        for kind, name in kinds(row, understand(row["text"], index, context), index):
            counts[kind] += 1
            named[kind][name] += 1
    lines = [f"{'kind':20}{'count':>6}  most often"]
    for kind in KINDS:
        often = ", ".join(f"{name} {n}" for name, n in named[kind].most_common(_MOST_NAMED))
        lines.append(f"{kind:20}{counts[kind]:>6}  {often}")
    return lines


def read_rows(paths: Sequence[str]) -> list[Row]:
    """The rows of the files named."""
    texts = (Path(path).read_text(encoding="utf-8") for path in paths)
    return [json.loads(line) for text in texts for line in text.splitlines() if line.strip()]


def main(paths: Sequence[str]) -> int:
    """Print the table for the files named on the command line."""
    if not paths:
        print(__doc__, file=sys.stderr)
        return 2
    try:
        rows = read_rows(paths)
    except (OSError, ValueError) as fault:
        print(f"can't read the data: {fault}", file=sys.stderr)
        return 1
    print("\n".join(table(rows, load_index(load_knowledge()))))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

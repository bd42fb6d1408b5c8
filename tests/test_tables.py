"""Each cause wins one case of its own and falls in another: the rows of `tables/`, by hand.

A row tells in a mechanic's words what happened (`story`), and the same as findings (`told`). It
ends at its cause, or the cause is thought of and falls to one thing more (`but`).
"""

from collections import Counter
from pathlib import Path

import pytest
import yaml

from diagnose.cases.assess import Workbench, load_workbench
from diagnose.cases.log import Statement
from diagnose.measuring.units import read_unit
from diagnose.reasoning.ranking import Ranking

# all is text; the C part reads ten times as fast, where PyYAML was built with it
LOADER = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
BENCH = load_workbench()
BENCHES: dict[str | None, Workbench] = {None: BENCH}
FINDINGS, CAUSES = BENCH.knowledge.findings, BENCH.knowledge.causes
FILES = sorted((Path(__file__).parent / "tables").glob("*.yaml"))
ROWS = [
    {**row, "system": path.stem}
    for path in FILES
    for row in yaml.load(path.read_text(encoding="utf-8"), Loader=LOADER)
]
ENDS, FALLS = ([row for row in ROWS if kind in row] for kind in ("ends_at", "falls"))
CONSIDERED, STILL_NEAR, UNLIKELY = 5, 3, 0.1


def statement(words: str) -> Statement:
    """`finding state`, or `finding value unit` for a reading."""
    name, value, *unit = words.split()
    if not unit:
        assert value in FINDINGS[name].known_states, words
        return Statement("said", name, 1, state=value)
    assert read_unit(unit[0], FINDINGS[name].dimension) is not None, words
    return Statement("measured", name, 1, value=float(value), unit=read_unit(*unit, None) or "")


def ranked(row: dict, *more: str) -> Ranking:
    sheet = row.get("engine")
    bench = BENCHES.setdefault(sheet, BENCH if sheet is None else load_workbench(sheet))
    return bench.ranked(statement(words) for words in (*row["told"], *more))


def place(found: Ranking, cause: str) -> int:
    """The place of a cause among those listed, from 1; one past the last when it is not."""
    causes = [r.cause for r in found.ranked]
    return causes.index(cause) + 1 if cause in causes else len(causes) + 1


def name_of(row: dict) -> str:
    return str(row.get("ends_at") or row.get("falls"))


def test_every_cause_has_one_row_of_each_kind_in_the_file_of_its_system() -> None:
    wanted = Counter((cause.system, key) for key, cause in CAUSES.items())
    for rows in (ENDS, FALLS):
        assert Counter((row["system"], name_of(row)) for row in rows) == wanted


def test_no_two_rows_tell_the_same() -> None:
    told = Counter((tuple(sorted(row["told"])), row.get("but")) for row in ROWS)
    stories = Counter(row["story"] for row in ROWS)
    assert (told.most_common(1)[0][1], stories.most_common(1)[0][1]) == (1, 1)


@pytest.mark.parametrize("row", ENDS, ids=name_of)
def test_the_case_ends_at_its_cause(row: dict) -> None:
    assert place(ranked(row), row["ends_at"]) == 1


@pytest.mark.parametrize("row", FALLS, ids=name_of)
def test_the_cause_is_considered_and_falls(row: dict) -> None:
    before, after = ranked(row), ranked(row, row["but"])
    assert place(before, row["falls"]) <= CONSIDERED
    gone = place(after, row["falls"]) > STILL_NEAR or after.p(row["falls"]) < UNLIKELY
    assert gone, after.ranked[:CONSIDERED]
    assert after.p(row["falls"]) < before.p(row["falls"])

"""Published relations of symptom, condition and cause: the named cause must be among the first.

Each row of `relations/` re-tells one relation of a workshop manual, a maker's page or a builder's
report (its `source` is a key of rules/sources.yaml), as findings of the rule base.
"""

from functools import cache
from pathlib import Path

import pytest
import yaml

from diagnose.cases.assess import load_workbench
from diagnose.cases.log import Statement
from diagnose.reasoning.ranking import Ranking

# all is text; the C part reads ten times as fast, where PyYAML was built with it
LOADER = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
BENCH = load_workbench()
FILES = sorted((Path(__file__).parent / "relations").glob("*.yaml"))
DATA = {path.stem: yaml.load(path.read_text(), Loader=LOADER) for path in FILES}
ROWS = [row for data in DATA.values() for row in data["relations"]]
EXCEPTIONS = [row for data in DATA.values() for row in data.get("exceptions") or []]
SICK = [row for row in ROWS if not row.get("healthy")]
AMONG = 5
NOT_A_SOURCE = {"memory", "common-practice"}


def ranked(row: dict) -> Ranking:
    said = [Statement("said", f, 1, state=s) for f, s in row.get("findings", {}).items()]
    measured = [
        Statement("measured", r["finding"], 1, value=float(r["value"]), unit=r["unit"])
        for r in row.get("readings", ())
    ]
    return BENCH.ranked([*said, *measured])


@cache
def places() -> dict[str, int]:
    """Of each row the place of the best accepted cause, from 1; a large number when not listed."""
    return {row["id"]: place(row) for row in SICK}


def place(row: dict) -> int:
    causes = [r.cause for r in ranked(row).ranked]
    return next((n for n, cause in enumerate(causes, 1) if cause in row["accept"]), 10**6)


def test_there_are_enough_relations_and_each_is_told_once() -> None:
    ids = [row["id"] for row in (*ROWS, *EXCEPTIONS)]
    assert len(ROWS) >= 300
    assert len(ids) == len(set(ids))


def is_known(row: dict) -> bool:
    findings = BENCH.knowledge.findings
    told = row.get("findings", {}).items()
    return (
        (row["source"] in NOT_A_SOURCE or row["source"] in BENCH.knowledge.sources)
        and all(f in findings and state in findings[f].states for f, state in told)
        and set(row.get("accept", ())) <= set(BENCH.knowledge.causes)
    )


def test_a_relation_speaks_of_what_the_rule_base_knows() -> None:
    assert [row["id"] for row in ROWS if not is_known(row)] == []


def test_the_named_cause_is_among_the_first_five() -> None:
    missed = [row for row, at in places().items() if at > AMONG]
    assert len(missed) / len(SICK) <= 0.06, missed


def test_the_named_cause_leads_in_most_relations() -> None:
    assert list(places().values()).count(1) / len(SICK) >= 0.7


@pytest.mark.parametrize(
    "row", [row for row in ROWS if row.get("healthy")], ids=lambda row: row["id"]
)
def test_what_the_handbook_calls_normal_accuses_nothing(row: dict) -> None:
    accused = {r.cause: r.p for r in ranked(row).ranked if r.p > 0.3}
    assert not set(accused) - {"normal_noise"}


def test_what_is_left_out_has_its_reason() -> None:
    reasoned = [row for row in EXCEPTIONS if "?" not in row["why"] and "doubt" not in row["why"]]
    assert all(len(row["why"]) > 10 for row in EXCEPTIONS)
    assert len(reasoned) < 20

"""The engine once a fault is put right: what it showed goes, what the others show stays."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from diagnose.cases.assess import Workbench
from diagnose.knowledge.model import Finding
from diagnose.practice.figures import true_values
from diagnose.practice.scenario import Scenario
from diagnose.practice.truth import draw_truth

EASY_MINUTES = 3.0  # what anybody notices needs no more to get at


def aftermath(bench: Workbench, scenario: Scenario, left: Sequence[str]) -> Scenario:
    """The same engine with only these faults left.

    Everything of the engine and its history stays; a lesson keeps what it says of the faults left.
    """
    bench = bench._replace(sheet=scenario.sheet)
    findings = bench.knowledge.findings
    gone = [f for f in scenario.faults if f not in left]
    proofs = {bench.knowledge.causes[f].confirm.finding for f in gone}
    fixed = {f: s for f, s in scenario.truth.items() if findings[f].is_circumstance}
    for finding in proofs & fixed.keys():  # it was put right
        record = findings[finding]
        fixed[finding] = next(s for s in record.known_states if s != fixed[finding])
    truth = draw_truth(bench, left, scenario.seed, fixed, 0.0)
    if truth is None:  # the rules hold the rest together: only the proof of the repaired one goes
        truth = dict(scenario.truth) | {f: findings[f].normal for f in proofs}
    same = {f: s for f, s in truth.items() if f in scenario.truth}
    drawn = true_values(bench, same, scenario.seed) if same.keys() == truth.keys() else {}
    values = {f: drawn.get(f, v) for f, v in scenario.values.items()}
    values = {
        f: scenario.values[f] if same.get(f) == scenario.truth.get(f) else v
        for f, v in values.items()
    }
    return scenario._replace(faults=tuple(left), truth=same, values=values)


def still_told(
    bench: Workbench, after: Scenario, known: Mapping[str, str]
) -> tuple[tuple[str, str], ...]:
    """What is known of the engine now: what anybody notices anew, what did not change as it was."""
    findings = bench.knowledge.findings
    told = {}
    for finding, state in known.items():
        record = findings[finding]
        if record.is_reading or finding not in after.truth:
            continue
        if after.truth[finding] == state or is_easy(bench, record):
            told[finding] = after.truth[finding]
    noticed = list(noticed_on(bench, after.faults, after.truth))
    if not any(f in told for f in noticed):
        told.update({f: after.truth[f] for f in noticed[:1]})
    return tuple(told.items())


def noticed_on(bench: Workbench, faults: Sequence[str], truth: Mapping[str, str]) -> Iterator[str]:
    """What is not normal and shows without taking anything apart; never the proof of a fault."""
    proofs = {bench.knowledge.causes[f].confirm.finding for f in faults}
    for finding in bench.knowledge.findings.values():
        plain = not (finding.is_circumstance or finding.is_reading or finding.id in proofs)
        shows = truth.get(finding.id, finding.normal) != finding.normal
        if plain and shows and is_easy(bench, finding):
            yield finding.id


def is_easy(bench: Workbench, finding: Finding) -> bool:
    """Whether a finding is got at without taking anything apart."""
    check = bench.knowledge.check_of(finding.id)
    return check is not None and bench.knowledge.access[check.access].minutes <= EASY_MINUTES

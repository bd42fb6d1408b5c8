"""B8: what becomes of start, turn and memory when the rule base grows three and ten times."""

from __future__ import annotations

import pickle
import random
import tracemalloc
from typing import Any

from diagnose.cases.assess import Workbench
from diagnose.cases.log import Statement
from diagnose.knowledge.load import load_knowledge
from diagnose.knowledge.model import Knowledge
from diagnose.knowledge.packed import Packed
from diagnose.reasoning.building import build_program
from diagnose.reasoning.chaining import chainer_of
from diagnose.reasoning.network import build_network
from diagnose.reasoning.tables import build_tables

from .tables import Table, milliseconds, share


def grown(knowledge: Knowledge, times: int) -> Knowledge:
    """The rule base with so many copies of every cause, finding and check, under new names.

    A copy of a cause shows the copies of its findings, so signs grow as causes do; the chaining
    rules stay those of the first.
    """
    if times == 1:
        return knowledge
    findings, checks, causes = dict(knowledge.findings), dict(knowledge.checks), {}
    causes.update(knowledge.causes)
    for n in range(1, times):
        mark = f"_{n}"
        findings |= {
            k + mark: f._replace(id=k + mark, same_symptom=f.same_symptom and f.same_symptom + mark)
            for k, f in knowledge.findings.items()
        }
        checks |= {
            k + mark: c._replace(id=k + mark, settles=tuple(s + mark for s in c.settles))
            for k, c in knowledge.checks.items()
        }
        for key, cause in knowledge.causes.items():
            signs = tuple(s._replace(finding=s.finding + mark) for s in cause.signs)
            confirm = cause.confirm._replace(finding=cause.confirm.finding + mark)
            causes[key + mark] = cause._replace(
                id=key + mark, signs=signs, confirm=confirm, only_if=(), behind_it=()
            )
    settled = {f: c.id for c in checks.values() for f in c.settles}
    tables = {"findings": Packed(findings), "checks": Packed(checks), "causes": Packed(causes)}
    return knowledge._replace(**tables, settled_by=settled)


def bench_of(knowledge: Knowledge) -> tuple[Workbench, bytes]:
    """A workbench, and the compiled copy a start has to read."""
    network = build_network(knowledge)
    tables, program = build_tables(knowledge, network), build_program(knowledge)
    kept = pickle.dumps((knowledge, network, tables, program), pickle.HIGHEST_PROTOCOL)
    return Workbench(knowledge, network, tables, chainer_of(program), None), kept


def logs(knowledge: Knowledge, count: int, statements: int = 60) -> list[list[Statement]]:
    """Logs of so many statements: a few signs of one cause, the rest normal."""
    rng = random.Random(7)
    out = []
    first = sorted(load_knowledge().causes)
    for _ in range(count):
        signs = knowledge.causes[rng.choice(first)].signs[:4]
        said = {s.finding: s.state for s in signs}
        rest = [f for f in sorted(knowledge.findings) if f not in said]
        rng.shuffle(rest)
        said |= {f: knowledge.findings[f].normal for f in rest[: statements - len(said)]}
        out.append([Statement("said", f, 1, state=s) for f, s in said.items()])
    return out


def turns(bench: Workbench, cases: list[list[Statement]]) -> list[float]:
    """Milliseconds of each assessment, the middle of three."""
    bench.assess(cases[0])
    return [milliseconds(lambda log=log: bench.assess(log), 3) for log in cases]


def table(sizes: tuple[int, ...] = (1, 3, 10), count: int = 12) -> Table:
    """One row a size, and each figure's ratio to the first."""
    rows: list[tuple[Any, ...]] = []
    for size in sizes:
        knowledge = grown(load_knowledge(), size)
        bench, kept = bench_of(knowledge)
        start = milliseconds(lambda kept=kept: pickle.loads(kept), 3)
        tracemalloc.start()
        held = pickle.loads(kept)
        memory = tracemalloc.get_traced_memory()[0] / 2**20
        tracemalloc.stop()
        del held
        spent = turns(bench, logs(knowledge, count))
        signs = sum(len(c.signs) for c in knowledge.causes.values())
        row = (start, share(spent, 0.5), share(spent, 0.95), memory)
        base = rows[0][3:7] if rows else row
        ratios = tuple(a / b for a, b in zip(row, base, strict=True))
        rows.append((f"{size}x", len(knowledge.causes), signs, *row, *ratios))
    columns = (
        "size", "causes", "signs", "start ms", "turn ms", "turn p95", "MiB",
        "start /", "turn /", "p95 /", "MiB /",
    )  # fmt: skip
    return Table("B8 growth of the rule base, 60 statements a case", columns, rows)

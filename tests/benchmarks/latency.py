"""B4: what a turn costs, and what starting costs against the bare interpreter."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path
from statistics import median

from diagnose.cases.assess import Workbench, load_workbench
from diagnose.cases.log import Statement
from diagnose.cases.state import recompute
from diagnose.dialogue.conversation import Conversation
from diagnose.language.index import load_index

from .growth import logs
from .tables import Table, share

ROOT = Path(__file__).parents[2]


def turns(bench: Workbench, log: list[Statement], count: int = 6) -> list[float]:
    """Milliseconds of each of the last turns of a case with 60 statements."""
    talk = Conversation(bench, load_index(bench.knowledge))
    told = [{"finding": s.name, "state": s.state} for s in log]
    talk.say(told[:-count])
    spent = []
    for one in told[-count:]:
        start = time.process_time()
        talk.say([one])
        spent.append((time.process_time() - start) * 1e3)
    return spent


def started(*arguments: str) -> float:
    """Seconds of a whole process, the quickest of seven."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    spent = []
    for _ in range(7):
        start = time.perf_counter()
        subprocess.run(
            [sys.executable, *arguments], check=True, capture_output=True, env=environment
        )
        spent.append(time.perf_counter() - start)
    return min(spent)


def start_ratio() -> float:
    """A whole `ask` against an interpreter that does nothing."""
    ask = ("-m", "diagnose.cli", "ask", "tick at the front cover, cam end play 11 thou")
    started(*ask)
    return started(*ask) / started("-c", "pass")


def table(cases: int = 20) -> Table:
    """Times of a turn with 60 statements, of its parts, and of a start."""
    bench = load_workbench()
    told = logs(bench.knowledge, cases)
    turns(bench, told[0])
    whole = [ms for log in told for ms in turns(bench, log)]
    fold = []
    for log in told:
        start = time.process_time()
        recompute(bench.knowledge, None, log)
        fold.append((time.process_time() - start) * 1e3)
    rows = [
        ("turn with 60 statements, ms", median(whole), share(whole, 0.95), max(whole)),
        ("of it folding the log, ms", median(fold), share(fold, 0.95), max(fold)),
        ("ask / bare interpreter", start_ratio(), "", ""),
    ]
    return Table(
        "B4 times (of the processor, start apart)", ("what", "median", "p95", "worst"), rows
    )

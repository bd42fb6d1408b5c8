"""`python -m tests.benchmarks [b1 b5 ...]` prints the tables, all of them without a name.

`python -m tests.benchmarks b3 --messages CASES LABELS` takes messages from outside.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

from diagnose.cli.progress import Progress

from . import (
    agreement,
    calibration,
    chainers,
    growth,
    isolating,
    latency,
    messages,
    records,
    repair_cost,
    several,
)
from .tables import Table

TABLES: dict[str, Callable[[], Table]] = {
    "b1": repair_cost.table,
    "b2": agreement.table,
    "b3": calibration.table,
    "b4": latency.table,
    "b5": isolating.table,
    "b6": several.table,
    "b7": chainers.table,
    "b8": growth.table,
    "b9": records.table,
}


def main() -> None:
    """Print the tables asked for."""
    if sys.argv[1:3] == ["b3", "--messages"] and len(sys.argv) == 5:
        print(messages.table(Path(sys.argv[3]), Path(sys.argv[4])))
        return
    wanted = sys.argv[1:] or list(TABLES)
    unknown = [name for name in wanted if name not in TABLES]
    if unknown:
        sys.exit(f"no benchmark named {', '.join(unknown)}; there are {', '.join(TABLES)}")
    progress = Progress(len(wanted), "benchmarks")
    for name in wanted:
        table = TABLES[name]()
        progress.over()  # the table stands where the line of the progress was
        print(table, end="\n\n", flush=True)
        progress.step()
    progress.over()


if __name__ == "__main__":
    main()

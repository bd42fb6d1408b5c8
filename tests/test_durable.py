"""The chainer on the library: limits, fuse, memory. What may crash has its own process."""

from __future__ import annotations

import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from lengths import tries

from diagnose.reasoning.facts import Fact, TooManyFirings
from diagnose.reasoning.plain import PlainChainer
from diagnose.reasoning.program import Absent, Pattern, Program, Rule

pytest.importorskip("durable_rules_engine")

from diagnose.reasoning.durable import _COMPILED, DurableChainer  # noqa: E402

HERE = Path(__file__).parent
SETTING = """
from diagnose.reasoning.durable import DurableChainer
from diagnose.reasoning.facts import Fact
from diagnose.reasoning.guards import check
from diagnose.reasoning.plain import PlainChainer
from diagnose.reasoning.program import Absent, Pattern, Program, Rule
"""
PAIRS = [
    Rule("pairs", (Pattern("is", "?x", "?v"), Pattern("is", "?y", "?v")), (Fact("p", "?x", "?y"),))
]
GRID = [Fact("is", f"n{n}", "yes") for n in range(30)]


AT_THE_LIMIT = {
    "names": "[Rule(f'{n}', (Pattern('is', f'{n}', ''),), got(n)) for n in range(500)]",
    "topics": "[Rule(f'{n}', (Pattern(f'{n}', f'{n}'),), got(n)) for n in range(500)]",
    "shared": "[Rule(f'{n}', (yes(0), Pattern('go', f'{n}')), got(n)) for n in range(250)]",
    "absent": "[Rule(f'{n}', (yes(0), Absent('far', f'{n % 9}')), got(n)) for n in range(250)]",
    "conditions": "[Rule('r', tuple(yes(n) for n in range(16)), got(0))]",
    "joins": "[Rule(f'{n}', (Pattern('is', '1', '?x'), Pattern('is', '2', '?x')), got(n))"
    " for n in range(52)]",
    "chained joins": "[Rule(f'{n}', (Pattern('is', '?n', '?v'), Pattern('is', '?n', '?v')),"
    " got(n)) for n in range(26)]",
    "rules": "[Rule(f'{n}', (Pattern(f'{n // 100}', f'{n}'),), got(n)) for n in range(4000)]",
    "long texts": "[Rule('r', (Pattern('is', LONG + 'a', '?x'), Pattern('on', '?x')), got(0))]",
}
TRY = """
LONG = chr(1) * 9_999
def got(n): return (Fact('got', f'{n}'),)
def yes(n): return Pattern('is', f'{n}', '')
facts = [Fact('is', f'{n}') for n in range(500)] + [Fact('go', f'{n}') for n in range(250)]
facts += [Fact(f'{n // 100}', f'{n}') for n in range(0, 4000, 9)]
facts += [Fact('is', LONG + 'a', LONG + 'x'), Fact('on', LONG + 'x'), Fact('on', LONG + 'y')]
program = Program(%s)
found = DurableChainer(program).run(facts)
print(found == PlainChainer(program).run(facts), len(found.derived) > 0)
"""


@pytest.mark.parametrize("rules", AT_THE_LIMIT.values(), ids=AT_THE_LIMIT)
def test_a_program_just_within_the_guards_runs_right(rules: str) -> None:
    assert _output(TRY % rules) == "True True"


def test_memory_stays_flat_over_many_runs() -> None:
    """In full two thousand runs within a MiB; the short form holds each run to the same share."""
    code = (
        f"runs = {tries(2000, 500)}"
        + """
import resource
rules = [Rule(f'{n}', (Pattern('is', f'{n}', '?v'), Pattern('is', f'{n + 1}', '?v'),
    Absent('off', f'{n}')), (Fact('got', f'{n}', '?v'),), f'{n % 3}') for n in range(20)]
made = DurableChainer(Program(rules))
facts = [Fact('is', f'{n}', 'yes') for n in range(12)]
def size(): return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
for _ in range(200): made.run(facts)
before = size()
for _ in range(runs): made.run(facts)
print(size() - before < 1024 * runs / 2000)
"""
    )
    assert _output(code) == "True"


def _output(code: str) -> str:
    """Run in a process that may die, for what would take the tests with it."""
    command = [sys.executable, "-c", SETTING + code]
    done = subprocess.run(
        command, capture_output=True, text=True, check=True, cwd=HERE.parent, timeout=60
    )
    return done.stdout.strip()


def test_no_thread_is_started() -> None:
    before = threading.active_count()
    DurableChainer(Program(PAIRS)).run(GRID)
    assert threading.active_count() == before


@pytest.mark.parametrize("kind", [DurableChainer, PlainChainer])
def test_the_fuse_stops_runaway_rules_and_names_one(
    kind: type[DurableChainer] | type[PlainChainer],
) -> None:
    with pytest.raises(TooManyFirings, match="more than 500 times in one run.*'pairs'"):
        kind(Program(PAIRS), most_firings=500).run(GRID)


def test_a_blown_fuse_leaves_the_next_run_whole() -> None:
    made = DurableChainer(Program(PAIRS), most_firings=500)
    with pytest.raises(TooManyFirings):
        made.run(GRID)
    assert made.run(GRID[:20]) == PlainChainer(Program(PAIRS)).run(GRID[:20])


def test_a_refused_fact_leaves_the_next_run_whole() -> None:
    made = DurableChainer(Program(PAIRS))
    with pytest.raises(ValueError, match="surrogate"):
        made.run([*GRID, Fact("is", "\ud800")])
    assert made.run(GRID[:2]).firings == 4


def test_programs_with_the_same_ruleset_share_its_compiled_form() -> None:
    rules = [Rule("shared", (Pattern("is", "a"),), (Fact("got", "it"),))]
    before = len(_COMPILED)
    for program in (Program(rules), Program(rules)):
        DurableChainer(program).run([Fact("is", "a")])
    assert len(_COMPILED) == before + 1


def test_a_ruleset_that_no_fact_touches_is_not_compiled() -> None:
    rules = [
        Rule("near", (Pattern("is", "near"), Absent("off")), (Fact("got", "it"),), "near"),
        Rule("far", (Pattern("is", "far"), Absent("off")), (Fact("got", "it"),), "far"),
    ]
    before = len(_COMPILED)
    DurableChainer(Program(rules)).run([Fact("is", "near")])
    assert len(_COMPILED) == before + 1


def test_threads_may_share_a_chainer() -> None:
    made = DurableChainer(Program(PAIRS))
    with ThreadPoolExecutor(4) as pool:
        found = list(pool.map(lambda n: made.run(GRID[:n]).firings, (4, 5, 6, 7)))
    assert found == [16, 25, 36, 49]

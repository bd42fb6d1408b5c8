"""B7: the shipped chaining rules through our two chainers and a general-purpose rule engine.

All three must derive the same facts; the engine keeps no reasons, which ours do.
"""

from __future__ import annotations

import random
from typing import Any

from diagnose.knowledge.load import load_knowledge
from diagnose.knowledge.model import Knowledge
from diagnose.reasoning.building import build_program
from diagnose.reasoning.chaining import chainer_of
from diagnose.reasoning.facts import Fact
from diagnose.reasoning.inference import facts_of
from diagnose.reasoning.program import Absent, Pattern, Program, Rule, fields

from .tables import Table, milliseconds

_MOST_SALIENCE = 10_000


class GeneralEngine:
    """The same program in CLIPS: strata by salience, so that nothing is found absent too early."""

    def __init__(self, program: Program) -> None:
        import clips

        self._engine = clips.Environment()
        self._engine.build("(deftemplate f (slot t) (slot n) (slot v))")
        self._template = self._engine.find_template("f")
        number = 0
        for depth, stratum in enumerate(program.strata):
            for ruleset in stratum.rulesets:
                for rule in ruleset.rules:
                    number += 1
                    self._engine.build(_written(rule, number, _MOST_SALIENCE - depth))

    def run(self, facts: list[Fact]) -> set[Fact]:
        """Everything known at the end, given facts included."""
        self._engine.reset()
        for fact in facts:
            self._template.assert_fact(t=fact.topic, n=fact.name, v=fact.value)
        self._engine.run()
        return {
            Fact(f["t"], f["n"], f["v"]) for f in self._engine.facts() if f.template.name == "f"
        }


def _written(rule: Rule, number: int, salience: int) -> str:
    conditions = [_condition(one) for one in sorted(rule.when, key=lambda w: isinstance(w, Absent))]
    then = " ".join(f"(assert (f {_slots(fields(fact))}))" for fact in rule.then)
    head = f"(defrule r{number} (declare (salience {salience}))"
    return f"{head} {' '.join(conditions)} => {then})"


def _condition(one: Pattern | Absent) -> str:
    pattern = f"(f {_slots(fields(one))})"
    return f"(not {pattern})" if isinstance(one, Absent) else pattern


def _slots(texts: tuple[str, str, str]) -> str:
    return " ".join(f"({slot} {_value(text)})" for slot, text in zip("tnv", texts, strict=True))


def _value(text: str) -> str:
    if text == "*":
        return "?"
    return text if text.startswith("?") else f'"{text}"'


def some_facts(knowledge: Knowledge, seed: int, count: int) -> list[Fact]:
    """Random findings told, and readings judged."""
    rng = random.Random(seed)
    told, judged = {}, {}
    for key in rng.sample(sorted(knowledge.findings), count):
        finding = knowledge.findings[key]
        (judged if finding.is_reading else told)[key] = rng.choice(finding.known_states)
    return facts_of(told, judged)


def derived(engine: Any, facts: list[Fact]) -> set[Fact]:
    """All facts known after a run of any of the three."""
    found = engine.run(facts)
    return found if isinstance(found, set) else {*found.given, *found.derived}


def engines() -> dict[str, Any]:
    """The three, made ready for the shipped rules."""
    program = build_program(load_knowledge())
    return {
        "durable_rules": chainer_of(program, "durable"),
        "plain chainer": chainer_of(program, "plain"),
        "CLIPS (no reasons kept)": GeneralEngine(program),
    }


def table(sets: int = 40) -> Table:
    """Times of a run over the same sets of facts, and whether all derive the same."""
    knowledge = load_knowledge()
    ready = engines()
    cases = [some_facts(knowledge, seed, 10 + seed % 50) for seed in range(sets)]
    reference = [derived(ready["plain chainer"], facts) for facts in cases]
    times = {}
    rows = []
    for name, engine in ready.items():
        same = sum(derived(engine, f) == r for f, r in zip(cases, reference, strict=True))
        times[name] = milliseconds(lambda e=engine: [e.run(f) for f in cases]) / sets
        rows.append((name, times[name], times[name] / times["durable_rules"], same / sets))
    columns = ("chainer", "ms a run", "/ durable_rules", "same facts")
    return Table(f"B7 the same rules, {sets} sets of 10 to 59 findings", columns, rows)

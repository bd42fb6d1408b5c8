"""What the engine of durable_rules is given for the rules of a program; needs no such engine.

The text is kept with the program, so that a start only hands it over.
"""

from __future__ import annotations

import json

from diagnose.reasoning.guards import Test, tests_of
from diagnose.reasoning.program import Program, Rule, Ruleset


def texts_of(program: Program) -> tuple[tuple[str, ...], ...]:
    """The text of each ruleset of each stratum."""
    return tuple(tuple(map(_text, stratum.rulesets)) for stratum in program.strata)


def _text(ruleset: Ruleset) -> str:
    """The rules by number, and the one of the adapter's own that opens a session."""
    definition = {f"r{n}": _definition(rule) for n, rule in enumerate(ruleset.rules)}
    definition["start"] = {"all": [{"c0": {"start": 1}}]}
    return json.dumps(definition, ensure_ascii=False)


def _definition(rule: Rule) -> dict[str, object]:
    """The rule in the engine's terms; `dist` 0 lets one fact meet two conditions."""
    conditions = [
        {f"c{number}": {"$and": [_expression(test) for test in tests]}}
        for number, tests in enumerate(tests_of(rule))
    ]
    return {"all": conditions, "dist": 0}


def _expression(test: Test) -> dict[str, object]:
    field, wanted = test
    if wanted is None:
        return {"$ex": {field: 1}}
    if isinstance(wanted, tuple):
        number, other = wanted
        return {field: {f"c{number}": other}}
    return {field: wanted}

"""The commands of `diagnose`: a new one is one line of `COMMANDS`, and nothing else here.

A line names what the command does, the function that adds its options, the one that runs it (both
as ``module:function`` of this package, loaded only when the command is wanted) and its examples.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import Any

from diagnose.named import Named


class Command(Named):
    """One command: its name, what it does in a few words, where it lives, how it is used."""

    name: str
    does: str
    options: str
    run: str
    examples: tuple[str, ...]


# fmt: off
# ruff: noqa: E501
COMMANDS = (
    Command("chat", "talk about one engine (the default)", "options:chat", "talk:chat", ("diagnose", "diagnose chat --for phone", "diagnose chat --engine my-engine.yaml")),
    Command("ask", "one or more turns, then the answer", "options:ask", "talk:ask", ('diagnose ask "tick at the front cover"', 'diagnose ask "no fuel at the pump" "eccentric is missing" --json')),
    Command("cases", "kept cases: list, show, search, note, close ...", "case_options:add_acts", "cases:run", ("diagnose cases list", "diagnose cases show 1", "diagnose cases search thrust plate")),
    Command("report", "one page about a kept case", "options:report", "report:run", ("diagnose report 1", "diagnose report 1 --html --out case.html")),
    Command("practice", "learn on hidden faults, and see how you do", "practice_options:add_options", "practice:run", ("diagnose practice --level 1", "diagnose practice lessons", "diagnose practice history")),
    Command("demo", "watch an invented case, about a minute", "options:demo", "demo:run", ("diagnose demo", "diagnose demo --fast")),
    Command("work-out", "a sum of the measuring bench by itself", "options:work_out", "work_out:run", ("diagnose work-out", "diagnose work-out end-play", 'diagnose work-out end-play readings="4 5 thou" gear-torqued=yes')),
    Command("batch", "many cases from a file, one JSON line each", "options:batch", "batch:run", ("diagnose batch cases.jsonl --out answers.jsonl", "diagnose batch cases.jsonl --out answers.jsonl --jobs 2")),
    Command("knowledge", "check, show or search the rule base", "options:knowledge", "knowledge:run", ("diagnose knowledge check --sources", "diagnose knowledge search thrust plate", "diagnose knowledge show cam_end_play")),
    Command("replay", "play conversation files and hold them to their =", "options:replay", "replay:run", ("diagnose replay", "diagnose replay my-talk.txt --write")),
    Command("completion", "words offered by the TAB key of your shell", "options:completion", "completion:run", ('eval "$(diagnose completion bash)"', "diagnose completion fish | source")),
)
# fmt: on
NAMES = {command.name: command for command in COMMANDS}


def target(place: str) -> Callable[..., Any]:
    """The function that a ``module:function`` of this package names."""
    module, _, function = place.partition(":")
    found: Callable[..., Any] = getattr(import_module(f"diagnose.cli.{module}"), function)
    return found

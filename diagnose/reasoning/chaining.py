"""The one door to forward chaining: rules in, a chainer out; cheap until its first run.

The chainer on durable_rules does the work wherever that library can be imported (it is built from
source and its last release does not load on every Python); else the plain one gives the same
answers. Which one is in use shows in nothing but the time it takes.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal, Protocol

from diagnose.reasoning.facts import Derivation, Fact
from diagnose.reasoning.guards import accept
from diagnose.reasoning.program import Program, Rule


class Chainer(Protocol):
    """Runs one program, as often as wanted; runs leave nothing behind."""

    def run(self, facts: Iterable[Fact], /) -> Derivation:
        """Derive everything that follows from the facts."""


def chainer(rules: Iterable[Rule], prefer: Literal["durable", "plain"] = "durable") -> Chainer:
    """Make a chainer for the rules; raise a `ProgramError` when they can't be run."""
    return chainer_of(checked(rules), prefer)


def checked(rules: Iterable[Rule]) -> Program:
    """The rules as a program that can be run (and kept); raise a `ProgramError` when not."""
    from diagnose.reasoning.engine_text import texts_of  # not where the program was kept

    program = Program(rules)
    accept(program)
    program.texts = texts_of(program)
    return program


def chainer_of(program: Program, prefer: Literal["durable", "plain"] = "durable") -> Chainer:
    """A chainer for a program that was checked before."""
    return _Deferred(program, prefer)


class _Deferred:
    """A chainer that is made at its first run, so that starting up loads no library."""

    def __init__(self, program: Program, prefer: Literal["durable", "plain"]) -> None:
        self._program = program
        self._prefer = prefer
        self._chainer: Chainer | None = None

    def run(self, facts: Iterable[Fact], /) -> Derivation:
        """Derive everything that follows from the facts."""
        if self._chainer is None:
            self._chainer = _make(self._program, self._prefer)
        return self._chainer.run(facts)


def _make(program: Program, prefer: Literal["durable", "plain"]) -> Chainer:
    if prefer == "durable":
        try:
            from diagnose.reasoning.durable import DurableChainer

            return DurableChainer(program)
        except ImportError as error:
            if not str(error.name).startswith("durable"):
                raise
            # not installed, or built for another Python: the plain one does
    from diagnose.reasoning.plain import PlainChainer

    return PlainChainer(program)

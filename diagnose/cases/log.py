"""The case log: the ordered statements about one engine; only ever added to, never edited.

Nothing is concluded here: the state of a case is recomputed from its log (`diagnose.cases.state`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

# The kinds of statement:
# said: a finding in a state       measured: a reading     cannot: out of this person's reach
# dont_know: not known to them     asked: we asked it      open: an access is open
# talked: a cause whose words were used, with how near (value)
# guessed: a cause they suspect    set_aside: an earlier reading of it no longer counts
# unit: they prefer this unit      undone: the statements of a turn are taken back


class Statement(NamedTuple):
    """One statement; `name` is a finding, access, cause or dimension, as its `kind` asks."""

    kind: str
    name: str
    turn: int
    state: str | None = None
    value: float | None = None
    unit: str | None = None
    text: str = ""
    low: float | None = None
    high: float | None = None
    bound: str | None = None


class CaseLog:
    """The statements of one case in their order."""

    def __init__(self, statements: Iterable[Statement] = ()) -> None:
        self.statements = list(statements)

    def add(self, statements: Iterable[Statement]) -> None:
        """Append statements."""
        self.statements.extend(statements)

    def undo(self) -> int | None:
        """Take back the last turn in which the person told something; its number, or None."""
        turns = [s.turn for s in self.standing() if s.kind not in ("asked", "set_aside")]
        if not turns:
            return None
        last = max(turns)
        now = max(s.turn for s in self.statements)
        self.statements.append(Statement("undone", "", now, value=float(last)))
        return last

    def standing(self) -> Iterator[Statement]:
        """The statements that still hold: those of turns not taken back."""
        undone = {int(s.value or 0) for s in self.statements if s.kind == "undone"}
        gone = {
            i
            for i, s in enumerate(self.statements)
            if s.turn in undone and s.kind not in ("asked", "undone")
        }
        return (s for i, s in enumerate(self.statements) if i not in gone and s.kind != "undone")

"""The case log: the ordered statements about one engine; only ever added to, never edited.

Nothing is concluded here: the state of a case is recomputed from its log (`diagnose.cases.state`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diagnose.named import Named

# The kinds of statement:
# said: a finding in a state       measured: a reading     cannot: out of this person's reach
# dont_know: not known to them     asked: we asked it      open: an access is open
# talked: a cause whose words were used, with how near (value)
# likened: a cause that people told alike who had it, with the log odds (value)
# guessed: a cause they suspect    set_aside: an earlier reading of it no longer counts
# unit: they prefer this unit      undone: the statements of a turn are taken back
# gauge: what the gauge of a reading reads to
# dropped: what was told of this finding before is taken back
KINDS = ("said", "measured", "cannot", "dont_know", "asked", "open")
MORE_KINDS = ("talked", "likened", "guessed", "set_aside", "unit", "undone", "dropped", "gauge")

_ANSWERS = ("said", "measured", "cannot", "dont_know")


class Statement(Named):
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
        turns = [s.turn for s in self._not_undone() if s.kind not in ("asked", "set_aside")]
        if not turns:
            return None
        last = max(turns)
        now = max(s.turn for s in self.statements)
        self.statements.append(Statement("undone", "", now, value=float(last)))
        return last

    def standing(self) -> Iterator[Statement]:
        """The statements that still hold: not undone with their turn, and not dropped since."""
        kept = self._not_undone()
        dropped = {s.name: place for place, s in enumerate(kept) if s.kind == "dropped"}
        return (
            s
            for place, s in enumerate(kept)
            if s.kind != "dropped"
            and not (s.kind in ("said", "measured") and place < dropped.get(s.name, 0))
        )

    def _not_undone(self) -> list[Statement]:
        undone = {int(s.value or 0) for s in self.statements if s.kind == "undone"}
        return [
            s
            for s in self.statements
            if s.kind == "asked" or (s.turn not in undone and s.kind != "undone")
        ]

    def told_last(self) -> list[str]:
        """The findings told in the last turn that told any, in the order they were said back."""
        told = [s for s in self._not_undone() if s.kind in ("said", "measured")]
        last = max((s.turn for s in told), default=0)
        return [s.name for s in told if s.turn == last]

    def open_question(self) -> list[Statement]:
        """What was asked last and is not answered yet."""
        asked = [s for s in self.statements if s.kind == "asked"]
        last = [s for s in asked if s.turn == asked[-1].turn] if asked else []
        names = {s.name for s in last}
        later = (s for s in self.standing() if s.name in names and s.kind in _ANSWERS)
        return [] if any(later) else last

"""The record of one case at one desk: what it has read of it, and each turn it adds.

A turn is written whole, and only on top of what this desk has read; else `StaleView` is raised and
nothing is written. A case is begun with its first turn, so that none is ever empty.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnose.cases.entries import CLOSED, MERGED, OPEN, Entry, Head
from diagnose.cases.faults import case_closed
from diagnose.cases.log import Statement
from diagnose.cases.place import who_writes
from diagnose.cases.store import Store, Wanted
from diagnose.named import Named


class Start(Named):
    """How a desk begins a case: its engine sheet and the fields that were given."""

    sheet: str = ""
    fields: Mapping[str, str] = {}

    def statements(self) -> list[Statement]:
        """What stands at the head of a case begun so."""
        given = {"sheet": self.sheet, **self.fields}
        return [Statement("field", n, 0, text=text) for n, text in given.items() if text]


NOTHING = Start()


class Record:
    """One case as this desk keeps it."""

    def __init__(self, store: Store, head: Head | None, start: Start = NOTHING) -> None:
        self.store, self.start = store, start
        self.who = who_writes()
        self.number = head.number if head else None
        self.seen = 0

    def news(self) -> list[Entry]:
        """What was added by others since this desk last read or wrote."""
        if self.number is None:
            return []
        new = self.store.entries(self.number, self.seen)
        self.seen = new[-1].seq if new else self.seen
        return new

    def keep(self, statements: Sequence[Statement], anew: bool = False) -> None:
        """Write one turn, `anew` as the first of another case.

        Raises `StaleView` or `StoreError`, and then nothing is written.
        """
        if self.number is None or anew:
            head = self.store.begin([*self.start.statements(), *statements], self.who)
            self.number = head.number
        else:
            head = self.store.append(self.number, statements, self.who, self.seen)
        self.seen = head.last

    def leave(self) -> None:
        """The next turn begins a new case."""
        self.number, self.seen = None, 0


def opened(store: Store, number: int) -> Head:
    """The head of a case to go on with; raises `CaseClosed`."""
    head = store.head(number)
    if head.status in (CLOSED, MERGED):
        raise case_closed(number, head.status, head.merged_into)
    return head


def open_case(store: Store, who: str) -> Head | None:
    """The open case this desk last wrote in, if there is one."""
    query = Wanted(status=OPEN, owner=who)
    return next((h for h in store.listed(query, 50) if h.owner == who), None)

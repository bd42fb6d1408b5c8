"""The calls of a desk: one is talked to, the others are on hold with all that was said."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from diagnose.dialogue.conversation import Conversation
from diagnose.dialogue.reply import Reply
from diagnose.named import Named

Begin = Callable[[], Conversation]


class Shelf(Named):
    """The kept cases: numbers and titles, those last written in first; and how one is taken up."""

    titles: Callable[[], Sequence[tuple[int, str]]]
    take: Callable[[int], Conversation]


class Call:
    """One talk: who calls, the tools there, the last reply and the one before."""

    def __init__(self, talk: Conversation, number: int) -> None:
        self.talk, self.number = talk, number
        self.name = ""
        self.tools: list[str] = []
        self.before: Mapping[str, tuple[float, str]] = {}
        self.reply: Reply | None = None
        self.shown = ""

    def as_dict(self, stands: str) -> dict[str, Any]:
        """For the list of calls."""
        return {"number": self.number, "name": self.name, "tools": self.tools, "stands": stands}

    def tools_for(self, needed: Sequence[str]) -> tuple[list[str], list[str]]:
        """Which of the needed tools are at hand there, and which were not named."""
        has = [tool for tool in needed if any(_same(tool, own) for own in self.tools)]
        return has, [tool for tool in needed if tool not in has]


class Calls:
    """The calls in the order they began."""

    def __init__(self, first: Conversation, begin: Begin) -> None:
        self._begin = begin
        self.all = [Call(first, 1)]
        self.here = self.all[0]

    def new(self) -> Call:
        """Begin another call; the one so far goes on hold."""
        return self.add(self._begin())

    def add(self, talk: Conversation) -> Call:
        """Go over to a talk as a call of its own."""
        self.here = Call(talk, len(self.all) + 1)
        self.all.append(self.here)
        return self.here

    def go_to(self, number: int) -> bool:
        """Take that call up again; whether there is one."""
        if 1 <= number <= len(self.all):
            self.here = self.all[number - 1]
            return True
        return False

    def next(self) -> bool:
        """Take up the call after this one; whether there is another."""
        self.go_to(self.here.number % len(self.all) + 1)
        return len(self.all) > 1


def _same(tool: str, own: str) -> bool:
    """Whether a tool of the caller is what is needed: the one's words hold the other's."""
    needed, named = set(tool.lower().split()), set(own.lower().split())
    return bool(named) and (named <= needed or needed <= named)

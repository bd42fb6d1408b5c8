"""What the caller on the phone has: asked once at the start; what is out of reach is not put."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from diagnose.cases.log import Statement
from diagnose.dialogue import wording_aloud
from diagnose.knowledge.model import Check
from diagnose.language.equipment import Equipment, lacking, read_equipment
from diagnose.language.intents import ASIDE, TELL
from diagnose.language.understanding import Understanding

if TYPE_CHECKING:
    from diagnose.dialogue.conversation import Conversation

_MOST_TEXT = 200
_OPEN = ("running", "cranking", "outside")


class Caller:
    """The tools and the access somebody on the phone told of; None until then."""

    def __init__(self) -> None:
        self.kit: frozenset[str] | None = None

    def hears(
        self, text: str, found: Understanding, talk: Conversation
    ) -> tuple[Understanding, list[Statement], list[str]]:
        """What a text tells of tools and access: what is left of it, statements, what is said back.

        The first text may tell both at once; a later one only when it tells nothing else.
        """
        first = talk.turn == 1
        told = read_equipment(text, talk.index, is_report=bool(found.taken))
        late = not (found.taken or found.unclear) and (told.has or told.lacks or self.kit is None)
        if not told.told or not (first or late) or len(text) > _MOST_TEXT:
            return found, [], []
        self.kit = told.beside(self.kit, talk.index)
        access = talk.bench.knowledge.access
        new = [Statement("open", a, talk.turn) for a in told.open if a in access]
        new += [Statement("cannot", f, talk.turn) for f in self._out_of_reach(told, talk)]
        titles = [access[a].title.lower() for a in told.open if a in access]
        line = wording_aloud.kit_line(told, titles)
        aside = found.intent in ASIDE and not (first or told.has or told.only)
        intent = found.intent if aside else TELL
        plain = found._replace(unclear=(), not_understood=(), intent=intent)
        return plain, new, [line]

    def way_without(self, check: Check, talk: Conversation) -> str | None:
        """How a check goes without the tool the caller lacks; None where nothing is lacking."""
        if self.kit is None or not lacking(check.tools, self.kit, talk.index):
            return None
        return check.without_tool

    def _out_of_reach(self, told: Equipment, talk: Conversation) -> Iterator[str]:
        """The findings of checks that need a tool not there, or an access that stays shut."""
        known = talk.last.state.known
        for check in talk.bench.knowledge.checks.values():
            shut = told.stays_shut and check.access not in (*_OPEN, *told.open)
            bare = self.kit is not None and lacking(check.tools, self.kit, talk.index)
            if shut or (bare and not check.without_tool):
                yield from (f for f in check.settles if f not in known)

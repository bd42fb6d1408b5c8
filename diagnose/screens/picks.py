"""The answers to the open question that may be picked by number or by their first letters."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.dialogue.conversation import Conversation
from diagnose.language.understand import understand
from diagnose.named import Named
from diagnose.screens.wording import CANT_CHECK, DONT_KNOW

_MOST_LETTERS = 12


class Pick(Named):
    """One answer: as shown, and the turn it stands for."""

    label: str
    turn: object


def picks(talk: Conversation) -> list[Pick]:
    """The answers in the order of their numbers; none where a figure or a meaning is asked for."""
    asked = talk.context().asked
    if asked is None or talk.offered:
        return []
    finding = talk.bench.knowledge.findings[asked]
    if finding.is_reading:
        return []
    states = [
        Pick(finding.say.get(state, state), {"finding": asked, "state": state})
        for state in finding.known_states
    ]
    return [*states, Pick(DONT_KNOW, DONT_KNOW), Pick(CANT_CHECK, CANT_CHECK)]


def picked(line: str, offered: Sequence[Pick]) -> Pick | None:
    """The one answer a line picks, or None: then it is taken as it was said."""
    said = line.strip().rstrip(".").lower()
    if said.isdecimal():
        place = int(said) if len(said) < 3 else 0
        return offered[place - 1] if 1 <= place <= len(offered) else None
    if not said or len(said) > _MOST_LETTERS:
        return None
    whole = [pick for pick in offered if pick.label.lower() == said]
    begun = whole or [pick for pick in offered if pick.label.lower().startswith(said)]
    return begun[0] if len(begun) == 1 else None


def turn_of(pick: Pick, talk: Conversation) -> object:
    """The answer in words where they are heard as just that, so that a record shows words."""
    if not isinstance(pick.turn, dict):
        return pick.turn
    found = understand(pick.label, talk.index, talk.context())
    taken = [{"finding": t.finding, "state": t.state} for t in found.taken]
    unsure = found.unclear or found.guesses or found.not_understood
    return pick.turn if unsure or taken != [pick.turn] else pick.label

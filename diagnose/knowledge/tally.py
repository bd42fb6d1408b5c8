"""How much the rule base says of each system, and on whose word; changes nothing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from diagnose.knowledge.model import WITHOUT_ADDRESS, Cause, Knowledge


class Tally(NamedTuple):
    """One system: causes, signs, signs by source, and its share of all faults after a build."""

    system: str
    causes: int
    signs: int
    published: int
    common_practice: int
    memory: int
    weight: float

    @property
    def published_share(self) -> float:
        """The share of its signs that rest on a published source."""
        return self.published / self.signs if self.signs else 0.0


def tally_by_system(knowledge: Knowledge) -> list[Tally]:
    """One row a system, in order of name, and last the whole rule base (system `all`)."""
    by_system: dict[str, list[Cause]] = {}
    for cause in knowledge.causes.values():
        by_system.setdefault(cause.system, []).append(cause)
    words = knowledge.words.how_common
    whole = sum(words[c.how_common.after_build] for c in knowledge.causes.values()) or 1.0
    rows = [_tally(system, by_system[system], words, whole) for system in sorted(by_system)]
    return [*rows, _tally("all", list(knowledge.causes.values()), words, whole)]


def _tally(system: str, causes: list[Cause], words: Mapping[str, float], whole: float) -> Tally:
    sources = [sign.source for cause in causes for sign in cause.signs]
    common, memory = (sources.count(kind) for kind in WITHOUT_ADDRESS)
    return Tally(
        system=system,
        causes=len(causes),
        signs=len(sources),
        published=len(sources) - common - memory,
        common_practice=common,
        memory=memory,
        weight=sum(words[c.how_common.after_build] for c in causes) / whole,
    )

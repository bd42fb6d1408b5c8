"""How much the rule base says of each system, and on whose word; changes nothing."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.knowledge.model import WITHOUT_ADDRESS, Cause, Knowledge
from diagnose.named import Named


class Tally(Named):
    """One system: causes, signs, signs by source, and its share of all faults (its weight)."""

    system: str
    causes: int
    signs: int
    published: int
    common_practice: int
    memory: int
    weight: float
    weight_in_service: float

    @property
    def signs_a_cause(self) -> float:
        """How much is said of a cause of this system on average."""
        return self.signs / self.causes if self.causes else 0.0

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
    causes = list(knowledge.causes.values())
    rows = [_tally(system, by_system[system], words, causes) for system in sorted(by_system)]
    return [*rows, _tally("all", causes, words, causes)]


def _tally(
    system: str, causes: list[Cause], words: Mapping[str, float], every: list[Cause]
) -> Tally:
    sources = [sign.source for cause in causes for sign in cause.signs]
    common, memory = (sources.count(kind) for kind in WITHOUT_ADDRESS)
    return Tally(
        system=system,
        causes=len(causes),
        signs=len(sources),
        published=len(sources) - common - memory,
        common_practice=common,
        memory=memory,
        weight=_mass(causes, words, "after_build") / (_mass(every, words, "after_build") or 1),
        weight_in_service=_mass(causes, words, "in_service")
        / (_mass(every, words, "in_service") or 1),
    )


def _mass(causes: list[Cause], words: Mapping[str, float], setting: str) -> float:
    return sum(words[getattr(cause.how_common, setting)] for cause in causes)

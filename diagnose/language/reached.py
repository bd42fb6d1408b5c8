"""Which states no phrase of the rule base reaches; a proof of the understanding, no part of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diagnose.knowledge.model import Finding, Knowledge
from diagnose.language.index import LanguageIndex
from diagnose.language.understand import understand
from diagnose.language.understanding import Context, Taken

_NAME = "name"


def unheard(knowledge: Knowledge, index: LanguageIndex) -> Iterator[tuple[str, str]]:
    """Each finding and state (or `name`) whose phrases are all heard as something else."""
    for finding in knowledge.findings.values():
        for state, phrases in finding.phrases.items():
            texts = _with_values(finding, phrases) if state == _NAME else phrases
            if not any(_reaches(text, finding.id, state, index) for text in texts):
                yield finding.id, state


def _reaches(text: str, finding: str, state: str, index: LanguageIndex) -> bool:
    """Whether it is heard by itself, or else as an answer to the question about it."""
    return any(
        taken.finding == finding and _is_told(taken, state)
        for context in (Context(), Context(asked=finding))
        for taken in understand(text, index, context).taken
    )


def _is_told(taken: Taken, state: str) -> bool:
    return taken.value is not None if state == _NAME else taken.state == state


def _with_values(finding: Finding, names: Iterable[str]) -> Iterator[str]:
    """Nobody says the name of a reading without its figure."""
    bands = [band for band in (finding.usual, finding.possible) if band is not None]
    ends = ((end, band.unit) for band in bands for end in (band.high, band.low))
    value, unit = next((e for e in ends if e[0] is not None), (1.0, finding.unit))
    yield from (f"{name} {value:g} {unit}" for name in names)

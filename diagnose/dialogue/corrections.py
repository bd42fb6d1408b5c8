"""A word put right: "no, I meant crank end play", "make that 18", "sorry, tight"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.cases.log import CaseLog, Statement
from diagnose.language.index import LanguageIndex
from diagnose.language.tokens import NUMBER, WORD, tokenise
from diagnose.language.understand import understand
from diagnose.language.understanding import Context, Taken, Understanding
from diagnose.named import Named

_COUNT = "#"
_FEW = 4
_MOST = 14
_BARE = ("present", "absent", "yes", "no")


class Correction(Named):
    """What is told instead, and the findings told before that no longer stand."""

    found: Understanding
    dropped: tuple[str, ...]


class _Opening(Named):
    """What is left of a text behind words that put right; `is_sure` when they can mean no more."""

    rest: str
    is_sure: bool


def correction(text: str, log: CaseLog, index: LanguageIndex) -> Correction | None:
    """Read a text as putting right what was told last; None when it does not."""
    opening = _opening(text, index)
    told = list(reversed(_told_last(log)))
    if opening is None or not told:
        return None
    found = next(_answered(opening.rest, told, index), None)
    if found is None and opening.is_sure:
        found = _told_anew(opening.rest, told, index) or next(
            _completed(opening.rest, told, index), None
        )
    return found


def _opening(text: str, index: LanguageIndex) -> _Opening | None:
    tokens = [t for t in tokenise(text) if t.kind in (WORD, NUMBER)]
    words = [t.text if t.kind == WORD else _COUNT for t in tokens]
    if len(words) > _MOST:
        return None
    lists = index.words
    for name, is_sure in (("sure", True), ("perhaps", False)):
        place = lists.corrections[name].find(words)
        if place is None or not set(words[: place[0]]) <= lists.answers.no | lists.openers:
            continue
        behind = tokens[place[1] :]
        if behind and (is_sure or len(behind) <= _FEW):
            return _Opening(text[behind[0].start :], is_sure)
    return None


def _told_last(log: CaseLog) -> list[Statement]:
    """What the last turn told that told anything and still stands."""
    told = [s for s in log.standing() if s.kind in ("said", "measured")]
    last = max((s.turn for s in told), default=0)
    return [s for s in told if s.turn == last]


def _answered(text: str, told: Sequence[Statement], index: LanguageIndex) -> Iterator[Correction]:
    """The rest is another answer to the same: "make that 18", "no wait, tight"."""
    for statement in told:
        name = statement.name
        found = understand(text, index, Context(asked=name, asked_unit=statement.unit))
        if any(t.finding == name and _differs(t, statement) for t in found.taken):
            yield Correction(found, (name,))


def _differs(taken: Taken, statement: Statement) -> bool:
    return (taken.state, taken.value) != (statement.state, statement.value)


def _told_anew(text: str, told: Sequence[Statement], index: LanguageIndex) -> Correction | None:
    """The rest tells by itself; what was told of the same kind before is taken back."""
    tries = [Context(), *(Context(asked=s.name) for s in told)]  # "at the rear" is of a noise
    heard = (understand(text, index, context) for context in tries)
    found = next((f for f in heard if f.taken), None)
    if found is None:
        return None
    kinds = {_kind(t.finding, index) for t in found.taken}
    return Correction(found, tuple(s.name for s in told if _kind(s.name, index) in kinds))


def _kind(name: str, index: LanguageIndex) -> tuple[str, str | None]:
    finding = index.findings[name]
    return (finding.dimension or finding.topic, finding.kind)


def _completed(text: str, told: Sequence[Statement], index: LanguageIndex) -> Iterator[Correction]:
    """The rest only names another thing; what was told before is told of it."""
    for statement in told:
        if statement.state in _BARE:
            continue  # "present" says nothing without its own words
        if statement.value is not None:
            said = f"{statement.value:g} {statement.unit}"
        else:
            said = (statement.state or "").replace("_", " ")
        found = understand(f"{text} {said}", index, Context())
        others = [t._replace(text=text) for t in found.taken if t.finding != statement.name]
        if others:
            yield Correction(Understanding(taken=tuple(others)), (statement.name,))

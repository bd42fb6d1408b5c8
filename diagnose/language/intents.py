"""What a text wants of the assistant besides telling; finds no findings."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.language.index import LanguageIndex
from diagnose.language.sentences import Sentence

TELL, OTHER, WHAT_IF, OTHERWISE = "tell", "other", "what_if", "otherwise"
ASIDE = ("cannot", "dont_know")
_ORDER = (
    "not_that",
    "how_sure",
    "settle",
    "undo",
    "why_not",
    "list",
    "change_unit",
    "restart",
    "stop",
    "help",
    "how",
    "why",
    "greeting",
)
_MOST_WORDS = 18
_OPENING = 4


def find_intent(found: Sequence[Sentence], index: LanguageIndex) -> str | None:
    """The one thing a short text asks for, or None when it only tells."""
    words = [w for s in found for c in s.clauses for w in c.raw]
    if not words or len(words) > _MOST_WORDS:
        return None
    other = index.words.intents[OTHERWISE].find(words)
    if other is not None and other[0] == 0:
        return OTHERWISE
    asks_why = words[0] in index.words.questions.presume
    if not asks_why and index.words.stances[WHAT_IF].find(words) is not None:
        return WHAT_IF
    for name in _ORDER:
        place = index.words.intents[name].find(words)
        denied = place is not None and index.words.negators & set(words[: place[0]])
        if place is not None and place[0] < _OPENING and not denied:
            return name
    return None


def after_turn(sentence: Sentence, index: LanguageIndex) -> Sentence | None:
    """ "can't measure that, but it knocks": the sentence from its "but" on, if that tells more."""
    if not is_put_aside([sentence], index):
        return None
    turn = next((n for n, c in enumerate(sentence.clauses) if n and c.is_turn), None)
    if turn is None:
        return None
    rest = sentence._replace(
        clauses=tuple(
            c._replace(raw=() if n < turn else c.raw) for n, c in enumerate(sentence.clauses)
        ),
        words=tuple(w for w in sentence.words if w.clause >= turn),
        placed=(),
    )
    return None if is_put_aside([rest], index) else rest


def is_put_aside(found: Sequence[Sentence], index: LanguageIndex) -> str | None:
    """Whether the person says they can't look, or don't know."""
    for sentence in found:
        words = [w for c in sentence.clauses for w in c.raw]
        for name in ASIDE:
            if index.words.intents[name].find(words) is not None:
                return name
    return None

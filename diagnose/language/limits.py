"""A noise that goes away only at times is there at others: "the tick goes away when warm"."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from diagnose.language.index import LanguageIndex
from diagnose.language.understanding import Taken

_GOES = re.compile(r"\b(go|goes|gone|going|stops?|stopped|disappears?|fades?|vanish\w*|quiets?)\b")
_ONLY_THEN = re.compile(
    r"\W*(?:(?:away|off|out|down|quiet|completely|altogether)\W+)*"
    r"(?:when|once|after|as|if|until|till|with|under|on|at|in)\b"
)


def present_at_other_times(
    text: str, taken: Iterable[Taken], index: LanguageIndex
) -> Iterator[Taken]:
    """The same things, those whose absence the text limits to a time turned to their presence."""
    low = text.lower()
    for item in taken:
        finding = index.findings[item.finding]
        heard = item.finding in index.heard and len(finding.known_states) == 2
        if heard and item.state == finding.normal and _is_limited(low, item.text.lower()):
            yield item._replace(state=finding.known_states[1])
        else:
            yield item


def _is_limited(text: str, words: str) -> bool:
    place = text.find(words)
    if place < 0 or not _GOES.search(words):
        return False
    return _ONLY_THEN.match(text[place + len(words) :]) is not None

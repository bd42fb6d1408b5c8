"""A noise that goes away only at times is there at others: "the tick goes away when warm".

So is one that comes and goes, and one that goes with something tried: "in gear the knock goes".
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from diagnose.language.index import LanguageIndex
from diagnose.language.understanding import Taken

_NEAR = 12
_GOES = re.compile(r"\b(go|goes|gone|going|stops?|stopped|disappears?|fades?|vanish\w*|quiets?)\b")
_LEAVES = re.compile(r"\b(go|goes|gone|going|stops?|stopped|disappears?|fades?|vanish\w*)\b")
_COMES_BACK = re.compile(
    r"\b(comes?|came) (and|an|n|&) (goes|go|went)\b|\b(on and off|off and on)\b"
)
_ONLY_THEN = re.compile(
    r"\W*(?:(?:away|off|out|down|quiet|completely|altogether)\W+)*"
    r"(?:when|once|after|as|if|until|till|with|under|on|at|in)\b"
)


def present_at_other_times(
    text: str, taken: Iterable[Taken], index: LanguageIndex
) -> Iterator[Taken]:
    """The same things, those whose absence the text limits to a time turned to their presence."""
    low, items = text.lower(), list(taken)
    tried = any(
        t.finding in index.words.tests and t.state != index.findings[t.finding].normal
        for t in items
    )
    for item in items:
        finding = index.findings[item.finding]
        heard = item.finding in index.heard and len(finding.known_states) == 2
        sound = tried and finding.topic not in index.words.spoken_of.topics
        if heard and item.state == finding.normal and _is_limited(low, item.text.lower(), sound):
            yield item._replace(state=finding.known_states[1])
        else:
            yield item


def _is_limited(text: str, words: str, tried: bool) -> bool:
    """Whether it goes only at a time, comes back, or goes with something that was tried."""
    place = text.find(words)
    if place < 0 or not _GOES.search(words):
        return False
    behind = text[place:]
    limited = _ONLY_THEN.match(behind[len(words) :]) is not None
    leaves = tried and _LEAVES.search(words) is not None
    return leaves or limited or _COMES_BACK.search(behind[: len(words) + _NEAR]) is not None

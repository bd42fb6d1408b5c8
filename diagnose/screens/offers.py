"""What is offered while somebody types, each with a line that explains it; picks nothing itself.

Answers of the open question come first, then the words of the screen, then what the rule base is
told in. Slips of typing are forgiven. All phrases are gone through at every key.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from rapidfuzz import fuzz, process

from diagnose.dialogue.conversation import Conversation
from diagnose.knowledge.model import Knowledge
from diagnose.measuring.units import units_of_talk
from diagnose.named import Named
from diagnose.screens import wording
from diagnose.screens.picks import picks
from diagnose.screens.words import WORDS

MOST = 12
_CLOSE_ENOUGH, _CLOSE_PHRASE = 75, 82
_OVERHANG = 2  # letters that may be typed beyond an offer and still mean it
_SHORTEST = 3  # fewer letters are near everything
_MOST_OF_ONE = 2  # wordings of one state: the others would say the same
_JOINT = re.compile(r"[,.;:\n]\s+|\s+(?:and|but|then)\s+|\n")
_FIGURE = re.compile(r"(?:^|.*\s)-?\d+(?:[.,]\d+)?\s*([a-z/-]*)$", re.IGNORECASE | re.DOTALL)


class Offer(Named):
    """A text, what it means in a few words, and how many letters before the cursor it replaces."""

    text: str
    explains: str
    replaces: int


class Phrases:
    """The wordings of the rule base with what each is taken for, ready to be gone through."""

    def __init__(self, knowledge: Knowledge) -> None:
        rows = list(_told(knowledge))
        self.texts = [text for text, _ in rows]
        self.explains = [explains for _, explains in rows]
        self._lower = [text.lower() for text in self.texts]
        self._starts = [f" {text}" for text in self._lower]

    def near(self, typed: str) -> Iterator[tuple[str, str]]:
        """The wordings that what was typed may be the beginning of, nearest first."""
        counts: dict[str, int] = {}
        for place in self._places(typed.lower()):
            means = self.explains[place]
            counts[means] = counts.get(means, 0) + 1
            if counts[means] <= _MOST_OF_ONE:
                yield self.texts[place], means

    def _places(self, wanted: str) -> Iterator[int]:
        first = [n for n, text in enumerate(self._lower) if text.startswith(wanted)]
        yield from sorted(first, key=lambda n: len(self._lower[n]))
        heads = [f" {word}" for word in wanted.split()]
        inside = [n for n in self._holding(heads) if not self._lower[n].startswith(wanted)]
        yield from sorted(inside, key=lambda n: len(self._lower[n]))
        if not first and not inside and len(wanted) > _SHORTEST:
            yield from self._slipped(wanted)

    def _slipped(self, wanted: str) -> Iterator[int]:
        """The wordings that hold something very like what was typed."""
        scorer = fuzz.partial_ratio
        hits = process.extract(
            wanted, self._lower, scorer=scorer, score_cutoff=_CLOSE_PHRASE, limit=5 * MOST
        )
        for text, _, place in hits:
            if len(wanted) <= len(text) + _OVERHANG:
                yield place

    def _holding(self, heads: Sequence[str]) -> list[int]:
        """The wordings with a word that begins with each of these."""
        found: Sequence[int] = range(len(self._starts))
        for head in heads:
            found = [n for n in found if head in self._starts[n]]
        return list(found)


def _told(knowledge: Knowledge) -> Iterator[tuple[str, str]]:
    for finding in knowledge.findings.values():
        for state, phrases in finding.phrases.items():
            means = finding.say.get(state, finding.unit or "")
            for phrase in phrases:
                yield phrase, f"{finding.title}: {means}".rstrip(": ")


class Offers:
    """All that may be offered in one talk."""

    def __init__(self, talk: Conversation, kept: Phrases | None = None) -> None:
        self.talk, self.kept = talk, kept
        self.names: Sequence[tuple[str, str]] = ()

    @property
    def phrases(self) -> Phrases:
        """Made at the first letter typed, not before the first prompt."""
        if self.kept is None:
            self.kept = Phrases(self.talk.bench.knowledge)
        return self.kept

    def near(self, typed: str, wanted: bool = False) -> list[Offer]:
        """What fits the text before the cursor; all short ones when asked for on an empty line."""
        line = typed.lstrip()
        if not line:
            short = dict([*self.answers(), *self.words()]) if wanted else {}
            return [Offer(text, why, 0) for text, why in short.items()]
        rows = [*nearest(line, self.answers()), *nearest(line, self.words())]
        found = [Offer(text, why, len(line)) for text, why in rows]
        found += self._units(line)
        part = _JOINT.split(line)[-1].lstrip()
        if len(part) > 1 and not part[0].isdigit():
            found += (Offer(t, why, len(part)) for t, why in self.phrases.near(part))
        shown: dict[str, Offer] = {}
        for offer in found:
            shown.setdefault(offer.text, offer)
            if len(shown) == MOST:
                break
        return list(shown.values())

    def answers(self) -> list[tuple[str, str]]:
        """The meanings asked back about, and the answers of the open question."""
        rows = [(label, wording.MEANING) for label in self.talk.offered]
        return [*rows, *((pick.label, wording.ANSWER) for pick in picks(self.talk))]

    def words(self) -> list[tuple[str, str]]:
        """The words of the screen, and the calls by name."""
        return [*((word.say, word.does) for word in WORDS), *self.names]

    def _units(self, line: str) -> list[Offer]:
        """The units that may follow a figure: those of what is asked first."""
        figure = _FIGURE.match(line)
        if figure is None:
            return []
        begun = figure.group(1)
        context = self.talk.context()
        asked = self.talk.bench.knowledge.findings.get(context.asked or "")
        own = asked.dimension if asked else None
        fits = [
            (name, dimension) for name, dimension in units_of_talk() if begun or dimension == own
        ]
        fits = [unit for unit in fits if unit[0].lower().startswith(begun.lower())]
        fits.sort(key=lambda unit: unit[1] != own)
        gap = "" if begun or line[-1:].isspace() else " "
        return [Offer(gap + name, wording.unit_of(what), len(begun)) for name, what in fits]


def nearest(typed: str, offered: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """The offers that what was typed may be the beginning of, nearest first."""
    wanted = typed.lower()
    near = [(_nearness(wanted, row[0].lower()), row) for row in offered]
    near.sort(key=lambda pair: -pair[0])
    return [row for score, row in near if score >= _CLOSE_ENOUGH]


def _nearness(wanted: str, offer: str) -> float:
    """How well the typed letters fit the start of the offer, or somewhere in it a little less."""
    if len(wanted) > len(offer) + _OVERHANG:
        return 0.0
    if offer.startswith(wanted):
        return 101.0
    return max(fuzz.ratio(wanted, offer[: len(wanted)]), fuzz.partial_ratio(wanted, offer) - 5)

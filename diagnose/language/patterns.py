"""Small word patterns, matched on a list of words; knows no language of its own.

`may|might be` is a choice and a word, `*` stands for up to five words, `^` ties the first word to
the start and `$` the last one to the end; `new cam !bearing|gear` does not hold before these words.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from diagnose.named import Named

_GAP = 5
Step = frozenset[str] | None


class Pattern(Named):
    """One pattern: the words of each step (None is a gap), whether its ends are tied, and the words
    that may not stand behind it."""

    steps: tuple[Step, ...]
    at_start: bool
    at_end: bool
    not_before: frozenset[str] = frozenset()


class Patterns(Named):
    """Several patterns, found by their first word."""

    by_first: Mapping[str, tuple[Pattern, ...]]

    @classmethod
    def of(cls, lines: Iterable[str]) -> Patterns:
        """Read the patterns of one list."""
        table: dict[str, list[Pattern]] = {}
        for line in lines:
            pattern = read_pattern(str(line))
            for word in pattern.steps[0] or ():
                table.setdefault(word, []).append(pattern)
        return cls({word: tuple(found) for word, found in table.items()})

    @property
    def words(self) -> set[str]:
        """Every word the patterns name."""
        found = (p for patterns in self.by_first.values() for p in patterns)
        return {word for p in found for step in p.steps for word in step or ()}

    def find(self, words: Sequence[str]) -> tuple[int, int] | None:
        """The first place a pattern holds, as (start, end), the longest there; or None."""
        if self.by_first.keys().isdisjoint(words):
            return None
        for start, word in enumerate(words):
            ends = [end_of(p, words, start) for p in self.by_first.get(word, ())]
            best = max((e for e in ends if e is not None), default=None)
            if best is not None:
                return start, best
        return None

    def find_all(self, words: Sequence[str]) -> list[tuple[int, int]]:
        """Every place a pattern holds, left to right, not overlapping."""
        found, start = [], 0
        while (place := self.find(words[start:])) is not None:
            found.append((place[0] + start, place[1] + start))
            start += place[1]
        return found


def read_pattern(line: str) -> Pattern:
    """Read one pattern."""
    text = line.strip()
    at_start, at_end = text.startswith("^"), text.endswith("$")
    text, _, barred = text.removeprefix("^").removesuffix("$").partition("!")
    words, not_before = text.split(), frozenset(barred.strip().split("|"))
    steps = tuple(None if word == "*" else frozenset(word.split("|")) for word in words)
    return Pattern(steps, at_start, at_end, not_before)


def end_of(pattern: Pattern, words: Sequence[str], start: int) -> int | None:
    """Where the pattern ends if it holds from `start` on, else None."""
    if pattern.at_start and start > 0:
        return None
    end = _follow(pattern.steps, words, start)
    if end is None or (pattern.at_end and end != len(words)):
        return None
    return None if pattern.not_before.intersection(words[end : end + 1]) else end


def _follow(steps: Sequence[Step], words: Sequence[str], place: int) -> int | None:
    for number, step in enumerate(steps):
        if step is None:
            rest = steps[number + 1 :]
            tries = (_follow(rest, words, place + gap) for gap in range(_GAP + 1))
            return next((end for end in tries if end is not None), None)
        if place >= len(words) or words[place] not in step:
            return None
        place += 1
    return place

"""Shorter forms of the phrases, where a word can be left out and only one thing can be meant.

"timing gear marks out" may be said "gear marks out" if no other finding has a phrase with these
words. A short form that two or three things share is kept apart: it is a question to put.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from itertools import combinations

Owner = tuple[str, str | None]
Stems = tuple[str, ...]

_LEAST_WORDS, _LEAST_WEIGHT, _MOST_SHARING = 2, 3.0, 3


def short_forms(
    phrases: Collection[tuple[Owner, Stems, frozenset[str]]],
    weights: Mapping[str, float],
    light: Collection[str],
) -> dict[Stems, tuple[Owner, ...]]:
    """Every short form with those it can mean, for phrases given as owner, stems, telling stems."""
    holding, objects = _holding(phrases), _objects(phrases)
    found: dict[Stems, tuple[Owner, ...]] = {}
    for owner, stems, telling in phrases:
        for short in _without_one(stems, light):
            if not objects.get(owner[0], set()) & set(short) - telling:
                continue
            if short not in found and sum(weights[one] for one in short) >= _LEAST_WEIGHT:
                owners = set.intersection(*(holding[one] for one in short))
                kept = {phrase[0] for phrase in owners}
                if len(kept) <= _MOST_SHARING:
                    found[short] = tuple(sorted(kept, key=str))
    return found


def _holding(
    phrases: Iterable[tuple[Owner, Stems, frozenset[str]]],
) -> dict[str, set[tuple[Owner, Stems]]]:
    table: dict[str, set[tuple[Owner, Stems]]] = {}
    for owner, stems, _ in phrases:
        for one in stems:
            table.setdefault(one, set()).add((owner, stems))
    return table


def _objects(
    phrases: Iterable[tuple[Owner, Stems, frozenset[str]]],
) -> dict[str, set[str]]:
    """The stems that name what a finding is about: those that several of its states share."""
    states: dict[tuple[str, str], set[str | None]] = {}
    for (target, state), stems, _ in phrases:
        for one in stems:
            states.setdefault((target, one), set()).add(state)
    found: dict[str, set[str]] = {}
    for (target, one), having in states.items():
        if len(having) > 1:
            found.setdefault(target, set()).add(one)
    return found


def _without_one(stems: Stems, light: Collection[str]) -> Iterator[Stems]:
    content = [one for one in stems if one not in light]
    for kept in combinations(content, max(len(content) - 1, 0)):
        if len(kept) >= _LEAST_WORDS:
            yield tuple(sorted(kept))

"""Shorter forms of the phrases, where a word can be left out and only one thing can be meant.

"timing gear marks out" may be said "gear marks out" if no other finding has a phrase with these
words. A form that lacks the very word that would tell is kept apart: it is a question to put.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from itertools import combinations

Owner = tuple[str, str | None]
Stems = tuple[str, ...]
Owned = tuple[Owner, Stems]

NOT = "not"
_LEAST_WORDS, _LEAST_WEIGHT, _MOST_SHARING = 2, 2.6, 4
_OFTEN, _SOMETIMES = 0.4, 0.12
_MOST_MEANT = 3
_LEAST_TELLING = 1.5


def short_forms(
    phrases: Collection[Owned],
    telling: Mapping[Owner, frozenset[str]],
    weights: Mapping[str, float],
    light: Collection[str],
) -> dict[Stems, tuple[Owner, ...]]:
    """Every short form with those it can mean.

    It keeps a word that names the thing and one that tells the state; only a word that names the
    thing may be left out.
    """
    holding, things = _holding(phrases), _things(phrases)
    found: dict[Stems, tuple[Owner, ...]] = {}
    for owner, stems in phrases:
        sharp = {s for s in telling[owner] & set(stems) if weights[s] >= _LEAST_TELLING}
        thing = things.get(owner[0], set())
        for short in _without_one(stems, light):
            if short in found or not (sharp & set(short) and thing & set(short)):
                continue
            loose = (set(stems) - set(short)) & (thing | set(light))
            if not loose or sum(weights[s] for s in short) < _LEAST_WEIGHT:
                continue
            owners = {one[0] for one in set.intersection(*(holding[s] for s in short))}
            if len(owners) <= _MOST_SHARING:
                found[short] = tuple(sorted(owners, key=str))
    return found


def open_forms(
    phrases: Collection[Owned], weights: Mapping[str, float], light: Collection[str]
) -> dict[Stems, tuple[Owner, ...]]:
    """Forms short of the very word that tells, with the two or three things they can mean."""
    meant: dict[Stems, set[Owner]] = {}
    whole = set()
    for owner, stems in phrases:
        content = tuple(sorted(s for s in stems if s not in light))
        whole.add(content)
        if NOT not in stems:
            for size in (len(content) - 1, len(content) - 2):
                for kept in combinations(content, max(size, 0)):
                    meant.setdefault(kept, set()).add(owner)
    return {
        stems: tuple(sorted(owners, key=str))
        for stems, owners in meant.items()
        if 1 < len(owners) <= _MOST_MEANT
        and len(stems) >= _LEAST_WORDS
        and stems not in whole
        and sum(weights[s] for s in stems) >= _LEAST_WEIGHT
        and len({target for target, _ in owners}) in (1, len(owners))
    }


def _holding(phrases: Iterable[Owned]) -> dict[str, set[Owned]]:
    """The phrases that have a stem."""
    table: dict[str, set[Owned]] = {}
    for phrase in phrases:
        for one in phrase[1]:
            table.setdefault(one, set()).add(phrase)
    return table


def _things(phrases: Iterable[Owned]) -> dict[str, set[str]]:
    """The stems that name what a finding is about: many of its phrases or states share them."""
    states: dict[tuple[str, str], set[str | None]] = {}
    times: dict[tuple[str, str], int] = {}
    count: dict[str, int] = {}
    for (target, state), stems in phrases:
        count[target] = count.get(target, 0) + 1
        for one in stems:
            states.setdefault((target, one), set()).add(state)
            times[target, one] = times.get((target, one), 0) + 1
    found: dict[str, set[str]] = {}
    for (target, one), having in states.items():
        share = times[target, one] / count[target]
        if share >= _OFTEN or (len(having) > 1 and share >= _SOMETIMES):
            found.setdefault(target, set()).add(one)
    return found


def _without_one(stems: Stems, light: Collection[str]) -> Iterator[Stems]:
    """The phrase without its light words and without one other; a "not" always stays."""
    content = [one for one in stems if one not in light]
    denying = [one for one in stems if one == NOT]
    for kept in combinations(content, max(len(content) - 1, 0)):
        if len(kept) >= _LEAST_WORDS:
            yield tuple(sorted((*kept, *denying)))

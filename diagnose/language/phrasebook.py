"""The everyday wordings of the rule base as rows of stems, with the weight of each stem.

Made once from the rule base. A row is a plain tuple, so that a kept copy is read back quickly;
`Phrase` is the same row with its weights, made when a text seems to hold it.
"""

from __future__ import annotations

import marshal
import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from diagnose.knowledge.composing import composed
from diagnose.knowledge.model import Cause, Knowledge
from diagnose.knowledge.packed import Packed
from diagnose.language.shortening import NOT, Owner, open_forms, short_forms
from diagnose.language.spelling import Spelling, read_stems
from diagnose.language.stems import stem
from diagnose.language.wordlists import WordLists
from diagnose.measuring.units import possible_dimensions
from diagnose.named import Named

STATE, NAME, CAUSE, COMPOSED = "state", "name", "cause", "composed"
LIGHT, SHORT_TRUST, COMPOSED_TRUST = 0.4, 0.8, 0.95
_ALL_LIGHT = 1.0
_COMMONEST, _SPREAD = 0.5, 3.0
_FEW = 2
_ARTICLES = frozenset({"a", "an", "the", "its", "it", "is", "some"})

Stems = tuple[str, ...]
Wording = tuple[str, str, str | None, str]
Row = tuple[str, str, str | None, Stems, float, bool, bool]


class Phrase(Named):
    """One wording: its stems and their weights, what it speaks of, how far it is trusted."""

    kind: str
    target: str
    state: str | None
    stems: Stems
    weights: Mapping[str, float]
    telling: frozenset[str]
    trust: float
    not_behind: bool
    bare_not: bool

    @property
    def total(self) -> float:
        """The weight of all its stems."""
        return sum(self.weights.values())

    @property
    def content(self) -> list[str]:
        """The stems that carry its meaning: all but "not" and the light ones."""
        return [one for one in self.stems if one != NOT and self.weights[one] > LIGHT]


class PhraseBook(Named):
    """All wordings: those to meet whole, by their rarest stem; names of readings, by every stem.

    The wordings stay packed until a text has their stem: most are never needed.
    `own_kinds` are the kinds of thing a finding is about, where a word names several kinds.
    `telling` holds the stems that only one state of a finding has; `shared` the short forms (stems
    in order) that can mean several things.
    """

    by_rarest: Mapping[str, bytes]
    names: tuple[tuple[str, Stems], ...]
    names_by_stem: Mapping[str, tuple[int, ...]]
    weights: Mapping[str, float]
    telling: Mapping[Owner, frozenset[str]]
    shared: Mapping[str, tuple[Owner, ...]]
    rarest_of: Mapping[str, tuple[str, ...]]
    own_kinds: Mapping[str, frozenset[str]]
    unpacked: dict[str, tuple[Row, ...]]

    def phrase(self, row: Row) -> Phrase:
        """The row as a phrase, with its weights."""
        kind, target, state, stems, trust, behind, bare = row
        weights = {one: self.weights[one] for one in stems}
        if all(weight <= LIGHT for weight in weights.values()):
            weights = dict.fromkeys(stems, _ALL_LIGHT)
        telling = self.telling.get((target, state), frozenset()) & set(stems)
        return Phrase(kind, target, state, stems, weights, telling, trust, behind, bare)

    def rows(self, target: str) -> Iterator[Row]:
        """The whole wordings of one finding."""
        rows = (row for rarest in self.rarest_of.get(target, ()) for row in self.led_by(rarest))
        return (row for row in rows if row[1] == target and row[4] == 1.0)

    def led_by(self, one: str) -> tuple[Row, ...]:
        """The rows whose rarest stem is this one."""
        found = self.unpacked.get(one)
        if found is None:
            packed = self.by_rarest.get(one)
            found = self.unpacked[one] = marshal.loads(packed) if packed else ()
        return found


def make_phrase_book(
    knowledge: Knowledge, lists: WordLists, spelling: Spelling, topical: Collection[str]
) -> PhraseBook:
    """Read every wording; `topical` findings keep one-word wordings, as "at the front"."""
    read = [
        (kind, target, state, text, tuple(dict.fromkeys(read_stems(text, lists, spelling))))
        for kind, target, state, text in dict.fromkeys(wordings(knowledge, lists))
    ]
    wide = _wide((target, stems) for _, target, _, _, stems in read)
    told = [r for r in read if r[0] != COMPOSED]
    kept = [r for r in told if _says_enough(r[4], r[3], wide) or r[1] in topical]
    named = {(r[1], one) for r in kept if r[0] == NAME for one in r[4]}
    kept = [r for r in kept if _is_own(r[0], r[1], r[4], named)]
    weights = _weights(((r[1], r[4]) for r in kept), lists)
    owned = [((r[1], r[2]), r[4]) for r in kept if r[0] == STATE]
    telling = _telling(owned, named)
    short = short_forms(owned, telling, weights, lists.light | {NOT})
    rows = dict.fromkeys(
        _row(r[0], (r[1], r[2]), r[4], weights, (1.0, _is_bare(r[3], lists)))
        for r in kept
        if r[0] != NAME
    )
    names = tuple(dict.fromkeys((r[1], r[4]) for r in kept if r[0] == NAME))
    made = [((r[1], r[2]), r[4], _is_bare(r[3], lists)) for r in read if r[0] == COMPOSED]
    weights |= {
        one: _COMMONEST + _SPREAD for _, stems, _ in made for one in stems if one not in weights
    }
    close = _closely(made, {frozenset(stems) for _, stems in owned}, weights)
    whole = [*rows, *_shortened(short, telling, weights), *close]
    return PhraseBook(
        by_rarest=_by_rarest(whole),
        names=names,
        names_by_stem=_names_by_stem(names),
        weights=weights,
        telling=telling,
        shared=_shared(owned, weights, lists.light | {NOT}),
        rarest_of=_rarest_of(rows),
        own_kinds=_own_kinds(((r[1], r[4]) for r in kept), lists),
        unpacked={},
    )


def _shared(
    owned: Sequence[tuple[Owner, Stems]], weights: Mapping[str, float], light: Collection[str]
) -> Packed[tuple[Owner, ...]]:
    """The short forms with several meanings; each stays packed until a clause has it."""
    meant = open_forms(owned, weights, light)
    return Packed({" ".join(stems): owners for stems, owners in meant.items()})


def wordings(knowledge: Knowledge, lists: WordLists) -> Iterator[Wording]:
    """Every wording of the rule base, with what it speaks of."""
    for finding in knowledge.findings.values():
        for state, texts in finding.phrases.items():
            kind = NAME if finding.is_reading and state == NAME else STATE
            yield from ((kind, finding.id, None if kind == NAME else state, t) for t in texts)
        for state, patterns in finding.composed.items():
            for pattern in patterns:
                for text in composed(pattern, knowledge.words.word_classes):
                    yield COMPOSED, finding.id, state, text
    for cause in knowledge.causes.values():
        seen = _seen(knowledge, cause)
        for text in (*cause.phrases, cause.title):
            if text in seen:
                yield STATE, cause.confirm.finding, cause.confirm.state, text
            else:
                yield CAUSE, cause.id, None, text
    yield from _tried(knowledge, lists)


def _seen(knowledge: Knowledge, cause: Cause) -> frozenset[str]:
    """The names of a cause that only say its proof: "rocker nut loose" is seen, "rod knock" not.

    They carry the word of the proving state, and the proof is looked at, not listened to.
    """
    finding, state = knowledge.findings[cause.confirm.finding], cause.confirm.state
    check = knowledge.check_of(finding.id)
    if check is None or finding.is_reading or knowledge.access[check.access].engine_running:
        return frozenset()
    wanted = {stem(word) for word in state.split("_")}
    return frozenset(p for p in cause.phrases if wanted & {stem(w) for w in p.lower().split()})


def _tried(knowledge: Knowledge, lists: WordLists) -> Iterator[Wording]:
    """Every way to try something with every way to say what the noise did then."""
    for target, ways in lists.tests.items():
        finding = knowledge.findings.get(target)
        for state in finding.states if finding else ():
            for outcome in lists.outcomes.get(state, ()):
                yield from ((STATE, target, state, f"{way} {outcome}") for way in ways)


def _own_kinds(rows: Iterable[tuple[str, Stems]], lists: WordLists) -> dict[str, frozenset[str]]:
    """For each finding the kinds of thing its wordings name: the "fuel" of the fuel pump."""
    found: dict[str, set[str]] = {}
    for target, stems in rows:
        for one in stems:
            found.setdefault(target, set()).update(
                lists.told_apart.get(one, frozenset()) & {*stems}
            )
    return {target: frozenset(kinds) for target, kinds in found.items() if kinds}


def _wide(rows: Iterable[tuple[str, Stems]]) -> frozenset[str]:
    """Stems that speak of more than a few things."""
    speaks_of: dict[str, set[str]] = {}
    for target, stems in rows:
        for one in stems:
            speaks_of.setdefault(one, set()).add(target)
    return frozenset(one for one, found in speaks_of.items() if len(found) > _FEW)


def _says_enough(stems: Stems, text: str, wide: frozenset[str]) -> bool:
    """False for a phrase of which only one common word is left without its fillers."""
    content = [one for one in stems if one != NOT]
    typed = [w for w in text.split() if w not in _ARTICLES]
    return bool(content) and not (len(stems) == 1 < len(typed) and content[0] in wide)


def _is_own(kind: str, target: str, stems: Stems, named: set[tuple[str, str]]) -> bool:
    """False for a name of which only a unit is left, and for a state that says only the name."""
    if kind == NAME:
        return len(stems) > 1 or not possible_dimensions(stems[0] + "s")
    return kind != STATE or any((target, one) not in named for one in stems)


def _weights(rows: Iterable[tuple[str, Stems]], lists: WordLists) -> dict[str, float]:
    """How telling a stem is: the fewer things it speaks of, the more, on a fixed scale."""
    speaks_of: dict[str, set[str]] = {}
    targets = set()
    for target, stems in rows:
        targets.add(target)
        for one in stems:
            speaks_of.setdefault(one, set()).add(target)
    whole = math.log(len(targets) + 1) if targets else 1.0
    weights = {
        one: _COMMONEST + _SPREAD * (1 - math.log(len(found)) / whole)
        for one, found in speaks_of.items()
    }
    light = {one: LIGHT for one in lists.light if one in weights}
    return {**weights, NOT: 1.0, **light}


def _telling(
    rows: Iterable[tuple[Owner, Stems]], named: set[tuple[str, str]]
) -> dict[Owner, frozenset[str]]:
    """The stems that only one state of a finding has, and not its name, by finding and state."""
    by_state: dict[Owner, set[str]] = {}
    states: dict[tuple[str, str], set[str | None]] = {}
    for (target, state), stems in rows:
        by_state.setdefault((target, state), set()).update(stems)
        for one in stems:
            states.setdefault((target, one), set()).add(state)
    return {
        key: frozenset(one for one in stems if _is_telling(key[0], one, states, named))
        for key, stems in by_state.items()
    }


def _is_telling(
    target: str,
    one: str,
    states: Mapping[tuple[str, str], set[str | None]],
    named: set[tuple[str, str]],
) -> bool:
    return len(states[target, one]) == 1 and (target, one) not in named


def _row(
    kind: str,
    owner: Owner,
    stems: Stems,
    weights: Mapping[str, float],
    how: tuple[float, bool] = (1.0, False),
) -> Row:
    """A row with its rarest telling stem first, "not" and the light ones last.

    `how` far it is trusted, and whether it denies a thing.
    """
    ordered = sorted(stems, key=lambda one: (one == NOT, -weights[one], one))
    behind = NOT in stems and stems[0] != NOT
    return kind, owner[0], owner[1], tuple(ordered), how[0], behind, how[1]


def _is_bare(text: str, lists: WordLists) -> bool:
    """True for "no oil": what is denied is a thing that is not there, nothing that is done."""
    return bool(lists.bare_negators & set(text.lower().split()))


def _closely(
    made: Iterable[tuple[Owner, Stems, bool]],
    written: Collection[frozenset[str]],
    weights: Mapping[str, float],
) -> Iterator[Row]:
    """Composed wordings of two telling words or more; they are met only word beside word.

    What is `written` out stands before what is composed.
    """
    for owner, stems, is_bare in dict.fromkeys(made):
        telling = sum(weights[one] > LIGHT for one in stems)
        if telling >= _FEW and frozenset(stems) not in written:
            yield _row(STATE, owner, stems, weights, (COMPOSED_TRUST, is_bare))


def _shortened(
    short: Mapping[Stems, tuple[Owner, ...]],
    telling: Mapping[Owner, frozenset[str]],
    weights: Mapping[str, float],
) -> Iterator[Row]:
    """The short forms that can mean one thing only, a little less trusted."""
    for stems, owners in short.items():
        if len(owners) == 1 and telling[owners[0]] & set(stems):
            yield _row(STATE, owners[0], stems, weights, (SHORT_TRUST, False))


def _by_rarest(rows: Iterable[Row]) -> dict[str, bytes]:
    table: dict[str, list[Row]] = {}
    for row in rows:
        table.setdefault(row[3][0], []).append(row)
    return {one: marshal.dumps(tuple(found)) for one, found in table.items()}


def _rarest_of(rows: Iterable[Row]) -> dict[str, tuple[str, ...]]:
    table: dict[str, dict[str, None]] = {}
    for row in rows:
        table.setdefault(row[1], {})[row[3][0]] = None
    return {target: tuple(found) for target, found in table.items()}


def _names_by_stem(names: Iterable[tuple[str, Stems]]) -> dict[str, tuple[int, ...]]:
    table: dict[str, list[int]] = {}
    for number, (_, stems) in enumerate(names):
        for one in stems:
            table.setdefault(one, []).append(number)
    return {one: tuple(numbers) for one, numbers in table.items()}

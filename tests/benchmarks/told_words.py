"""Fit the weights of `rules/told.yaml` to messages whose cause is known.

    python tests/benchmarks/told_words.py DATA.jsonl [MORE.jsonl ...] > rules/told.yaml

A row has a text `said` and a list `accept` of causes, the likeliest first. One with the `basis`
memory was written from memory, as somebody who has this cause would ask: it counts less than one
that was met, and keeps the causes alive that are met seldom. The weights are those of a multinomial
logistic regression (ridge, none below zero) on what stands in a text and what is heard in it,
beside the chance the program gives each cause without them. Only words that a cause of the rule
base has in its own text are weighed, so no name gets in; and only what three messages of a cause
share, so that no one message can be known again.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any
from unittest import mock

import numpy as np
from numpy.typing import NDArray

from diagnose.cli.talk import new_conversation
from diagnose.dialogue.conversation import Conversation
from diagnose.knowledge.load import load_knowledge
from diagnose.knowledge.model import Knowledge
from diagnose.language.index import LanguageIndex
from diagnose.language.likeness import FEWEST, PLENTY, build_likeness
from diagnose.language.spelling import read_stems
from diagnose.language.subjects import telling_stems
from diagnose.language.tokens import WORD, tokenise
from diagnose.named import Named
from diagnose.reasoning import ranking
from diagnose.reasoning.ranking import FLOOR

LEAST = 3  # messages that must share what is weighed
_BESIDE = 0.5  # the setting `counted_beside`
_RIDGE = 0.1  # of .05 to 1 the best for messages left out (five parts of 1,444)
_WRITTEN = 0.2  # what a message from memory counts; .1 to .3 do alike for those left out, 1 worse
_OTHERS = 0.3  # what a cause accepted beside the likeliest counts
_STEPS = 400
_SOURCE = "counted-messages"
_WIDTH = 116
_HEAD = """\
# How the words of a message, and what was heard in it, speak for each cause beside the signs.
# Fitted by tests/benchmarks/told_words.py to messages that were met and, counting less, to some
# written from memory; neither are in the project. See `Told`.
told:"""

Row = Mapping[str, Any]
Floats = NDArray[np.float64]
Trait = tuple[str, ...]  # a stem alone, or a finding and its state


class Read(Named):
    """One message: what it has to be weighed, and the chance of each cause without that.

    `is_written` is true for one from memory, which nobody was met with.
    """

    traits: tuple[Trait, ...]
    chances: Floats
    accept: tuple[int, ...]
    is_written: bool = False


class Fitted(Named):
    """The weights: a row for each trait, a column for each cause of `causes`."""

    causes: tuple[str, ...]
    traits: tuple[Trait, ...]
    weights: Floats


def read_messages(rows: Iterable[Row]) -> tuple[tuple[str, ...], list[Read]]:
    """Every message as the program takes it without any weights, and the order of the causes."""
    talk = new_conversation(None)
    bench, index = talk.bench, talk.index
    bare = build_likeness(bench.knowledge._replace(told={}), index.words, index.spelling)
    index = index._replace(likeness=bare)
    causes = tuple(bench.knowledge.causes)
    with mock.patch.object(ranking, "_LEAST_P", 0.0):  # also the chances that are not listed
        return causes, [_read(row, Conversation(bench, index), causes) for row in rows]


def _read(row: Row, talk: Conversation, causes: Sequence[str]) -> Read:
    reply, index = talk.say(row["said"]), talk.index
    stems = telling_stems(row["said"], index.words, index.spelling)
    words = [(one,) for one in sorted(stems & index.subjects.weight.keys())]
    seen = {(u["finding"], u["state"]) for u in reply.understood if u["value"] is None}
    known = {r.cause: r.p for r in talk.last.ranking.ranked}
    accept = tuple(causes.index(c) for c in row["accept"])
    chances = np.array([known.get(c, 0.0) for c in causes])
    return Read((*words, *sorted(seen)), chances, accept, row.get("basis") == "memory")


def fit(causes: tuple[str, ...], messages: Sequence[Read], least: int = LEAST) -> Fitted:
    """The weights that fit the messages best.

    Fitted twice: what has no weight at all is not listed, and so must not count for the length.
    """
    times = Counter(trait for m in messages for trait in m.traits)
    found = _fit(causes, messages, tuple(sorted(t for t, n in times.items() if n >= least)), least)
    kept = found.weights.round(1).any(axis=1)
    traits = tuple(t for t, is_kept in zip(found.traits, kept, strict=True) if is_kept)
    return _fit(causes, messages, traits, least)


def _fit(
    causes: tuple[str, ...], messages: Sequence[Read], traits: tuple[Trait, ...], least: int
) -> Fitted:
    what = _matrix(messages, traits)
    beside = _BESIDE * np.log(np.array([m.chances for m in messages]) + FLOOR)
    wanted, told = np.zeros(beside.shape), np.zeros(beside.shape)
    for n, message in enumerate(messages):
        shares = [1.0, *[_OTHERS] * (len(message.accept) - 1)]
        for cause, share in zip(message.accept, shares, strict=True):
            wanted[n, cause] += share / sum(shares)
        told[n, list(message.accept[:3])] = 1.0
    shared = (what > 0).astype(float).T @ told >= least
    counts = np.array([[_WRITTEN if m.is_written else 1.0] for m in messages])
    return Fitted(causes, traits, _descend(what, beside, wanted, (shared, counts)))


def _matrix(messages: Sequence[Read], traits: Sequence[Trait]) -> Floats:
    """A row a message, of Euclidean length 1 or, where little is weighed, less."""
    place = {trait: n for n, trait in enumerate(traits)}
    found = np.zeros((len(messages), len(traits)))
    for n, message in enumerate(messages):
        known = [place[trait] for trait in message.traits if trait in place]
        if sum(len(traits[k]) == 1 for k in known) >= FEWEST:
            found[n, known] = max(len(known), PLENTY) ** -0.5
    return found


def _descend(
    what: Floats, beside: Floats, wanted: Floats, held: tuple[NDArray[np.bool_], Floats]
) -> Floats:
    """Minimise cross entropy and ridge: which weights may differ from zero, what each row counts.

    Beck and Teboulle, "A fast iterative shrinkage-thresholding algorithm for linear inverse
    problems", SIAM J. Imaging Sciences 2 (2009): the step is one over the Lipschitz constant.
    """
    shared, counts = held
    step = 1 / (0.5 * np.linalg.norm(what * counts**0.5, 2) ** 2 + _RIDGE)
    weights = ahead = np.zeros((what.shape[1], wanted.shape[1]))
    momentum = 1.0
    for _ in range(_STEPS):
        scores = beside + what @ ahead
        scores = np.exp(scores - scores.max(axis=1, keepdims=True))
        off = counts * (scores / scores.sum(axis=1, keepdims=True) - wanted)
        before, weights = (
            weights,
            np.maximum(ahead - step * (what.T @ off + _RIDGE * ahead) * shared, 0.0),
        )
        last, momentum = momentum, (1 + (1 + 4 * momentum**2) ** 0.5) / 2
        ahead = weights + (last - 1) / momentum * (weights - before)
    return weights


def listed(fitted: Fitted, spelt: Mapping[str, str], messages: Sequence[Read]) -> Iterator[str]:
    """The lines of the rule file, the causes by name and the heaviest words first."""
    yield _HEAD
    met, written = (
        Counter(cause for m in messages if m.is_written is kind for cause in m.accept[:3])
        for kind in (False, True)
    )
    order = sorted(range(len(fitted.causes)), key=lambda n: fitted.causes[n])
    for column in order:
        own = fitted.weights[:, column].round(1)
        found = sorted(np.flatnonzero(own), key=lambda n: (-own[n], fitted.traits[n]))
        if not found:
            continue
        yield f"  - id: {fitted.causes[column]}"
        yield f"    messages: {met[column]}"
        yield f"    written: {written[column]}"
        yield f"    source: {_SOURCE}"
        for table, length in (("words", 1), ("shown", 2)):
            kept = [n for n in found if len(fitted.traits[n]) == length]
            told = [fitted.traits[n] for n in kept]
            names = [" ".join(t) if len(t) > 1 else spelt.get(t[0], t[0]) for t in told]
            pairs = [f"{_key(name)}: {own[n]:g}" for name, n in zip(names, kept, strict=True)]
            yield from _folded(f"    {table}: {{", pairs) if pairs or length == 1 else ()


def spellings(rows: Iterable[Row], index: LanguageIndex) -> dict[str, str]:
    """The commonest known word that stands for each stem."""
    found: dict[str, Counter[str]] = {}
    for row in rows:
        for token in tokenise(row["said"]):
            for word in index.spelling.read(token.text) if token.kind == WORD else ():
                stems = read_stems(word, index.words, index.spelling)
                if len(stems) == 1 and word.isalpha():
                    found.setdefault(stems[0], Counter())[word] += 1
    return {stem: max(sorted(n), key=n.__getitem__) for stem, n in found.items()}


def _key(word: str) -> str:
    """A word as YAML takes it for one."""
    return f'"{word}"' if word in ("true", "false", "null", "yes", "no", "on", "off") else word


def _folded(start: str, pairs: list[str]) -> Iterator[str]:
    """The pairs in lines no longer than the rule files have."""
    line = start
    for pair, behind in pairwise([*pairs, ""]):
        end = "," if behind else "}"
        if len(line) + len(pair) > _WIDTH:
            yield line.rstrip()
            line = " " * 12
        line += f"{pair}{end} "
    yield line.rstrip() if pairs else f"{start}}}"


def read_rows(names: Iterable[str], knowledge: Knowledge) -> list[Row]:
    """The rows of the files; exits with the causes the rule base does not have."""
    texts = "".join(Path(name).read_text("utf-8") for name in names)
    rows = [json.loads(line) for line in texts.splitlines() if line.strip()]
    strange = {c for row in rows for c in row["accept"]} - set(knowledge.causes)
    if strange:
        sys.exit(f"the rule base has no cause {', '.join(sorted(strange))}")
    return rows


def main() -> None:
    """Print the rule file for the messages named."""
    if len(sys.argv) < 2:
        sys.exit(__doc__)
    rows = read_rows(sys.argv[1:], load_knowledge())
    causes, messages = read_messages(rows)
    for line in listed(
        fit(causes, messages), spellings(rows, new_conversation(None).index), messages
    ):
        print(line)


if __name__ == "__main__":
    main()

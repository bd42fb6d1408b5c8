"""Count the words of messages whose cause is known, as `rules/told.yaml` has them.

    python tests/benchmarks/told_words.py DATA.jsonl [MORE.jsonl ...] > rules/told.yaml

A row has a text `said` and a list `accept` of causes, the likeliest first. A message counts once
for each of its first three causes and once for each word. Only words that a cause of the rule base
has in its own text are counted, so no name gets in; and only where three messages share one, so
that no one message can be known again.
"""

from __future__ import annotations

import json
import sys
from collections import Counter, defaultdict
from collections.abc import Container, Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from diagnose.knowledge.load import load_knowledge
from diagnose.knowledge.model import Knowledge
from diagnose.language.index import LanguageIndex, load_index
from diagnose.language.spelling import read_stems
from diagnose.language.subjects import build_subjects
from diagnose.language.tokens import WORD, tokenise

LEAST = 3
_CAUSES = 3
_SOURCE = "counted-messages"
_WIDTH = 116
_HEAD = """\
# In how many messages a word stood, by the cause the message turned out to have. Counted by
# tests/benchmarks/told_words.py; the messages are not in the project. See `Told` in the records.
told:"""

Row = Mapping[str, Any]
Count = dict[str, Counter[str]]


def own_words(knowledge: Knowledge, index: LanguageIndex) -> Container[str]:
    """The words that some cause has in its own text."""
    return build_subjects(knowledge._replace(told={}), index.words, index.spelling).own.weight


def counted(
    rows: Iterable[Row], own: Container[str], index: LanguageIndex
) -> tuple[Counter[str], Count]:
    """How many messages each cause has, and in how many of them each of its `own` words stood."""
    messages: Counter[str] = Counter()
    words: dict[str, dict[str, Counter[str]]] = defaultdict(lambda: defaultdict(Counter))
    for row in rows:
        spelt = dict(_spelt(row["said"], index))
        for cause in row["accept"][:_CAUSES]:
            messages[cause] += 1
            for stem, word in spelt.items():
                if stem in own:
                    words[cause][stem][word] += 1
    return messages, {cause: _shared(found) for cause, found in words.items()}


def _spelt(said: str, index: LanguageIndex) -> Iterator[tuple[str, str]]:
    """Each telling stem of a message with the known word that stands for it."""
    for token in tokenise(said):
        for word in index.spelling.read(token.text) if token.kind == WORD else ():
            stems = read_stems(word, index.words, index.spelling)
            if len(stems) == 1 and word.isalpha():
                yield stems[0], word


def _shared(found: Mapping[str, Counter[str]]) -> Counter[str]:
    """The words enough messages share, each stem under its commonest spelling."""
    kept = {stem: spelt for stem, spelt in found.items() if spelt.total() >= LEAST}
    return Counter({max(s, key=lambda w: (s[w], w)): s.total() for s in kept.values()})


def listed(messages: Counter[str], words: Count) -> Iterator[str]:
    """The lines of the rule file, the causes by name and the commonest words first."""
    yield _HEAD
    for cause, found in sorted(words.items()):
        if not found:
            continue
        yield f"  - id: {cause}"
        yield f"    messages: {messages[cause]}"
        yield f"    source: {_SOURCE}"
        order = sorted(found, key=lambda w: (-found[w], w))
        yield from _folded([f"{_key(word)}: {found[word]}" for word in order])


def _key(word: str) -> str:
    """A word as YAML takes it for one."""
    return f'"{word}"' if word in ("true", "false", "null") else word


def _folded(pairs: list[str]) -> Iterator[str]:
    line = "    words: {"
    for n, pair in enumerate(pairs):
        end = "}" if n == len(pairs) - 1 else ","
        if len(line) + len(pair) > _WIDTH:
            yield line.rstrip()
            line = " " * 12
        line += f"{pair}{end} "
    yield line.rstrip()


def main() -> None:
    """Print the rule file for the messages named."""
    if len(sys.argv) < 2:
        sys.exit(__doc__)
    knowledge = load_knowledge()
    texts = "".join(Path(name).read_text("utf-8") for name in sys.argv[1:])
    rows = [json.loads(line) for line in texts.splitlines() if line.strip()]
    strange = {c for row in rows for c in row["accept"]} - set(knowledge.causes)
    if strange:
        sys.exit(f"the rule base has no cause {', '.join(sorted(strange))}")
    index = load_index(knowledge)
    for line in listed(*counted(rows, own_words(knowledge, index), index)):
        print(line)


if __name__ == "__main__":
    main()

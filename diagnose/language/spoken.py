"""What a clause says word for word, in order: "the engine died", "while putting it together".

Wordings are met in any order and word form; where order or tense tells (it died, it dies when hot),
a finding has patterns of typed words in the rules (`spoken`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from diagnose.knowledge.model import Finding
from diagnose.knowledge.packed import Packed
from diagnose.language.patterns import Pattern, end_of, read_pattern
from diagnose.named import Named

_SURE = 0.9
Row = tuple[Pattern, str, str]


class Spoken(Named):
    """Every pattern with its finding and state, by its first word."""

    by_first: Mapping[str, tuple[Row, ...]]


class Saying(Named):
    """A finding in a state said by the words `first` up to `last` of one clause."""

    finding: str
    state: str
    clause: int
    first: int
    last: int
    confidence: float = _SURE


def read_spoken(findings: Iterable[Finding]) -> Spoken:
    """Gather the patterns of all findings."""
    table: dict[str, list[Row]] = {}
    for finding in findings:
        for state, lines in finding.spoken.items():
            for line in lines:
                pattern = read_pattern(line)
                for word in pattern.steps[0] or ():
                    table.setdefault(word, []).append((pattern, finding.id, state))
    return Spoken(Packed({word: tuple(rows) for word, rows in table.items()}))


def sayings(clauses: Iterable[Sequence[str]], spoken: Spoken) -> Iterator[Saying]:
    """Everything the clauses say word for word, each finding by its longest pattern."""
    for number, clause in enumerate(clauses):
        told: dict[str, Saying] = {}
        for place, word in enumerate(clause):
            for pattern, finding, state in spoken.by_first.get(word, ()):
                end = end_of(pattern, clause, place)
                held = told.get(finding)
                if end is not None and (held is None or end - place > held.last - held.first):
                    told[finding] = Saying(finding, state, number, place, end)
        yield from told.values()

"""Everything the understanding of a text needs, made once from the rule base and kept compiled."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from diagnose.knowledge.cache import compiled
from diagnose.knowledge.model import Finding, Knowledge, OfEach
from diagnose.knowledge.packed import Packed
from diagnose.language.likeness import Likeness, build_likeness
from diagnose.language.phrasebook import PhraseBook, make_phrase_book, wordings
from diagnose.language.shortening import Owner
from diagnose.language.spelling import Spelling, read_stems
from diagnose.language.spoken import Spoken, read_spoken
from diagnose.language.subjects import Subjects, build_subjects
from diagnose.language.wordlists import WordLists, read_words
from diagnose.named import Named

_FORM = "17"


class LanguageIndex(Named):
    """The phrase book, the spelling, the word lists, and the findings they speak of.

    `heard` are the findings anybody hears or feels with the engine running; `topical` those that
    are only taken where their topic is spoken of, which `topic_words` tell; `proven` names the
    cause that one state of a finding proves; `subjects` what each cause is told in; `likeness` what
    people told who had it; `of_each` what several numbers say together.
    """

    words: WordLists
    spelling: Spelling
    book: PhraseBook
    findings: Mapping[str, Finding]
    heard: frozenset[str]
    topical: frozenset[str]
    standing: frozenset[str]
    topic_words: frozenset[str]
    proven: Mapping[Owner, str]
    subjects: Subjects
    likeness: Likeness
    spoken: Spoken
    of_each: Mapping[str, OfEach]


def load_index(knowledge: Knowledge) -> LanguageIndex:
    """The index for a loaded rule base, with the word lists beside it; kept compiled."""

    def build() -> LanguageIndex:
        from diagnose.knowledge.load import rules_folder
        from diagnose.knowledge.yamltext import read

        document = read(rules_folder() / "language.yaml", "rules/language.yaml")
        return build_index(knowledge, document.data)

    if not knowledge.digest:
        return build()
    return compiled(f"language{_FORM}", knowledge.digest, build)


def build_index(knowledge: Knowledge, words: Mapping[str, Any]) -> LanguageIndex:
    """Make the index from the rule base and the content of language.yaml."""
    lists = read_words(words)
    spelling = Spelling.of(lists, (text for *_, text in wordings(knowledge, lists)))
    topical = frozenset(
        f.id for f in knowledge.findings.values() if f.topic in lists.spoken_of.topics
    )
    return LanguageIndex(
        words=lists,
        spelling=spelling._replace(memory={}),  # what was met in the phrases is not met again
        book=make_phrase_book(knowledge, lists, spelling, topical),
        findings=Packed(
            {
                f.id: f._replace(phrases={}, composed={}, spoken={})
                for f in knowledge.findings.values()
            }
        ),
        heard=_heard(knowledge),
        topical=topical,
        standing=_stem_set(lists.standing, lists, spelling),
        topic_words=_stem_set(lists.spoken_of.words, lists, spelling),
        proven=_proven(knowledge),
        subjects=build_subjects(knowledge, lists, spelling),
        likeness=build_likeness(knowledge, lists, spelling),
        spoken=read_spoken(knowledge.findings.values()),
        of_each={f.id: f.of_each for f in knowledge.findings.values() if f.of_each is not None},
    )


def _stem_set(words: Iterable[str], lists: WordLists, spelling: Spelling) -> frozenset[str]:
    return frozenset(one for word in words for one in read_stems(word, lists, spelling))


def _proven(knowledge: Knowledge) -> dict[Owner, str]:
    """The cause each proof stands for, where it proves one only."""
    proofs: dict[Owner, list[str]] = {}
    for cause in knowledge.causes.values():
        proofs.setdefault((cause.confirm.finding, cause.confirm.state), []).append(cause.id)
    return {proof: causes[0] for proof, causes in proofs.items() if len(causes) == 1}


def _heard(knowledge: Knowledge) -> frozenset[str]:
    """Findings that anybody hears or feels with the engine running, no part looked at."""
    running = {a.id for a in knowledge.access.values() if a.engine_running}
    checks = knowledge.checks.values()
    return frozenset(f for c in checks if c.access in running for f in c.settles)

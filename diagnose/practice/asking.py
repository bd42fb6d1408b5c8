"""What a learner's text asks for: a look, a diagnosis, a hint, the way to do it, or to stop.

It is understood with the same understanding as the chat; on top of that the titles of findings,
checks and causes are searched, since a learner names what to look at, not what it looks like.
Nothing here knows what is hidden.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from diagnose.knowledge.cache import compiled
from diagnose.knowledge.model import Knowledge
from diagnose.language.index import LanguageIndex
from diagnose.language.spelling import read_stems
from diagnose.language.understand import understand
from diagnose.language.understanding import Context
from diagnose.named import Named

LOOK, COMMIT, HINT, HOW, GIVE_UP, ANSWER, LIST, HELP, STOP, SURE, NOTHING, OTHER = (
    "look",
    "commit",
    "hint",
    "how",
    "give_up",
    "answer",
    "list",
    "help",
    "stop",
    "sure",
    "nothing",
    "other",
)
_WORDS = (
    (GIVE_UP, r"\b(i )?give up\b|\bi surrender\b|\bshow me (it )?all\b"),
    (
        ANSWER,
        r"\b(tell|show|give) me (the )?(answer|fault|cause|solution)|\bwhat('s| is) (the answer"
        r"|wrong|the (hidden )?(fault|cause|solution))|\bjust tell me\b",
    ),
    (
        HINT,
        r"\bhints?\b|\bhelp me out\b"
        r"|\bwhat (should|would you|do you) (i )?(check|do|look at) ?next",
    ),
    (STOP, r"^(stop|quit|exit|bye|save|stop and save|later|pause)\b"),
    (HELP, r"^(help|\?|what can i (say|do))"),
    (
        LIST,
        r"^(list|what do i know|summary|so far|status|notes)\b|^minutes( so far)?\W*$"
        r"|^how (much|many|long).{0,20}\b(spent|so far|used)\b",
    ),
    (NOTHING, r"^(nothing|none|no root|no|don'?t know|dunno|not sure|no idea)\W*$"),
)
_COMMITS = re.compile(
    r"^\W*(so |ok |well |then )?(i )?(commit( to)?|diagnosis|my diagnosis|verdict"
    r"|conclusion|conclude|my answer( is)?|final( answer)?|i say|i think|i believe|i reckon"
    r"|i bet|i'?m (sure|certain)"
    r"|it'?s( a| an| the)?|it is|it must be|it has to be|the (fault|cause|trouble) is"
    r"|(fit|replace|renew|repair)( a| an| the| new| another)"
    r"|behind it|root|the root is|and behind it)\b\s*:?"
)
_BEHIND = re.compile(
    r"\b(because of|due to|caused by|behind it|brought on by|on account of"
    r"|root( cause)?( is)?)\b\W*"
)
_PERCENT = re.compile(r"(?<![\d.])(\d{1,3})\s*(?:%|per ?cent|pct)(?:\s*(?:sure|certain))?")
_BARE = re.compile(r"^\W*(\d{1,3})\W*$")
_AGAIN = re.compile(
    r"\b(again|once more|repeat|recheck|re-check|double.?check|second time|re-?read)\b"
)
_PARTS = re.compile(r"\s*(?:,|;|\+|&| and then | then | and also | also | and )\s*")
_MOST_OPTIONS = 5
_ENOUGH, _CLEARLY, _WORTH_OFFERING = 0.62, 1.12, 0.3
_EXACT, _NAMED = 0.35, 0.4  # what the understanding of the chat adds, and a whole title
_STRANGE = 2.5  # what a word that nothing here has in common weighs against an understanding
_VERBS = frozenset(  # stems that say to look, not at what
    ("look", "check", "measur", "read", "see", "test", "tri", "have", "has", "take", "pull")
    + ("off", "there", "what", "how")
)
_OPENS = re.compile(r"^\W*(take|pull|drop|remove|lift|strip|get|open)\b")
_FORM = "2"


class Option(Named):
    """One thing that may have been meant; `kind` is look or commit."""

    kind: str
    name: str
    label: str


class Ask(Named):
    """What was asked: `names` are findings to look at, or the causes committed to."""

    kind: str
    names: tuple[str, ...] = ()
    root: str | None = None
    sure: float | None = None
    again: bool = False
    options: tuple[Option, ...] = ()
    text: str = ""


class Doc(Named):
    """The words something is spoken of in, with how often, and those of its title."""

    words: Mapping[str, int]
    title: frozenset[str]


Docs = dict[str, Doc]


class Asker:
    """Understands a learner's texts against one rule base."""

    def __init__(self, knowledge: Knowledge, index: LanguageIndex) -> None:
        self.knowledge, self.index = knowledge, index
        self._docs: dict[str, Docs] = compiled(f"asking{_FORM}", knowledge.digest, self._read)
        self._rare = {
            kind: _rarity(d.words for d in docs.values()) for kind, docs in self._docs.items()
        }

    def _read(self) -> dict[str, Docs]:
        looks = {
            f: Doc(self._stems(" ".join(_look_words(self.knowledge, f))), self._title(f))
            for f in self.knowledge.findings
            if f in self.knowledge.settled_by
        }
        causes = {
            c.id: Doc(self._stems(" ".join((c.title, *c.phrases))), frozenset(self._stems(c.title)))
            for c in self.knowledge.causes.values()
        }
        return {LOOK: looks, COMMIT: causes}

    def _title(self, finding: str) -> frozenset[str]:
        return frozenset(self._stems(self.knowledge.findings[finding].title)) - _VERBS

    def ask(self, text: str) -> Ask:
        """What one text asks for; never raises."""
        plain = text.strip().lower().replace("’", "'")[:2000]
        sure = _sure(plain)
        for kind, words in _WORDS:
            if re.search(words, plain):
                return Ask(kind, text=plain, sure=sure)
        if sure is not None and (_BARE.match(plain) or not _PERCENT.sub("", plain).strip(" .!")):
            return Ask(SURE, sure=sure, text=plain)
        if _COMMITS.match(plain):
            return self._commit(plain, sure)
        if re.match(r"^how (do|would|can|should) (i|you|we)\b", plain):
            return self._look(plain)._replace(kind=HOW)
        return self._look(plain)

    def cause(self, text: str) -> tuple[str | None, tuple[Option, ...]]:
        """The cause a text names, or those it may name."""
        heard = understand(text, self.index, Context())
        proven = [self.index.proven.get((t.finding, t.state or "")) for t in heard.taken]
        hints = [*heard.guesses, *(c for c in proven if c)]
        ranked = self._ranked(COMMIT, text, hints)
        titles = {c: self.knowledge.causes[c].title for c in self.knowledge.causes}
        return _settled(COMMIT, ranked, titles)

    def _commit(self, text: str, sure: float | None) -> Ask:
        said = _PERCENT.sub(" ", text)
        said, root = _parted(said)
        said = _COMMITS.sub(" ", said)
        names: list[str] = []
        options: tuple[Option, ...] = ()
        parts = [said] if self.cause(said)[0] else [p for p in _PARTS.split(said) if p.strip()]
        for part in parts:
            name, may = self.cause(part)
            names += [name] if name else []
            options = options or (() if name else may)
        behind = self.cause(root)[0] if root else None
        kept = () if names else options
        return Ask(COMMIT, tuple(dict.fromkeys(names)), behind, sure, options=kept, text=text)

    def _look(self, text: str) -> Ask:
        again = bool(_AGAIN.search(text))
        said = _AGAIN.sub(" ", text)
        parts = [p for p in _PARTS.split(said) if len(p) > 2]
        found = [self._findings(p) for p in parts if not _OPENS.match(p)] if len(parts) > 1 else []
        each = tuple(n for names, _ in found for n in names)
        no_options: tuple[Option, ...] = ()
        if found and all(names for names, _ in found):
            names, options = each, no_options
        else:
            names, options = self._findings(said)
            names = names or each
        names = tuple(dict.fromkeys(names))
        if names:
            return Ask(LOOK, names, again=again, text=text)
        return Ask(LOOK if options else OTHER, again=again, options=options, text=text)

    def _findings(self, text: str) -> tuple[tuple[str, ...], tuple[Option, ...]]:
        """The finding a text asks about, with the rest of the same look when it names the look."""
        heard = understand(text, self.index, Context())
        hints = [t.finding for t in heard.taken]
        hints += [o.finding for u in heard.unclear for o in u.options]
        named = understand(f"how do i {text}", self.index, Context()).target
        ranked = self._ranked(LOOK, text, [*hints, *self._reading(named)])
        titles = {f: self.knowledge.findings[f].title for f in self._docs[LOOK]}
        one, options = _settled(LOOK, ranked, titles)
        if one is not None and (one in hints or not self._is_chance(text)):
            return (one,), ()
        if one is not None:
            return (), (Option(LOOK, one, titles[one]),)
        near = [o.name for o in options[:3]]
        checks = {self.knowledge.settled_by[n] for n in near}
        if len(near) > 1 and len(checks) == 1 and ranked[0][0] > _ENOUGH:
            return tuple(near), ()
        return (), options

    def _reading(self, named: str | None) -> list[str]:
        """The finding a question of how names, where it is a reading."""
        finding = self.knowledge.findings.get(named or "")
        known = finding is not None and finding.is_reading and finding.id in self._docs[LOOK]
        return [finding.id] if finding is not None and known else []

    def _is_chance(self, text: str) -> bool:
        """Whether a text has one word of the trade among others: too little to spend minutes on."""
        words = {s for s in self._stems(text) if len(s) > 1 and s not in _VERBS}
        return len(words) > 1 and len([s for s in words if s in self._rare[LOOK]]) == 1

    def _ranked(self, kind: str, text: str, hints: Sequence[str]) -> list[tuple[float, str]]:
        docs, rare = self._docs[kind], self._rare[kind]
        every = {s for s in self._stems(text) if len(s) > 1 and s not in _VERBS}
        stems = {s for s in every if s in rare}
        whole = math.fsum(rare[s] for s in stems) + _STRANGE * len(every - stems)
        out = []
        for name, doc in docs.items() if stems else ():
            shared = stems & doc.words.keys()
            share = math.fsum(rare[s] for s in shared) / whole
            own = math.fsum(rare[s] * n for s, n in doc.words.items()) or 1.0
            told = math.fsum(rare[s] * doc.words[s] for s in shared) / own
            named = _NAMED * (1 + (doc.title == every)) if doc.title <= every else 0.0
            out.append((share + 0.5 * told + named + (_EXACT if name in hints else 0.0), name))
        return sorted((r for r in out if r[0] > 0.1), key=lambda r: (-r[0], r[1]))

    def _stems(self, text: str) -> Mapping[str, int]:
        words = re.sub(r"[^a-z0-9 ]+", " ", text.lower().replace("_", " "))
        return Counter(read_stems(words, self.index.words, self.index.spelling))


def _settled(
    kind: str, ranked: Sequence[tuple[float, str]], titles: Mapping[str, str]
) -> tuple[str | None, tuple[Option, ...]]:
    """The clear first, or the few that are near each other."""
    if not ranked or ranked[0][0] < _WORTH_OFFERING:
        return None, ()
    best, name = ranked[0]
    rival = ranked[1][0] if len(ranked) > 1 else 0.0
    if best >= _ENOUGH and best >= _CLEARLY * rival:
        return name, ()
    near = [n for score, n in ranked[:_MOST_OPTIONS] if score >= best / 1.6]
    return None, tuple(Option(kind, n, titles[n]) for n in near)


def _look_words(knowledge: Knowledge, finding: str) -> Iterable[str]:
    record = knowledge.findings[finding]
    yield f"{record.title} {record.title}"
    yield record.ask
    yield finding
    yield from record.say.values()
    yield knowledge.checks[knowledge.settled_by[finding]].title


def _rarity(docs: Iterable[Mapping[str, int]]) -> dict[str, float]:
    every = [set(d) for d in docs]
    spread = Counter(s for d in every for s in d)
    return {s: math.log((len(every) + 1) / n) for s, n in spread.items()}


def _parted(text: str) -> tuple[str, str]:
    """What is said to be wrong, and what is said to lie behind it."""
    found = _BEHIND.search(text)
    if found is None:
        return text, ""
    if not _COMMITS.sub("", text[: found.start()]).strip(" ,.;:"):
        return text[found.end() :], ""
    return text[: found.start()], text[found.end() :]


def _sure(text: str) -> float | None:
    found = _PERCENT.search(text) or _BARE.match(text)
    value = int(found[1]) if found else None
    return value / 100 if value is not None and value <= 100 else None

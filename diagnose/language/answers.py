"""A short text as the answer to the question just put: yes, no, a bare number, "the second one".

Here a wording needs to fit only the finding asked for, so less of it has to be said.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from diagnose.knowledge.model import Finding
from diagnose.language.figures import (
    asked_units,
    is_possible,
    is_readable,
    only_unit,
    which_figure,
    which_unit,
)
from diagnose.language.index import LanguageIndex
from diagnose.language.negation import denied_state
from diagnose.language.phrasebook import LIGHT
from diagnose.language.quantities import Quantity
from diagnose.language.readings import answered, take
from diagnose.language.sentences import COUNT, Sentence, Word, clause_alone
from diagnose.language.shortening import NOT
from diagnose.language.spelling import read_stems
from diagnose.language.stems import stem
from diagnose.language.understanding import Context, Option, Taken, Unclear
from diagnose.named import Named

_MOST_WORDS = 14
_NEW_WORD = 1.5
_HEARD = ("absent", "present")
_ENOUGH, _MARGIN = 0.52, 0.07
_SHORT = 4
_NORMAL_LAST = 0.9
_MOST_OF_IT = 0.5
_MOSTLY = 0.45  # share of an answer that a word which fits anything must be


class Answer(Named):
    """What the text says about the finding asked for; `in_words` of its own, not by yes or no.

    `rests_on` are the stems of the few words it was read from, where more of a wording is missing.
    """

    taken: Taken | None = None
    in_words: bool = False
    unclear: Unclear | None = None
    rests_on: frozenset[str] = frozenset()


def read_answer(
    text: str, sentences: Sequence[Sentence], index: LanguageIndex, context: Context
) -> Answer:
    """Read the text as an answer to `context.asked`; an empty answer when it is none."""
    finding = index.findings.get(context.asked or "")
    if finding is None or not sentences:
        return Answer()
    if finding.is_reading:
        number = _bare_number(text, sentences, finding, (index, context))
        if _counts_parts(sentences, finding, index):
            return Answer()
        if number != Answer() or any(s.placed for s in sentences):
            return number
        return _in_words(text, sentences, index, finding) or Answer()
    first = sentences[0]
    said = _yes_or_no(first, index)
    if said is not None and _state_of(said, finding) is not None:
        return _of_yes_no(said, text, finding)
    found = _in_words(text, sentences, index, finding)
    return found or (Answer() if said is None else _of_yes_no(said, text, finding))


def read_each(
    text: str,
    sentences: Sequence[Sentence],
    taken: Sequence[Taken],
    scope: tuple[LanguageIndex, Context],
    whole: Sequence[Answer] = (),
) -> list[Answer]:
    """Answers told clause by clause: "tight, end play 9 thou", or two questions answered at once.

    Only a clause that nothing was taken from answers; each question is answered once. Where the
    text as a `whole` answers what was asked first, the clauses behind its first one are left.
    """
    index, context = scope
    told = {t.finding for t in [*taken, *(a.taken for a in whole if a.taken)]}
    if context.also_asked and _is_of_all(sentences, index):
        asked = [f for f in context.also_asked if f not in told]
        every = [read_answer(text, sentences, index, context._replace(asked=f)) for f in asked]
        return [a for a in every if a.taken is not None]
    parts = _parts(sentences)
    free = [p for p in parts if len(parts) > 1 and p.words and _is_free(text, p, taken)]
    if whole:
        free = [p for p in free[1:] if _of_clause(text, p, index, context).taken is None]
    found: list[Answer] = []
    for name in (context.asked, *context.also_asked):
        if not name or name in told or not free:
            continue
        tries = [(p, _of_clause(text, p, index, context._replace(asked=name))) for p in free]
        fits = [(p, a) for p, a in tries if a.taken is not None]
        states = {a.taken.state for _, a in fits if a.taken and a.in_words}
        if len(states) > 1:
            return [*found, _of_several(text, states, index.findings[name])]
        if fits and (name == context.asked or fits[0][1].in_words):
            free.remove(fits[0][0])
            found.append(fits[0][1])
    return found


def is_all_taken(text: str, sentences: Sequence[Sentence], taken: Sequence[Taken]) -> bool:
    """True when each of several clauses tells something of its own: none is left to answer."""
    parts = _parts(sentences)
    return len(parts) > 1 and not any(_is_free(text, part, taken) for part in parts)


def _parts(sentences: Sequence[Sentence]) -> list[Sentence]:
    return [clause_alone(s, n) for s in sentences for n, c in enumerate(s.clauses) if c.raw]


def _is_of_all(sentences: Sequence[Sentence], index: LanguageIndex) -> bool:
    """ "yes to both", "neither", "all good": one answer to everything that was asked."""
    raw = [w for s in sentences for c in s.clauses for w in c.raw]
    return len(raw) <= _SHORT and bool(index.words.answers.of_all & set(raw))


def _is_free(text: str, part: Sentence, taken: Sequence[Taken]) -> bool:
    """True when nothing was taken from words of this clause."""
    clause = part.clauses[0]
    spans = [(at, at + len(t.text)) for t in taken if (at := text.find(t.text)) >= 0]
    return not any(start < clause.end and clause.start < end for start, end in spans)


def _of_clause(text: str, part: Sentence, index: LanguageIndex, context: Context) -> Answer:
    clause = part.clauses[0]
    if len(part.words) > _SHORT:
        return Answer()
    return read_answer(text[clause.start : clause.end], [part], index, context)


def _of_several(text: str, states: Collection[str | None], finding: Finding) -> Answer:
    """ "plenty at the back, none at the front": asked back."""
    known = [s for s in finding.known_states if s in states]
    options = tuple(Option(finding.id, s, finding.say.get(s, s)) for s in known)
    return Answer(unclear=Unclear(text.strip(), options))


def _in_words(
    text: str, sentences: Sequence[Sentence], index: LanguageIndex, finding: Finding
) -> Answer | None:
    """The state that the words of an answer mean, or None."""
    if sum(len(s.words) for s in sentences) > _MOST_WORDS:
        return None
    state, rests_on = _by_order(sentences[0], index, finding), frozenset[str]()
    if state is None:
        state, rests_on = _by_words(sentences, index, finding)
    if state is None:  # "two are bent": the state without its count
        plain = [s._replace(words=tuple(w for w in s.words if w.raw != COUNT)) for s in sentences]
        state, rests_on = _by_words(plain, index, finding)
    if state is None:
        return None
    return Answer(Taken(finding.id, state, text.strip()), in_words=True, rests_on=rests_on)


def question(index: LanguageIndex, asked: str | None) -> Sentence | None:
    """What was asked for, as a sentence before the answer: its things need not be named again."""
    finding = index.findings.get(asked or "")
    if finding is None:
        return None
    stems = _asked_stems(finding, index)
    return Sentence(tuple(Word(one, 0, 0, 0, one) for one in stems), (), (), is_question=True)


def _asked_stems(finding: Finding, index: LanguageIndex) -> tuple[str, ...]:
    return tuple(read_stems(f"{finding.title} {finding.ask}", index.words, index.spelling))


def _bare_number(
    text: str,
    sentences: Sequence[Sentence],
    finding: Finding,
    scope: tuple[LanguageIndex, Context],
) -> Answer:
    index, context = scope
    numbers = [p for s in sentences for p in s.placed if not p.quantity.is_label]
    words = sum(len(s.words) for s in sentences)
    if len(numbers) != 1 or words > _MOST_WORDS:
        return Answer()
    one = answered(text, numbers[0], finding, index)
    if one.dimensions:
        fits = finding.dimension in one.dimensions
        return _checked(take(one, finding, text.strip()), finding) if fits else Answer()
    unit = context.asked_unit or only_unit(finding)
    if unit is None or one.unit:
        return Answer(unclear=_unit_question(one, finding, text, context))
    taken = Taken(
        finding.id, None, text.strip(), one.value, unit, 1.0, one.low, one.high, one.bound
    )
    if not is_readable(one.value, unit, finding):
        return Answer(unclear=_unit_question(one, finding, text, context))
    return _checked(taken, finding)


def _counts_parts(sentences: Sequence[Sentence], finding: Finding, index: LanguageIndex) -> bool:
    """ "two bent pushrods" counts pushrods, whatever reading was asked for."""
    asked = set(_asked_stems(finding, index))
    for sentence in sentences:
        for placed in sentence.placed:
            behind = sentence.words[placed.at + 1 : placed.at + 2]
            own = [w for w in behind if w.clause == sentence.words[placed.at].clause]
            if not placed.quantity.unit and _has_more([w.stem for w in own], asked, index):
                return True
    return False


def _checked(taken: Taken, finding: Finding) -> Answer:
    value, unit = taken.value or 0.0, taken.unit or ""
    if is_possible(value, unit, finding):
        return Answer(taken)
    return Answer(unclear=which_figure(value, unit, finding, taken.text))


def _unit_question(one: Quantity, finding: Finding, text: str, context: Context) -> Unclear:
    units = ("thou", "mm") if one.unit else asked_units(finding, one.value, context)
    return which_unit(one.value, finding, units, text.strip())


def _yes_or_no(sentence: Sentence, index: LanguageIndex) -> bool | None:
    lists = index.words.answers
    words = next((c.raw for c in sentence.clauses if c.raw), ())
    if not words:
        return None
    if lists.hold.find(words) is not None:
        return False
    idle = index.words.fillers | index.words.negators | lists.of_all
    rest = [w for w in words[1:] if w not in idle]
    short = sum(len(c.raw) for c in sentence.clauses) <= _SHORT
    if words[0] in lists.no and not rest:
        return False
    if words[0] in lists.firm or (words[0] in lists.yes and short and not rest):
        return True
    for patterns, answer in ((lists.no_phrases, False), (lists.yes_phrases, True)):
        place = patterns.find(words)
        if place is None or place[0] > 0:
            continue
        behind = words[place[1] :]  # "it is now" says yes, "it is quiet" says something else
        if len(behind) < 2 and all(w in index.words.fillers for w in behind):
            return answer
    return None


def _of_yes_no(said: bool, text: str, finding: Finding) -> Answer:
    state = _state_of(said, finding)
    if state is not None:
        return Answer(Taken(finding.id, state, text.strip()))
    options = tuple(Option(finding.id, s, finding.say.get(s, s)) for s in finding.known_states)
    return Answer(unclear=Unclear(text.strip(), options))


def _state_of(said: bool, finding: Finding) -> str | None:
    """The state a plain yes or no stands for, when the states or their labels say so."""
    word = "yes" if said else "no"
    for pair in ({True: "present", False: "absent"}, {True: "yes", False: "no"}):
        if set(pair.values()) <= set(finding.states):
            return pair[said]
    labelled = [s for s, text in finding.say.items() if text.split(",")[0].split()[:1] == [word]]
    return labelled[0] if len(labelled) == 1 else None


def _by_order(sentence: Sentence, index: LanguageIndex, finding: Finding) -> str | None:
    """ "the second one": a state by its place among those offered."""
    order = index.words.answers.order
    raw = [w for c in sentence.clauses for w in c.raw]
    places = [order[w] for w in raw if w in order]
    telling = [w for w in sentence.words if w.raw not in order]
    states = finding.known_states
    if len(places) != 1 or len(telling) > 1 or places[0] >= len(states):
        return None
    behind = raw[next(n for n, w in enumerate(raw) if w in order) + 1 :][:1]
    counted = behind[:1] in ([], [COUNT])  # "the second one"
    if not counted and any(w.raw in behind and w.stem in index.book.weights for w in telling):
        return None  # "from the first start" counts starts, not answers
    return states[int(places[0])]


def _by_words(
    sentences: Sequence[Sentence], index: LanguageIndex, finding: Finding
) -> tuple[str | None, frozenset[str]]:
    """The state the words fit best, and the words it rests on where they are but part of one."""
    said = [w.stem for s in sentences for w in s.words]
    whole = {stem(w) for s in sentences for c in s.clauses for w in c.raw}
    scores: dict[str, float] = {}
    rests_on: dict[str, frozenset[str]] = {}
    asked = set(_asked_stems(finding, index))
    heard = finding.states == _HEARD
    for state in finding.known_states:
        for wording, is_own in _wordings(finding, state, index):
            # "quiet" is no short form of "a quiet tick": what is heard must be named to be there
            named = () if heard and state != finding.normal else asked
            stems = [one for one in wording if one not in named or one == NOT] or wording
            if state != finding.normal and tuple(stems) in index.words.all_well:
                continue  # "fine" alone is no short form of "fine metal"
            score, share, denied = _fit(stems, said, whole, index)
            if finding.is_reading and _has_more(said, {*wording, *asked}, index):
                continue  # "the cam teeth are good" is no answer about end play
            if not is_own and share < _MOSTLY:
                continue  # "the chain is new" says nothing of a tick that was asked for
            if denied and heard and state == finding.normal:
                continue  # "no noise at all, it is quiet" does not deny the quiet
            meant = denied_state(finding, state) if denied else state
            score *= _NORMAL_LAST if meant == finding.normal else 1.0
            if meant is not None and score > scores.get(meant, 0.0):
                scores[meant] = score
                rests_on[meant] = _small_part(wording, {*said, *whole}, index)
    ranked = sorted(scores.items(), key=lambda item: -item[1])
    if not ranked or ranked[0][1] < _ENOUGH:
        return None, frozenset()
    clear = len(ranked) == 1 or ranked[0][1] - ranked[1][1] >= _MARGIN
    return (ranked[0][0], rests_on[ranked[0][0]]) if clear else (None, frozenset())


def _has_more(said: Sequence[str], known: Collection[str], index: LanguageIndex) -> bool:
    weights = index.book.weights
    return any(weights.get(one, 0.0) > LIGHT for one in said if one != NOT and one not in known)


def _small_part(
    wording: Sequence[str], said: Collection[str], index: LanguageIndex
) -> frozenset[str]:
    """The words met of a wording, when they are little of it; none when they are most."""
    weights = {one: index.book.weights.get(one, _NEW_WORD) for one in wording}
    met = frozenset(one for one in wording if one in said)
    share = sum(weights[one] for one in met) / (sum(weights.values()) or 1.0)
    return met if share < _MOST_OF_IT else frozenset()


def _wordings(
    finding: Finding, state: str, index: LanguageIndex
) -> Iterator[tuple[tuple[str, ...], bool]]:
    """The wordings of a state: its own, and those that say as much of anything ("fine")."""
    yield from ((row[3], True) for row in index.book.rows(finding.id) if row[2] == state)
    for text in (finding.say.get(state, ""), state.replace("_", " ")):
        stems = tuple(dict.fromkeys(read_stems(text, index.words, index.spelling)))
        if stems:
            yield stems, True
    lists = index.words.state_words
    general = (*lists.get(state, ()), *lists.get(f"{finding.dimension}_{state}", ()))
    if state == finding.normal:
        general = (*general, *index.words.all_well)
    denying = {stem(word) for word in index.words.negators}
    for stems in general:  # "no change" is a word of sameness that denies nothing
        yield tuple(NOT if one in denying else one for one in stems), False


def _fit(
    stems: Sequence[str], said: Sequence[str], whole: set[str], index: LanguageIndex
) -> tuple[float, float, bool]:
    """How well a wording fits, how much of the answer it is, and whether the answer denies it."""
    weights = {one: index.book.weights.get(one, _NEW_WORD) for one in {*stems, *said}}
    total = sum(weights[one] for one in stems)
    met = sum(weights[one] for one in stems if one in said or one in whole)
    content = [one for one in stems if one != NOT and (one in said or one in whole)]
    if not content or not total:
        return 0.0, 0.0, False
    of_answer = sum(weights[one] for one in set(said) if one in stems)
    answer = sum(weights[one] for one in set(said) if one != NOT) or _NEW_WORD
    denied = NOT in said and NOT not in stems
    missing_not = NOT in stems and NOT not in said
    share = min(of_answer / answer, 1.0)
    score = (met / total) * 0.7 + share * 0.3
    return (0.0 if missing_not else score), share, denied

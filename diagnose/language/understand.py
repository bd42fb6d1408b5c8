"""Read one text against the rule base: what it says, what stays unclear, what it asks for.

The steps, each in its own module: tokens, spelling, sentences, stances, matches, negation,
readings, answers, intents, doubts. Nothing is remembered between two texts.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from diagnose.language.answers import Answer, is_all_taken, question, read_answer, read_each
from diagnose.language.compared import compared
from diagnose.language.doubts import find_doubts
from diagnose.language.implied import also_said
from diagnose.language.index import LanguageIndex
from diagnose.language.intents import (
    ASIDE,
    OTHER,
    TELL,
    WHAT_IF,
    after_turn,
    find_intent,
    is_put_aside,
)
from diagnose.language.limits import present_at_other_times
from diagnose.language.lists import shared_beginnings, shared_endings
from diagnose.language.matches import choose, find_matches
from diagnose.language.observations import Observed, Setting, observe
from diagnose.language.phrasebook import CAUSE
from diagnose.language.readings import read_numbers
from diagnose.language.sentences import COUNT, Sentence, sentences
from diagnose.language.shortening import NOT
from diagnose.language.spelling import read_stems
from diagnose.language.stances import Stance, stances, told_own
from diagnose.language.stems import stem
from diagnose.language.tokens import NUMBER, WORD, tokenise
from diagnose.language.understanding import Context, Taken, Unclear, Understanding

_MOST_TEXT = 6000
_MOST_LEFT = 3
_MOST_UNCLEAR = 4
_PLAIN_WORDS = 4
_SHORT_TEXT = 40
_TRADE_SHARE = 0.6
_PASSED_ON = 9
_ALL = 0.8


def understand(text: str, index: LanguageIndex, context: Context) -> Understanding:
    """Understand one text; never raises, whatever the text is."""
    text, context = text[:_MOST_TEXT], _with_agreed(context, index)
    if (offered := _as_offered(text, index, context)) is not None:
        return Understanding(taken=(offered,))
    if context.asked and (rest := _passed_on(text, index)):
        answer = understand(rest, index, context)
        if answer.taken or answer.unclear or answer.intent in ASIDE:
            return answer
    found = sentences(text, index)
    intent = find_intent(found, index)
    if intent is not None and intent != WHAT_IF:
        return Understanding(intent=intent, target=_named(found, index, intent))
    aside = is_put_aside(found, index) if context.asked else None
    told = [s for s in found if aside is None or not is_put_aside([s], index)]
    told += [more for s in found if aside and (more := after_turn(s, index)) is not None]
    observed = _observe(text, told, index, context, intent == WHAT_IF)
    if intent == WHAT_IF:
        return Understanding(taken=tuple(observed.taken), intent=WHAT_IF)
    return _with_answer(text, told, observed, (index, context, aside))


def _as_offered(text: str, index: LanguageIndex, context: Context) -> Taken | None:
    """The state whose offered words were typed back as they stand."""
    typed = _plain_words(text)
    for name in (context.asked, *context.also_asked):
        finding = index.findings.get(name or "")
        if finding is None or finding.is_reading:
            continue
        for state, label in finding.say.items():
            if typed and typed == _plain_words(label):
                return Taken(finding.id, state, text.strip())
    return None


def _plain_words(text: str) -> list[str]:
    return "".join(c if c.isalnum() else " " for c in text.casefold()).split()


def _passed_on(text: str, index: LanguageIndex) -> str | None:
    """The few words behind "he says", where they answer for somebody else."""
    tokens = [t for t in tokenise(text) if t.kind in (WORD, NUMBER)]
    if len(tokens) > _PASSED_ON:
        return None
    place = index.words.relayed.find([t.text for t in tokens])
    if place is None or place[0] > 0 or place[1] >= len(tokens):
        return None
    return text[tokens[place[1]].start :]


def _with_agreed(context: Context, index: LanguageIndex) -> Context:
    """The unit the question named holds for every reading of that dimension in the answer."""
    asked = index.findings.get(context.asked or "")
    if asked is None or asked.dimension is None or context.asked_unit is None:
        return context
    return context._replace(agreed={asked.dimension: context.asked_unit})


def _observe(
    text: str,
    found: Sequence[Sentence],
    index: LanguageIndex,
    context: Context,
    what_if: bool,
) -> Observed:
    """Everything the sentences say, whatever was asked."""
    whole = Observed()
    before = [s for s in (question(index, context.asked),) if s is not None]
    own = told_own(found, index)
    for sentence in found:
        how = stances(sentence, index, sentence is found[0] and not own)
        if what_if:
            how = [Stance() for _ in how]
        elif any(s.what_if for s in how):
            how = [s._replace(drop=True) for s in how]
        numbers = read_numbers(
            text, sentence, before[-1] if before else None, how, (index, context)
        )
        setting = Setting(context.asked, tuple(before), frozenset(numbers.clauses))
        part = observe(text, sentence, how, index, setting)
        told = {t.finding for t in part.taken}
        for shared in (*shared_beginnings(sentence, index), *shared_endings(sentence, index)):
            more = observe(text, shared.sentence, [how[shared.clause]], index, setting).taken
            fits = (t for t in more if not shared.is_work or _is_history(t, index))
            part.taken += [t for t in fits if t.finding not in told]
        doubts = find_doubts(text, sentence, how, part, index)
        put = {u.text for u in numbers.unclear}
        open_ = [*numbers.unclear, *(d for d in doubts if d.text not in put)]
        whole.add(numbers.taken, open_, part, index)
        before.append(sentence)
    return whole


def _is_history(taken: Taken, index: LanguageIndex) -> bool:
    return taken.value is None and index.findings[taken.finding].topic in index.words.history


def _with_answer(
    text: str,
    found: Sequence[Sentence],
    observed: Observed,
    scope: tuple[LanguageIndex, Context, str | None],
) -> Understanding:
    index, context, aside = scope
    taken, unclear = list(observed.taken), list(observed.unclear)
    answers = _answers(text, found, taken, (index, context)) if aside is None else []
    for answer in answers:
        unclear += [answer.unclear] if answer.unclear is not None else []
        if answer.taken is not None:
            words = answer.taken.text
            unclear = [u for u in unclear if u.text.strip() not in words or len(words) == len(text)]
            is_whole = answer.in_words and answer.taken.text == text.strip()
            plain = _PLAIN_WORDS if is_whole and sum(len(s.clauses) for s in found) == 1 else 0
            taken = [t for t in taken if len(t.text.split()) >= plain]
            taken.append(answer.taken)
    taken += also_said(taken, index, context)
    rows = list(compared(text, found, index))
    taken = [t for t in taken if t.value is None or not any(t.text in row.text for row in rows)]
    taken += [row for row in rows if all(t.finding != row.finding for t in taken)]
    said = bool(taken or unclear or observed.guesses)
    if not said and aside is None and len(text) <= _SHORT_TEXT:
        aside = is_put_aside(found, index)
    return Understanding(
        taken=tuple(present_at_other_times(text, _told(taken, index), index)),
        unclear=tuple(_still_open(unclear, taken)[:_MOST_UNCLEAR]),
        not_understood=tuple(_left(observed.left, taken)) if aside is None else (),
        intent=aside or (TELL if said or _is_of_trade(found, index) else OTHER),
        guesses=tuple(dict.fromkeys(observed.guesses)),
    )


def _answers(
    text: str,
    found: Sequence[Sentence],
    taken: Sequence[Taken],
    scope: tuple[LanguageIndex, Context],
) -> list[Answer]:
    """What the text answers of all that was asked: as a whole, and clause by clause."""
    index, context = scope
    if not context.asked:
        return []
    whole: list[Answer] = []
    if not any(t.finding == context.asked for t in taken):
        answer = read_answer(text, found, index, context)
        of_others = _is_told_of_others(answer, taken, scope) or (
            answer.in_words and is_all_taken(text, found, taken)
        )
        if answer != Answer() and not of_others:
            whole.append(answer)
    if _is_of_another_time(found, index, context):
        return [a for a in whole if not a.in_words]
    return [*whole, *read_each(text, found, taken, scope, whole)]


def _is_told_of_others(
    answer: Answer, taken: Sequence[Taken], scope: tuple[LanguageIndex, Context]
) -> bool:
    """True when the number or the words that seem to answer were told of something else."""
    index, context = scope
    measured = [t.value for t in taken if t.value is not None]
    if answer.taken is not None and answer.taken.value in measured:
        return True
    elsewhere = context.asked in index.heard and len(taken) > 1
    if answer.taken is not None:  # "the same hot and cold" is all of it told of something
        elsewhere = elsewhere or any(len(t.text) >= _ALL * len(answer.taken.text) for t in taken)
    theirs = bool(measured) or elsewhere or _is_of_others(answer, taken, index)
    return answer.in_words and theirs


def _is_of_another_time(found: Sequence[Sentence], index: LanguageIndex, context: Context) -> bool:
    """ "It was fine last week", "it is coming off tomorrow": no answer to how it is now."""
    asked = index.findings[context.asked or ""]
    if asked.topic in index.words.history:
        return False
    lists = [index.words.stances[name] for name in ("then", "past", "planned")]
    clauses = [c.raw for s in found for c in s.clauses]
    return any(one.find(raw) is not None for one in lists for raw in clauses)


def _left(left: Iterable[str], taken: Sequence[Taken]) -> list[str]:
    """The clauses that nothing was taken from, as a reading or an answer either."""
    own = [part for part in left if not any(part in t.text or t.text in part for t in taken)]
    return own[:_MOST_LEFT]


def _is_of_others(answer: Answer, taken: Sequence[Taken], index: LanguageIndex) -> bool:
    """True when the few words an answer rests on are part of what was taken of something else."""
    said = {
        one for t in taken for one in read_stems(t.text, index.words, index.spelling) if one != NOT
    }
    return bool(answer.rests_on) and answer.rests_on - {NOT} <= said


def _told(taken: Iterable[Taken], index: LanguageIndex) -> list[Taken]:
    """Without what only names its finding: "oil pressure" alone says nothing of its state.

    A tick that is named is heard; a part or a reading with several states is only spoken of. Nor
    without a finding of which a kind was told.
    """
    taken = list(taken)
    wrong = {t.finding for t in taken if t.state != index.findings[t.finding].normal}
    general = {one for one, kinds in index.words.kinds_of.items() if wrong.intersection(kinds)}
    return [
        t
        for t in taken
        if t.finding not in general
        if t.value is not None
        or t.confidence >= 1
        or len(index.findings[t.finding].known_states) <= 2
        or not _only_names(t)
    ]


def _only_names(taken: Taken) -> bool:
    named = {stem(word) for word in taken.finding.split("_")}
    return {stem(word) for word in taken.text.lower().split()} <= named


def _is_of_trade(found: Sequence[Sentence], index: LanguageIndex) -> bool:
    """True when most telling words of a text are words of the trade."""
    words = [w for s in found for w in s.words if not w.is_light and w.raw != COUNT]
    known = sum(w.stem in index.book.weights for w in words)
    return known > 1 and known > _TRADE_SHARE * len(words)


def _still_open(unclear: Iterable[Unclear], taken: Sequence[Taken]) -> list[Unclear]:
    """Questions that were not settled by something else in the same text."""
    told = {t.finding for t in taken}
    return [u for u in dict.fromkeys(unclear) if not all(o.finding in told for o in u.options)]


def _named(found: Sequence[Sentence], index: LanguageIndex, intent: str) -> str | None:
    """The cause, the finding or the reading a question names."""
    matches = [m for s in found for m in choose(find_matches(s, index), s, index)]
    causes = [m for m in matches if m.phrase.kind == CAUSE]
    if causes:
        return max(causes, key=lambda m: m.score).phrase.target
    proofs = ((m.phrase.target, m.phrase.state) for m in matches)
    proven = [index.proven[proof] for proof in proofs if proof in index.proven]
    if proven and intent in ("why", "why_not"):
        return proven[0]
    stems = {w.stem for s in found for w in s.words}
    names = [(len(name), target) for target, name in index.book.names if stems.issuperset(name)]
    if names:
        return max(names)[1]
    return max(matches, key=lambda m: m.score).phrase.target if matches else None

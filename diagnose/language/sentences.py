"""Tokens to sentences and clauses of telling words; where a clause ends, not what it means."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from operator import attrgetter

from diagnose.language.conditions import put_plainly
from diagnose.language.index import LanguageIndex
from diagnose.language.quantities import SPEED, Quantity, quantities
from diagnose.language.spelling import equal, spell
from diagnose.language.stems import stem
from diagnose.language.tokens import NUMBER, WORD, Token, tokenise
from diagnose.language.wordlists import WordLists
from diagnose.named import Named

_ENDS = set(".!?;\n…|")
_PAUSES = set(",:()-")
_AND = {"&": "and", "+": "and", "@": "at"}
COUNT = "#"
_NUMBER_OF = ("no", "nr", "num")
_OPENERS = frozenset({"its", "thats", "theres", "it", "is"})
_ARTICLES = frozenset({"a", "an", "the", "more"})
_SHORTEST = 3
_TWO = 2


class Word(Named):
    """A telling word: its stem, its clause, and its place in the text as typed."""

    stem: str
    clause: int
    start: int
    end: int
    raw: str
    is_light: bool = False


class Clause(Named):
    """One clause: its words as typed, put right; whether "but", or an "and", opens it."""

    raw: tuple[str, ...]
    start: int
    end: int
    is_turn: bool
    is_joined: bool


class Placed(Named):
    """A quantity and the index of its word in the sentence."""

    quantity: Quantity
    at: int
    start: int
    end: int


class Sentence(Named):
    """One sentence: its telling words in order, its clauses, its quantities."""

    words: tuple[Word, ...]
    clauses: tuple[Clause, ...]
    placed: tuple[Placed, ...]
    is_question: bool


class _Raw(Named):
    """A word put right, before equal words are made one."""

    word: str
    token: Token
    clause: int
    run: int


def sentences(text: str, index: LanguageIndex) -> list[Sentence]:
    """Cut a text into sentences; one without a word or a number is left out."""
    found = [_sentence(part, index, mark) for part, mark in _parts(tokenise(text))]
    return [one for one in found if one.clauses]


def clause_alone(sentence: Sentence, number: int) -> Sentence:
    """One clause of a sentence as a sentence of its own."""
    own = [n for n, w in enumerate(sentence.words) if w.clause == number]
    at = {place: n for n, place in enumerate(own)}
    return Sentence(
        words=tuple(sentence.words[n]._replace(clause=0) for n in own),
        clauses=sentence.clauses[number : number + 1],
        placed=tuple(p._replace(at=at[p.at]) for p in sentence.placed if p.at in at),
        is_question=sentence.is_question,
    )


def _parts(tokens: Sequence[Token]) -> Iterator[tuple[list[Token], str]]:
    part: list[Token] = []
    for place, token in enumerate(tokens):
        if token.text in _ENDS and not _is_shortened(tokens, place):
            yield part, token.text
            part = []
        else:
            part.append(token)
    yield part, ""


def _is_shortened(tokens: Sequence[Token], place: int) -> bool:
    """ "no. 4" does not end at its dot."""
    if tokens[place].text != "." or not 0 < place < len(tokens) - 1:
        return False
    shortened = tokens[place - 1].text in ("no", "nos", "cyl", "approx", "in", "ft", "lbs", "lb")
    return shortened and tokens[place + 1].kind == NUMBER


def _sentence(tokens: list[Token], index: LanguageIndex, mark: str) -> Sentence:
    numbers = quantities(tokens, index.words)
    counted = {n: q for q in numbers for n in range(q.first, q.unit_at)}
    raws, turns = _raw_words(tokens, counted, index)
    words = tuple(_words(_telling(raws, index), counted, tokens, index))
    return Sentence(
        words=words,
        clauses=_clauses(raws, turns, index.words),
        placed=tuple(_placed(numbers, words, tokens)),
        is_question=mark == "?",
    )


def _raw_words(
    tokens: Sequence[Token], counted: dict[int, Quantity], index: LanguageIndex
) -> tuple[list[_Raw], set[int]]:
    """The words put right, with clause numbers; and the clauses opened by a "but"."""
    lists, raws, turns, clause, run = index.words, [], set(), 0, 0
    said = [_said(token, index) for token in tokens]
    plain = put_plainly(said, index)
    for place, token in enumerate(tokens):
        if place in counted or token.kind == NUMBER:
            run += 1
            raws.append(_Raw(COUNT, token, clause, run))
            run += 1
        elif _is_number_of(tokens, place):
            continue
        elif token.kind == WORD or token.text in _AND:
            for word in plain.get(place, said[place]):
                if (
                    word in lists.breaks
                    or word in lists.soft_breaks
                    or _restarts(raws, word, lists)
                    or _answers(raws, word, clause, lists)
                    or _denies_anew(raws, word, lists)
                ):
                    clause, run = clause + 1, run + 1
                    turns |= {clause} if word in lists.breaks else set()
                raws.append(_Raw(word, token, clause, run))
        elif _is_pause(tokens, place, lists) and not _is_doubled(tokens, place):
            clause, run = clause + 1, run + 1
    return raws, turns


def _is_number_of(tokens: Sequence[Token], place: int) -> bool:
    """ "No. 3", "no 4": which one it is, no denial."""
    behind = [t for t in tokens[place + 1 : place + 3] if t.text != "."][:1]
    is_no = tokens[place].text.lower() in _NUMBER_OF
    return is_no and bool(behind) and behind[0].text.isdigit() and len(behind[0].text) <= _TWO


def _said(token: Token, index: LanguageIndex) -> tuple[str, ...]:
    """The words one token stands for; a number stands for none."""
    if token.kind != WORD and token.text not in _AND:
        return ()
    text = _AND.get(token.text, token.text)
    return spell(token._replace(text=text), index.words, index.spelling)


def _restarts(raws: list[_Raw], word: str, lists: WordLists) -> bool:
    """ "not a tick its a knock": an article right behind "its" begins a new clause."""
    if word not in _ARTICLES or len(raws) < _SHORTEST or raws[-1].word not in _OPENERS:
        return False
    return raws[-2].word not in lists.fillers and raws[-2].clause == raws[-1].clause


def _answers(raws: list[_Raw], word: str, clause: int, lists: WordLists) -> bool:
    """ "no it doesn't knock": the "no" that opens a clause denies nothing behind it."""
    if word not in lists.after_no or not raws or raws[-1].clause != clause:
        return False
    is_first = len(raws) < _TWO or raws[-_TWO].clause != clause
    return is_first and raws[-1].word in lists.answers.no


def _denies_anew(raws: list[_Raw], word: str, lists: WordLists) -> bool:
    """ "no dirt in it no misfire": the same "no" again denies something else."""
    if word not in lists.bare_negators or not raws:
        return False
    own = [r.word for r in raws if r.clause == raws[-1].clause]
    if len(own) < _TWO or own[0] != word:
        return False
    joined = lists.fillers | lists.denial_ends | lists.having
    return own[-1] not in joined or (own[-1] in lists.fillers and own[-_TWO] in lists.denial_ends)


def _is_pause(tokens: Sequence[Token], place: int, lists: WordLists) -> bool:
    """A mark that ends a clause; so does the stroke of "cold 35 / hot 9"."""
    if tokens[place].text == "/":
        behind = stem(tokens[place + 1].text) if place + 1 < len(tokens) else ""
        return any(behind in group for group in lists.contrasts)
    return tokens[place].text in _PAUSES and not _is_hyphen(tokens, place)


def _is_doubled(tokens: Sequence[Token], place: int) -> bool:
    return place > 0 and tokens[place - 1].text == tokens[place].text


def _is_hyphen(tokens: Sequence[Token], place: int) -> bool:
    if tokens[place].text != "-" or not 0 < place < len(tokens) - 1:
        return False
    before, after = tokens[place - 1], tokens[place + 1]
    return before.end == tokens[place].start and tokens[place].end == after.start


def _telling(raws: Sequence[_Raw], index: LanguageIndex) -> list[_Raw]:
    """Without turns of speech ("no doubt") and without words that only open the text."""
    lists, kept = index.words, []
    opening = len({r.clause for r in raws}) > 1
    for _, group in groupby(raws, key=attrgetter("clause")):
        clause = list(group)
        opening = opening and all(r.word in lists.openers for r in clause)
        if opening:
            continue
        idle = lists.idioms.find_all([r.word for r in clause])
        spoken = {place for start, end in idle for place in range(start, end)}
        kept += [r for place, r in enumerate(clause) if place not in spoken]
    return kept


def _words(
    raws: Sequence[_Raw],
    counted: dict[int, Quantity],
    tokens: Sequence[Token],
    index: LanguageIndex,
) -> Iterator[Word]:
    seen: set[int] = set()
    speeds = {q.first for q in counted.values() if SPEED in q.dimensions}
    starts = {tokens[q.first].start: q for q in counted.values()}
    for run in _runs(raws):
        if run[0].word == COUNT:
            quantity = starts.get(run[0].token.start)
            if quantity is None or quantity.first in seen:
                continue
            seen.add(quantity.first)
            typed = run[0].token.text
            text = stem("revs") if quantity.first in speeds else COUNT
            named = typed in index.book.weights and (text == COUNT or typed.isdigit())
            text = typed if named else text
            yield Word(text, run[0].clause, run[0].token.start, run[0].token.end, COUNT)
            continue
        for first, last, stems in equal([r.word for r in run], index.words):
            for one in stems:
                start, end = run[first].token.start, run[last - 1].token.end
                light = one in index.words.light
                yield Word(one, run[first].clause, start, end, run[first].word, light)


def _runs(raws: Sequence[_Raw]) -> Iterator[list[_Raw]]:
    run: list[_Raw] = []
    for raw in raws:
        if run and raw.run != run[-1].run:
            yield run
            run = []
        run.append(raw)
    if run:
        yield run


def _clauses(raws: Sequence[_Raw], turns: set[int], lists: WordLists) -> tuple[Clause, ...]:
    count = raws[-1].clause + 1 if raws else 0
    own: list[list[_Raw]] = [[] for _ in range(count)]
    for raw in raws:
        own[raw.clause].append(raw)
    return tuple(_clause(part, number in turns, lists) for number, part in enumerate(own))


def _clause(own: Sequence[_Raw], is_turn: bool, lists: WordLists) -> Clause:
    start, end = (own[0].token.start, own[-1].token.end) if own else (0, 0)
    is_joined = bool(own) and own[0].word in lists.soft_breaks
    return Clause(tuple(r.word for r in own), start, end, is_turn, is_joined)


def _placed(
    numbers: Sequence[Quantity], words: Sequence[Word], tokens: Sequence[Token]
) -> Iterator[Placed]:
    at = {word.start: place for place, word in enumerate(words) if word.raw == COUNT}
    for quantity in numbers:
        start, end = tokens[quantity.first].start, tokens[quantity.last - 1].end
        if start in at:
            yield Placed(quantity, at[start], start, end)

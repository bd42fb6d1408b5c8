"""What only shows across rule files: ids that exist, figures with sources, causes that can win.

Each check is a generator over the whole book; all problems are reported together.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from diagnose.knowledge.checks_corrections import correction_problems, size_problems
from diagnose.knowledge.checks_known import nearest, unless_known, unless_sourced
from diagnose.knowledge.checks_phrases import problems_of_phrases
from diagnose.knowledge.checks_told import told_problems
from diagnose.knowledge.checks_use import problems_of_limits, problems_of_use
from diagnose.knowledge.conditions import parse
from diagnose.knowledge.lesson_checks import all_lesson_problems
from diagnose.knowledge.load import NO_WORDS, Book
from diagnose.knowledge.model import (
    READING_STATES,
    Cause,
    EngineSheet,
    Finding,
    Limit,
)
from diagnose.knowledge.problems import Place, Problem
from diagnose.measuring.units import UnitError, convert, dimension_of

# what may only follow from a file or record that could not be used, and is told once that is mended
_MAY_FOLLOW = ("unknown_", "unsettled", "finding_", "cause_", "state_unheard")
_ACTIONS = {
    "derive": {"derive", "state"},
    "invalid": {"invalid"},
    "rules_out": {"rules_out"},
    "points_to": {"points_to", "how_strongly"},
    "speaks_against": {"speaks_against", "how_strongly"},
    "caution": {"caution"},
    "ask_first": {"ask_first"},
    "contradiction": {"contradiction"},
    "note": {"note"},
    "root": {"root", "of"},
}
_SUM_PARTS, _SUM_ENDS = ("reading", "plate", "spacer"), ("agrees", "differs")
_SHOWN_OFTEN = ("often", "usually", "always")


def problems_across(book: Book) -> list[Problem]:
    """Every problem that one file alone does not show."""
    found: list[Problem] = []
    for look in (_sums, _findings, _checks, _causes, _rules, _sheets, _alike):
        found += look(book)
    found += [*correction_problems(book), *told_problems(book), *problems_of_phrases(book)]
    found += [*problems_of_use(book), *all_lesson_problems(book)]
    return [p for p in found if book.is_whole or not p.code.startswith(_MAY_FOLLOW)]


def _sums(book: Book) -> Iterator[Problem]:
    for name, parts in book.words.sums.items():
        for part in _SUM_PARTS:
            if part not in parts:
                yield Problem("missing_key", book.place("words", "", "sums", name), (part,))
        for part, finding in parts.items():
            yield from unless_known(book, "findings", finding, "words", "", "sums", name, part)


def _findings(book: Book) -> Iterator[Problem]:
    settled = _settling(book)
    for key, finding in book.table("findings").items():
        yield from unless_sourced(book, finding.source, "findings", key, "source")
        for state, word in finding.background.items():
            yield from _state(book, finding, state, "findings", key, "background", state)
            yield from _word(book, "background", word, "findings", key, "background", state)
        for state in (*finding.phrases, *finding.composed, *finding.spoken):
            if state != "name" or not finding.is_reading:
                yield from _state(book, finding, state, "findings", key, "phrases", state)
        if key not in settled:
            yield Problem("unsettled", book.place("findings", key, "id"), (key,))
        yield from _complete(book, finding)
        yield from _bands(book, finding)
        yield from _also_says(book, finding)


def _complete(book: Book, finding: Finding) -> Iterator[Problem]:
    """Every state has its label and phrases, every abnormal one of an effect its background."""
    abnormal = [s for s in finding.known_states if s != finding.normal]
    wanted = {
        "say": finding.known_states,
        "phrases": ("name",) if finding.is_reading else finding.known_states,
        "background": () if finding.is_circumstance else abnormal,
    }
    for table, keys in wanted.items():
        for key in keys:
            if not getattr(finding, table).get(key):
                place = book.place("findings", finding.id, table)
                yield Problem("missing_key", place, (key,))


def _bands(book: Book, finding: Finding) -> Iterator[Problem]:
    if finding.is_reading and not (finding.unit and finding.dimension):
        missing = "dimension" if finding.unit else "unit"
        yield Problem("missing_key", book.place("findings", finding.id, "id"), (missing,))
    elif finding.unit:
        yield from _unit(book, finding.unit, finding.dimension, "findings", finding.id, "unit")
    for name in ("possible", "usual", "gauge"):
        band = getattr(finding, name)
        if band is None:
            continue
        yield from unless_sourced(book, band.source, "findings", finding.id, name, "source")
        at = ("findings", finding.id, name)
        yield from _unit(book, band.unit, finding.dimension, *at, "unit")
        if name != "gauge":
            yield from _upside_down(book, band.low, band.high, *at)


def _also_says(book: Book, finding: Finding) -> Iterator[Problem]:
    if (each := finding.of_each) is not None:
        at_each = ("findings", finding.id, "of_each")
        for state in (each.even, each.one, each.two, each.several, each.all_low):
            yield from _state(book, finding, state, *at_each)
        yield from unless_sourced(book, each.source, *at_each, "source")
    for i, said in enumerate(finding.also_says):
        at = ("findings", finding.id, "also_says", i)
        yield from unless_known(book, "findings", said.finding, *at, "finding")
        told = book.table("findings").get(said.finding)
        yield from _state(book, told, said.state, *at, "state") if told else ()
        yield from unless_sourced(book, said.source, *at, "source")
        yield from _unit(book, said.unit, finding.dimension, *at, "unit")
        yield from _upside_down(book, said.at_least, said.at_most, *at)


def _unit(book: Book, unit: str, dimension: str | None, *where: str | int) -> Iterator[Problem]:
    try:
        found = dimension_of(unit)
    except UnitError:
        found = ""
    if found != dimension:
        place = _place(book, where)
        yield Problem("unit_of_other_kind", place, (unit, str(dimension)))


def _upside_down(
    book: Book, low: float | None, high: float | None, *where: str | int
) -> Iterator[Problem]:
    if low is not None and high is not None and low > high:
        place = _place(book, where)
        yield Problem("band_upside_down", place, (str(low), str(high)))


def _settling(book: Book) -> dict[str, str]:
    settled: dict[str, str] = {}
    for key, check in book.table("checks").items():
        for finding in check.settles:
            settled.setdefault(finding, key)
    return settled


def _checks(book: Book) -> Iterator[Problem]:
    first = _settling(book)
    for key, check in book.table("checks").items():
        yield from unless_sourced(book, check.source, "checks", key, "source")
        yield from unless_known(book, "access", check.access, "checks", key, "access")
        for i, finding in enumerate(check.settles):
            yield from unless_known(book, "findings", finding, "checks", key, "settles", i)
            if first[finding] != key:
                place = book.place("checks", key, "settles", i)
                yield Problem("settled_twice", place, (finding, first[finding]))


def _causes(book: Book) -> Iterator[Problem]:
    for key, cause in book.table("causes").items():
        yield from _file_name(book, "causes", key)
        yield from _cause_words(book, cause)
        yield from _signs(book, cause)
        yield from _cause_links(book, cause)
        yield from _can_win_and_fall(book, cause)


def _file_name(book: Book, kind: str, key: str) -> Iterator[Problem]:
    place = book.place(kind, key, "id")
    stem = place.file.rsplit("/", 1)[-1].removesuffix(".yaml")
    if stem != key:
        yield Problem("id_not_file_name", place, (key, stem))


def _cause_words(book: Book, cause: Cause) -> Iterator[Problem]:
    common = cause.how_common
    yield from unless_sourced(book, common.source, "causes", cause.id, "how_common", "source")
    yield from unless_sourced(book, cause.repair.source, "causes", cause.id, "repair", "source")
    yield from unless_known(
        book, "access", cause.repair.access, "causes", cause.id, "repair", "access"
    )
    for name in ("after_build", "in_service"):
        word = getattr(common, name)
        yield from _word(book, "how_common", word, "causes", cause.id, "how_common", name)


def _signs(book: Book, cause: Cause) -> Iterator[Problem]:
    share: dict[str, float] = defaultdict(float)
    listed: dict[str, set[str]] = defaultdict(set)
    for i, sign in enumerate(cause.signs):
        at = ("causes", cause.id, "signs", i)
        yield from unless_known(book, "findings", sign.finding, *at, "finding")
        yield from unless_sourced(book, sign.source, *at, "source")
        yield from _word(book, "how_often", sign.how_often, *at, "how_often")
        finding = book.table("findings").get(sign.finding)
        if finding:
            yield from _state(book, finding, sign.state, *at, "state")
        share[sign.finding] += book.words.how_often.get(sign.how_often, 0)
        listed[sign.finding].add(sign.state)
        place = book.place(*at)
        if share[sign.finding] > 1.001:
            yield Problem("states_over_one", place, (sign.finding, f"{share[sign.finding]:.2f}"))
        elif finding and len(finding.states) == 2 and len(listed[sign.finding]) == 2:
            yield Problem("two_signs_for_two_states", place, (sign.finding,))


def _cause_links(book: Book, cause: Cause) -> Iterator[Problem]:
    at = ("causes", cause.id)
    for i, behind in enumerate(cause.behind_it):
        yield from unless_known(book, "causes", behind.cause, *at, "behind_it", i, "cause")
    for i, damaged in enumerate(cause.damages):
        yield from unless_known(book, "causes", damaged, *at, "damages", i)
    for i, again in enumerate(cause.recheck):
        yield from unless_known(book, "findings", again, *at, "recheck", i)
    for i, text in enumerate(cause.only_if):
        yield from _condition(book, text, *at, "only_if", i)
    wanted = (cause.confirm.finding, cause.confirm.state)
    if wanted not in {(s.finding, s.state) for s in cause.signs}:
        yield Problem("confirm_not_a_sign", book.place(*at, "confirm"), wanted)


def _can_win_and_fall(book: Book, cause: Cause) -> Iterator[Problem]:
    place = book.place("causes", cause.id, "signs")
    findings = book.table("findings")
    shown = [s for s in cause.signs if s.finding in findings and s.how_often in _SHOWN_OFTEN]
    if not any(s.state != findings[s.finding].normal for s in shown):
        yield Problem("cause_unreachable", place, (cause.id,))
    if not shown and not any(s.how_often in ("never", "rarely") for s in cause.signs):
        yield Problem("cause_never_falls", place, (cause.id,))


def _rules(book: Book) -> Iterator[Problem]:
    for key, caution in book.table("cautions").items():
        yield from unless_sourced(book, caution.source, "cautions", key, "source")
    for key, rule in book.table("rules").items():
        yield from unless_sourced(book, rule.source, "rules", key, "source")
        for i, text in enumerate(rule.when):
            yield from _condition(book, text, "rules", key, "when", i)
        for action in rule.then:
            yield from _action(book, key, dict(action))


def _action(book: Book, key: str, action: dict[str, object]) -> Iterator[Problem]:
    verb = next((v for v in _ACTIONS if v in action), None)
    if verb is None or set(action) != _ACTIONS[verb]:
        place = book.place("rules", key, "then")
        yield Problem("unknown_action", place, (", ".join(action),))
        return
    at = ("rules", key, "then")
    for name in ("rules_out", "points_to", "speaks_against", "root", "of"):
        if name in action:
            yield from unless_known(book, "causes", str(action[name]), *at)
    for name in ("derive", "invalid", "ask_first"):
        if name in action:
            yield from unless_known(book, "findings", str(action[name]), *at)
    if "how_strongly" in action:
        yield from _word(book, "strength", str(action["how_strongly"]), *at)
    for finding in _names(action.get("contradiction", ())):
        yield from unless_known(book, "findings", finding, *at)
    if "caution" in action:
        yield from unless_known(book, "cautions", str(action["caution"]), *at)
    derived = book.table("findings").get(str(action.get("derive")))
    if derived:
        yield from _state(book, derived, str(action["state"]), *at)


def _names(value: object) -> list[str]:
    return [str(v) for v in value] if isinstance(value, list | tuple) else [str(value)]


def _sheets(book: Book) -> Iterator[Problem]:
    for key, sheet in book.table("engines").items():
        yield from _file_name(book, "engines", key)
        yield from sheet_problems(book, sheet)


def sheet_problems(book: Book, sheet: EngineSheet) -> Iterator[Problem]:
    """What is wrong with one engine sheet that the book holds."""
    yield from problems_of_limits(book, sheet)
    yield from size_problems(book, sheet)
    for i, part in enumerate(sheet.fitted):
        at = ("engines", sheet.id, "fitted", i)
        yield from unless_known(book, "findings", part.finding, *at, "finding")
        yield from unless_sourced(book, part.source, *at, "source")
        yield from _state(book, book.table("findings").get(part.finding), part.state, *at)
    for i, limit in enumerate(sheet.limits):
        at = ("engines", sheet.id, "limits", i)
        yield from unless_known(book, "findings", limit.finding, *at, "finding")
        yield from unless_sourced(book, limit.source, *at, "source")
        yield from _upside_down(book, limit.low, limit.high, *at)
        yield from _upside_down(book, limit.target_low, limit.target_high, *at)
        finding = book.table("findings").get(limit.finding)
        if finding:
            yield from _unit(book, limit.unit, finding.dimension, *at, "unit")
            yield from _figures(book, finding, limit, *at)


def _figures(book: Book, finding: Finding, limit: Limit, *at: str | int) -> Iterator[Problem]:
    """Limits that no such reading can have."""
    band = finding.possible
    for name in ("low", "high", "target_low", "target_high", "wear_limit"):
        value = getattr(limit, name)
        if band is None or value is None:
            continue
        try:
            there = convert(value, limit.unit, band.unit)
        except UnitError:
            return  # reported with the unit itself
        low, high = band.low, band.high
        if (low is not None and there < low) or (high is not None and there > high):
            ends = " to ".join("any" if end is None else f"{end:g}" for end in (low, high))
            fault = f"{finding.title} can be {ends} {band.unit}"
            yield Problem("wrong_type", _place(book, (*at, name)), (f"{value:g}", fault))


def _alike(book: Book) -> Iterator[Problem]:
    seen: dict[frozenset[tuple[str, str, str]], str] = {}
    for key, cause in book.table("causes").items():
        marks = frozenset((s.finding, s.state, s.how_often) for s in cause.signs)
        other = seen.setdefault(marks, key)
        if other != key:
            yield Problem("cause_alike", book.place("causes", key, "signs"), (other, key))


def _condition(book: Book, text: str, *where: str | int) -> Iterator[Problem]:
    condition = parse(text)
    if condition is None:
        place = _place(book, where)
        yield Problem("unknown_condition", place, (text,))
    elif condition.kind in ("note", "no_note"):
        notes = _notes(book)
        if condition.name not in notes:
            place = _place(book, where)
            yield Problem("unknown_note", place, (condition.name, nearest(condition.name, notes)))
    else:
        yield from unless_known(book, "findings", condition.name, *where)
        finding = book.table("findings").get(condition.name)
        for state in condition.states if finding else ():
            yield from _state(book, finding, state, *where)


def _notes(book: Book) -> set[str]:
    """The notes the rules can set, and those every sum sets once its readings are taken."""
    told = {str(a["note"]) for r in book.table("rules").values() for a in r.then if "note" in a}
    return told | {f"{name}_{end}" for name in book.words.sums for end in _SUM_ENDS}


def _state(book: Book, finding: Finding | None, state: str, *where: str | int) -> Iterator[Problem]:
    states = READING_STATES if finding and finding.is_reading else finding and finding.states
    if finding and state not in (states or ()):
        place = _place(book, where)
        yield Problem("unknown_state", place, (finding.id, state, ", ".join(states or ())))


def _word(book: Book, table: str, word: str, *where: str | int) -> Iterator[Problem]:
    words = getattr(book.words, table)
    if word not in words and book.words is not NO_WORDS:  # a broken file is reported as itself
        place = _place(book, where)
        yield Problem("unknown_word", place, (word, ", ".join(words)))


def _place(book: Book, where: tuple[str | int, ...]) -> Place:
    return book.place(str(where[0]), str(where[1]), *where[2:])

"""What the rule base says, as plain frozen records; this module reads nothing and decides nothing.

One record per idea of the trade: a finding that can be observed, a check that settles findings, a
cause with its signs, a chaining rule, an engine sheet. Words such as ``usually`` stay words here;
`Words` holds the one table that turns them into numbers.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Literal, TypeGuard

from diagnose.knowledge.corrections import Correction as Correction
from diagnose.knowledge.told import Told as Told
from diagnose.named import Named

NOTHING: Mapping[str, str] = {}
READING_STATES = ("low", "ok", "high")
UNKNOWN = "unknown"
WITHOUT_ADDRESS = ("common-practice", "memory")
"""What may stand for a source where nothing was published."""


class Band(Named):
    """A range of a quantity; a side left out is open."""

    unit: str
    source: str
    low: float | None = None
    high: float | None = None


class Gauge(Named):
    """Standard uncertainty `u` of the usual gauge for a reading in usual hands."""

    u: float
    unit: str
    source: str


class AlsoSays(Named):
    """What a reading says of another finding too: `state`, from `at_least` to `at_most` (a side
    left out is open)."""

    finding: str
    state: str
    unit: str
    source: str
    at_least: float | None = None
    at_most: float | None = None


class OfEach(Named):
    """What several numbers of a kind say together: a number is low below `share` per cent of the
    highest, and all are where even the highest is below `least` (in `unit`). Beside words that fit
    `throughout` one number, or the ends of a range, stand for all. `two` low are neighbours."""

    named: tuple[str, ...]
    throughout: tuple[str, ...]
    share: float
    least: float
    unit: str
    even: str
    one: str
    two: str
    several: str
    all_low: str
    source: str


class Finding(Named):
    """Something that can be observed, measured or known of the engine.

    `states[0]` is the normal state or ``unknown``; a reading has the states low, ok, high.
    `nature` is ``effect`` (a fault makes it show) or ``circumstance`` (it makes a cause more or
    less common). `phrases` maps a state, or ``name`` for a reading, to everyday wordings,
    `composed` to patterns of them (see `knowledge/composing.py`), `spoken` to patterns of words as
    they are typed (see `language/patterns.py`). `minus` are words beside a figure that put it below
    zero ("6 degrees early").
    """

    id: str
    title: str
    topic: str
    kind: Literal["state", "reading"]
    states: tuple[str, ...]
    nature: Literal["effect", "circumstance"]
    background: Mapping[str, str]
    source: str
    ask: str
    say: Mapping[str, str]
    phrases: Mapping[str, tuple[str, ...]]
    same_symptom: str | None = None
    dimension: str | None = None
    unit: str | None = None
    possible: Band | None = None
    usual: Band | None = None
    gauge: Gauge | None = None
    also_says: tuple[AlsoSays, ...] = ()
    composed: Mapping[str, tuple[str, ...]] = {}
    of_each: OfEach | None = None
    spoken: Mapping[str, tuple[str, ...]] = {}
    minus: tuple[str, ...] = ()

    @property
    def is_reading(self) -> bool:
        """True when the finding is a number with a unit."""
        return self.kind == "reading"

    @property
    def is_circumstance(self) -> bool:
        """True when the finding is a fact of the engine or its history, not made by a fault."""
        return self.nature == "circumstance"

    @property
    def normal(self) -> str:
        """The state that accuses nothing: ``ok`` for a reading, else the first state."""
        return "ok" if self.is_reading else self.states[0]

    @property
    def known_states(self) -> tuple[str, ...]:
        """The states a person can report, ``unknown`` left out."""
        return tuple(s for s in self.states if s != UNKNOWN)


class Check(Named):
    """Something a person does that settles one or more findings, with its minutes and dangers."""

    id: str
    title: str
    topic: str
    settles: tuple[str, ...]
    access: str
    minutes: float
    tools: tuple[str, ...]
    how: tuple[str, ...]
    good: str
    bad: str
    misread: float
    source: str
    without_tool: str | None = None
    dangers: tuple[str, ...] = ()


class Access(Named):
    """A state of dismantling that a check needs.

    `minutes` to get there, and `each`: what a look there takes at least.
    """

    id: str
    title: str
    minutes: float
    each: float
    engine_running: bool
    source: str


class Sign(Named):
    """How often one cause shows one state of one finding, and why a mechanic would say so."""

    finding: str
    state: str
    how_often: str
    because: str
    source: str


class Behind(Named):
    """A cause that may lie behind another one."""

    cause: str
    because: str


class Confirmation(Named):
    """The one finding state that settles a cause."""

    finding: str
    state: str
    shows: str


class Repair(Named):
    """Where a repair happens and the minutes of the repair itself, access open."""

    access: str
    minutes: float
    source: str


class HowCommon(Named):
    """How common a cause is on a fresh build and in service, as words."""

    after_build: str
    in_service: str
    source: str


class Cause(Named):
    """One thing that is wrong: how common, how it shows, how to confirm and put it right."""

    id: str
    system: str
    title: str
    phrases: tuple[str, ...]
    how_common: HowCommon
    signs: tuple[Sign, ...]
    confirm: Confirmation
    remedy: str
    repair: Repair
    recheck: tuple[str, ...]
    does_not_cover: str
    only_if: tuple[str, ...] = ()
    behind_it: tuple[Behind, ...] = ()
    damages: tuple[str, ...] = ()
    work_out: str | None = None
    cautions: tuple[str, ...] = ()


class Caution(Named):
    """A warning the rules can raise; `stop_engine` means it must not be run.

    With `short_run` a check may still run it for the minute that a look or a reading takes.
    """

    id: str
    stop_engine: bool
    text: str
    source: str
    short_run: bool = False


class ChainRule(Named):
    """A when ... then ... rule in the words of `rules/chaining`, not yet compiled."""

    id: str
    topic: str
    when: tuple[str, ...]
    then: tuple[Mapping[str, object], ...]
    because: str
    source: str


class Limit(Named):
    """The band of one reading on one engine sheet; new band, target and wear limit apart."""

    finding: str
    unit: str
    source: str
    low: float | None = None
    high: float | None = None
    target_low: float | None = None
    target_high: float | None = None
    wear_limit: float | None = None
    note: str | None = None


class FittedPart(Named):
    """A part known to be on every engine of a sheet."""

    finding: str
    state: str
    source: str


class Size(Named):
    """A figure of an engine that no reading of a case tells: a ratio, a thread, what is at hand.

    The unit is left out for a plain number; several values are sizes to choose from.
    """

    name: str
    values: tuple[float, ...]
    source: str
    unit: str = ""


class EngineSheet(Named):
    """What is known of one engine: fitted parts, limits and sizes, each with its source."""

    id: str
    title: str
    describes: str
    fitted: tuple[FittedPart, ...]
    limits: tuple[Limit, ...]
    sizes: tuple[Size, ...] = ()

    def limit(self, finding: str) -> Limit | None:
        """The sheet's limit for a reading, or None."""
        return next((x for x in self.limits if x.finding == finding), None)


class Lesson(Named):
    """An engine made up to teach one idea, for somebody who learns to choose the next check.

    `faults` are what is wrong, the one that is felt first; `root` is the one of them that lies
    behind it. `known` is told at the start and may be mistaken; `answers` are what a look finds,
    a reading as ``9 thou``. What a look finds not as it must be is put right at once where
    `put_right` says so; `before` is what a reading shows until then, `misread` what the first
    look seems to show. `moves` are the findings that the idea is about.
    """

    id: str
    title: str
    idea: str
    teaches: str
    opening: str
    known: Mapping[str, str]
    faults: tuple[str, ...]
    moves: tuple[str, ...]
    takeaway: str
    source: str
    root: str | None = None
    sheet: str | None = None
    open: tuple[str, ...] = ()
    missing_tools: tuple[str, ...] = ()
    answers: Mapping[str, str] = NOTHING
    put_right: Mapping[str, str] = NOTHING
    before: Mapping[str, str] = NOTHING
    misread: Mapping[str, str] = NOTHING


class Source(Named):
    """A published source."""

    key: str
    title: str
    address: str


class Words(Named):
    """The few tables of numbers behind words, each with its source in `rules/words.yaml`."""

    how_often: Mapping[str, float]
    background: Mapping[str, float]
    how_common: Mapping[str, float]
    strength: Mapping[str, float]
    settings: Mapping[str, float]
    sums: Mapping[str, Mapping[str, str]]
    word_classes: Mapping[str, str] = {}
    source: str = "memory"


class Knowledge(Named):
    """The whole rule base, every table keyed by id in a fixed order.

    `settled_by` tells which check settles each finding; `digest` marks what it was read from.
    """

    findings: Mapping[str, Finding]
    checks: Mapping[str, Check]
    causes: Mapping[str, Cause]
    access: Mapping[str, Access]
    rules: Mapping[str, ChainRule]
    cautions: Mapping[str, Caution]
    sheets: Mapping[str, EngineSheet]
    sources: Mapping[str, Source]
    words: Words
    settled_by: Mapping[str, str]
    digest: str = ""
    lessons: Mapping[str, Lesson] = {}
    corrections: Mapping[str, Correction] = {}
    told: Mapping[str, Told] = {}

    def check_of(self, finding: str) -> Check | None:
        """The check that settles a finding, or None."""
        check = self.settled_by.get(finding)
        return None if check is None else self.checks[check]

    def is_question(self, check: Check) -> bool:
        """Whether a check is only a question: no tool, and nothing to go and look at."""
        return not check.tools and all(self.findings[f].is_circumstance for f in check.settles)

    def each(self, check: Check) -> float:
        """What every finding of a check takes at least; a question only takes the asking."""
        return check.minutes if self.is_question(check) else self.access[check.access].each

    def takes(self, check: Check, open_: Collection[str]) -> float:
        """The minutes of a check with its first finding, as the engine stands."""
        return max(check.minutes, self.each(check)) + self.reach(check, open_)

    def reach(self, check: Check, open_: Collection[str]) -> float:
        """The minutes to get where a check is done, as the engine stands; none for a question."""
        there = check.access in open_ or self.is_question(check)
        return 0.0 if there else self.access[check.access].minutes


def is_record(value: object) -> TypeGuard[Named]:
    """Whether a value is one of the records above, not a plain tuple of things."""
    return isinstance(value, tuple) and hasattr(value, "_fields")


def settlers(checks: Mapping[str, Check]) -> dict[str, str]:
    """Which check settles each finding; where two do, the first."""
    return {finding: c.id for c in reversed(list(checks.values())) for finding in c.settles}

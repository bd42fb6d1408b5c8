"""What every look would find on an engine with these faults, drawn from the rule base.

Each fault shows each of its signs as often as the rule base says, the background as often as it
shows in sound engines; then the chaining rules are run over all of it, and what can't be so
together is put right, or the draw is given up.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from random import Random

from diagnose.cases.assess import Workbench
from diagnose.cases.state import limit_of
from diagnose.knowledge.conditions import Condition, parse
from diagnose.knowledge.model import UNKNOWN, Finding, Knowledge
from diagnose.named import Named
from diagnose.reasoning.inference import Conclusions, facts_of, infer
from diagnose.reasoning.network import Showing, usual_shares

_MOST_ROUNDS = 5
_SURE = ("usually", "always")


def draw_truth(
    bench: Workbench,
    faults: Sequence[str],
    seed: str,
    fixed: Mapping[str, str],
    background: float = 1.0,
) -> dict[str, str] | None:
    """The state of every finding, or None when these faults can't be together on such an engine.

    A finding of a part that the engine does not have is left out. What is
    `fixed` stays; `background` multiplies what shows without a fault.
    """
    held = _held(bench, faults, fixed)
    if held is None:
        return None
    columns = [bench.network.column(c) for c in faults]
    truth = dict(held)
    for finding in bench.knowledge.findings.values():
        if finding.id not in held:
            name = f"{seed}/{finding.id}"
            if finding.is_circumstance:
                truth[finding.id] = _circumstance(bench, finding, columns, Random(name))
            else:
                showing = bench.network.showings[finding.id]
                truth[finding.id] = _shown(
                    showing, dict(zip(faults, columns, strict=True)), name, background
                )
    unread = [f for f, s in truth.items() if not _can_be_read(bench, f, s)]
    if any(f in held for f in unread):
        return None
    truth.update({f: bench.knowledge.findings[f].normal for f in unread})
    return _agreed(bench, faults, truth, held)


def _can_be_read(bench: Workbench, name: str, state: str) -> bool:
    """Whether a reading can come out so: a band that is open to one side has no such state."""
    finding = bench.knowledge.findings[name]
    limit = limit_of(finding, bench.sheet) if finding.is_reading else None
    if limit is None or (limit.low is None and limit.high is None):
        return True
    return state == finding.normal or getattr(limit, state) is not None


def conclude(bench: Workbench, truth: Mapping[str, str]) -> Conclusions:
    """What the rules conclude when every finding is known."""
    findings = bench.knowledge.findings
    told = {f: s for f, s in truth.items() if not findings[f].is_reading and s != UNKNOWN}
    judged = {
        f: s for f, s in truth.items() if findings[f].is_reading and has_band(findings[f], bench)
    }
    unjudged = {f for f in truth if findings[f].is_reading} - judged.keys()
    return infer(bench.knowledge, bench.chainer, facts_of(told, judged, unjudged=unjudged))


def has_band(finding: Finding, bench: Workbench) -> bool:
    """Whether a reading can be judged on this engine."""
    limit = limit_of(finding, bench.sheet)
    return limit is not None and (limit.low is not None or limit.high is not None)


class Clash(Named):
    """What can't be so: findings that exclude each other, what follows and is not so (by which
    rule), faults that could not be there, and readings that would not count (by which rule)."""

    together: list[tuple[str, ...]]
    follows: dict[str, tuple[str, str]]
    impossible: set[str]
    invalid: dict[str, str]


def clash(bench: Workbench, faults: Sequence[str], truth: Mapping[str, str]) -> Clash:
    """Hold the truth to the rules of the rule base."""
    found = conclude(bench, truth)
    return Clash(
        [names for names, _ in found.contradictions],
        {f: (s, rule) for f, (s, rule) in found.derived.items() if truth.get(f) != s},
        set(found.ruled_out) & set(faults),
        dict(found.invalid),
    )


def _held(
    bench: Workbench, faults: Sequence[str], fixed: Mapping[str, str]
) -> dict[str, str] | None:
    """What must be so: the engine's own parts, what each fault needs, and what proves it."""
    held = dict(fixed)
    for fault in faults:
        cause = bench.knowledge.causes[fault]
        confirm = cause.confirm
        if held.setdefault(confirm.finding, confirm.state) != confirm.state:
            return None
    for fault in faults:
        for text in bench.knowledge.causes[fault].only_if:
            condition = parse(text)
            if condition is not None and not _make_so(bench.knowledge, condition, held):
                return None
    return held


def _make_so(knowledge: Knowledge, condition: Condition, held: dict[str, str]) -> bool:
    if condition.kind not in ("is", "is_not"):
        return True
    states = knowledge.findings[condition.name].known_states
    wanted = [s for s in states if (s in condition.states) == (condition.kind == "is")]
    if condition.name in held:
        return held[condition.name] in wanted
    if condition.kind == "is" and wanted:
        held[condition.name] = wanted[0]
    return bool(wanted)


def _circumstance(
    bench: Workbench, finding: Finding, columns: Iterable[int], chance: Random
) -> str:
    shares = usual_shares(bench.knowledge, finding)
    by_state = bench.network.circumstances[finding.id]
    for column in columns:
        shares = {s: v * by_state[s].get(column, 1.0) for s, v in shares.items()}
    return chance.choices(list(shares), list(shares.values()))[0]


def _shown(showing: Showing, columns: Mapping[str, int], name: str, background: float) -> str:
    """The state that one of the faults makes it show, else the background, else the normal one.

    Each fault has a roll of its own: what it shows does not hang on what else is there.
    """
    for fault, column in columns.items():
        roll = Random(f"{name}/{fault}").random()
        for state, shows in zip(showing.states, showing.shows, strict=True):
            roll -= shows.get(column, 0.0)
            if roll < 0:
                return state
    roll = Random(f"{name}/background").random()
    for row, state in enumerate(showing.states):
        less = min((showing.odds[row].get(c, 1.0) for c in columns.values()), default=1.0)
        roll -= showing.leak[row] * less * background
        if roll < 0:
            return state
    return showing.normal


def _agreed(
    bench: Workbench, faults: Sequence[str], truth: dict[str, str], held: Mapping[str, str]
) -> dict[str, str] | None:
    """Put right what can't be together; the faults, their proofs and the engine stay.

    A part that such an engine does not have is left out: nobody can look at it.
    """
    for _ in range(_MOST_ROUNDS):
        found = clash(bench, faults, truth)
        if found.impossible and not found.follows:
            return None
        well_read = _read_well(bench, found.invalid, held)
        if not (found.together or found.follows or well_read):
            return truth
        truth.update(well_read)
        for finding, (state, rule) in found.follows.items():
            _settle(bench.knowledge, (finding, state, rule), truth, held)
        for names in found.together:
            loose = _loosest(bench.knowledge, names, faults, held)
            if loose is None:
                return None
            truth[loose] = _calm(bench.knowledge.findings[loose], truth[loose])
    return None


def _settle(
    knowledge: Knowledge,
    follows: tuple[str, str, str],
    truth: dict[str, str],
    held: Mapping[str, str],
) -> None:
    """A fact of the engine stands, and what speaks of another one is left out; else it follows."""
    finding, state, rule = follows
    behind = [c for text in knowledge.rules[rule].when if (c := parse(text)) is not None]
    loose = [c for c in behind if c.name in truth and c.name not in held]
    stays = knowledge.findings[finding].is_circumstance or finding in held
    if not (stays and loose):
        if finding not in held:
            truth[finding] = state
        return
    first = loose[0]
    other = [s for s in knowledge.findings[first.name].known_states if s not in first.states]
    if first.kind == "is" and other:
        truth[first.name] = other[0]
    else:
        del truth[first.name]


def _read_well(
    bench: Workbench, invalid: Mapping[str, str], held: Mapping[str, str]
) -> dict[str, str]:
    """A drawn engine is measured as it should be, unless the fault is that it was not."""
    out = {}
    for finding, rule in invalid.items():
        for text in bench.knowledge.rules[rule].when:
            condition = parse(text)
            if condition is None or condition.kind != "is" or condition.name == finding:
                continue
            record = bench.knowledge.findings[condition.name]
            good = next((s for s in record.known_states if s not in condition.states), None)
            if condition.name not in held and record.is_circumstance and good:
                out[condition.name] = good
    return out


def _loosest(
    knowledge: Knowledge, names: Sequence[str], faults: Sequence[str], held: Mapping[str, str]
) -> str | None:
    """Of findings that can't be together, the one that the faults need least."""
    sure = {s.finding for f in faults for s in knowledge.causes[f].signs if s.how_often in _SURE}
    free = [n for n in names if n in knowledge.findings and n not in held]
    return min(free, key=lambda n: (n in sure, n), default=None)


def _calm(finding: Finding, now: str) -> str:
    return next(s for s in (finding.normal, *finding.known_states) if s not in (now, UNKNOWN))

"""Draw a hidden fault from the rule base: the same seed and level always give the same engine."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from random import Random

from diagnose.cases.assess import Workbench
from diagnose.cases.log import Statement
from diagnose.knowledge.model import UNKNOWN, Cause, Finding
from diagnose.knowledge.problems import DiagnoseError
from diagnose.named import Named
from diagnose.practice.aftermath import EASY_MINUTES, aftermath, is_easy, noticed_on
from diagnose.practice.figures import true_values
from diagnose.practice.scenario import HIGHEST, LEVELS, Level, Scenario
from diagnose.practice.truth import conclude, draw_truth

_MOST_TRIES = 80
_QUIET_BACKGROUND = {1: 0.0, 2: 0.5}
_OPENINGS_TRIED = 5
_MISTOLD = 0.5  # chance that a misleading opening tells one thing that is not so
_SHEETS = 0.6  # chance that a sheet of the engine is at hand


class NothingFits(DiagnoseError):
    """No engine could be drawn."""


class Draw(Named):
    """One try at an engine."""

    bench: Workbench
    level: Level
    seed: str
    chance: Random


def draw(bench: Workbench, seed: int, level: int) -> Scenario:
    """The engine of a seed; raises NothingFits for a level that does not exist."""
    if level not in LEVELS:
        raise NothingFits(f"there is no level {level}; take one from 1 to {HIGHEST}")
    for number in range(_MOST_TRIES):
        made = _try(_start(bench, level, f"{seed}/{level}/{number}"))
        if made is not None:
            return made._replace(key=f"drawn-{level}-{seed}")
    raise NothingFits(f"no engine could be drawn for seed {seed}; take another")


def system_of(bench: Workbench, seed: int, level: int) -> str:
    """The system of the fault of a seed by its first try, which nearly always holds."""
    faults, _ = _faults(_start(bench, level, f"{seed}/{level}/0"))
    return bench.knowledge.causes[faults[0]].system


def _start(bench: Workbench, level: int, name: str) -> Draw:
    chance = Random(name)
    sheets = list(bench.knowledge.sheets.values())
    sheet = chance.choice(sheets) if chance.random() < _SHEETS else None
    return Draw(bench._replace(sheet=sheet), LEVELS[level], name, chance)


def _try(now: Draw) -> Scenario | None:
    bench, knowledge = now.bench, now.bench.knowledge
    faults, root = _faults(now)
    fitted = {p.finding: p.state for p in bench.sheet.fitted} if bench.sheet else {}
    quiet = _QUIET_BACKGROUND.get(now.level.number, 1.0)
    truth = draw_truth(bench, faults, now.seed, fitted, quiet)
    if truth is None:
        return None
    known = _opening(now, faults, truth)
    if not known:
        return None
    if now.level.opening == "misleading" and now.chance.random() < _MISTOLD:
        known = _mistold(now, truth, known)
    made = Scenario(
        key="",
        level=now.level,
        seed=now.seed,
        faults=faults,
        root=root,
        sheet=bench.sheet,
        truth=truth,
        values=true_values(bench, truth, now.seed),
        known=known,
        words=tuple(_words(knowledge.findings[f], s, now.chance) for f, s in known),
        guess=_guess(now, faults),
    )
    made = made._replace(open=_open(now), missing=_missing(now, faults))
    return made if all(_is_felt(bench, made, f) for f in made.felt) else None


def _is_felt(bench: Workbench, made: Scenario, fault: str) -> bool:
    """Whether a fault that must be found still shows once the others are put right."""
    if made.felt == (fault,):
        return True
    left = tuple(f for f in made.faults if f in (fault, made.root))
    after = aftermath(bench, made, left)
    return any(noticed_on(bench, left, after.truth))


def _faults(now: Draw) -> tuple[tuple[str, ...], str | None]:
    """The faults, the one that is felt first, and what lies behind it if something does."""
    causes = now.bench.knowledge.causes
    first = _one(now, causes.values(), ())
    behind = [b.cause for b in causes[first].behind_it]
    if behind and now.chance.random() < now.level.root:
        root = now.chance.choice(behind)
        return (first, root), root
    if now.level.faults == 1:
        return (first,), None
    return (first, _one(now, causes.values(), (first, *behind))), None


def _one(now: Draw, causes: Iterable[Cause], taken: Sequence[str]) -> str:
    network = now.bench.network
    ids = [c.id for c in causes if c.id not in taken]
    weights = [network.prior["unknown"][network.column(c)] for c in ids]
    return now.chance.choices(ids, weights)[0]


def _opening(
    now: Draw, faults: Sequence[str], truth: dict[str, str]
) -> tuple[tuple[str, str], ...]:
    """What is told at the start: something that is felt, and something of the history."""
    noticed = sorted(noticed_on(now.bench, faults, truth))
    if not noticed:
        return ()
    if now.level.opening == "clear":
        noticed.sort(key=lambda f: -_telling(now.bench, faults[0], f, truth[f]))
        felt = noticed[: now.level.told]
    elif now.level.opening == "misleading":
        felt = _least_telling(now, faults, truth, noticed)
    else:
        felt = now.chance.sample(noticed, min(now.level.told, len(noticed)))
    history = sorted(_history(now.bench, faults, truth))
    felt += now.chance.sample(history, min(1, len(history)))
    return tuple((f, truth[f]) for f in felt)


def _history(bench: Workbench, faults: Sequence[str], truth: dict[str, str]) -> Iterator[str]:
    proofs = {bench.knowledge.causes[f].confirm.finding for f in faults}
    for finding in bench.knowledge.findings.values():
        check = bench.knowledge.check_of(finding.id)
        by_asking = check is not None and not check.tools and is_easy(bench, finding)
        if finding.id in truth and finding.is_circumstance and by_asking:
            unusual = truth[finding.id] != finding.states[0] or finding.states[0] == UNKNOWN
            if unusual and not finding.is_reading and finding.id not in proofs:
                yield finding.id


def _telling(bench: Workbench, fault: str, finding: str, state: str) -> float:
    """How much a state speaks for a fault: the log of its odds."""
    showing = bench.network.showings[finding]
    row = showing.states.index(state)
    shown = showing.shows[row].get(bench.network.column(fault), showing.leak[row])
    return math.log(max(shown, 1e-6) / showing.leak[row])


def _least_telling(
    now: Draw, faults: Sequence[str], truth: dict[str, str], noticed: Sequence[str]
) -> list[str]:
    """Of a few openings, the one that leaves the faults the least likely."""
    size = min(now.level.told, len(noticed))
    tried = [now.chance.sample(list(noticed), size) for _ in range(_OPENINGS_TRIED)]

    def seems(opening: list[str]) -> float:
        told = [Statement("said", f, 1, state=truth[f]) for f in opening]
        ranking = now.bench.assess(told).ranking
        return max(ranking.p(f) for f in faults)

    return min(tried, key=seems)


def _mistold(
    now: Draw, truth: dict[str, str], known: tuple[tuple[str, str], ...]
) -> tuple[tuple[str, str], ...]:
    """One more thing is told that is not so, as long as it could be so beside the rest."""
    findings = now.bench.knowledge.findings
    told = {f for f, _ in known}
    quiet = [
        f.id
        for f in findings.values()
        if not (f.is_circumstance or f.is_reading or f.id in told)
        and is_easy(now.bench, f)
        and truth.get(f.id) == f.normal
        and len(f.known_states) == 2  # where it is, not what it is
    ]
    false = now.chance.choice(sorted(quiet))
    state = next(s for s in findings[false].known_states if s != findings[false].normal)
    with_it = conclude(now.bench, {**dict(known), false: state})
    if with_it.contradictions or with_it.cautions:
        return known
    return (*known, (false, state))


def _words(finding: Finding, state: str, chance: Random) -> str:
    return chance.choice(list(finding.phrases.get(state) or (finding.say[state],)))


def _guess(now: Draw, faults: Sequence[str]) -> str | None:
    """What the customer thinks it is; three in four are wrong."""
    if now.chance.random() >= now.level.guess:
        return None
    causes = now.bench.knowledge.causes
    named = faults[0] if now.chance.random() < 0.25 else now.chance.choice(sorted(causes))
    return now.chance.choice(list(causes[named].phrases))


def _open(now: Draw) -> tuple[str, ...]:
    """Something is apart already; whatever that shows must still be looked at."""
    reach = [
        a.id
        for a in now.bench.knowledge.access.values()
        if a.minutes > EASY_MINUTES and not a.engine_running
    ]
    return (now.chance.choice(reach),) if now.chance.random() < now.level.apart else ()


def _missing(now: Draw, faults: Sequence[str]) -> tuple[str, ...]:
    """Tools that are not there; what proves a fault, or comes first, needs none of them."""
    knowledge = now.bench.knowledge
    first = {a["ask_first"] for r in knowledge.rules.values() for a in r.then if "ask_first" in a}
    needed = {str(f) for f in first} | {knowledge.causes[f].confirm.finding for f in faults}
    kept = {t for f in needed if (check := knowledge.check_of(f)) for t in check.tools}
    settled = knowledge.settled_by
    readings = {
        settled[f.id] for f in knowledge.findings.values() if f.is_reading and f.id in settled
    }
    tools = sorted({t for c in readings for t in knowledge.checks[c].tools} - kept)
    return tuple(now.chance.sample(tools, now.level.missing))

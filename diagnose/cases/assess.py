"""One case from its log to its conclusions: chaining, ranking and planning in one pass.

Nothing keeps hidden state: undo, what-if and replay are the same function on another log.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from diagnose.cases.log import CaseLog, Statement
from diagnose.cases.state import CaseState, recompute, sum_notes
from diagnose.knowledge.cache import compiled
from diagnose.knowledge.load import load_knowledge
from diagnose.knowledge.model import EngineSheet, Knowledge
from diagnose.knowledge.problems import DiagnoseError
from diagnose.named import Named
from diagnose.reasoning.chaining import Chainer, chainer_of
from diagnose.reasoning.facts import Fact
from diagnose.reasoning.inference import Conclusions, about, facts_of, infer
from diagnose.reasoning.minutes import repair_minutes
from diagnose.reasoning.network import NONE, Network, build_network
from diagnose.reasoning.planning import Plan, Situation, plan
from diagnose.reasoning.posterior import Evidence
from diagnose.reasoning.program import Program
from diagnose.reasoning.ranking import Ranking, rank
from diagnose.reasoning.roots import root_shares
from diagnose.reasoning.second import Remainder, complained, remainder
from diagnose.reasoning.tables import Tables, TablesBeside, build_tables

if TYPE_CHECKING:
    from pathlib import Path

_LITTLE = "some"  # a finding with no more behind it than this background is not explained
_LEAST_CHANCE = 0.01  # chance of a state from which a reading may really be in it
_APART = "in_pieces"  # the note a rule sets when the engine is in pieces and can't be run


class UnknownSheet(DiagnoseError):
    """No engine sheet has this name."""


class Assessment(Named):
    """Everything concluded from one log.

    `verdict` is the causes to act on, likeliest first, once asking has ended. `found` is those
    that are as good as found while asking goes on for what they leave `unexplained`, `one_more` the
    chance that something else is wrong beside them. With a
    verdict, `root_plan` is the check worth its minutes before refitting: what lies behind it.
    """

    state: CaseState
    conclusions: Conclusions
    evidence: tuple[Evidence, ...]
    ranking: Ranking
    plan: Plan | None
    verdict: tuple[str, ...]
    must_not_run: bool
    found: tuple[str, ...] = ()
    unexplained: tuple[str, ...] = ()
    one_more: float = 0.0
    root_plan: Plan | None = None
    root_shares: tuple[float, ...] = ()

    @property
    def step(self) -> Plan | None:
        """The check to put next: for the cause while it is open, then for what lies behind it."""
        return self.plan or self.root_plan


class Workbench(Named):
    """The rule base made ready for one engine sheet (or none).

    `counted` is how many closed cases its beforehand chances count beside the handbook.
    """

    knowledge: Knowledge
    network: Network
    tables: Tables
    chainer: Chainer
    sheet: EngineSheet | None
    counted: int = 0

    def where(self, log: CaseLog) -> Assessment:
        """A case as it stands; a question that is still open is its next step again."""
        asked = log.open_question()
        return self.assess([s for s in log.standing() if s not in asked])

    def ranked(self, statements: Iterable[Statement]) -> Ranking:
        """The causes alone, without planning: for the many steps of a case looked back on."""
        return self._weighed(statements)[-1]

    def assess(self, statements: Iterable[Statement]) -> Assessment:
        """Recompute everything from the statements that stand."""
        state, conclusions, evidence, ranking = self._weighed(statements)
        held = [self.knowledge.cautions[c] for c in conclusions.cautions]
        stop = any(c.stop_engine for c in held) and _APART not in conclusions.notes
        situation = self._situation(state, conclusions, evidence)
        step = plan(self.knowledge, self.tables, ranking.shares, situation)
        verdict = () if step else self._verdict(state, ranking, evidence)
        so_far = Assessment(state, conclusions, evidence, ranking, step, verdict, stop)
        if not verdict:
            return so_far
        situation = situation._replace(asked=0)  # what was asked has led somewhere
        so_far = self._second(so_far, situation)
        return self._root(so_far, situation) if so_far.verdict else so_far

    def _root(self, ended: Assessment, situation: Situation) -> Assessment:
        """Rank what may lie behind the verdict, and find the check that tells it."""
        out = ended.conclusions.ruled_out
        behind = {b.cause for c in ended.verdict for b in self.knowledge.causes[c].behind_it}
        behind |= {root for root, of, _ in ended.conclusions.roots if of in ended.verdict}
        roots = self._columns(sorted(behind.difference(ended.verdict, out)))
        found = self._columns(ended.verdict)
        usual = self.knowledge.words.settings["has_a_root"]
        shares = root_shares(ended.ranking.given, found, roots, usual)
        tables = TablesBeside(self.knowledge, self.network, found)
        step = plan(self.knowledge, tables, shares, situation) if roots else None
        return ended._replace(root_plan=step, root_shares=shares)

    def situation(self, found: Assessment) -> Situation:
        """What bounded the next check of an assessment."""
        return self._situation(found.state, found.conclusions, found.evidence)

    def _second(self, first: Assessment, situation: Situation) -> Assessment:
        """Go on asking while the causes found leave something unexplained that is worth a look."""
        found, rest = first.verdict, self._remainder(first, first.verdict)
        if not rest.unexplained:
            return first
        tables = TablesBeside(self.knowledge, self.network, self._columns(found))
        step = plan(self.knowledge, tables, rest.shares, situation)
        most = self.knowledge.words.settings["looks_for_one_more"]
        if step is not None and self._looks_since(first) < most:
            left, more = rest.unexplained, 1 - rest.shares[-1]
            return first._replace(
                plan=step, verdict=(), found=found, unexplained=left, one_more=more
            )
        likely = max(range(len(rest.shares)), key=rest.shares.__getitem__)
        if likely < len(rest.shares) - 2:  # likelier than nothing more, and than what is not listed
            found += (self.network.causes[likely],)
        return first._replace(verdict=found, unexplained=self._remainder(first, found).unexplained)

    def _looks_since(self, first: Assessment) -> int:
        """How many findings were asked for since the causes of the verdict were proven."""
        asked = [finding for finding, _ in first.state.asked]
        proofs = {self.knowledge.causes[c].confirm.finding for c in first.verdict}
        proven = max((n for n, f in enumerate(asked, start=1) if f in proofs), default=0)
        return len(asked) - proven

    def _remainder(self, first: Assessment, found: Sequence[str]) -> Remainder:
        settings = self.knowledge.words.settings
        little = self.knowledge.words.background[_LITTLE]
        told = first.state.volunteered
        given = complained(first.ranking.given, told, settings["complained_of"])
        return remainder(given, self._columns(found), 1 - settings["one_fault"], little)

    def _columns(self, causes: Iterable[str]) -> list[int]:
        return [self.network.column(c) for c in causes]

    def _weighed(
        self, statements: Iterable[Statement]
    ) -> tuple[CaseState, Conclusions, tuple[Evidence, ...], Ranking]:
        """Chaining and ranking of a log, before anything is planned."""
        state = recompute(self.knowledge, self.sheet, statements)
        conclusions = self._infer(state)
        evidence = tuple(self._evidence(state, conclusions))
        ranking = rank(self.knowledge, self.network, conclusions, evidence, state.talk)
        return state, conclusions, evidence, ranking

    def _infer(self, state: CaseState) -> Conclusions:
        usable = state.usable
        judged = {f: j.verdict.state for f, j in usable.items() if j.has_band}
        unjudged = state.set_aside | {f for f, j in usable.items() if not j.has_band}
        facts = facts_of(state.told, judged, unjudged=unjudged)
        facts += [Fact("note", note) for note in sum_notes(self.knowledge.words.sums, usable)]
        return infer(self.knowledge, self.chainer, facts)

    def _evidence(self, state: CaseState, conclusions: Conclusions) -> Iterable[Evidence]:
        told = state.told
        doubts = dict(state.doubts(self.knowledge.words.settings["misheard"]))
        for finding, (_, rule) in conclusions.derived.items():
            told_by = map(about, self.knowledge.rules[rule].when)
            doubts.setdefault(finding, max(doubts.get(name, 0.0) for name in told_by))
        derived = {f: s for f, (s, _) in conclusions.derived.items()}
        for finding, value in {**derived, **told}.items():
            if finding not in conclusions.invalid and value != "unknown":
                yield Evidence(finding, value, doubt=doubts.get(finding, 0.0))
        for finding, reading in state.usable.items():
            if reading.has_band and finding not in conclusions.invalid and finding not in told:
                verdict = reading.verdict
                all_ = (("low", verdict.low), ("ok", verdict.ok), ("high", verdict.high))
                open_ = tuple((s, p) for s, p in all_ if p >= _LEAST_CHANCE)
                doubt = doubts.get(finding, 0.0)
                yield Evidence(finding, verdict.state, open_ if len(open_) > 1 else (), doubt)

    def _situation(
        self,
        state: CaseState,
        conclusions: Conclusions,
        evidence: Iterable[Evidence],
    ) -> Situation:
        held = (self.knowledge.cautions[c] for c in conclusions.cautions)
        barred = any(c.stop_engine and not c.short_run for c in held)
        asked = {f for f, _ in state.asked}
        again = {f for f in state.set_aside if f not in conclusions.invalid}
        again |= {f for f in conclusions.invalid if f not in asked}
        known = {e.finding for e in evidence} | set(state.known) - set(conclusions.invalid)
        settled = (known | asked | state.cannot | state.dont_know) - again
        return Situation(
            open=frozenset(state.open),
            settled=frozenset(settled),
            may_run=not barred,
            first=conclusions.ask_first + tuple(sorted(again)),
            asked=len(asked),
        )

    def _verdict(
        self, state: CaseState, ranking: Ranking, evidence: Iterable[Evidence]
    ) -> tuple[str, ...]:
        """The repair with the best chance per minute, unless leaving it or help is better."""
        if ranking.certain:  # also from a wrong fit alone, before anything is heard or measured
            return ranking.certain
        showings = self.network.showings
        if not any(
            e.finding in showings and e.state != showings[e.finding].normal for e in evidence
        ):
            return ()
        causes, shares = self.network.causes, ranking.shares
        minutes = repair_minutes(self.knowledge, causes[:-1], state.open)
        best = max(range(len(causes)), key=lambda c: shares[c] / minutes[c])
        top = max(range(len(causes)), key=shares.__getitem__)
        if NONE in (causes[best], causes[top]) or ranking.no_fault > shares[top]:
            return ()
        return (causes[top],)


def load_workbench(sheet: str | None = None, folder: Path | None = None) -> Workbench:
    """The rule base with an engine sheet, shipped (its name) or the person's own (a YAML file).

    Raises KnowledgeError or UnknownSheet.
    """
    knowledge = load_knowledge(folder)
    chosen = _sheet(knowledge, sheet) if sheet else None
    built = compiled("reasoning", knowledge.digest, lambda: _built(knowledge))
    network, tables, program = built
    return Workbench(knowledge, network, tables, chainer_of(program), chosen)


def _sheet(knowledge: Knowledge, name: str) -> EngineSheet:
    if name in knowledge.sheets:
        return knowledge.sheets[name]
    from pathlib import Path  # only where a file of one's own is named

    file = Path(name)
    if file.suffix in (".yaml", ".yml") or file.exists():
        from diagnose.knowledge.own_sheet import read_sheet

        return read_sheet(file, knowledge)
    known = ", ".join(knowledge.sheets)
    raise UnknownSheet(
        f"no engine sheet '{name}'; give a file of your own that ends in .yaml, or one of: {known}"
    )


def _built(knowledge: Knowledge) -> tuple[Network, Tables, Program]:
    from diagnose.reasoning.building import build_program  # not where the copy is read

    network = build_network(knowledge)
    tables = build_tables(knowledge, network)
    return network, tables, build_program(knowledge)

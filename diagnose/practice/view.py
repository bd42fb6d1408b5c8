"""What the planner would do at one point of an exercise, knowing that a fault is there.

In practice something in the rule base is wrong: "nothing" and "something else" are left out, and so
is every repair that was tried. All the rest is the planning of the chat.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from diagnose.cases.assess import Assessment, Workbench
from diagnose.cases.log import CaseLog, Statement
from diagnose.cases.remembering import Remembering
from diagnose.named import Named
from diagnose.reasoning.minutes import expected_minutes, repair_minutes
from diagnose.reasoning.planning import Plan, Situation, Worth, plan, worths

_NEVER = 1e-12


class View(Named):
    """A case, the chance of each cause given that one is there, and the best next step.

    `plan` is the check worth its minutes, or None: then `repair` is what to try first. `minutes`
    are those of every repair, access still closed included.
    """

    case: Assessment
    shares: tuple[float, ...]
    situation: Situation
    plan: Plan | None
    repair: str
    minutes: tuple[float, ...]

    @property
    def expected(self) -> float:
        """Expected minutes to cured when repairs are tried now, in their best order."""
        return expected_minutes(self.shares[: len(self.minutes)], self.minutes)

    def expected_with(self, column: int) -> float:
        """The same with one repair tried first."""
        kept = [n for n in range(len(self.minutes)) if n != column]
        rest = expected_minutes([self.shares[n] for n in kept], [self.minutes[n] for n in kept])
        return sum(self.shares) * self.minutes[column] + rest

    def chance(self, bench: Workbench, cause: str) -> float:
        """The chance of one cause."""
        return self.shares[bench.network.column(cause)]


def view(bench: Workbench, case: Assessment, tried: Collection[str]) -> View:
    """Plan from an assessment, without the repairs that were tried."""
    knowledge, causes = bench.knowledge, bench.network.causes
    open_ = [0.0 if c in tried or not c else case.ranking.shares[n] for n, c in enumerate(causes)]
    total = sum(open_) or 1.0
    shares = tuple(max(s / total, _NEVER) if s else 0.0 for s in open_) + (0.0,)
    situation = bench.situation(case)
    minutes = tuple(repair_minutes(knowledge, causes[:-1], situation.open)[:-1])
    best = max(range(len(minutes)), key=lambda n: shares[n] / minutes[n])
    step = plan(knowledge, bench.tables, shares, situation)
    return View(case, shares, situation, step, causes[best], minutes)


def view_at(seen: Remembering, statements: Sequence[Statement], tried: Collection[str]) -> View:
    """The view from a log as it stood."""
    return view(seen.bench, seen.assess(CaseLog(statements).standing()), tried)


def worth_of(bench: Workbench, seen: View, findings: Collection[str]) -> dict[str, Worth]:
    """What looking at each of these findings is worth."""
    return worths(bench.knowledge, bench.tables, seen.shares, seen.situation, findings)

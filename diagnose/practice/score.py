"""How far each choice was from the best one, by the sums of the planner; words nothing.

The best choice at any point is what the planner does there: its check while one is worth its
minutes, then the repair it concludes. The regret of a choice is in minutes:

- a look: its minutes, less those in which the best check would have told as much;
- a look once no check is worth its minutes: what it loses against acting at once;
- a repair: what waiting for the best check would have saved, and what starting with another repair
  than the best costs on average;
- giving up: the minutes of calling for help.

So it rests on what was known then, never on what turned out.
"""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.cases.assess import Workbench
from diagnose.named import Named
from diagnose.practice import asking
from diagnose.practice.exercise import Exercise, Step
from diagnose.practice.view import View, view_at, worth_of
from diagnose.reasoning.planning import COMPANION_RATE

_IDLE = 1e-9


class Judged(Named):
    """One step with the case before it, its regret in minutes, and the idea it missed, if any."""

    step: Step
    before: View
    regret: float
    danger: bool
    idea: str | None


class Score(Named):
    """The result of one exercise.

    `brier` is the squared miss of the stated confidence, the mean over all commitments; None
    without one. `root` is None when nothing lay behind. `lost` sums the regret of every choice.
    """

    solved: bool
    minutes: float
    lost: float
    wrong_parts: int
    dangers: int
    brier: float | None
    root: bool | None
    steps: tuple[Judged, ...]
    idea: str | None

    def as_dict(self) -> dict[str, object]:
        """The figures without the steps."""
        plain = {k: v for k, v in self._asdict().items() if k != "steps"}
        return plain | {"minutes": round(self.minutes, 1), "lost": round(self.lost, 1)}


def score(exercise: Exercise) -> Score:
    """Judge a finished (or broken off) exercise."""
    judged = tuple(judge_step(exercise, step) for step in exercise.steps)
    commits = [s for s in exercise.steps if s.kind == asking.COMMIT and s.sure is not None]
    misses = [(float(s.sure or 0.0) - (not s.wrong)) ** 2 for s in commits]
    scenario = exercise.scenario
    root = None
    if scenario.root is not None:
        root = exercise.root_named == scenario.root or scenario.root in exercise.found
    return Score(
        solved=set(scenario.felt) <= set(exercise.found),
        minutes=exercise.spent,
        lost=sum(j.regret for j in judged),
        wrong_parts=sum(len(s.wrong) for s in exercise.steps),
        dangers=sum(j.danger for j in judged),
        brier=round(sum(misses) / len(misses), 4) if misses else None,
        root=root,
        steps=judged,
        idea=_idea(judged, commits, root),
    )


def judge_step(exercise: Exercise, step: Step) -> Judged:
    """Judge one step from the log as it stood before it."""
    stand = exercise.stands[step.visit]
    before = view_at(stand.seen, stand.log.statements[: step.position], step.tried)
    regret, idea = {
        asking.LOOK: _look,
        asking.COMMIT: _commit,
        asking.HINT: lambda *_: (step.minutes, "hint"),
        asking.GIVE_UP: _give_up,
    }[step.kind](stand.bench, before, step)
    danger = step.kind == asking.LOOK and _is_dangerous(stand.bench, before, step)
    return Judged(step, before, max(regret, 0.0), danger, "danger" if danger else idea)


def _is_dangerous(bench: Workbench, before: View, step: Step) -> bool:
    """Whether the engine was run although a warning forbade it."""
    knowledge = bench.knowledge
    access = knowledge.access[knowledge.checks[knowledge.settled_by[step.done[0]]].access]
    return access.engine_running and not before.situation.may_run


def _look(bench: Workbench, before: View, step: Step) -> tuple[float, str | None]:
    best = before.plan
    if best is not None and step.done[0] in best.settles:
        return _rest(bench, before, step, step.done[1:]), None
    if step.again:
        return _again(before, step)
    wanted = [*step.done, *(best.settles[:1] if best else ())]
    worth = worth_of(bench, before, list(dict.fromkeys(wanted)))
    first = max(step.done, key=lambda f: worth[f].bits)
    if best is None:
        loss = max(-worth[first].saves, 0.0)
        return loss, "too_long" if loss else None
    if best.safety:
        return step.minutes, "first_things"
    rate = worth[best.settles[0]].bits / worth[best.settles[0]].minutes
    loss = worth[first].minutes - worth[first].bits / max(rate, _IDLE)
    rest = _rest(bench, before, step, [f for f in step.done if f != first])
    dear = worth[first].minutes > 3 * worth[best.settles[0]].minutes
    return max(loss, 0.0) + rest, "apart_too_soon" if dear else "telling"


def _rest(bench: Workbench, before: View, step: Step, more: Sequence[str]) -> float:
    """What else was looked at with the same check: each must pay for its own minutes."""
    best = before.plan
    more = [f for f in more if best is None or f not in best.settles]
    if not more:
        return 0.0
    check = bench.knowledge.checks[bench.knowledge.settled_by[step.done[0]]]
    each = bench.knowledge.each(check)
    if best is None:
        return each * len(more)
    main = best.settles[0]
    worth = worth_of(bench, before, [main, *more])
    enough = COMPANION_RATE * worth[main].bits / worth[main].minutes
    return sum(max(each - worth[f].bits / max(enough, _IDLE), 0.0) for f in more)


def _again(before: View, step: Step) -> tuple[float, str | None]:
    """Reading again what was near an edge, or was set aside, is good practice."""
    judged, aside = before.case.state.judged, before.case.state.set_aside
    unsure = [f for f in step.done if f in aside or (f in judged and not judged[f].verdict.sure)]
    return (0.0, None) if unsure else (step.minutes, "again")


def _commit(bench: Workbench, before: View, step: Step) -> tuple[float, str | None]:
    if not before.minutes or not step.done:
        return 0.0, None
    worst = max(before.expected_with(bench.network.column(c)) for c in step.done)
    waiting = 0.0 if before.plan is None else max(before.plan.saves, 0.0)
    return worst - before.expected + waiting, "too_soon" if before.plan else "other_cause"


def _give_up(bench: Workbench, before: View, step: Step) -> tuple[float, str | None]:
    """Handing the engine on costs what help costs: the best policy never has to."""
    return bench.knowledge.words.settings["call_for_help_minutes"], "gave_up"


def _idea(judged: Sequence[Judged], commits: Sequence[Step], root: bool | None) -> str | None:
    """The one idea to practise next: danger first, then where most minutes were lost."""
    if any(j.danger for j in judged):
        return "danger"
    lost: dict[str, float] = {}
    for item in judged:
        if item.idea and item.regret > 1:
            lost[item.idea] = lost.get(item.idea, 0.0) + item.regret
    worst = max(lost, key=lambda k: lost[k], default=None)
    if worst is not None and lost[worst] >= 30:
        return worst
    if root is False:
        return "root"
    if any((s.sure or 0) >= 0.8 and s.wrong for s in commits):
        return "confidence"
    return worst

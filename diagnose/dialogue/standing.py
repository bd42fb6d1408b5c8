"""Where a case stands, in the few facts that fit on a status line; decides nothing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from diagnose.dialogue import answer
from diagnose.named import Named

if TYPE_CHECKING:
    from diagnose.cases.assess import Workbench
    from diagnose.cases.state import CaseState
    from diagnose.dialogue.conversation import Conversation


class Standing(Named):
    """Sheet and open accesses by title, minutes of checks done, leading cause, warnings."""

    sheet: str | None
    open: tuple[str, ...]
    minutes: float
    cause: Mapping[str, Any] | None
    stop: bool
    caution: bool


def standing(talk: Conversation) -> Standing:
    """Where this talk stands now."""
    bench, now = talk.bench, talk.last
    told = bool(now.state.states or now.state.judged)
    causes = answer.causes(bench, now) if told else []
    cautions = answer.cautions(bench, now)
    access = bench.knowledge.access
    return Standing(
        sheet=bench.sheet.title if bench.sheet else None,
        open=tuple(access[a].title.lower() for a in sorted(now.state.open) if _costs(bench, a)),
        minutes=minutes_spent(bench, now.state),
        cause=causes[0] if causes else None,
        stop=any(c["stop_engine"] for c in cautions),
        caution=bool(cautions),
    )


def minutes_spent(bench: Workbench, state: CaseState) -> float:
    """Minutes of the checks that were asked for and answered; opening up is left out.

    Nobody says when the engine was opened, and it often was before the talk began.
    """
    answered = {f for f, _ in state.asked} & {*state.states, *state.judged}
    checks = {c.id: c for f in answered if (c := bench.knowledge.check_of(f))}
    return sum(c.minutes for c in checks.values())


def _costs(bench: Workbench, access: str) -> bool:
    """Whether an access is something taken apart: what takes a moment is not worth telling."""
    record = bench.knowledge.access[access]
    return record.minutes > _A_MOMENT and not record.engine_running


_A_MOMENT = 5.0

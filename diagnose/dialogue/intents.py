"""What a turn asks of the assistant besides telling: undo, why, how, what if and the like."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from diagnose.cases.assess import Assessment
from diagnose.cases.log import CaseLog, Statement
from diagnose.dialogue import answer, wording, wording_back
from diagnose.knowledge.model import Cause
from diagnose.language.understanding import Understanding

if TYPE_CHECKING:
    from diagnose.dialogue.conversation import Conversation

_ENOUGH = ("help", "stop", "what_if", "why_not", "why", "how", "how_sure", "settle", "otherwise")
_MOST_SETTLED = 3
_MOST_CHANGED = 4


def is_answer_enough(intent: str) -> bool:
    """True when the answer to the person's own question is the whole reply."""
    return intent in _ENOUGH


def before(talk: Conversation, found: Understanding) -> list[str]:
    """What must happen before the turn's statements are added."""
    if found.intent == "undo":
        return _undo(talk)
    if found.intent == "restart":
        talk.log = CaseLog([])
        talk.turn = 1
        return [wording.STARTED_OVER]
    return []


def after(
    talk: Conversation,
    found: Understanding,
    then: Assessment | None,
    new: Sequence[Statement] = (),
) -> list[str]:
    """The answer to what was asked, given the state after the turn and its statements."""
    plain = {
        "help": wording.HELP,
        "greeting": wording.GREETING,
        "stop": wording.STOPPED,
        "dont_know": wording.PUT_ASIDE,
        "cannot": wording.PUT_ASIDE,
    }
    if found.intent in plain:
        return [plain[found.intent]]
    if found.intent == "change_unit":
        return [wording.units_line(talk.last.state.units.values())]
    if found.intent == "why_not" and found.target in talk.bench.knowledge.causes:
        return _why_not(talk, str(found.target))
    if found.intent in ("why", "why_not"):
        ranked = answer.causes(talk.bench, talk.last)
        step = answer.next_step(talk.bench, then or talk.last)
        return wording_back.why_block(ranked[0] if ranked else None, step)
    if found.intent == "how":
        return _how(talk, found, then or talk.last)
    if found.intent == "what_if":
        return _what_if(talk, found)
    if found.intent == "not_that":
        dropped = [s.name for s in new if s.kind == "dropped"]
        return [wording_back.dropped_line(talk.bench.knowledge, dropped)]
    if found.intent in _ANSWERS:
        return _ANSWERS[found.intent](talk, then or talk.last)
    return list(_list(talk)) if found.intent == "list" else []


def _undo(talk: Conversation) -> list[str]:
    turn = talk.log.undo()
    if turn is None:
        return [wording.NOTHING_TO_UNDO]
    names = [s for s in talk.log.statements if s.turn == turn and s.kind in ("said", "measured")]
    titles = [talk.bench.knowledge.findings[s.name].title for s in names]
    return [f"Taken back: {'; '.join(titles) or 'your last answer'}."]


def _how(talk: Conversation, found: Understanding, then: Assessment) -> list[str]:
    wanted = talk.bench.knowledge.check_of(found.target or "")
    if wanted:
        return wording_back.how_block(wanted)
    if then.step is None:
        return [wording_back.NO_QUESTION]
    return wording_back.how_block(talk.bench.knowledge.checks[then.step.check])


def _why_not(talk: Conversation, key: str) -> list[str]:
    cause = talk.bench.knowledge.causes[key]
    ranking = talk.last.ranking
    return wording_back.why_not_block(cause, ranking.p(key), list(_against(talk, cause)))


def _against(talk: Conversation, cause: Cause) -> Iterator[str]:
    knowledge, found = talk.bench.knowledge, talk.last
    rule = found.conclusions.ruled_out.get(cause.id)
    if rule is not None and rule in knowledge.rules:
        yield knowledge.rules[rule].because
    elif rule:
        yield f"It needs: {', '.join(cause.only_if).replace('_', ' ')}"
    often = knowledge.words.how_often
    seen = {e.finding: e.state for e in found.evidence}
    for sign in cause.signs:
        state = seen.get(sign.finding)
        finding = knowledge.findings[sign.finding]
        if state is not None and state != sign.state and often[sign.how_often] >= often["often"]:
            wanted = finding.say.get(sign.state, sign.state)
            said = wording.said_state(finding, state)
            yield f"{said} (with this fault {sign.how_often} {wanted})"
        elif state == sign.state and often[sign.how_often] <= often["rarely"]:
            yield f"{wording.said_state(finding, state)} ({sign.how_often} so with this fault)"


def _what_if(talk: Conversation, found: Understanding) -> list[str]:
    from diagnose.dialogue.conversation import taken_statement

    if not found.taken:
        return [wording.NOT_USABLE]
    titles = {r.cause: talk.bench.knowledge.causes[r.cause].title for r in talk.last.ranking.ranked}
    extra = [taken_statement(t, talk.turn) for t in found.taken]
    then = talk.bench.assess([*talk.log.standing(), *extra])
    causes = talk.bench.knowledge.causes
    after_ = {causes[r.cause].title: r.p for r in then.ranking.ranked[:_MOST_CHANGED]}
    now = {titles[r.cause]: r.p for r in talk.last.ranking.ranked}
    return wording_back.change_block(now, after_)


def _how_sure(talk: Conversation, then: Assessment) -> list[str]:
    """How sure, by both views of the evidence, and what holds it back."""
    ranked = answer.causes(talk.bench, talk.last)
    alone = dict(zip(talk.bench.network.causes, talk.last.ranking.shares, strict=False))
    none = talk.last.ranking.none_of_these
    return wording_back.how_sure_block(ranked, alone, none, talk.bench.counted)


def _settle(talk: Conversation, then: Assessment) -> list[str]:
    """What would prove the leading causes, and what that costs."""
    knowledge, open_ = talk.bench.knowledge, talk.last.state.open
    proofs = []
    for item in talk.last.ranking.ranked[:_MOST_SETTLED]:
        cause = knowledge.causes[item.cause]
        check = knowledge.check_of(cause.confirm.finding)
        access = knowledge.access[check.access] if check else None
        minutes = check.minutes + knowledge.reach(check, open_) if check else None
        proofs.append((cause, minutes, access))
    return wording_back.settle_block(proofs, answer.next_step(talk.bench, then))


def _otherwise(talk: Conversation, then: Assessment) -> list[str]:
    """The next best check when the one asked for is out of reach; nothing is put aside yet."""
    if then.step is None:
        return [wording_back.NO_QUESTION]
    aside = [Statement("cannot", f, talk.turn) for f in then.step.settles]
    other = talk.bench.assess([*talk.log.standing(), *aside])
    step = answer.next_step(talk.bench, other)
    return wording_back.otherwise_block(talk.question_block(step) if step else [])


_ANSWERS = {"how_sure": _how_sure, "settle": _settle, "otherwise": _otherwise}


def _list(talk: Conversation) -> Iterator[str]:
    knowledge, state = talk.bench.knowledge, talk.last.state
    yield "Told so far:" if state.states or state.judged else wording.NOTHING_YET
    for finding, value in state.states.items():
        yield f"  {wording.said_state(knowledge.findings[finding], value)}"
    for finding, judged in state.judged.items():
        title = knowledge.findings[finding].title
        yield f"  {title}: {wording.quantity(judged.value, judged.unit)}"
    for cause in answer.causes(talk.bench, talk.last):
        yield f"  suspect: {cause['title']}: {cause['band']}"

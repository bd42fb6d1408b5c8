"""A conversation that is kept: every turn is written to the store before its answer is given.

What other desks wrote into the case is taken in first and told. When they wrote while the turn was
being worked out, it is worked out again on top of it. A turn that can't be written is taken back
and refused: what was answered is always in the store.
"""

from __future__ import annotations

import json
from collections.abc import Sequence

from diagnose.cases.entries import Entry, reasoned
from diagnose.cases.faults import StaleView, StoreError
from diagnose.cases.fitting import fitting
from diagnose.cases.log import CaseLog, Statement
from diagnose.cases.plain import MOST_TEXT, one_line
from diagnose.cases.record import Record
from diagnose.dialogue import wording
from diagnose.dialogue.conversation import Conversation
from diagnose.dialogue.reply import Reply
from diagnose.dialogue.turns import TurnError
from diagnose.language.understanding import Understanding
from diagnose.named import Named

_MOST_TRIES = 20
_IDLE = ("greeting", "help", "stop")  # these alone begin no case
Put = tuple[tuple[str, str | None], ...]
_TOLD = ("typed", "note", "closed", "held", "handed_over", "merged")
_WIDTH = 200


class NotKept(TurnError):
    """A turn that was not written, and so does not count."""


class RecordedConversation(Conversation):
    """A conversation with its record."""

    def __init__(self, talk: Conversation, record: Record) -> None:
        super().__init__(talk.bench, talk.index, talk.phone)
        self.record = record
        self._intent = ""
        self._earlier: tuple[tuple[int, str], ...] = ()
        self._pending: list[Statement] = []  # asked when the case was taken up, not yet kept

    @property
    def greeting(self) -> str:
        """The first words of the talk, or where a case that is taken up stands."""
        if self.record.number is not None:
            return self._recap()
        counted = [wording.how_known(self.bench.counted)] if self.bench.counted else []
        earlier = (wording.earlier_line(*e) for e in self._earlier)
        return "\n".join([super().greeting, *counted, *earlier])

    def offer(self, earlier: Sequence[tuple[int, str]]) -> None:
        """Offer the caller's earlier cases with the first words: number and title of each."""
        self._earlier = tuple(earlier)

    @property
    def farewell(self) -> str:
        """The last words of the talk, and how to come back to it."""
        number = self.record.number
        return "\n".join([super().farewell, *([wording.kept_line(number)] if number else [])])

    def say(self, turn: object) -> Reply:
        """One turn, kept; raises `NotKept` when it can't be."""
        told: list[str] = []
        for _ in range(_MOST_TRIES):
            mark = _Mark.of(self)
            try:
                told += self._take_in(self.record.news())
                mark = _Mark.of(self)
                reply = super().say(turn)
                self._keep(turn, reply, mark)
            except StaleView:
                mark.put_back(self)
            except StoreError as fault:
                mark.put_back(self)
                raise NotKept(wording.not_kept(fault)) from fault
            else:
                return self._answer(told, reply)
        raise NotKept(wording.not_kept("too many others write into this case at once"))

    def go_on(self, entries: Sequence[Entry]) -> None:
        """Take up a case where it was left, its open question open again."""
        self.log.add(fitting(self.bench.knowledge, reasoned(entries)))
        self.turn = max((e.statement.turn for e in entries), default=0)
        self.record.seen = entries[-1].seq if entries else 0
        last = self.log.open_question()
        if last:
            self._question = tuple((s.name, s.unit) for s in last)
            found = self.bench.where(self.log)
            self._open, self._before_refitting = found.step, found.plan is None
            self._keep_question()

    def _answer(self, told: Sequence[str], reply: Reply) -> Reply:
        number = self.record.number
        end = [wording.kept_line(number)] if reply.done and number else []
        return reply._replace(text="\n".join([*told, reply.text, *end]))

    def _recap(self) -> str:
        head = self.record.store.head(self.record.number or 0)
        knowledge, state = self.bench.knowledge, self._state()
        findings = knowledge.findings
        told = [wording.said_state(findings[f], s) for f, s in state.states.items()]
        told += [
            f"{findings[f].title}: {wording.quantity(j.value, j.unit)}"
            for f, j in state.judged.items()
        ]
        lines = wording.going_on_block(head.number, head.title, told)
        before = len(self.log.statements)
        standing = self.standing_reply()
        self._pending = self.log.statements[before:]
        return "\n".join([*lines, standing.text])

    def _reply(self, found: Understanding, lines: Sequence[str], put: Put = ()) -> Reply:
        self._intent = found.intent
        return super()._reply(found, lines, put)

    def _take_in(self, entries: Sequence[Entry]) -> list[str]:
        """Add what others said to the log; the lines that tell of it."""
        if not entries:
            return []
        self.log.add(fitting(self.bench.knowledge, reasoned(entries)))
        self.turn = max(self.turn, *(e.statement.turn for e in entries))
        self._last = None
        told = [(e.who, e.statement) for e in entries if e.statement.kind in _TOLD]
        return [
            wording.added_line(who, s.kind, one_line(s.text or s.name, _WIDTH)) for who, s in told
        ]

    def _keep(self, turn: object, reply: Reply, mark: _Mark) -> None:
        """Write the turn; a greeting or a call for help alone begins no case."""
        anew = self.log is not mark.log  # they started over; what was kept stays as it is
        new = self.log.statements if anew else self.log.statements[mark.length :]
        new = new if anew else [*self._pending, *new]
        told = any(s.kind != "asked" for s in new)
        idle = not told and (anew or self._intent in _IDLE)
        if idle and anew:
            self.record.leave()
        if idle and (self.record.number is None or reply.done):
            self._pending = list(new)
            return
        typed = turn if isinstance(turn, str) else json.dumps(turn, ensure_ascii=False)
        words = Statement("typed", "", self.turn, text=typed[:MOST_TEXT])
        self.record.keep([words, *new], anew)
        self._pending = []


class _Mark(Named):
    """Where a conversation stood before a turn."""

    log: CaseLog
    length: int
    rest: dict[str, object]

    @classmethod
    def of(cls, talk: Conversation) -> _Mark:
        return cls(talk.log, len(talk.log.statements), dict(vars(talk)))

    def put_back(self, talk: Conversation) -> None:
        vars(talk).update(self.rest)
        del talk.log.statements[self.length :]

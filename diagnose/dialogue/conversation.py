"""One conversation: `say` a turn, get a `Reply`; the log is the only thing that is kept.

A turn is a text, one statement as plain data, or a list of statements. Reads no keys.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from diagnose.cases.assess import Assessment, Workbench
from diagnose.cases.log import CaseLog, Statement
from diagnose.cases.plain import shown
from diagnose.cases.state import CaseState, recompute
from diagnose.dialogue import answer, intents, wording, wording_aloud
from diagnose.dialogue.caller import Caller
from diagnose.dialogue.choices import chosen_option, named_place, named_units, of_same_unit
from diagnose.dialogue.corrections import correction
from diagnose.dialogue.gauges import told_gauge
from diagnose.dialogue.reply import Reply
from diagnose.dialogue.turns import TurnError, statements_of
from diagnose.language.index import LanguageIndex
from diagnose.language.intents import TELL
from diagnose.language.likeness import likeness
from diagnose.language.subjects import nearness, telling_stems
from diagnose.language.understand import understand
from diagnose.language.understanding import Context, Option, Taken, Unclear, Understanding
from diagnose.reasoning.planning import Plan

__all__ = ["Conversation", "TurnError"]
_MOST_TEXT = 20_000
_ANSWERS = ("said", "measured", "cannot", "dont_know")


class Conversation:
    """A talk about one engine, on one workbench."""

    def __init__(self, bench: Workbench, index: LanguageIndex, phone: bool = False) -> None:
        self.bench, self.index, self.phone = bench, index, phone
        self.log = CaseLog([])
        self.turn = 0
        self._last: Assessment | None = None
        self._question: tuple[tuple[str, str | None], ...] = ()
        self._open: Plan | None = None
        self._before_refitting = False
        self._offered: tuple[Option, ...] = ()
        self._waiting: tuple[Unclear, ...] = ()
        self.caller = Caller() if phone else None

    @property
    def last(self) -> Assessment:
        """The assessment of the log as it stands; made when it is first wanted."""
        if self._last is None:
            self._last = self._assess()
        return self._last

    @property
    def farewell(self) -> str:
        """The last words of the talk."""
        return wording.STOPPED

    @property
    def offered(self) -> tuple[str, ...]:
        """The meanings to choose from when the last text was asked back about."""
        return tuple(option.label for option in self._offered)

    @property
    def greeting(self) -> str:
        """What is said before the first turn."""
        return wording_aloud.PHONE_GREETING if self.phone else wording.GREETING

    def say(self, turn: object) -> Reply:
        """One turn; raises `TurnError` when a statement names something unknown."""
        if isinstance(turn, str):
            return self._text(turn)
        statements, undo = statements_of(self.bench.knowledge, turn, self.turn + 1)
        self.turn += 1
        for _ in range(undo):
            self.log.undo()
        self.log.add(statements)
        self._last = self._assess()
        put = tuple((s.name, s.unit) for s in statements if s.kind == "asked")
        return self._reply(Understanding(taken=tuple(_as_taken(statements))), [], put)

    def open_access(self, access: str) -> None:
        """Note an access that is open from the start; raises `TurnError` for an unknown one."""
        statements, _ = statements_of(self.bench.knowledge, {"open": access}, self.turn)
        self.log.add(statements)
        self._last = self._assess()

    def standing_reply(self) -> Reply:
        """Where the case stands, without a new turn."""
        return self._reply(Understanding(intent="standing"), [])

    def context(self) -> Context:
        """What the last reply asked, for understanding the next text."""
        asked, unit = self._question[0] if self._question else (None, None)
        state, sheet = self._state(), self.bench.sheet
        return Context(
            asked=asked,
            asked_unit=unit,
            also_asked=tuple(f for f, _ in self._question[1:]),
            known=state.known,
            units=state.units,
            limits=frozenset(one.finding for one in sheet.limits) if sheet else frozenset(),
        )

    def _text(self, text: str) -> Reply:
        found, dropped = self._understand(text)
        self._offered = tuple(o for u in found.unclear[:1] for o in u.options)
        self._waiting = found.unclear[1:]
        self.turn += 1
        new = [Statement("dropped", name, self.turn) for name in dropped]
        heard: list[str] = []
        if self.caller is not None:
            found, kit, heard = self.caller.hears(text[:_MOST_TEXT], found, self)
            new += kit
        gauge = None if found.taken else told_gauge(text, self.index, self._state(), self.turn)
        if gauge is not None:
            found = found._replace(unclear=(), not_understood=(), intent=TELL)
            new.append(gauge)
        new += self._statements(text[:_MOST_TEXT], found)
        lines = heard + intents.before(self, found) + self._changes(found)
        self.log.add(new)
        before = self._last
        self._last = self._assess()
        answers = any(s.kind in _ANSWERS for s in new) and not (dropped and self._is_unanswered())
        if not answers and found.intent not in ("restart", "undo"):
            self._keep_question()
        lines += intents.after(self, found, before, new)
        if gauge is not None:
            lines += [wording.gauge_line(gauge), *self._verdict_of(gauge.name)]
        return self._reply(found, lines)

    def _understand(self, text: str) -> tuple[Understanding, tuple[str, ...]]:
        """What a text says, and which findings it takes back by putting them right."""
        chosen = chosen_option(text, self._offered)
        if chosen is not None:
            return Understanding(taken=(chosen, *of_same_unit(chosen, self._waiting))), ()
        put_right = correction(text[:_MOST_TEXT], self.log, self.index)
        if put_right is not None:
            return put_right.found, put_right.dropped
        return understand(text[:_MOST_TEXT], self.index, self.context()), ()

    def _is_unanswered(self) -> bool:
        """True when what was asked last is still unknown, and still worth asking something."""
        now = self.last
        if now.plan is None or (self._open is not None and self._open.safety):
            return False  # what came first for a reading falls with the reading
        return not any(f in now.state.known for f, _ in self._question)

    def _keep_question(self) -> None:
        """A turn that answers nothing leaves the question open; it is not asked anew."""
        if self._open is None:
            return
        if self._before_refitting:
            self._last = self.last._replace(root_plan=self._open)
        else:
            self._last = self.last._replace(plan=self._open, verdict=())

    def _statements(self, text: str, found: Understanding) -> list[Statement]:
        if found.intent == "what_if":
            return []
        new = [taken_statement(t, self.turn) for t in found.taken]
        new += [Statement("guessed", c, self.turn) for c in found.guesses]
        if found.intent == "change_unit":
            wanted = named_units(text)
            new += [Statement("unit", d, self.turn, unit=u) for d, u in wanted.items()]
        new += self._likened(text, found)
        if found.intent == "not_that":
            lines = self.log.told_last()
            place = named_place(text, self.index.words.answers.order, len(lines))
            new += [] if place is None else [Statement("dropped", lines[place], self.turn)]
        if found.intent in ("dont_know", "cannot"):
            told = {t.finding for t in found.taken}
            aside = [f for f, _ in self._question if f not in told]
            new += [Statement(found.intent, f, self.turn) for f in aside]
        return new

    def _likened(self, text: str, found: Understanding) -> Iterator[Statement]:
        """How near the words come to the causes; how like a first message is to counted ones."""
        index = self.index
        said = telling_stems(text, index.words, index.spelling)
        near = nearness(said, index.subjects)
        yield from (Statement("talked", c, self.turn, value=x) for c, x in near.items())
        if not near or self._state().likened:
            return
        seen = {f"{t.finding} {t.state}" for t in found.taken if t.state and t.value is None}
        alike = likeness(said, seen, index.likeness)
        yield from (Statement("likened", c, self.turn, value=x) for c, x in alike.items())

    def _state(self) -> CaseState:
        """The state of the case, without assessing a log that nobody has asked about yet."""
        if self._last is not None:
            return self._last.state
        return recompute(self.bench.knowledge, self.bench.sheet, self.log.standing())

    def _changes(self, found: Understanding) -> list[str]:
        """Say so when a new statement replaces an earlier one; the earlier stays in the log."""
        known, knowledge = self._state().known, self.bench.knowledge
        return [
            wording.changed_line(knowledge.findings[t.finding], known[t.finding])
            for t in found.taken
            if t.state and known.get(t.finding, t.state) != t.state and found.intent != "what_if"
        ]

    def _assess(self) -> Assessment:
        """Assess the log; readings the rules refuse are set aside for good."""
        found = self.bench.assess(self.log.standing())
        refused = [
            f
            for f in found.conclusions.invalid
            if f in found.state.judged and f not in found.state.set_aside
        ]
        if refused:
            self.log.add([Statement("set_aside", f, self.turn) for f in refused])
            found = self.bench.assess(self.log.standing())
        return found

    def _reply(
        self,
        found: Understanding,
        lines: Sequence[str],
        put: tuple[tuple[str, str | None], ...] = (),
    ) -> Reply:
        bench, now = self.bench, self.last
        reply = Reply(
            turn=self.turn,
            text="",
            understood=[self._understood(t) for t in found.taken if found.intent != "what_if"],
            unclear=[_unclear(u) for u in found.unclear],
            not_understood=list(found.not_understood),
            cautions=answer.cautions(bench, now),
            causes=answer.causes(bench, now),
            none_of_these=round(now.ranking.none_of_these, 4),
            next=answer.put_question(bench, put) if put else answer.next_step(bench, now),
            conclusion=answer.conclusion(bench, now),
            engine={
                "sheet": bench.sheet.id if bench.sheet else None,
                "known": dict(now.state.known),
            },
            invalid=answer.invalid(bench, now),
            done=found.intent == "stop",
        )
        self._question = put or self._asked(now)
        return reply._replace(text=shown("\n".join(self._lines(found, reply, list(lines)))))

    def _asked(self, now: Assessment) -> tuple[tuple[str, str | None], ...]:
        """Note the planned question in the log, so that it is never put twice."""
        kept, self._open = self._open, now.step
        self._before_refitting = now.plan is None
        if now.step is None:
            return ()
        units = tuple((f, answer.unit_for(self.bench, now, f)) for f in now.step.settles)
        if now.step is not kept:
            self.log.add([Statement("asked", f, self.turn, unit=u) for f, u in units])
        return units

    def _understood(self, taken: Taken) -> dict[str, Any]:
        judged = self.last.state.judged.get(taken.finding)
        state = taken.state
        if taken.value is not None and judged is not None:
            state = judged.verdict.state if judged.possible and judged.has_band else None
        return {
            "finding": taken.finding,
            "state": state,
            "value": taken.value,
            "unit": taken.unit,
            "text": taken.text,
        }

    def _lines(self, found: Understanding, reply: Reply, said: list[str]) -> list[str]:
        knowledge = self.bench.knowledge
        lines = wording.taken_block(knowledge, found.taken)
        lines += wording.guess_line(knowledge, found.guesses)
        lines += [wording.unclear_line(u) for u in found.unclear]
        lines += [
            f"{wording.STOP_FIRST + ': ' if c['stop_engine'] else 'Take care: '}{c['text']}"
            for c in reply.cautions
        ]
        lines += self._verdicts(found.taken)
        lines += [
            wording.invalid_line(knowledge.findings[i["finding"]], i["why"]) for i in reply.invalid
        ]
        lines += [
            wording.contradiction_line(knowledge, names, knowledge.rules[rule].because)
            for names, rule in self.last.conclusions.contradictions
        ]
        lines += said
        if intents.is_answer_enough(found.intent):
            return lines
        return lines + self._outlook(found, reply)

    def _outlook(self, found: Understanding, reply: Reply) -> list[str]:
        knowledge = self.bench.knowledge
        if reply.conclusion:
            from diagnose.dialogue.wording_end import conclusion_block  # needed this once

            lines = conclusion_block(knowledge, reply.conclusion)
            if reply.next:
                lines += self.question_block(reply.next)
            return lines
        told = bool(self.last.state.known)
        ranking = self.last.ranking
        sound = not reply.next and ranking.no_fault >= max(ranking.shares[:-1])
        lines = []
        if told and not sound:  # a list of causes beside "no fault" would accuse after all
            lines = wording.causes_block(reply.causes, reply.none_of_these)
        if not (found.taken or found.unclear or found.guesses) and found.intent == "other":
            lines.insert(0, wording.NOT_USABLE)
        if self.last.found:
            now = self.last
            two = (now.found, now.unexplained, now.one_more)
            lines.append(wording.found_line(knowledge, *two))
        if reply.next:
            return lines + self.question_block(reply.next)
        if not told:
            return lines or [wording.NOTHING_YET]
        return [*lines, wording.NO_FAULT if sound else wording.NO_FIT]

    def question_block(self, step: Mapping[str, Any]) -> list[str]:
        """The one question in lines; on the phone to be read aloud, with the way without a tool."""
        knowledge = self.bench.knowledge
        if self.caller is None:
            return wording.next_block(knowledge, step)
        without = self.caller.way_without(knowledge.checks[step["check"]], self)
        unit = answer.unit_for(self.bench, self.last, step["settles"][0])
        return wording_aloud.aloud_block(knowledge, step, unit, without)

    def _verdicts(self, taken: Sequence[Taken]) -> list[str]:
        read = [item.finding for item in taken if item.value is not None]
        return [line for finding in read for line in self._verdict_of(finding)]

    def _verdict_of(self, finding: str) -> list[str]:
        judged = self.last.state.judged.get(finding)
        if judged is None or not judged.possible:
            return []
        knowledge = self.bench.knowledge
        line = wording.verdict_line(knowledge.findings[finding], judged)
        return [line, wording.band_source(knowledge, judged)] if line else []


def taken_statement(taken: Taken, turn: int) -> Statement:
    """The statement for the log of one thing taken."""
    return Statement(
        kind="said" if taken.value is None else "measured",
        name=taken.finding,
        turn=turn,
        state=taken.state,
        value=taken.value,
        unit=taken.unit,
        text=taken.text,
        low=taken.low,
        high=taken.high,
        bound=taken.bound,
    )


def _as_taken(statements: Sequence[Statement]) -> list[Taken]:
    return [
        Taken(s.name, s.state, s.text, value=s.value, unit=s.unit)
        for s in statements
        if s.kind in ("said", "measured")
    ]


def _unclear(unclear: Unclear) -> dict[str, Any]:
    options: list[Mapping[str, Any]] = [
        {"finding": o.finding, "state": o.state, "label": o.label} for o in unclear.options
    ]
    return {"text": unclear.text, "options": options}

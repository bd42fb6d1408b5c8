"""One engine practised on: `say` a text, get a `Turn`; the texts alone are what must be kept.

Everything follows from the scenario and the texts, so coming back is saying them again. Nothing of
what is hidden is in a turn before the end.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from diagnose.cases.assess import Workbench
from diagnose.cases.log import Statement
from diagnose.knowledge.model import Check
from diagnose.language.index import LanguageIndex
from diagnose.named import Named
from diagnose.practice import asking, wording
from diagnose.practice.aftermath import aftermath, still_told
from diagnose.practice.asking import Ask, Asker, Option
from diagnose.practice.scenario import Scenario
from diagnose.practice.stand import Stand
from diagnose.practice.view import View, view
from diagnose.reasoning.minutes import repair_minutes

HINT_MINUTES = 10.0
_MOST_LOOKS = 6  # looks taken from one text


class Step(Named):
    """One thing that cost something: a look, a hint, a repair, or giving up.

    `position` is how many statements stood in the log of its `visit` before it; `done` the
    findings looked at, or the causes committed to; `wrong` those of them that were not there;
    `tried` what was committed to before.
    """

    kind: str
    position: int
    done: tuple[str, ...]
    minutes: float
    again: bool = False
    sure: float | None = None
    wrong: tuple[str, ...] = ()
    visit: int = 0
    tried: tuple[str, ...] = ()


class Turn(Named):
    """One reply of the exercise; `left` when the learner goes away and may come back."""

    number: int
    text: str
    kind: str
    found: tuple[dict[str, Any], ...] = ()
    minutes: float = 0.0
    spent: float = 0.0
    options: tuple[str, ...] = ()
    done: bool = False
    left: bool = False

    def as_dict(self) -> dict[str, Any]:
        """The turn as plain data."""
        return self._asdict() | {"found": list(self.found), "options": list(self.options)}


class Exercise:
    """A learner at one hidden fault."""

    def __init__(self, bench: Workbench, index: LanguageIndex, scenario: Scenario) -> None:
        self.scenario = scenario
        self.bench = bench
        self.stands = [Stand(bench, scenario)]
        self.knowledge = bench.knowledge
        self.asker = Asker(bench.knowledge, index)
        self.steps: list[Step] = []
        self.texts: list[str] = []
        self.found: list[str] = []
        self.root_named: str | None = None
        self.done = False
        self.turn = 0
        self._offered: tuple[Option, ...] = ()
        self._waiting: Ask | None = None
        self._asks_root = False

    @property
    def stand(self) -> Stand:
        """The engine as it is now; each right repair makes a new visit."""
        return self.stands[-1]

    @property
    def tried(self) -> tuple[str, ...]:
        """Every cause that was committed to."""
        return tuple(c for s in self.steps if s.kind == asking.COMMIT for c in s.done)

    @property
    def view(self) -> View:
        """What the planner would do now."""
        return view(self.stand.bench, self.stand.now, self.tried)

    @property
    def spent(self) -> float:
        """The minutes spent so far."""
        return sum(s.minutes for s in self.steps)

    def opening(self) -> str:
        """What the learner is told before the first word."""
        return wording.opening(self.knowledge, self.scenario)

    def say(self, text: str) -> Turn:
        """One text of the learner; never raises."""
        self.turn += 1
        if self.done:
            return self._turn(wording.OVER, "over")
        self.texts.append(text)
        ask, before = self._meant(text), self.spent
        turn = self._answers().get(ask.kind, self._offer)(ask)
        return turn._replace(minutes=self.spent - before, spent=self.spent, done=self.done)

    def _answers(self) -> dict[str, Callable[[Ask], Turn]]:
        return {
            asking.LOOK: self._look,
            asking.COMMIT: self._commit,
            asking.SURE: self._sure,
            asking.HINT: self._hint,
            asking.HOW: self._how,
            asking.GIVE_UP: self._give_up,
            asking.NOTHING: self._nothing,
            asking.LIST: lambda _: self._turn(
                wording.listed(self.knowledge, self.stand.now, self.spent), "list"
            ),
            asking.HELP: lambda _: self._turn(wording.HELP, "help"),
            asking.ANSWER: lambda _: self._turn(wording.NO_ANSWER, "answer"),
            asking.STOP: lambda _: self._turn(wording.LEFT, "stop")._replace(left=True),
        }

    def _turn(self, text: str, kind: str, options: Iterable[str] = ()) -> Turn:
        return Turn(self.turn, text, kind, options=tuple(options), spent=self.spent)

    def _meant(self, text: str) -> Ask:
        """The text, or the option it picks."""
        offered, self._offered = self._offered, ()
        plain = text.strip().lower().strip(" .()")
        picked = [o for n, o in enumerate(offered, 1) if plain in (str(n), o.label.lower())]
        if picked:
            waiting = self._waiting or Ask(picked[0].kind)
            return waiting._replace(kind=picked[0].kind, names=(picked[0].name,), options=())
        ask = self.asker.ask(text)
        if self._asks_root and ask.kind in (asking.LOOK, asking.OTHER):
            name, options = self.asker.cause(text)
            if name or options:
                return Ask(asking.COMMIT, (name,) if name else (), options=options, text=text)
        return ask

    def _offer(self, ask: Ask) -> Turn:
        """Say what may have been meant, or that it could not be used."""
        self._offered, self._waiting = ask.options, ask
        if not ask.options:
            return self._turn(
                wording.NO_CAUSE if ask.kind == asking.COMMIT else wording.NO_USE, "unclear"
            )
        labels = [o.label for o in ask.options]
        return self._turn(wording.which(labels), "unclear", labels)

    def _look(self, ask: Ask) -> Turn:
        if not ask.names:
            return self._offer(ask)
        lines: list[str] = []
        found: list[dict[str, Any]] = []
        for check, names in self._by_check(ask.names[:_MOST_LOOKS]):
            old = [n for n in names if self.stand.last(n) and not ask.again]
            lines += [wording.known_already(str(self.stand.last(n))) for n in old]
            new = [n for n in names if n not in old]
            why = self.stand.why_not(check, new) if new else None
            if why is not None:
                lines.append(why)
            elif new:
                step = self._step(asking.LOOK, new)
                done = self.stand.do(check, new, self.turn)
                self.steps.append(step._replace(minutes=done.minutes, again=done.again))
                lines, found = [*lines, *done.lines], [*found, *done.found]
        return self._turn("\n".join(lines), "look")._replace(found=tuple(found))

    def _by_check(self, names: Sequence[str]) -> list[tuple[Check, list[str]]]:
        """Looks that go together; a part that is not there is told apart from the rest."""
        together: dict[tuple[str, bool], list[str]] = {}
        for name in names:
            key = (self.knowledge.settled_by[name], name in self.stand.scenario.truth)
            together.setdefault(key, []).append(name)
        there_first = sorted(together, key=lambda key: not key[1])
        return [(self.knowledge.checks[key[0]], together[key]) for key in there_first]

    def _commit(self, ask: Ask) -> Turn:
        if not ask.names:
            return self._offer(ask)
        if self._asks_root:
            self.root_named = ask.names[0]
            return self._end()
        if ask.sure is None:
            self._waiting = ask
            return self._turn(wording.how_sure(self.knowledge, ask.names), "sure")
        return self._fit(ask, ask.sure)

    def _sure(self, ask: Ask) -> Turn:
        if self._waiting is None or not self._waiting.names or ask.sure is None:
            return self._turn(wording.SURE_OF_WHAT, "sure")
        return self._fit(self._waiting, ask.sure)

    def _fit(self, ask: Ask, sure: float) -> Turn:
        """Put right what was named; a wrong part costs its minutes and those of taking it back."""
        self._waiting = None
        open_ = self.stand.now.state.open
        wrong = tuple(n for n in ask.names if n not in self.scenario.faults)
        right = [n for n in ask.names if n in self.scenario.faults and n not in self.found]
        minutes = sum(repair_minutes(self.knowledge, wrong, open_)[:-1])
        step = self._step(asking.COMMIT, ask.names)
        self.steps.append(step._replace(minutes=minutes, sure=sure, wrong=wrong))
        self.stand.note(proof for n in ask.names if (proof := self._proof(n)) is not None)
        self.found += right
        self.root_named = ask.root or self.root_named
        text = wording.fitted(self.knowledge, right, wrong, minutes)
        if not set(self.scenario.felt) <= set(self.found):
            more = self._next_visit() if right else wording.STILL_THERE
            return self._turn(f"{text}\n{more}", "commit")
        return self._ask_root(text)

    def _next_visit(self) -> str:
        """It is run again with the repair done: what is left is seen, the rest is as it was."""
        before = self.stand
        left = tuple(f for f in self.scenario.faults if f not in self.found)
        after = aftermath(self.bench, before.scenario, left)
        told = still_told(self.bench, after, before.now.state.known)
        after = after._replace(known=told, words=(), guess=None, open=tuple(before.now.state.open))
        self.stands.append(Stand(self.bench, after))
        return wording.after_repair(self.knowledge, after)

    def _step(self, kind: str, done: Sequence[str]) -> Step:
        """A step from where the learner stands now."""
        position = len(self.stand.log.statements)
        return Step(kind, position, tuple(done), 0.0, visit=len(self.stands) - 1, tried=self.tried)

    def _proof(self, cause: str) -> Statement | None:
        """What the part looks like once it is out: it proves the fault, or clears it."""
        confirm = self.knowledge.causes[cause].confirm
        state = self.stand.scenario.truth.get(confirm.finding)
        if state is None:
            return None
        return Statement("said", confirm.finding, self.turn, state=state)

    def _ask_root(self, text: str) -> Turn:
        named = self.root_named is not None or self.scenario.root in self.found
        behind = any(self.knowledge.causes[f].behind_it for f in self.scenario.felt)
        if named or not behind:
            return self._end(text)
        self._asks_root = True
        return self._turn(f"{text}\n{wording.ASK_ROOT}", "root")

    def _nothing(self, ask: Ask) -> Turn:
        return self._end() if self._asks_root else self._turn(wording.HELP, "help")

    def _end(self, text: str = "") -> Turn:
        self.done = True
        told = wording.revealed(self.knowledge, self.scenario)
        return self._turn(f"{text}\n{told}".strip(), "end")

    def _hint(self, ask: Ask) -> Turn:
        """The best next check from what is known, at a price; what is hidden plays no part."""
        told = wording.hint(self.knowledge, self.view.plan, HINT_MINUTES)
        self.steps.append(self._step(asking.HINT, ())._replace(minutes=HINT_MINUTES))
        return self._turn(told, "hint")

    def _how(self, ask: Ask) -> Turn:
        if not ask.names:
            return self._offer(ask)
        check = self.knowledge.checks[self.knowledge.settled_by[ask.names[0]]]
        return self._turn(wording.how(check, self.knowledge), "how")

    def _give_up(self, ask: Ask) -> Turn:
        if not self._asks_root:
            self.steps.append(self._step(asking.GIVE_UP, ()))
        return self._end()

"""What one line typed leads to, on any screen: a word of the screen, a pick, a guess, or a turn.

Reads no keys and writes nothing; `take` gives the text to show.
"""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.cases.state import Judged
from diagnose.dialogue.conversation import Conversation, TurnError
from diagnose.dialogue.reply import Reply
from diagnose.dialogue.standing import Standing, standing
from diagnose.knowledge.problems import DiagnoseError
from diagnose.named import Named
from diagnose.screens import pictures, wording
from diagnose.screens.calls import Begin, Call, Calls, Shelf
from diagnose.screens.cells import clean
from diagnose.screens.guesses import guessed
from diagnose.screens.manner import DESK, Block, Manner, blocks, set_out
from diagnose.screens.picks import picked, picks, turn_of
from diagnose.screens.words import WORDS, Word, heard

MOST_LETTERS = 20_000


class Said(Named):
    """What to show after one line, whether it was the last, and whether it could not be told."""

    text: str
    done: bool = False
    failed: bool = False


class Desk:
    """One screen with its calls, in the manner of the person before it."""

    def __init__(
        self,
        talk: Conversation,
        manner: Manner = DESK,
        guess_first: bool = False,
        begin: Begin | None = None,
        shelf: Shelf | None = None,
    ) -> None:
        self.manner, self.guesses = manner, guess_first or manner.guess_first
        self.calls = Calls(
            talk, begin or (lambda: Conversation(talk.bench, talk.index, talk.phone))
        )
        self.columns = 80
        self._shelf = shelf
        self._kept: Sequence[tuple[int, str]] | None = None
        self._held: Reply | None = None  # a reply whose causes wait for a guess
        self._standing: tuple[object, Standing] | None = None

    @property
    def call(self) -> Call:
        """The call that is talked to."""
        return self.calls.here

    @property
    def talk(self) -> Conversation:
        """Its conversation."""
        return self.call.talk

    @property
    def greeting(self) -> str:
        """The first words."""
        return self.talk.greeting

    @property
    def farewell(self) -> str:
        """The last words, where no `stop` was said."""
        return self.talk.farewell

    def take_up(self, talk: Conversation, greeting: str) -> str:
        """Go on in the kept talk, before a word was said; what its greeting adds to the first."""
        said = self.greeting
        self.call.talk = talk
        return greeting.removeprefix(said).strip("\n")

    def take(self, line: str) -> Said:
        """What comes of one line; nothing of an empty one."""
        text = clean(line).strip()
        word = heard(text)
        self._kept = None  # a turn may begin a case
        if self._held is not None and word is None:
            return self._guess(text)
        self._held = None
        if not text:
            return Said("")
        if word is not None and word[0].act:
            return Said(getattr(self, f"_{word[0].act}")(word[1]))
        said = self._turn(text)
        if len(text) > MOST_LETTERS:
            said = said._replace(text=f"{wording.cut_line(MOST_LETTERS)}\n{said.text}")
        return said

    def standing(self) -> Standing:
        """Where the call stands; worked out once a turn, for it is shown at every key."""
        mark = (id(self.talk), id(self.call.reply), len(self.talk.log.statements))
        if self._standing is None or self._standing[0] != mark:
            self._standing = (mark, standing(self.talk))
        return self._standing[1]

    def kept(self) -> Sequence[tuple[int, str]]:
        """The kept cases by number and title; looked up once a turn, for they are offered."""
        if self._kept is None:
            try:
                self._kept = self._shelf.titles() if self._shelf else ()
            except DiagnoseError:
                self._kept = ()  # what is wrong with the store is told when it is written in
        return self._kept

    def call_text(self) -> str:
        """The caller and the tools there, for the status line; nothing with one nameless call."""
        call = self.call
        if len(self.calls.all) == 1 and not call.name and not call.tools:
            return ""
        return wording.here_line(call.number, call.name, call.tools, len(self.calls.all) - 1)

    def _turn(self, text: str) -> Said:
        chosen = picked(text, picks(self.talk))
        call = self.call
        before = pictures.shares(call.reply.causes) if call.reply else {}
        try:
            reply = self.talk.say(turn_of(chosen, self.talk) if chosen else text[:MOST_LETTERS])
        except TurnError as fault:
            return Said(str(fault), failed=True)
        if pictures.shares(reply.causes) != before:
            call.before = before
        call.reply = reply
        if self.guesses and _asks_and_ranks(reply):
            self._held = reply
            return Said(self._shown(reply, "think", "question") + f"\n{wording.ASK_GUESS}")
        call.shown = self._shown(reply)
        return Said(call.shown, reply.done)

    def _shown(self, reply: Reply, *without: str) -> str:
        parts = [part for part in blocks(reply.text) if part.kind not in without]
        if self.manner.read_out and reply.next:
            parts = [self._with_tools(part, reply.next["check"]) for part in parts]
        return set_out(parts, self.manner, [pick.label for pick in picks(self.talk)])

    def _with_tools(self, part: Block, check: str) -> Block:
        """The question with what the caller has for it."""
        needed = self.talk.bench.knowledge.checks[check].tools
        if part.kind != "question" or not needed or not self.call.tools:
            return part
        line = wording.tools_line(self.call.name, *self.call.tools_for(needed))
        return part._replace(lines=(*part.lines, line))

    def _guess(self, text: str) -> Said:
        """What becomes of a guess, then what was held back."""
        reply, self._held = self._held, None
        assert reply is not None
        self.call.shown = self._shown(reply, "took", "stop", "care", "said")
        return Said(f"{guessed(text, self.talk, reply.causes)}\n{self.call.shown}")

    def _help(self, rest: str) -> str:
        return "\n".join(wording.help_lines((w.shown, w.does, w.key) for w in WORDS))

    def _bars(self, rest: str) -> str:
        causes = self.call.reply.causes[:5] if self.call.reply else []
        return "\n".join(pictures.bars(causes, self.call.before, self.columns))

    def _band(self, rest: str) -> str:
        read = self._last_reading()
        return "\n".join(pictures.band(*read, self.columns)) if read else wording.NO_READING

    def _draw(self, file: str) -> str:
        read = self._last_reading()
        if not file or read is None:
            return wording.NO_READING if file else wording.NAME_FILE
        try:
            with open(file, "w", encoding="utf-8") as out:
                out.write(pictures.drawing(*read))
        except OSError as fault:
            return wording.not_drawn(file, fault.strerror)
        return wording.drawn(file)

    def _last_reading(self) -> tuple[str, Judged] | None:
        """The reading told last that has a band, with its title."""
        judged = self.talk.last.state.judged
        usable = [name for name, one in judged.items() if one.possible and one.has_band]
        if not usable:
            return None
        return self.talk.bench.knowledge.findings[usable[-1]].title, judged[usable[-1]]

    def _again(self, rest: str) -> str:
        return self.call.shown or wording.NOTHING_AGAIN

    def _guess_first(self, rest: str) -> str:
        self.guesses = not self.guesses
        return wording.GUESS_ON if self.guesses else wording.GUESS_OFF

    def _hold(self, rest: str) -> str:
        self.calls.new()
        return f"{wording.NEW_CALL}\n{self.greeting}"

    def _list_calls(self, rest: str) -> str:
        here = self.call
        return "\n".join(
            wording.call_line(call.as_dict(_stands(call)), call is here) for call in self.calls.all
        )

    def _call(self, rest: str) -> str:
        found = self.calls.go_to(int(rest)) if rest.isdecimal() else not rest and self.calls.next()
        if not found:
            return wording.NO_SUCH_CALL if rest else wording.ONE_CALL
        line = wording.call_line(self.call.as_dict(_stands(self.call)), True)
        return f"{line.strip()}\n{self.call.shown or self.greeting}"

    def _case(self, rest: str) -> str:
        if not rest or self._shelf is None:
            lines = [wording.kept_case_line(number, title) for number, title in self.kept()]
            return "\n".join(lines or [wording.NONE_KEPT])
        try:
            self.calls.add(self._shelf.take(int(rest)))
        except DiagnoseError as fault:
            return str(fault)
        return self.greeting

    def _caller(self, name: str) -> str:
        self.call.name = name or self.call.name
        return wording.noted("caller", self.call.name or "no name")

    def _tools(self, rest: str) -> str:
        named = [tool.strip() for tool in rest.replace(" and ", ",").split(",") if tool.strip()]
        self.call.tools += [tool for tool in named if tool not in self.call.tools]
        return wording.noted("tools", ", ".join(self.call.tools) or "none named")


def _asks_and_ranks(reply: Reply) -> bool:
    """Whether there is a ranking to hold back: asking goes on, and this turn shows causes."""
    return bool(reply.next and any(part.kind == "think" for part in blocks(reply.text)))


def _stands(call: Call) -> str:
    """Where a call stands, in a few words."""
    if call.reply is None or not call.reply.causes:
        return wording.NO_SUSPECT
    first = call.reply.causes[0]
    return f"{first['title']}, {first['band'].partition(' (')[0]}"


def names_of(desk: Desk) -> list[tuple[str, str]]:
    """The calls and the kept cases by what is said to go to them, for completion."""
    cases = [(f"case {number}", title) for number, title in desk.kept()]
    return cases + [
        (f"call {call.number}", f"{call.name or wording.NO_NAME}: {_stands(call)}")
        for call in desk.calls.all
        if call is not desk.call
    ]


def spoken(key: str) -> Word | None:
    """The word that a key says."""
    return next((word for word in WORDS if word.key == key), None)

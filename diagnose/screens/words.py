"""What can be said at the screen, in one table: help, keys and completion are made from it.

Words without an act are answered by the conversation itself; the others by a method of `Desk`.
"""

from __future__ import annotations

from diagnose.named import Named


class Word(Named):
    """One thing to say: what it does, the key that says it, and the act of the desk behind it.

    `takes` names what stands after it, as a file; without that it is only heard as a whole line.
    """

    say: str
    does: str
    key: str = ""
    act: str = ""
    takes: str = ""

    @property
    def shown(self) -> str:
        """As help shows it."""
        return f"{self.say} {self.takes}".strip()


WORDS = (
    Word("why", "why I ask this, and why the first cause leads", "F4"),
    Word("how do I do that", "the check step by step"),
    Word("how sure", "how sure I am, and what holds it back"),
    Word("what would settle it", "what proves each leading cause"),
    Word("what else can I check", "the next best check; this one stays open"),
    Word("don't know", "put this question by"),
    Word("can't check that", "out of reach: ask something else"),
    Word("undo", "take back what you told last", "F2"),
    Word("list", "all you told, and the suspects"),
    Word("bars", "the causes as bars, and how they moved", "F3", "bars"),
    Word("band", "your last reading on its band", "", "band"),
    Word("draw", "save your last reading on its band as SVG", "", "draw", "FILE.svg"),
    Word("again", "the last answer once more", "F5", "again"),
    Word("guess first", "be asked for your guess before the causes are shown", "", "guess_first"),
    Word("hold", "put this call on hold and begin another", "F6", "hold"),
    Word("calls", "the calls, and where each stands", "", "list_calls"),
    Word("call", "go to that call; alone: to the next", "F7", "call", "NUMBER"),
    Word("case", "go on with that kept case; alone: the cases", "", "case", "NUMBER"),
    Word("caller", "note who is calling", "", "caller", "NAME"),
    Word("tools", "note the tools at hand there", "", "tools", "LIST"),
    Word("start over", "wipe this case, begin another engine"),
    Word("help", "this list", "F1", "help"),
    Word("stop", "end the talk", "Ctrl-D"),
)
_SHORT = {"?": "help"}
_LONGEST_NAME = 5
_TELLING = frozenset(
    {
        "says", "said", "saying", "say", "reckons", "thinks", "reports", "reported", "tells",
        "told", "hears", "heard", "has", "have", "had", "is", "was", "isnt", "isn't", "wants",
        "claims", "swears", "complains", "rings", "rang", "called", "got", "gets", "cant",
        "can't", "cannot", "does", "doesnt", "doesn't", "did", "didnt", "didn't", "sees", "saw",
        "found", "measured", "checked", "tried"
    }
)  # fmt: skip


def heard(line: str) -> tuple[Word, str] | None:
    """The word a whole line says, and what stands after it; None for anything else."""
    said = " ".join(line.split())
    said = _SHORT.get(said, said)
    for word in WORDS:
        if said.lower() == word.say:
            return word, ""
        start = f"{word.say} "
        if word.takes and said.lower().startswith(start):
            rest = said[len(start) :]
            if _fits(word, rest):
                return word, rest
    return None


def _fits(word: Word, rest: str) -> bool:
    """Whether what stands behind a word can be meant for it, and is not told of the engine.

    A case may be cracked, and "caller says it knocks" gives no name.
    """
    if word.takes == "NUMBER":
        return rest.isdecimal() or (word.say == "call" and len(rest.split()) == 1)
    if word.takes == "NAME":
        words = [w.strip(".,;:!?").lower() for w in rest.split()]
        return len(words) <= _LONGEST_NAME and not _TELLING.intersection(words)
    return True

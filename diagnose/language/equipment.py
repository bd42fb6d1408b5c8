"""Which tools somebody has and what is open on the engine, from a few words.

Tools are told apart by kind; what any pocket or kitchen holds is no kind and is never missing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from diagnose.language.index import LanguageIndex
from diagnose.language.tokens import NUMBER, WORD, tokenise
from diagnose.named import Named

_OR, _IF = " or ", "if at hand"


class Equipment(Named):
    """What was told: the kinds of tool at hand and those not, the accesses open.

    `told` is False where the words are about neither; `only` where the tools named are all there
    are, and `stays_shut` where nothing may be taken apart.
    """

    has: frozenset[str] = frozenset()
    lacks: frozenset[str] = frozenset()
    open: tuple[str, ...] = ()
    told: bool = False
    only: bool = False
    stays_shut: bool = False

    def beside(self, before: frozenset[str] | None, index: LanguageIndex) -> frozenset[str] | None:
        """The kinds at hand now; None where nothing was told of tools."""
        every = frozenset(index.words.equipment.tools)
        if not (self.has or self.lacks or self.only):
            return before
        if before is None:
            before = frozenset() if self.has or self.only else every
        return (before | self.has) - self.lacks


def read_equipment(text: str, index: LanguageIndex, is_report: bool = False) -> Equipment:
    """Read an answer to "which tools and what access".

    In a report of the engine a tool is only at hand where it is said to be: "measured with a dial"
    tells of no toolbox.
    """
    lists = index.words.equipment
    has, lacks, open_ = set[str](), set[str](), list[str]()
    only = shut = False
    for words in map(_words, _parts(text)):
        denied = bool(index.words.negators & set(words))
        shut = shut or lists.shut.find(words) is not None
        if not denied and not lists.not_open & set(words):
            open_ += [a for a, names in lists.access.items() if names.find(words) is not None]
        if is_report and not lists.cues & set(words):
            continue
        only = only or lists.none.find(words) is not None
        (lacks if denied else has).update(_kinds(words, index))
        if not denied and lists.everything.find(words) is not None:
            has |= set(lists.tools)
    has |= lists.with_any if has else set()
    told = bool(only or has or lacks or open_ or shut)
    found = frozenset(has - lacks)
    return Equipment(found, frozenset(lacks), tuple(dict.fromkeys(open_)), told, only, shut)


def _kinds(words: Sequence[str], index: LanguageIndex) -> set[str]:
    tools = index.words.equipment.tools
    return {kind for kind, names in tools.items() if names.find(words) is not None}


def lacking(tools: Iterable[str], at_hand: frozenset[str], index: LanguageIndex) -> list[str]:
    """The tools of a check that somebody does not have."""
    return [tool for tool in tools if not _is_there(tool, at_hand, index)]


def _is_there(tool: str, at_hand: frozenset[str], index: LanguageIndex) -> bool:
    if _IF in tool:
        return True
    return any(_kinds(_words(choice), index) <= at_hand for choice in tool.split(_OR))


def _parts(text: str) -> list[str]:
    """A list cut at its commas and its "and" or "but", so that a "no" holds for its own part."""
    low = text.lower()
    for mark in (";", ".", "\n", " but ", " though "):
        low = low.replace(mark, ",")
    return [part for part in low.split(",") if part.strip()]


def _words(text: str) -> Sequence[str]:
    return [t.text for t in tokenise(text) if t.kind in (WORD, NUMBER)]

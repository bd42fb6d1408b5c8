"""What is kept of a case, in order, and the head of the case folded from it.

An entry is a statement with its place, who wrote it and when. Beside the statements that are
reasoned with (`diagnose.cases.log`) there are those about the case itself:

typed: the words of a turn as typed     note: a remark             tag: a mark to find it by
field: caller, engine, registration, job or sheet (`name`)         handed_over: to whom (`name`)
closed: with the confirmed cause (`name`)                          reopened, held: as they say
merged: its statements went on in another case (`value`)
"""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.cases.log import Statement
from diagnose.cases.plain import one_line, words_of
from diagnose.named import Named

FIELDS = ("caller", "engine", "registration", "job")
ABOUT = ("typed", "note", "tag", "field", "handed_over", "closed", "reopened", "held", "merged")
OPEN, HELD, CLOSED, MERGED = "open", "held", "closed", "merged"
_TITLE = 90


class Entry(Named):
    """One kept statement: its place in the case (from 1), who wrote it and when (UTC)."""

    seq: int
    statement: Statement
    who: str
    at: str


class Head(Named):
    """What stands at the head of a case: always what its entries fold to, never edited."""

    number: int
    key: str
    title: str = ""
    sheet: str = ""
    caller: str = ""
    engine: str = ""
    registration: str = ""
    job: str = ""
    tags: str = ""
    owner: str = ""
    status: str = OPEN
    cause: str = ""
    opened: str = ""
    changed: str = ""
    turns: int = 0
    last: int = 0
    merged_into: int | None = None


def fold(head: Head, entries: Iterable[Entry]) -> Head:
    """The head after some more entries."""
    for entry in entries:
        said = entry.statement
        head = head._replace(
            changed=entry.at,
            opened=head.opened or entry.at,
            owner=head.owner if head.last else entry.who,
            last=entry.seq,
            turns=max(head.turns, said.turn),
        )
        head = head._replace(**_change(head, said))  # type: ignore[arg-type]
    return head


def _change(head: Head, said: Statement) -> dict[str, object]:
    if said.kind == "typed":
        return {} if head.title else {"title": one_line(said.text, _TITLE)}
    if said.kind == "field":
        return {said.name: said.text} if said.name in (*FIELDS, "sheet") else {}
    if said.kind == "tag":
        tags = [t for t in head.tags.split() if t != said.text]
        return {"tags": " ".join(tags if said.state == "off" else [*tags, said.text])}
    if said.kind == "handed_over":
        return {"owner": said.name}
    if said.kind == "closed":
        return {"status": CLOSED, "cause": said.name}
    if said.kind == "reopened":
        return {"status": OPEN, "cause": ""}
    if said.kind == "held":
        return {"status": HELD}
    if said.kind == "merged":
        return {"status": MERGED, "merged_into": int(said.value or 0)}
    return {}


def is_reasoned(statement: Statement) -> bool:
    """Whether a statement is of the engine, not about the case."""
    return statement.kind not in ABOUT


def reasoned(entries: Iterable[Entry]) -> list[Statement]:
    """The statements of the case log among the entries."""
    return [e.statement for e in entries if is_reasoned(e.statement)]


def search_words(entries: Iterable[Entry]) -> list[str]:
    """The words some entries can be found by, each once."""
    said = [e.statement for e in entries if e.statement.kind in ABOUT]
    texts = [f"{s.text} {s.name if s.kind in ('closed', 'handed_over') else ''}" for s in said]
    return words_of(" ".join(texts).replace("_", " "))

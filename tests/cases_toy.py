"""Statements and conversations to keep, for the tests of the store."""

import multiprocessing
import os
import random
import signal
import time
from pathlib import Path

from rule_files import write_rules

from diagnose.cases.assess import load_workbench
from diagnose.cases.log import Statement
from diagnose.cases.record import Record
from diagnose.cases.store import Store, open_store
from diagnose.dialogue.conversation import Conversation
from diagnose.dialogue.recording import RecordedConversation
from diagnose.language.index import load_index

FORK = multiprocessing.get_context("fork")


def turn(number: int, text: str = "the lamp is out") -> list[Statement]:
    """One turn of the toy rules as it is kept."""
    said = Statement("said", "lamp", number, state="dark", text="lamp is out")
    read = Statement("measured", "gap", number, value=0.1 + number, unit="mm", low=0.05)
    return [Statement("typed", "", number, text=text), said, read]


def field(name: str, text: str) -> Statement:
    """A field at the head of a case."""
    return Statement("field", name, 0, text=text)


def plain_talk(folder: Path) -> Conversation:
    """A conversation on the toy rules, not kept."""
    bench = load_workbench("plain", write_rules(folder))
    return Conversation(bench, load_index(bench.knowledge))


def desk(
    base: Conversation, store: Store, number: int | None = None, who: str = ""
) -> RecordedConversation:
    """A desk that keeps what is said, on a new case or one to go on with."""
    record = Record(store, store.head(number) if number else None)
    record.who = who
    talk = RecordedConversation(base, record)
    if number:
        talk.go_on(store.entries(number))
    return talk


def write_turns(address: str, who: str, count: int) -> None:
    """What one of several processes does."""
    store = open_store(address)
    for number in range(count):
        store.append(1, turn(number, f"{who} {number}"), who)


def several(address: str, writers: int, count: int) -> None:
    """So many processes write so many turns each into case 1."""
    work = [
        FORK.Process(target=write_turns, args=(address, f"w{n}", count)) for n in range(writers)
    ]
    for process in work:
        process.start()
    for process in work:
        process.join()
    assert [process.exitcode for process in work] == [0] * writers


def _until_killed(address: str, pipe: int) -> None:
    store = open_store(address)
    number = store.head(1).last
    while True:
        head = store.append(1, turn(number))
        os.write(pipe, b"%d\n" % head.last)  # acknowledged: from here on it must never be lost
        number = head.last


def killed(address: str, moment: tuple[bool, float]) -> int:
    """A process that adds turns is killed; the last place it acknowledged, or 0.

    The moment is so long after its begin, or after its first acknowledgement.
    """
    from_first, after = moment
    read, write = os.pipe()
    process = FORK.Process(target=_until_killed, args=(address, write))
    process.start()
    os.close(write)
    told = os.read(read, 1) if from_first else b""
    time.sleep(after)
    os.kill(process.pid or 0, signal.SIGKILL)
    process.join()
    with open(read, "rb") as rest:
        lines = (told + rest.read()).split(b"\n")
    return int(lines[-2]) if len(lines) > 1 else 0


def moments(count: int, seed: int = 8) -> list[tuple[bool, float]]:
    """Moments to kill at: while opening, while writing, between."""
    drawn = random.Random(seed)
    return [(n % 2 == 1, drawn.uniform(0.001, 0.12)) for n in range(count)]

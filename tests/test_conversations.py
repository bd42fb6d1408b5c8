"""Every conversation file holds: as written, again in the same process, and in other order."""

from functools import cache
from pathlib import Path

import pytest
from lengths import tries

from diagnose.cli.talk import new_conversation
from diagnose.dialogue.conversation import Conversation
from diagnose.dialogue.script import Script, play, read_script
from diagnose.knowledge.load import conversations_folder, load_knowledge

PATHS = sorted(conversations_folder().rglob("*.txt"))
KNOWLEDGE = load_knowledge()
FIRST = {None: new_conversation(None)}


def talk_for(script: Script) -> Conversation:
    first = FIRST.get(script.engine) or new_conversation(script.engine)
    FIRST[script.engine] = first
    return Conversation(first.bench, first.index)


@cache
def played(path: Path) -> tuple[Script, list[str]]:
    """A conversation after it was played once, and what did not hold in it."""
    script = read_script(path)
    return script, play(script, talk_for(script))


@pytest.mark.parametrize("path", PATHS, ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_what_must_hold_holds(path: Path) -> None:
    assert not played(path)[1], "\n\n".join(played(path)[1])


@pytest.mark.parametrize("path", PATHS[:: tries(1, 5)], ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_what_must_hold_holds_again(path: Path) -> None:
    played(path)
    script = read_script(path)
    failures = play(script, talk_for(script))
    assert not failures, "\n\n".join(failures)


@pytest.mark.parametrize("path", PATHS, ids=lambda p: f"{p.parent.name}/{p.stem}")
def test_the_wording_is_the_one_in_the_file(path: Path) -> None:
    """Refresh it with `diagnose replay --write`, and read the difference."""
    kept = [turn.wording for turn in read_script(path).turns]
    assert [[line.rstrip() for line in turn.wording] for turn in played(path)[0].turns] == kept


def test_there_are_enough_and_no_two_say_the_same() -> None:
    typed = {tuple(t.text for t in read_script(p).turns) for p in PATHS}
    assert len(PATHS) >= 20
    assert len(typed) == len(PATHS)


def test_the_end_named_in_the_head_is_known_and_reached() -> None:
    ends = {p.stem: read_script(p).ends_at for p in PATHS}
    unknown = {k: v for k, v in ends.items() if v is not None and v not in KNOWLEDGE.causes}
    unproved = [
        p.stem
        for p in PATHS
        if (end := read_script(p).ends_at) is not None
        and f"concludes: {end}" not in p.read_text(encoding="utf-8")
    ]
    assert (unknown, unproved) == ({}, [])


def test_each_kind_of_user_has_a_case_of_each_system() -> None:
    ends = {(p.parent.name, read_script(p).ends_at) for p in PATHS}
    told = {(who, KNOWLEDGE.causes[end].system) for who, end in ends if end is not None}
    systems = {cause.system for cause in KNOWLEDGE.causes.values()}
    wanted = {(who, system) for who in ("bench", "phone", "student") for system in systems}
    assert wanted - told == set()


def test_ten_healthy_engines_are_accused_of_nothing() -> None:
    healthy = [p for p in PATHS if p.parent.name == "healthy"]
    silent = [p.stem for p in healthy if "= nothing wrong" not in p.read_text(encoding="utf-8")]
    assert (len(healthy) >= 10, silent) == (True, [])

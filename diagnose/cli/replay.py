"""The command `replay`: play conversation files and hold them to what must be true in them."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from diagnose.cases.assess import UnknownSheet
from diagnose.cli.talk import new_conversation
from diagnose.dialogue.script import (
    ConversationFileError,
    Script,
    play,
    read_script,
    write_script,
)
from diagnose.knowledge.load import conversations_folder


def run(given: argparse.Namespace) -> int:
    """Play the named files, or all; exit code 1 when an expectation fails."""
    paths = [Path(name) for name in given.files] or sorted(conversations_folder().rglob("*.txt"))
    scripts = [read_script(path) for path in paths]  # all are read before one is written
    failed = sum(_replay(script, given.write) for script in scripts)
    print(f"{len(paths)} conversations, {failed} with a failed expectation.")
    return 1 if failed else 0


def _replay(script: Script, write: bool) -> bool:
    """Play one script, say what failed in it, refresh its wording if wanted."""
    try:
        talk = new_conversation(script.engine)
    except UnknownSheet as fault:
        raise ConversationFileError(f"{script.path}: {fault}") from fault
    failures = play(script, talk)
    for failure in failures:
        print(f"{failure}\n", file=sys.stderr)
    if write:
        write_script(script)
    return bool(failures)

"""The command `replay`: play conversation files and hold them to what must be true in them."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from diagnose.cases.assess import UnknownSheet
from diagnose.cli.output import json_line
from diagnose.cli.progress import counted
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
    played = counted(scripts, len(scripts), "conversations")
    failures = {str(script.path): _replay(script, given.write) for script in played}
    failed = {path: said for path, said in failures.items() if said}
    for said in failed.values():
        print("\n\n".join(said), end="\n\n", file=sys.stderr)
    if given.json:
        json_line({"conversations": len(paths), "failed": failed})
    else:
        print(f"{len(paths)} conversations, {len(failed)} with a failed expectation.")
    return 1 if failed else 0


def _replay(script: Script, write: bool) -> list[str]:
    """Play one script, refresh its wording if wanted; what failed in it."""
    try:
        talk = new_conversation(script.engine)
    except UnknownSheet as fault:
        raise ConversationFileError(f"{script.path}: {fault}") from fault
    failures = play(script, talk)
    if write:
        write_script(script)
    return failures

"""The command `replay`: play conversation files and hold them to what must be true in them."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from diagnose.cli.talk import new_conversation
from diagnose.dialogue.script import ConversationFileError, play, read_script, write_script
from diagnose.knowledge.load import conversations_folder


def run(given: argparse.Namespace) -> int:
    """Play the named files, or all; exit code 1 when an expectation fails."""
    paths = [Path(name) for name in given.files] or sorted(conversations_folder().rglob("*.txt"))
    failed = 0
    for path in paths:
        if not path.is_file():
            raise ConversationFileError(f"{path} is not there; name a conversation file")
        script = read_script(path)
        failures = play(script, new_conversation(script.engine))
        for failure in failures:
            print(failure, file=sys.stderr)
        failed += bool(failures)
        if given.write:
            write_script(script)
    print(f"{len(paths)} conversations, {failed} with a failed expectation.")
    return 1 if failed else 0

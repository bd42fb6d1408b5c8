"""The command `demo`: an invented case played from the conversations, in about a minute."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable

from diagnose.cli.output import columns, json_line
from diagnose.cli.talk import new_conversation
from diagnose.dialogue.script import read_script
from diagnose.knowledge.load import conversations_folder
from diagnose.screens import wording
from diagnose.screens.cells import wrapped

_CASE = "bench/end_play_gear_not_torqued.txt"
_MOST_SECONDS = 55.0
_TYPING, _READING = 0.03, 0.012  # seconds a letter


def run(given: argparse.Namespace, sleep: Callable[[float], None] = time.sleep) -> int:
    """Play the case, with time to read where somebody watches."""
    script = read_script(conversations_folder() / _CASE)
    talk = new_conversation(script.engine)
    replies = [(turn.text, talk.say(turn.text)) for turn in script.turns]
    if given.json:
        for _, reply in replies:
            json_line(reply.as_dict())
        return 0
    letters = sum(len(text) * _TYPING + len(reply.text) * _READING for text, reply in replies)
    pace = min(_MOST_SECONDS / letters, 1.0) if sys.stdout.isatty() and not given.fast else 0.0
    _say(wording.DEMO_BEGINS)
    for text, reply in replies:
        _type(text, _TYPING * pace, sleep)
        _say(reply.text)
        sleep(len(reply.text) * _READING * pace)
    _say(wording.DEMO_ENDS)
    return 0


def _type(text: str, pause: float, sleep: Callable[[float], None]) -> None:
    """Show a line as if it were typed."""
    print(wording.PROMPT, end="", flush=True)
    for letter in text:
        print(letter, end="", flush=bool(pause))
        sleep(pause)
    print(flush=True)


def _say(text: str) -> None:
    print("\n".join(["", *wrapped(text, columns()), ""]), flush=True)

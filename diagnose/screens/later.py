"""The kept talk, made while the first prompt already stands there: its store takes long to load."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future
from threading import Thread

from diagnose.dialogue.conversation import Conversation

Make = Callable[[], Conversation]
Made = Future[tuple[Conversation, str]]


def making(make: Make) -> Made:
    """Begin to make the talk and its first words; `result` raises what stood in the way."""
    made: Made = Future()
    made.set_running_or_notify_cancel()  # from here on nobody can call it off

    def work() -> None:
        try:
            talk = make()
            made.set_result((talk, talk.greeting))
        except BaseException as fault:  # it belongs to whoever waits, whatever it is
            made.set_exception(fault)

    Thread(target=work, daemon=True).start()
    return made

"""What messages with a known cause were counted to say, as a plain frozen record."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.named import Named


class Told(Named):
    """How what people say speaks for one cause: `id` is that of the cause.

    `words` and `shown` give the log odds that a word, or a finding in a state ("misfire present"),
    puts on it beside the signs: fitted to many messages, of which `messages` were met and turned
    out to have this cause, and `written` more were written from memory as somebody would tell it.
    Only what three of these share is listed, so that no one message can be known again.
    """

    id: str
    messages: int
    words: Mapping[str, float]
    source: str
    shown: Mapping[str, float] = {}
    written: int = 0

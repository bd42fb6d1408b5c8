"""What people were counted to say, as a plain frozen record."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.named import Named


class Told(Named):
    """What people said who turned out to have one cause: `id` is that of the cause.

    `words` tells in how many of the `messages` each word stood; a word that fewer than three of
    them share is not listed, so that no one message can be known again.
    """

    id: str
    messages: int
    words: Mapping[str, int]
    source: str

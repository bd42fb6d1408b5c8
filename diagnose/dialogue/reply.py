"""One reply as data, in the shape other programs read; no sentence is made here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from diagnose.named import Named


class Reply(Named):
    """What one turn brought; every field is plain data, `text` is the wording as shown."""

    turn: int
    text: str
    understood: Sequence[dict[str, Any]]
    unclear: Sequence[dict[str, Any]]
    not_understood: Sequence[str]
    cautions: Sequence[dict[str, Any]]
    causes: Sequence[dict[str, Any]]
    none_of_these: float
    next: dict[str, Any] | None
    conclusion: dict[str, Any] | None
    engine: Mapping[str, Any]
    invalid: Sequence[dict[str, str]]
    done: bool

    def as_dict(self) -> dict[str, Any]:
        """The reply for JSON; `done` is for the screen alone."""
        out = self._asdict()
        del out["done"]
        return out

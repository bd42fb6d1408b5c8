"""One reply as data, in the shape other programs read; no sentence is made here."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any


@dataclass(slots=True)
class Reply:
    """What one turn brought; every field is plain data, `text` is the wording as shown."""

    turn: int
    text: str = ""
    understood: list[dict[str, Any]] = field(default_factory=list)
    unclear: list[dict[str, Any]] = field(default_factory=list)
    not_understood: list[str] = field(default_factory=list)
    cautions: list[dict[str, Any]] = field(default_factory=list)
    causes: list[dict[str, Any]] = field(default_factory=list)
    none_of_these: float = 0.0
    next: dict[str, Any] | None = None
    conclusion: dict[str, Any] | None = None
    engine: dict[str, Any] = field(default_factory=dict)
    invalid: list[dict[str, str]] = field(default_factory=list)
    done: bool = False

    def as_dict(self) -> dict[str, Any]:
        """The reply for JSON; `done` is for the screen alone."""
        out = asdict(self)
        del out["done"]
        return out

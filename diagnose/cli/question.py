"""A plain question, `diagnose ask TEXT ...` without an option, read without the parser of options.

Loading and setting up argparse takes a tenth of the time such a question takes.
"""

from __future__ import annotations

from collections.abc import Sequence
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any, cast

if TYPE_CHECKING:
    import argparse

LEFT_OUT: dict[str, Any] = {"engine": None, "json": False, "phone": False, "manner": None}
LEFT_OUT |= {"bars": False, "case": None, "new": False, "no_record": False, "keeps": False}


def plain_question(words: Sequence[str]) -> argparse.Namespace | None:
    """The same as the parser gives, or None where the parser is needed."""
    if words[:1] != ["ask"] or not words[1:] or any(word.startswith("-") for word in words):
        return None
    given = SimpleNamespace(**LEFT_OUT, command="ask", texts=list(words[1:]))
    return cast("argparse.Namespace", given)

"""Text from people: made safe to show, and cut into the words it is found by."""

from __future__ import annotations

import re

MOST_TEXT = 20_000
_LONGEST_WORD = 64
_WORD = re.compile(r"[^\W_]+")
# What a terminal or a text direction could be steered with; tab and line end are kept.
_STEERING = [*range(0x20), *range(0x7F, 0xA0), 0x061C, 0x200E, 0x200F]
_STEERING += [*range(0x202A, 0x202F), *range(0x2066, 0x206A), 0xFEFF, *range(0xD800, 0xE000)]
_SHOWN = dict.fromkeys((c for c in _STEERING if c not in (0x09, 0x0A)), "\N{REPLACEMENT CHARACTER}")


def shown(text: str) -> str:
    """The text as it may stand on a screen or a page: no escape sequence gets through."""
    return text.translate(_SHOWN)


def one_line(text: str, width: int = 0) -> str:
    """The text in one line, cut to a width if one is given."""
    line = " ".join(shown(text).split())
    return line if not width or len(line) <= width else line[: width - 3].rstrip() + "..."


def storable(text: str) -> str:
    """The text as every store can keep it: no zero byte, no half character."""
    return text.replace("\0", "").encode("utf-8", "replace").decode("utf-8")


def words_of(text: str) -> list[str]:
    """The words of a text as they are searched: small letters, no accents, each once."""
    import unicodedata  # only for searching

    bare = unicodedata.normalize("NFKD", text.casefold())
    bare = "".join(c for c in bare if not unicodedata.combining(c))
    return list(dict.fromkeys(w[:_LONGEST_WORD] for w in _WORD.findall(bare)))

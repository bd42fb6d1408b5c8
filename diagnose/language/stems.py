"""The stem of a word, so that "ticks", "ticked" and "ticking" are one; nothing else."""

from __future__ import annotations

from functools import lru_cache

_VOWELS = set("aeiouy")
_KEEP_DOUBLE = set("lszf")
# Words whose ending makes another word of them: "timing" is no "time", a "bearing" no "bear".
_WHOLE = (
    ("timing", "bearing", "housing", "bushing", "casing", "fitting", "mounting")
    + ("tape", "rode", "bare", "cape", "care", "fine", "hate", "mate", "note", "pine")
    + ("site", "bite", "rate", "barely")
)
_OWN = {
    **{word: word for word in _WHOLE},
    **{word + "s": word for word in _WHOLE[:7]},
    **dict.fromkeys(("bottomed", "bottoming", "bottoms"), "bottomed"),
    **dict.fromkeys(("pulling", "pulls"), "pulling"),
    **dict.fromkeys(("ran", "runs", "running"), "run"),
    **dict.fromkeys(("pounding", "pounded"), "pounding"),
    "pulled": "pulled",
    "came": "com",
}


@lru_cache(maxsize=20_000)
def stem(word: str) -> str:
    """Return the stem of a small-letter word; short words stay as they are.

    >>> [stem(w) for w in ("knocking", "knocks", "idles", "idling", "bodies", "gas")]
    ['knock', 'knock', 'idl', 'idl', 'body', 'gas']
    """
    if len(word) <= 3 or word in _OWN:
        return _OWN.get(word, word)
    base = _without_plural(word)
    for ending in ("ing", "ed"):
        rest = base[: -len(ending)]
        if base.endswith(ending) and len(rest) >= 3 and _VOWELS & set(rest) and rest[-1] != "e":
            base = _single(rest)
            break
    return base[:-1] if len(base) > 3 and base.endswith("e") else base


def _without_plural(word: str) -> str:
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("xes", "ches", "shes", "sses", "zes")):
        return word[:-2]
    if word.endswith("s") and word[-2] not in "sui":
        return word[:-1]
    return word


def _single(rest: str) -> str:
    doubled = rest[-1] == rest[-2] and rest[-1] not in _KEEP_DOUBLE
    return rest[:-1] if doubled else rest

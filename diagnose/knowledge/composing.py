"""Wordings composed of word classes: `<did> the heads|head` stands for every choice of its words.

`|` parts a choice, `_` joins words within one, `<name>` is a list of `word_classes` in words.yaml,
and a `?` behind a word lets it be left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import product

MOST = 4000


class Unfit(ValueError):
    """A pattern with an unknown class, or with too many wordings; `args` say what and what fits."""


def composed(pattern: str, classes: Mapping[str, str]) -> Iterator[str]:
    """Every wording of a pattern; `Unfit` where it can't be composed.

    >>> list(composed("did|done the? heads", {}))
    ['did the heads', 'did heads', 'done the heads', 'done heads']
    """
    choices = [_choices(word, classes) for word in pattern.split()]
    count = 1
    for one in choices:
        count *= len(one)
    if count > MOST:
        raise Unfit(pattern, f"at most {MOST} wordings of one pattern, not {count}")
    for words in product(*choices):
        yield " ".join(word for word in words if word)


def _choices(word: str, classes: Mapping[str, str]) -> list[str]:
    word, end, _ = word.partition("?")
    found: list[str] = []
    for choice in word.split("|"):
        found += _listed(choice, classes) if choice.startswith("<") else [choice]
    spaced = [choice.replace("_", " ").strip() for choice in found]
    return [*spaced, ""] if end else spaced


def _listed(choice: str, classes: Mapping[str, str]) -> list[str]:
    name = choice.strip("<>")
    if name not in classes:
        raise Unfit(name, ", ".join(classes))
    return classes[name].split("|")

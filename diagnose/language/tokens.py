"""Text cut into words, numbers and marks, each with its place; knows no meaning.

Case, curly quotes and apostrophes are levelled here without moving a character, so that every
token can be shown again as it was typed.
"""

from __future__ import annotations

import re

from diagnose.named import Named

WORD, NUMBER, MARK = "word", "number", "mark"

_LEVEL = str.maketrans({"’": "'", "‘": "'", "`": "'", "´": "'", "“": '"', "”": '"', "″": '"'})
_SPACES = {ord(c): " " for c in "\u00a0\u2009\u202f\t\r"}
_DASHES = {ord(c): "-" for c in "‐‑‒–—"}
_SHARES = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_SHARES |= {"⅙": "1/6", "⅓": "1/3", "⅔": "2/3"}
_TOKEN = re.compile(
    r"""(?P<grade>\d+w\s?-?\d+)
    | (?P<share>\d+\s?/\s?\d+(?![\d/]))
    | (?P<glyph>[½¼¾⅛⅜⅝⅞⅙⅓⅔])
    | (?P<number>\d{1,3}(?:,\d{3})+(?![\d.,])|\d[\do]*[.,][\do]+(?![a-z.]?\d)
        |(?<![\w.])[.,][o]*\d[\do]*|\d+)
    | (?P<word>(?:lbf?\.(?:ft|in)|ft\.lb|n\.m)\b|[^\W\d_](?:['\w]*\w)?)
    | (?P<mark>\S|\n)""",
    re.VERBOSE,
)


class Token(Named):
    """One word, number or mark: `text` levelled, `start` and `end` in the text as typed."""

    text: str
    start: int
    end: int
    kind: str
    value: float | None = None


def tokenise(text: str) -> list[Token]:
    """Cut a text into tokens; anything that is no word or number is a mark of one character."""
    level = _levelled(text)
    return [_token(match) for match in _TOKEN.finditer(level)]


def _levelled(text: str) -> str:
    """The same text in small letters and plain quotes, character for character."""
    plain = text.translate(_LEVEL).translate(_SPACES).translate(_DASHES)
    small = plain.lower()
    if len(small) == len(plain):
        return small
    return "".join(c.lower() if len(c.lower()) == 1 else c for c in plain)


def _token(match: re.Match[str]) -> Token:
    text, kind = match.group(), match.lastgroup or MARK
    start, end = match.span()
    if kind == "number":
        return Token(text, start, end, NUMBER, _decimal(text))
    if kind == "share":
        return Token(text, start, end, NUMBER, _share(text))
    if kind == "glyph":
        return Token(text, start, end, NUMBER, _share(_SHARES[text]))
    if kind in (WORD, "grade"):
        return Token(text.replace("'", ""), start, end, WORD)
    return Token(text, start, end, MARK)


def _decimal(text: str) -> float | None:
    """A decimal point or comma, thousands commas, and the letter o typed for a nought."""
    digits = text.replace("o", "0")
    thousands = re.fullmatch(r"[1-9]\d{0,2}(?:,\d{3})+", digits)
    digits = digits.replace(",", "" if thousands else ".")
    try:
        return float(digits)
    except ValueError:
        return None


def _share(text: str) -> float | None:
    """A share of an inch such as 3/16; "10/30" is an oil, "24/7" a habit: no number."""
    over, under = (int(part) for part in text.split("/"))
    usual = under in (2, 3, 4, 8, 16, 32, 64, 1000) and over < under
    return over / under if usual else None

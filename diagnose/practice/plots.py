"""The record drawn: minutes lost over the exercises, in plain characters and as a web page."""

from __future__ import annotations

import html
from collections.abc import Sequence

from diagnose.measuring.units import number
from diagnose.practice import wording
from diagnose.practice.history import Results, Summary

_ROWS, _COLUMNS = 8, 60
_WIDE, _HIGH = 640, 220


def in_characters(lost: Sequence[float]) -> str:
    """Bars of minutes lost, the newest on the right; plain characters only."""
    shown = list(lost)[-_COLUMNS:]
    top = max([*shown, 10.0])
    width = max(len(number(round(top))), 1)
    lines = []
    for row in range(_ROWS, 0, -1):
        edge = number(round(top * row / _ROWS)).rjust(width)
        bars = "".join("#" if v >= top * (row - 0.5) / _ROWS else " " for v in shown)
        lines.append(f"{edge} |{bars}".rstrip())
    lines.append(f"{'0'.rjust(width)} +{'-' * len(shown)}")
    return "\n".join(lines)


def as_page(found: Results, figures: Summary) -> str:
    """The whole record as one web page that needs nothing else."""
    rows = "".join(_row(r) for r in found)
    body = "".join(f"<p>{html.escape(line)}</p>" for line in wording.summary_lines(figures))
    heads = "".join(f"<th>{html.escape(h)}</th>" for h in wording.HISTORY_COLUMNS)
    return (
        '<!doctype html><html lang="en"><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{wording.HISTORY_TITLE}</title>"
        "<style>body{font:16px/1.5 sans-serif;max-width:46em;margin:2em auto;padding:0 1em}"
        "table{border-collapse:collapse;width:100%}td,th{border-bottom:1px solid #999;"
        "padding:.3em;text-align:left}svg{width:100%;height:auto}</style>"
        f"<h1>{wording.HISTORY_TITLE}</h1>{body}{_drawing(figures.lost)}"
        f"<table><tr>{heads}</tr>{rows}</table></html>\n"
    )


def _row(result: object) -> str:
    cells = wording.history_cells(result)  # type: ignore[arg-type]
    return "<tr>" + "".join(f"<td>{html.escape(c)}</td>" for c in cells) + "</tr>"


def _drawing(lost: Sequence[float]) -> str:
    if not lost:
        return ""
    top = max([*lost, 10.0])
    wide = _WIDE / len(lost)
    bars = "".join(
        f'<rect x="{n * wide:.1f}" y="{_HIGH - _HIGH * v / top:.1f}" width="{wide * 0.8:.1f}" '
        f'height="{_HIGH * v / top:.1f}" fill="#36648b"><title>{n + 1}: {v:g} min</title></rect>'
        for n, v in enumerate(lost)
    )
    label = html.escape(wording.PLOT_LABEL)
    return (
        f'<figure><svg viewBox="0 0 {_WIDE} {_HIGH}" role="img" aria-label="{label}">{bars}'
        f"</svg><figcaption>{label}, {number(top)} min at most</figcaption></figure>"
    )

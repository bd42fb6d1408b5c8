"""The status line, made as long as the window lets it be; what weighs least goes first."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.screens.cells import cells, cut

_BETWEEN = " | "
_WORTH_CUTTING = 12  # cells: less of a part tells nothing


def fitted(parts: Sequence[tuple[str, str]], columns: int) -> str:
    """The parts, weightiest first, each long or short: all long, then short ones, then fewer."""
    longs, shorts = [p[0] for p in parts], [p[1] for p in parts]
    for short in range(len(parts) + 1):
        kept = len(parts) - short
        line = _BETWEEN.join([*longs[:kept], *shorts[kept:]])
        if cells(line) <= columns:
            return line
    for kept in range(len(parts) - 1, 0, -1):
        line = _BETWEEN.join(shorts[:kept])
        room = columns - cells(line) - len(_BETWEEN)
        if room >= _WORTH_CUTTING:
            return f"{line}{_BETWEEN}{cut(shorts[kept], room)}"
        if cells(line) <= columns:
            return line
    return cut(shorts[0] if shorts else "", columns)

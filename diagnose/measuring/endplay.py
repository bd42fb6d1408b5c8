"""Camshaft end play as a sum: the spacer or shoulder is longer than the plate by the play.

end play = spacer length - plate thickness, so a plate thicker by d takes d out of the play. All
values of one call are in one unit. Knows no case.
"""

from __future__ import annotations

from diagnose.named import Named


class EndPlayCorrection(Named):
    """What would bring the play to the middle of its target.

    `change` is what the play must change by (negative: take up). `plate` is the plate to fit and
    `spacer` the spacer to fit instead, where the part was measured. `expected` is spacer minus
    plate, `gap` the measured play beyond that: more than the parts explain.
    """

    play: float
    target: float
    change: float
    plate: float | None
    spacer: float | None
    expected: float | None
    gap: float | None


def end_play_correction(
    play: float, target: tuple[float, float], plate: float | None, spacer: float | None
) -> EndPlayCorrection:
    """Work out the change that brings `play` to the middle of `target` (low, high)."""
    low, high = target
    if play < 0 or low > high:
        raise ValueError(f"can't correct a play of {play!r} to the target {target!r}")
    middle = (low + high) / 2
    change = middle - play
    expected = None if plate is None or spacer is None else spacer - plate
    return EndPlayCorrection(
        play=play,
        target=middle,
        change=change,
        plate=None if plate is None else plate - change,
        spacer=None if spacer is None else spacer + change,
        expected=expected,
        gap=None if expected is None else play - expected,
    )

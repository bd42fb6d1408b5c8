"""How the skew gears mesh: backlash, and the height of the distributor gear by its wear band.

Knows no case.
"""

from __future__ import annotations

import math

from diagnose.measuring.asking import Given, if_open, positive
from diagnose.measuring.gear_drive import GEARS, acute
from diagnose.measuring.shown import BandHeight, Known, Limits, OnBand, Picture
from diagnose.measuring.worked import (
    CONFORMS,
    FAILS,
    UNDECIDED,
    Calculation,
    Figure,
    Input,
    Refused,
    Values,
    Worked,
)


def backlash_of_spread(spread: float, angle: float) -> float:
    """Backlash on the pitch circle of gears set apart by `spread`: 2 x spread x tan(angle).

    `angle` is the working pressure angle in degrees, seen along the axis.
    """
    acute("pressure angle", angle)
    return 2 * spread * math.tan(math.radians(angle))


def backlash_square(backlash: float, angle: float, base: float) -> float:
    """Backlash square to the flank, as a feeler between the teeth reads it.

    From that on the pitch circle: x cos(pressure angle) x cos(helix angle on the base circle).
    """
    acute("pressure angle", angle)
    return backlash * math.cos(math.radians(angle)) * math.cos(math.radians(base))


def turn_by_backlash(backlash: float, radius: float) -> float:
    """Degrees a gear is free to turn: backlash on the pitch circle / its radius."""
    positive(pitch_radius=radius)
    return math.degrees(backlash / radius)


def shim_for_band(above: float, below: float) -> float:
    """Shim under the distributor flange that brings the wear band to the middle of its teeth.

    `above` and `below` are the free tooth above and below the band. A high band means the gear
    rides low, so it must come up: positive adds shim, negative takes it away.
    """
    if above < 0 or below < 0:
        raise Refused(f"free tooth of {min(above, below):g}; it can't be less than zero")
    return (below - above) / 2


BACKLASH_INPUTS = (
    Input("reading", "backlash on the dial, at several teeth", "length", "thou", many=True),
    Input("doubt", "how far the dial may be off", "length", "thou", usual=1.0, source="memory"),
    Input("dial-radius", "radius where the dial touches", "length", "in", optional=True),
    Input("radius", "pitch radius of the gear", "length", "in", optional=True),
    Input("end-play", "end play left free while reading", "length", "thou", optional=True),
    Input("helix", "helix angle of the gear", "angle", "deg", optional=True),
    Input("low", "least backlash allowed", "length", "thou", optional=True),
    Input("high", "most backlash allowed", "length", "thou", optional=True),
)


def _backlash(values: Values) -> Worked:
    given = Given(BACKLASH_INPUTS, values)
    factor = _to_pitch_circle(given)
    least, most = min(given.row("reading")), max(given.row("reading"))
    tight, slack = factor * least, factor * most
    doubt, added = factor * given.one("doubt"), _by_end_play(given)
    below = added + doubt
    verdict = _in_band((tight - below, tight + doubt), (slack - below, slack + doubt), given)
    figures = [
        Figure("tightest, on the pitch circle", tight, "thou", doubt),
        Figure("slackest, on the pitch circle", slack, "thou", doubt),
    ]
    radius = given.perhaps("radius")
    if radius is not None:
        turn = turn_by_backlash(slack / 1000, radius)
        figures.append(Figure("free turn of this gear", turn, "deg"))
    return Worked(
        title="Backlash",
        formula="on the pitch circle = reading x pitch radius / radius at the dial; "
        "free end play adds play x tan(helix)",
        steps=(
            f"{least:g} to {most:g} thou x {factor:.3f} "
            f"= {tight:.1f} to {slack:.1f} thou on the pitch circle",
            f"free end play may be {added:.1f} thou of that",
        ),
        figures=tuple(figures),
        verdict=verdict,
        says=_BACKLASH_SAYS[verdict],
        source=GEARS,
        settles=if_open(verdict, "Hold the cam to one end; read again, finer dial."),
        caution="Hold the cam against one end while reading. Take the limits from this engine's "
        "own book: published ones differ.",
        shows=_backlash_shows(given, (tight, slack), (doubt, added)),
    )


def _backlash_shows(
    given: Given, ends: tuple[float, float], doubts: tuple[float, float]
) -> tuple[Picture, ...]:
    low, high = given.perhaps("low"), given.perhaps("high")
    if low is None and high is None:
        return ()
    names = ("tightest", "slackest") if ends[0] < ends[1] else ("backlash",)
    values = tuple(Known(name, size, *doubts) for name, size in zip(names, ends, strict=False))
    limits = (Limits("allowed", low, high),)
    return (OnBand("Backlash on the pitch circle", "thou", values, limits),)


_BACKLASH_SAYS: dict[str | None, str] = {
    None: "That is the backlash; without limits for this engine it is not judged.",
    CONFORMS: "Every tooth tried is inside the limits, the doubt of the dial allowed for.",
    FAILS: "At least one tooth is outside the limits, whatever the dial is off.",
    UNDECIDED: "The readings lie too near a limit for this dial to tell.",
}


def _to_pitch_circle(given: Given) -> float:
    dial = given.perhaps("dial-radius")
    if dial is None:
        return 1.0
    radius = given.needed("radius", "dial-radius")
    positive(dial_radius=dial, radius=radius)
    return radius / dial


def _by_end_play(given: Given) -> float:
    play = given.perhaps("end-play")
    if not play:
        return 0.0
    helix = given.needed("helix", "end-play")
    acute("helix angle", helix)
    return play * math.tan(math.radians(helix))


def _in_band(tight: tuple[float, float], slack: tuple[float, float], given: Given) -> str | None:
    """Judge the least and most that the tightest and the slackest reading may stand for."""
    least, most = given.perhaps("low"), given.perhaps("high")
    if least is None and most is None:
        return None
    low = -math.inf if least is None else least
    high = math.inf if most is None else most
    if low > high:
        raise Refused(f"low is {low:g} and high is {high:g}; low must be below high")
    if tight[1] < low or slack[0] > high:
        return FAILS
    return CONFORMS if tight[0] >= low and slack[1] <= high else UNDECIDED


HEIGHT_INPUTS = (
    Input("above", "free tooth above the wear band, gear upright", "length", "thou"),
    Input("below", "free tooth below the wear band", "length", "thou"),
    Input("doubt", "how far each may be off", "length", "thou", usual=10.0, source="memory"),
    Input("shims", "shims and gasket under the flange now", "length", "thou", optional=True),
    Input("band", "height of the wear band, for the drawing", "length", "thou", optional=True),
)


def _height(values: Values) -> Worked:
    given = Given(HEIGHT_INPUTS, values)
    above, below, doubt = given.one("above"), given.one("below"), given.one("doubt")
    shim = shim_for_band(above, below)
    under, u = (given.perhaps("shims") or 0.0) + shim, doubt / math.sqrt(2)
    verdict = CONFORMS if min(above, below) > doubt else UNDECIDED
    if min(above, below) == 0:
        verdict = FAILS
    figures = [Figure("change of shims under the flange", shim, "thou", u)]
    if under >= 0:
        figures.append(Figure("shims and gasket then", under, "thou", u))
    return Worked(
        title="Height of the distributor gear",
        formula="shims to add = (free tooth below - free tooth above) / 2",
        steps=(f"({below:g} - {above:g}) / 2 = {shim:+.1f} thou",),
        figures=tuple(figures),
        verdict=verdict,
        says=_height_says(shim, u, under, verdict),
        source="common-practice",
        settles=if_open(verdict, "Blue the gear, turn by hand, measure the band again."),
        caution="The verdict says whether the band keeps off the tooth ends. The band on the cam "
        "gear moves with the end play instead. Afterwards see that the pump drive engages and the "
        "shaft still has end play (too low, the gear lands on the block), and set the timing.",
        shows=(BandHeight("thou", above, below, given.perhaps("band"), Known("shims", shim, u)),),
    )


def _height_says(shim: float, u: float, under: float, verdict: str) -> str:
    if abs(shim) <= u and verdict != CONFORMS:
        return "The band covers the teeth from end to end; no shim cures that, look at end play."
    if abs(shim) <= u:
        return "The band is in the middle as well as it was measured; leave the height alone."
    if under < 0:
        return "The gear rides high and there are not enough shims to take out: set it lower."
    start = "The band keeps off the tooth ends, but the" if verdict == CONFORMS else "The"
    side = "low: put shims" if shim > 0 else "high: take shims from"
    return f"{start} gear rides {side} under the flange."


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation("backlash", "Backlash", BACKLASH_INPUTS, _backlash),
    Calculation("gear-height", "Height of the distributor gear", HEIGHT_INPUTS, _height),
)

"""Compression and leak-down: the cylinders of one engine against each other on one tester.

Pressures are in psi at the gauge, leaks in per cent of the supply. Thin air lowers every cylinder
alike, so the comparison needs no altitude, the floor does. Knows no case, prints nothing.

    lowest 105, highest 150: 70 %. 60 held of 80 supplied: 25 % leaks.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from statistics import median

from diagnose.measuring.asking import Given, if_open, positive, prove, worst_of
from diagnose.measuring.shown import Known, Limits, OnBand, Picture
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
from diagnose.named import Named

SHARE = "Engine compression test, http://gm.saturn.team/Pontiac/Solstice/2006/58/1/5348/136040"
STRICTER = (
    "Interpretation of the results, "
    "https://recarea.com/static/2012%20Land%20Rover%20LR4%20HSE%20Lux/pages/10865.html"
)
AIR = (
    "Standard Atmospheric Data for Altitude and Temperature, "
    "https://engineersedge.com/calculators/standard_atmospheric_data_15729.htm"
)
THIN = "20% Less At Altitude!, https://www.snowtechmagazine.com/20-less-at-altitude/"
LEAK = (
    "Leak test explanation, "
    "https://forums.iboats.com/threads/leak-test-explanation-please.227375/post-1567196"
)
QUARTER = (
    "AC 43.13-1B as quoted, https://estamoscuriosos.me/questions/23454/"
    "existe-uma-decisao-da-faa-sobre-aeronavegabilidade-de-motore"
)
ORIFICE = (
    "Maintenance safety tip, "
    "https://helihub.com/2011/11/17/faasteam-maintenance-safety-tip-november-2011/"
)
MOST_REGAINED, LITTLE_REGAINED = 50.0, 20.0  # % of the shortfall; memory, no page prints any


def share_of_highest(lowest: float, highest: float) -> float:
    """Return lowest over highest in per cent; both in one unit.

    >>> round(share_of_highest(105, 150), 6)
    70.0
    """
    positive(highest=highest)
    if not 0 <= lowest <= highest:
        raise Refused(f"lowest is {lowest:g} and highest {highest:g}; lowest must not be above it")
    return 100 * lowest / highest


def compression_ratio(swept: float, clearance: float) -> float:
    """Return (swept + clearance volume) / clearance volume, both in one unit."""
    positive(swept=swept, clearance=clearance)
    return (swept + clearance) / clearance


def displacement(bore: float, stroke: float, cylinders: float) -> float:
    """Return the swept volume of all cylinders: pi / 4 x bore^2 x stroke x cylinders."""
    positive(bore=bore, stroke=stroke, cylinders=cylinders)
    return math.pi / 4 * bore**2 * stroke * cylinders


def thin_air(altitude: float) -> float:
    """Return air pressure at an altitude in km over that at sea level, standard atmosphere.

    A cranking gauge shows that share of its sea-level reading: air and squeezed air fall together.
    Sources: AIR, THIN. Some workshop tables use air density instead, and take off a little less.

    >>> round(thin_air(1.524), 3)
    0.832
    """
    if not -0.5 <= altitude <= 6:
        raise Refused(f"altitude is {altitude:g} km; give the height over the sea, -0.5 to 6 km")
    return math.pow(1 - 6.8754e-6 * altitude / 0.0003048, 5.2559)  # the page counts feet


def regained(dry: float, wet: float, highest: float, others: float = 0.0) -> float:
    """Return the share of a cylinder's shortfall that oil brought back, in per cent.

    `others` is how much oil lifted sound cylinders: oil fills room, so every reading climbs. All in
    one unit. Refused where there is no shortfall.
    """
    if not highest > dry:
        raise Refused(f"the cylinder at {dry:g} lacks nothing against {highest:g}")
    return 100 * (wet - dry - others) / (highest - dry)


def leak_share(supply: float, held: float) -> float:
    """Return the leak in per cent: 100 x (supply - held) / supply; both in one unit.

    >>> leak_share(80, 60)
    25.0
    """
    positive(supply=supply)
    if not 0 <= held <= supply:
        raise Refused(f"held is {held:g}; it must lie between 0 and the supply of {supply:g}")
    return 100 * (supply - held) / supply


COMPRESSION_INPUTS = (
    Input("dry", "gauge reading of each cylinder, in order", "pressure", "psi", many=True),
    Input("wet", "the same with oil put in", "pressure", "psi", many=True, optional=True),
    Input("good", "lowest over highest is good from", "share", "%", usual=75.0, source=STRICTER),
    Input("bad", "lowest over highest is bad under", "share", "%", usual=70.0, source=SHARE),
    Input("floor", "least at sea level", "pressure", "psi", usual=100.0, source=SHARE),
    Input("altitude", "height over the sea (1000 ft are 0.305 km)", "distance", "km", usual=0.0,
          source="common-practice"),
    Input("doubt", "how far a reading may be off", "pressure", "psi", usual=3.0, source="memory"),
)  # fmt: skip


class _Dry(Named):
    """Readings of all cylinders, which is lowest (from 0), and the share with its doubt in %."""

    readings: tuple[float, ...]
    low: int
    share: float
    doubt: float

    @property
    def highest(self) -> float:
        """The best cylinder."""
        return max(self.readings)


def _dry(given: Given) -> _Dry:
    readings = given.row("dry")
    if len(readings) < 2:
        raise Refused("dry has 1 reading; give one for each cylinder, in order")
    lowest, highest = min(readings), max(readings)
    share = share_of_highest(lowest, highest)
    doubt = given.one("doubt") / highest * math.hypot(100.0, share)
    return _Dry(readings, readings.index(lowest), share, doubt)


def judge_share(share: float, doubt: float, good: float, bad: float) -> str:
    """Judge lowest over highest in per cent: makers disagree, so between their limits UNDECIDED."""
    if good < bad:
        raise Refused(f"good is {good:g} and bad {bad:g} %; good must not be below bad")
    if prove(share, doubt, good, None) == CONFORMS:
        return CONFORMS
    return FAILS if prove(share, doubt, bad, None) == FAILS else UNDECIDED


def _compression(values: Values) -> Worked:
    given = Given(COMPRESSION_INPUTS, values)
    dry, doubt, air = _dry(given), given.one("doubt"), thin_air(given.one("altitude", -1.0))
    lowest, floor = dry.readings[dry.low], given.one("floor") * air
    even = judge_share(dry.share, dry.doubt, given.one("good"), given.one("bad"))
    verdict = worst_of([even, prove(lowest, doubt, floor, None)])
    wet = _wet(given, dry)
    return Worked(
        title="Compression, cylinder against cylinder",
        formula="share = lowest / highest; floor here = floor at sea level x air pressure here / "
        "at sea level; regained = (wet - dry - what oil lifts the others) / (highest - dry)",
        steps=(
            f"{lowest:g} / {dry.highest:g} = {dry.share:.1f} %",
            f"floor here: {given.one('floor'):g} x {air:.3f} = {floor:.0f} psi",
        ),
        figures=(
            Figure(f"lowest (cylinder {dry.low + 1})", lowest, "psi", doubt),
            Figure("highest", dry.highest, "psi", doubt),
            Figure("lowest over highest", dry.share, "%", dry.doubt),
            Figure("floor here", floor, "psi"),
            Figure("highest, put to sea level", dry.highest / air, "psi"),
            *wet,
        ),
        verdict=verdict,
        says=_says(verdict, even, dry) + _wet_says(wet, dry),
        source=f"{SHARE} ; {STRICTER} ; altitude: {AIR} and {THIN} ; wet test: {SHARE}",
        settles=if_open(verdict, "Repeat it warm, throttle open, all plugs out, then leak-down."),
        caution="Engine warm, throttle wide open, all plugs out, a good battery, as many strokes "
        "each. A cam of long duration cranks low in all cylinders alike. Two neighbours low that "
        "oil does not lift speak for the gasket between them. How much oil must "
        "bring back is from memory.",
        shows=_compression_shows(given, dry, floor),
    )


def _compression_shows(given: Given, dry: _Dry, floor: float) -> tuple[Picture, ...]:
    share = (Known(f"cylinder {dry.low + 1}", dry.share, dry.doubt),)
    doubt = given.one("doubt")
    each = tuple(Known(f"cylinder {n}", r, doubt) for n, r in enumerate(dry.readings, 1))
    return (
        OnBand("Lowest over highest", "%", share, between(given, least=True)),
        OnBand("Compression", "psi", each, (Limits("floor here", floor, None),)),
    )


def between(given: Given, least: bool) -> tuple[Limits, ...]:
    """What is good and what is not bad yet; from there up (`least`) or up to there."""
    sides = (("good", given.one("good")), ("not bad yet", given.one("bad")))
    return tuple(Limits(n, at, None) if least else Limits(n, None, at) for n, at in sides)


def _says(verdict: str, even: str, dry: _Dry) -> str:
    low = f"Cylinder {dry.low + 1} has {dry.share:.0f} % of the best one"
    if verdict == CONFORMS:
        return "The cylinders are even enough and none is low."
    if even == FAILS:
        return f"{low}: too little, it leaks somewhere."
    if verdict == FAILS:
        return f"Cylinder {dry.low + 1} is below the floor for this altitude."
    if even == CONFORMS:
        return "The cylinders are even, but the lowest is too near the floor to tell."
    return f"{low}: too near the limits, which makers set differently, to tell."


def _wet(given: Given, dry: _Dry) -> tuple[Figure, ...]:
    wet, doubt = given.row("wet"), given.one("doubt")
    if not wet:
        return ()
    if len(wet) != len(dry.readings):
        raise Refused(
            f"wet has {len(wet)} readings and dry {len(dry.readings)}; give one for each cylinder"
        )
    if dry.highest - dry.readings[dry.low] <= 2 * doubt:
        return ()
    rises = [one - other for one, other in zip(wet, dry.readings, strict=True)]
    sound = median(rise for place, rise in enumerate(rises) if place != dry.low)
    back = regained(dry.readings[dry.low], wet[dry.low], dry.highest, max(sound, 0.0))
    return (
        Figure("oil lifts the others by", sound, "psi", doubt),
        Figure(f"regained by cylinder {dry.low + 1} with oil", back, "%"),
    )


def _wet_says(wet: tuple[Figure, ...], dry: _Dry) -> str:
    if not wet:
        return ""
    back = wet[-1].value
    if back >= MOST_REGAINED:
        return " Oil brings most of it back: it leaks past the rings."
    if back <= LITTLE_REGAINED:
        return " Oil hardly helps: it leaks at a valve or the head gasket, not past the rings."
    return f" Oil brings back {back:.0f} %, which can't tell rings from valves."


LEAK_INPUTS = (
    Input("leak", "leak of each cylinder in order", "share", "%", many=True, optional=True),
    Input("held", "pressure held by each", "pressure", "psi", many=True, optional=True),
    Input("supply", "pressure supplied", "pressure", "psi", optional=True),
    Input("good", "acceptable up to", "share", "%", usual=15.0, source=LEAK),
    Input("bad", "bad beyond", "share", "%", usual=25.0, source=QUARTER),
    Input("doubt", "how far one leak may be off", "share", "%", usual=2.0, source="memory"),
)


def _leaks(given: Given) -> tuple[float, ...]:
    leaks, held, supply = given.row("leak"), given.row("held"), given.perhaps("supply")
    if bool(leaks) == bool(held):
        raise Refused("leak is missing; give leak in per cent, or held with supply")
    if leaks:
        over = [leak for leak in leaks if leak > 100]
        if over:
            raise Refused(f"leak is {over[0]:g} %; it can't be more than 100")
        return leaks
    if supply is None:
        raise Refused("supply is missing; give the pressure supplied beside held")
    return tuple(leak_share(supply, each) for each in held)


def judge_leaks(leaks: Sequence[float], doubt: float, good: float, bad: float) -> str:
    """Judge leaks in per cent by the worst: between the limits, which disagree, UNDECIDED."""
    if good > bad:
        raise Refused(f"good is {good:g} and bad {bad:g} %; good must not be above bad")
    if prove(max(leaks), doubt, None, good) == CONFORMS:
        return CONFORMS
    return FAILS if prove(max(leaks), doubt, None, bad) == FAILS else UNDECIDED


def _leak_down(values: Values) -> Worked:
    given = Given(LEAK_INPUTS, values)
    leaks, doubt = _leaks(given), given.one("doubt")
    verdict = judge_leaks(leaks, doubt, given.one("good"), given.one("bad"))
    worst = leaks.index(max(leaks))
    apart = tuple(_stands_out(leaks, worst, doubt))
    each = tuple(Known(f"cylinder {n}", leak, doubt) for n, leak in enumerate(leaks, 1))
    return Worked(
        title="Leak-down, cylinder against cylinder",
        formula="leak = 100 x (supply - held) / supply; the worst against the limits and against "
        "the middle one of the others",
        steps=tuple(f"cylinder {place}: {leak:.1f} %" for place, leak in enumerate(leaks, 1)),
        figures=(
            Figure(f"worst leak (cylinder {worst + 1})", leaks[worst], "%", doubt),
            *apart,
        ),
        verdict=verdict,
        says=_LEAK_SAYS[verdict].format(place=worst + 1, leak=leaks[worst])
        + "".join(f" The others are at {f.value:.0f} %." for f in apart[:1] if verdict != CONFORMS),
        source=f"{LEAK} ; {QUARTER} ; orifice: {ORIFICE}",
        settles=if_open(verdict, "Listen at oil filler, intake, exhaust and coolant for the air."),
        caution="The percentage depends on the tester's orifice: compare cylinders on one tester "
        "only. Published limits disagree, and a leak is no verdict by itself. Piston at top dead "
        "centre of compression, crank held: the air turns it.",
        shows=(OnBand("Leak of each cylinder", "%", each, between(given, least=False)),),
    )


_LEAK_SAYS = {
    CONFORMS: "No cylinder leaks more than is acceptable.",
    FAILS: "Cylinder {place} leaks {leak:.0f} %: too much. Listen where the air comes out.",
    UNDECIDED: "Cylinder {place} leaks {leak:.0f} %, where limits disagree or the tester can't "
    "tell.",
}


def _stands_out(leaks: tuple[float, ...], worst: int, doubt: float) -> Iterator[Figure]:
    others = [leak for place, leak in enumerate(leaks) if place != worst]
    if others:
        yield Figure("middle of the others", median(others), "%", doubt)
        more = leaks[worst] - median(others)
        yield Figure("worst above that", more, "%", math.sqrt(2) * doubt)


# The plain name of the first is a word of the rule base, which no constant here may be.
CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "compression-test",
        "Compression, cylinder against cylinder",
        COMPRESSION_INPUTS,
        _compression,
    ),
    Calculation("leak-down", "Leak-down, cylinder against cylinder", LEAK_INPUTS, _leak_down),
)

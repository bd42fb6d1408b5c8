"""Oil pressure against engine speed, the gauge's own offset, and what a wider clearance lets pass.

Pressure can't be told from clearance: the cube law only compares two clearances at the same oil
and pressure. Knows no case, prints nothing.

    2.5 thou opened to 3.5: 2.74 times as much oil passes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from diagnose.measuring.asking import Given, if_open, positive, prove, worst_of
from diagnose.measuring.shown import Known, Limits, OnBand
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

FLOOR = "Oil pump technology, https://www.enginebuildermag.com/2009/06/oil-pump-technology/"
SLOT = (
    "Chapter 16 worked examples, http://www.ivorbittle.co.uk/Books/Fluids%20book/"
    "Chapter%2016%20web%20docs/Chapter%2016%20Worked%20examples.htm"
)
CUBE = (
    "Clearance to run, http://www.superchevy.com/how-to/engines-drivetrain/"
    "4380-bearing-clearance-info/"
)
INCH_RULE = (
    "Bearing clearances vs. oil viscosities, https://www.enginelabs.com/news/"
    "what-i-learned-today-bearing-clearances-vs-oil-viscosities/"
)
PER_INCH = 1.0  # thou of clearance an inch of journal, by the page named in INCH_RULE


class Slot(Named):
    """A narrow gap, in metres: its width across the flow, its height, its length along it."""

    width: float
    height: float
    length: float


class Bearing(Named):
    """A plain bearing, in metres: diameter, radial clearance, length; eccentricity from 0 to 1."""

    diameter: float
    clearance: float
    length: float
    eccentricity: float = 0.0


def slot_flow(slot: Slot, pressure: float, viscosity: float) -> float:
    """Return the flow through a slot in m3/s: width x height^3 x pressure / (12 viscosity length).

    Pressure in Pa, viscosity in Pa s; laminar, still walls. Source: SLOT.
    """
    positive(width=slot.width, height=slot.height, length=slot.length, viscosity=viscosity)
    return slot.width * slot.height**3 * pressure / (12 * viscosity * slot.length)


def bearing_flow(bearing: Bearing, pressure: float, viscosity: float) -> float:
    """Return the flow out of a bearing in m3/s, as through a slot pi x diameter wide.

    An off-centre journal lets more pass: times 1 + 1.5 x eccentricity^2. Laminar, journal still.
    Source: SLOT (its slot bent round; the off-centre factor from memory).
    """
    if not 0 <= bearing.eccentricity <= 1:
        raise Refused(f"eccentricity is {bearing.eccentricity:g}; it must lie between 0 and 1")
    round_slot = Slot(math.pi * bearing.diameter, bearing.clearance, bearing.length)
    return slot_flow(round_slot, pressure, viscosity) * (1 + 1.5 * bearing.eccentricity**2)


def leak_ratio(clearance: float, new: float) -> float:
    """Return how many times as much passes at a clearance as at another: their ratio cubed.

    Both radial or both on diameter, in one unit; same oil, heat and pressure.

    >>> round(leak_ratio(3.5, 2.5), 2)
    2.74
    """
    positive(clearance=clearance, new_clearance=new)
    return (clearance / new) ** 3


def usual_clearance(journal: float) -> float:
    """Return the usual clearance on diameter in thou for a journal in inches; common practice.

    >>> round(usual_clearance(2.448), 1)
    2.4
    """
    positive(journal=journal)
    return PER_INCH * journal


def least_pressure(speed: float, rule: float) -> float:
    """Return the pressure a rule of so much per 1000 rpm asks for, in the rule's unit."""
    positive(speed=speed)
    return rule * speed / 1000


INPUTS = (
    Input("pressure", "gauge reading, oil hot, one for each speed", "pressure", "psi", many=True),
    Input("speed", "engine speed of each reading, in the same order", "speed", "rpm", many=True),
    Input(
        "stopped",
        "what the gauge shows with the engine stopped",
        "pressure",
        "psi",
        usual=0.0,
        source="common-practice",
    ),
    Input("test", "a test gauge at the first of these speeds", "pressure", "psi", optional=True),
    Input("rule", "least pressure per 1000 rpm", "pressure", "psi", usual=10.0, source=FLOOR),
    Input("doubt", "how far the gauge may be off", "pressure", "psi", usual=3.0, source="memory"),
    Input("relief", "pressure the relief valve holds", "pressure", "psi", optional=True),
    Input("clearance", "bearing clearance measured", "length", "thou", optional=True),
    Input("new-clearance", "bearing clearance when new", "length", "thou", optional=True),
    Input("journal", "diameter of the journal", "length", "in", optional=True),
)


class _Reading(Named):
    """One speed in rpm, the pressure there put right and the least by the rule, both in psi."""

    speed: float
    pressure: float
    least: float


def _offset(given: Given) -> tuple[float, str]:
    """What the gauge shows too much, and how that is known."""
    stopped, test = given.one("stopped", -math.inf), given.perhaps("test")
    if test is None:
        return stopped, f"gauge offset: {stopped:g} psi with the engine stopped"
    shown = given.row("pressure")[0]
    return shown - test, f"gauge offset: {shown:g} - {test:g} = {shown - test:g} psi"


def _readings(given: Given, offset: float) -> tuple[_Reading, ...]:
    pressures, speeds, rule = given.row("pressure"), given.row("speed"), given.one("rule")
    if len(pressures) != len(speeds):
        raise Refused(
            f"pressure has {len(pressures)} values and speed {len(speeds)}; give one of each"
        )
    found = []
    for shown, speed in sorted(zip(pressures, speeds, strict=True), key=lambda pair: pair[1]):
        real = shown - offset
        if real < -given.one("doubt"):
            raise Refused(
                f"pressure {shown:g} psi is below the {offset:g} of the stopped gauge; "
                "read the gauge stopped again"
            )
        found.append(_Reading(speed, max(real, 0.0), least_pressure(speed, rule)))
    return tuple(found)


def _work(values: Values) -> Worked:
    given = Given(INPUTS, values)
    offset, told = _offset(given)
    readings, doubt = _readings(given, offset), given.one("doubt")
    verdict = worst_of([prove(r.pressure, doubt, r.least, None) for r in readings])
    relief, leak = given.perhaps("relief"), _leak(given)
    figures = [Figure("gauge offset", offset, "psi")]
    for r in readings:
        figures.append(Figure(f"pressure at {r.speed:g} rpm", r.pressure, "psi", doubt))
        figures.append(Figure(f"least at {r.speed:g} rpm by the rule", r.least, "psi"))
    return Worked(
        title="Oil pressure against engine speed",
        formula="pressure = gauge reading - gauge offset, against the rule x rpm / 1000; leak = "
        "(clearance / new clearance)^3 times as much at the same oil and pressure",
        steps=(
            told,
            *(
                f"{r.speed:g} rpm: {r.pressure:g} psi, rule {r.least:g} psi, "
                f"{1000 * r.pressure / r.speed:.1f} psi per 1000 rpm"
                for r in readings
            ),
        ),
        figures=(*figures, *_rise(readings), *leak),
        verdict=verdict,
        says=_SAYS[verdict] + _rise_says(readings, doubt, relief) + _leak_says(leak),
        source=f"{FLOOR} ; leak: {SLOT} and {CUBE} ; usual clearance: {INCH_RULE}",
        settles=if_open(verdict, "Read again with a test gauge on the gallery, oil hot."),
        caution="The rule is common practice and a floor, no certificate of health: at idle it "
        "asks for very little. A needle on its stop hides an offset below zero. No clearance can "
        "be told from a pressure, nor the other way round.",
        shows=(
            OnBand(
                "Pressure above the least by the rule",
                "psi",
                tuple(Known(f"at {r.speed:g} rpm", r.pressure - r.least, doubt) for r in readings),
                (Limits("enough", 0.0, None),),
            ),
        ),
    )


_SAYS = {
    CONFORMS: "The pressure is above the least that is asked for at every speed read.",
    FAILS: "The pressure is below the least that is asked for: stop the engine and find out why.",
    UNDECIDED: "The pressure is too near the least for this gauge to tell.",
}


def _rise(readings: tuple[_Reading, ...]) -> Iterator[Figure]:
    """How the pressure climbs with speed; below the relief valve it goes about in proportion."""
    first, last = readings[0], readings[-1]
    if last.speed > first.speed:
        rise = 1000 * (last.pressure - first.pressure) / (last.speed - first.speed)
        yield Figure("rise per 1000 rpm", rise, "psi")
        in_step = first.pressure * last.speed / first.speed
        yield Figure(f"at {last.speed:g} rpm if in proportion", in_step, "psi")


def _rise_says(readings: tuple[_Reading, ...], doubt: float, relief: float | None) -> str:
    first, last = readings[0], readings[-1]
    if last.speed <= first.speed:
        return ""
    climbs = last.pressure - first.pressure > math.sqrt(2) * doubt
    if relief is not None and last.pressure >= relief - doubt:
        return f" At {last.speed:g} rpm the relief valve holds it."
    if climbs:
        return " It climbs with speed."
    return (
        " It does not climb with speed: the relief valve lets go, the pump draws air, or the gauge "
        "sticks."
    )


def _leak(given: Given) -> tuple[Figure, ...]:
    clearance, new = given.perhaps("clearance"), given.perhaps("new-clearance")
    journal = given.perhaps("journal")
    usual = None if journal is None else usual_clearance(journal)
    figures = () if usual is None else (Figure("usual clearance of that journal", usual, "thou"),)
    new = usual if new is None else new
    if clearance is None:
        return figures
    if new is None:
        raise Refused("new-clearance is missing; give it, or the journal for the usual one")
    return (*figures, Figure(_TIMES, leak_ratio(clearance, new), ""))


_TIMES = "times as much oil passes"


def _leak_says(leak: tuple[Figure, ...]) -> str:
    times = next((figure.value for figure in leak if figure.name == _TIMES), None)
    if times is None:
        return ""
    return f" Bearings worn so let {times:.1f} times as much oil pass as new ones."


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation("oil-pressure", "Oil pressure against engine speed", INPUTS, _work),
)

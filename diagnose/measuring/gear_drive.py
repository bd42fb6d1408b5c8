"""The skew gears of cam and distributor: spark shift, cam timing shift, thrust.

Shafts at 90 degrees: where the cam moves along its axis by dz, the distributor turns by
2 dz / d radians, d its own pitch diameter; the helix angle drops out. Knows no case.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from diagnose.measuring.asking import Given, if_open, positive, prove
from diagnose.measuring.readings import THREE_READINGS
from diagnose.measuring.shown import BandWalk, Known, Limits, OnBand, Picture
from diagnose.measuring.units import convert
from diagnose.measuring.worked import (
    CONFORMS,
    UNDECIDED,
    Calculation,
    Figure,
    Input,
    Refused,
    Values,
    Worked,
)

ENOUGH, NOT_ENOUGH = "the play is enough for it", "more than the play explains"
_RIGHT_ANGLES = "Helical gears with shafts at right angles, https://engineersedge.com/calculators/helical_gears_shafts_right_angles_15329.htm"
_FORCES = "Helical Gear Forces, https://vortarus.com/helical-gear-forces/"
GEARS = "Helical Gears, geometry chapter 3, https://github.com/drivetrainhub/notebooks-gears"

_WALK = Input("walk", "end play of the cam, gear on and bolt torqued", "length", "thou")
_WALK_DOUBT = Input("walk-doubt", "how far that end play may be off, either way", "length", "thou",
                    usual=1.6, source=THREE_READINGS)  # fmt: skip
_DIAMETER = Input("diameter", "pitch diameter of the distributor gear", "length", "in")


def lead(diameter: float, helix: float) -> float:
    """The way along the axis for one turn: pi d / tan(helix), helix from the axis in degrees.

    In the unit of the pitch diameter. Raises Refused for a helix not between 0 and 90.
    """
    positive(pitch_diameter=diameter)
    acute("helix angle", helix)
    return math.pi * diameter / math.tan(math.radians(helix))


def axial_pitch(diameter: float, helix: float, teeth: int) -> float:
    """The distance along the axis from tooth to tooth: lead / teeth."""
    positive(number_of_teeth=teeth)
    return lead(diameter, helix) / teeth


def turn_by_lead(shift: float, diameter: float, helix: float) -> float:
    """Degrees a helical gear turns when it moves along its own axis: 360 x shift / lead."""
    return 360 * shift / lead(diameter, helix)


def turn_by_cam_walk(walk: float, diameter: float) -> float:
    """Degrees the distributor turns when the cam moves along its axis by `walk`.

    `diameter` is the pitch diameter of the distributor gear, in the unit of `walk`; shafts at
    90 degrees. Derived: 360 x walk / cam lead x cam teeth / distributor teeth comes to the same.
    """
    positive(pitch_diameter=diameter)
    return math.degrees(2 * walk / diameter)


def pump_torque(pressure: float, volume: float, efficiency: float = 1.0) -> float:
    """Torque to turn an oil pump: pressure x volume per turn / (2 pi efficiency).

    psi and cubic inches give inch-pounds. Raises Refused for an efficiency not above 0 and up
    to 1.
    """
    positive(oil_pressure=pressure, pump_volume=volume, efficiency=efficiency)
    if efficiency > 1:
        raise Refused(f"the efficiency is {efficiency:g}; it must be at most 1 (100 %)")
    return pressure * volume / (2 * math.pi * efficiency)


def thrust_on_cam(torque: float, diameter: float) -> float:
    """Push along the cam axis from the torque on the distributor shaft: 2 x torque / diameter.

    Opposite to the way the distributor teeth travel at the mesh; friction does not change it.
    Inch-pounds and inches give pounds.
    """
    positive(torque=torque, pitch_diameter=diameter)
    return 2 * torque / diameter


def acute(name: str, value: float) -> None:
    """Raise Refused for an angle that does not lie between 0 and 90 degrees."""
    if not 0 < value < 90:
        raise Refused(f"the {name} is {value:g} degrees; it must lie between 0 and 90")


SPARK_INPUTS = (
    _WALK,
    _DIAMETER,
    _WALK_DOUBT,
    Input("shaft-play", "end play of the distributor shaft", "length", "thou", optional=True),
    Input("helix", "helix angle of the distributor gear", "angle", "deg", optional=True),
    Input("seen", "spark wander seen at the damper, crank degrees", "angle", "deg", optional=True),
    Input("seen-doubt", "how far that may be off", "angle", "deg", usual=1.0, source="memory"),
)


def _spark(values: Values) -> Worked:
    given = Given(SPARK_INPUTS, values)
    walk, diameter = given.one("walk") / 1000, given.one("diameter")
    by_cam = 2 * turn_by_cam_walk(walk, diameter)
    shaft = (given.perhaps("shaft-play") or 0.0) / 1000
    helix = given.needed("helix", "shaft-play") if shaft else 0.0
    by_shaft = 2 * turn_by_lead(shaft, diameter, helix) if shaft else 0.0
    total, doubt = by_cam + by_shaft, given.one("walk-doubt")
    u = 2 * turn_by_cam_walk(doubt / 1000, diameter)
    steps = [f"cam: 2 x {walk:g} in / {diameter:g} in = {by_cam / 2:.2f} deg, {by_cam:.2f} crank"]
    if shaft:
        steps.append(
            f"shaft: 360 x {shaft:g} in / lead {lead(diameter, helix):.3f} in "
            f"= {by_shaft / 2:.2f} deg, {by_shaft:.2f} crank"
        )
    verdict, more = _seen(total, u, given)
    return Worked(
        title="Spark shift from end play",
        formula="distributor turn (rad) = 2 x cam walk / pitch diameter of the distributor gear; "
        "its own shaft: 360 x play / lead; twice that at the crank",
        steps=tuple(steps),
        figures=(
            Figure("turn of the distributor", total / 2, "deg", u / 2),
            Figure("spark shift at the crank, at most", total, "deg", u),
            Figure("shift of the wear band along the cam gear", given.one("walk"), "thou", doubt),
        ),
        verdict=verdict,
        says=f"This play can move the spark by up to {total:.1f} crank degrees{more}.",
        source=_RIGHT_ANGLES,
        settles=if_open(verdict, "Read the wander at steady speed, the play finer."),
        caution="For shafts at 90 degrees, distributor at cam speed. Which way it goes depends on "
        "this engine's own rotation. Helical timing gears and backlash add their own.",
        shows=tuple(_spark_shows(given, by_cam, by_shaft, u)),
    )


def _spark_shows(given: Given, by_cam: float, by_shaft: float, u: float) -> Iterator[Picture]:
    walk = Known("cam walk", given.one("walk"), given.one("walk-doubt"))
    turn = Known("spark shift by it, crank degrees", by_cam, u)
    yield BandWalk("cam gear", "distributor gear", "thou", walk, turn)
    if by_shaft:
        play = Known("play of its shaft", given.one("shaft-play"))
        turn = Known("spark shift by it, crank degrees", by_shaft)
        yield BandWalk("distributor gear", "cam gear", "thou", play, turn)
    seen = given.perhaps("seen")
    if seen is not None:
        limits = Limits("what the play can make", None, by_cam + by_shaft)
        doubt = math.hypot(u, given.one("seen-doubt"))
        values = (Known("spark wander seen", seen, doubt),)
        yield OnBand("Spark wander, crank degrees", "deg", values, (limits,))


def _seen(total: float, u: float, given: Given) -> tuple[str | None, str]:
    seen = given.perhaps("seen")
    if seen is None:
        return None, ""
    found = prove(seen, math.hypot(u, given.one("seen-doubt")), None, total)
    if found == UNDECIDED:
        return UNDECIDED, f"; whether that is all of the {seen:g} seen can't be told"
    if found == CONFORMS:
        return ENOUGH, f", enough for the {seen:g} seen"
    return NOT_ENOUGH, f", so most likely something else adds to the {seen:g} seen"


TIMING_INPUTS = (
    _WALK,
    _WALK_DOUBT,
    Input("gear-diameter", "pitch diameter of the helical cam timing gear", "length", "in"),
    Input("gear-helix", "helix angle of its teeth from the axis", "angle", "deg"),
)


def _timing(values: Values) -> Worked:
    given = Given(TIMING_INPUTS, values)
    walk, way = given.one("walk") / 1000, lead(given.one("gear-diameter"), given.one("gear-helix"))
    turn, u = (
        turn_by_lead(each, given.one("gear-diameter"), given.one("gear-helix"))
        for each in (walk, given.one("walk-doubt") / 1000)
    )
    return Worked(
        title="Cam timing shift with helical timing gears",
        formula="turn of the cam = 360 x cam walk / lead; lead = pi x diameter / tan(helix)",
        steps=(f"360 x {walk:g} in / lead {way:.3f} in = {turn:.2f} deg",),
        figures=(
            Figure("turn of the cam", turn, "deg", u),
            Figure("shift of cam timing at the crank", 2 * turn, "deg", 2 * u),
        ),
        verdict=None,
        says=f"The end play lets the cam timing wander by {2 * turn:.2f} crank degrees.",
        source=GEARS,
        caution="Helical timing gears only; straight teeth and chains shift nothing.",
    )


THRUST_INPUTS = (
    _DIAMETER,
    Input("torque", "torque to turn the pump, measured", "torque", "in-lb", optional=True),
    Input("pressure", "oil pressure", "pressure", "psi", optional=True),
    Input("delivery", "what the pump delivers", "flow", "l/min", optional=True),
    Input("pump-speed", "pump speed at that delivery", "speed", "rpm", optional=True),
    Input("efficiency", "share of the torque not lost", "share", "%", usual=80, source="memory"),
    Input("doubt", "how far the torque may be off", "share", "%", usual=20, source="memory"),
)


def _thrust(values: Values) -> Worked:
    given = Given(THRUST_INPUTS, values)
    torque, steps = _torque(given)
    push = thrust_on_cam(torque, given.one("diameter"))
    newtons, share = convert(push, "lbf", "N"), given.one("doubt") / 100
    return Worked(
        title="Push of the oil pump on the cam",
        formula="push = 2 x torque / diameter; torque = pressure x volume / (2 pi x efficiency)",
        steps=(*steps, f"2 x {torque:.1f} in-lb / {given.one('diameter'):g} in = {push:.0f} lbf"),
        figures=(
            Figure("pump torque", torque, "in-lb", share * torque),
            Figure("push on the cam", newtons, "N", share * newtons),
        ),
        verdict=None,
        says=f"The pump pushes the cam along with about {newtons:.0f} N ({push:.0f} lbf), against "
        "the way the distributor teeth travel where they meet it.",
        source=_FORCES,
        caution="Cold oil takes several times the torque. Lobe taper, springs and helical timing "
        "gears push too and are not in this sum.",
    )


def _torque(given: Given) -> tuple[float, tuple[str, ...]]:
    torque = given.perhaps("torque")
    if torque is not None:
        return torque, (f"torque measured: {torque:g} in-lb",)
    pressure, delivery, speed = (
        given.needed(name, "a pump torque that was not measured")
        for name in ("pressure", "delivery", "pump-speed")
    )
    positive(pump_speed=speed)
    volume = delivery * 1e6 / 25.4**3 / speed
    torque = pump_torque(pressure, volume, given.one("efficiency") / 100)
    return torque, (
        f"volume a turn = {delivery:g} l/min / {speed:g} = {volume:.3f} in3",
        f"{pressure:g} psi x {volume:.3f} in3 / (2 pi x {given.one('efficiency'):g} %) "
        f"= {torque:.1f} in-lb",
    )


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation("spark-shift", "Spark shift from end play", SPARK_INPUTS, _spark),
    Calculation("cam-timing-shift", "Cam timing shift, helical gears", TIMING_INPUTS, _timing),
    Calculation("pump-thrust", "Push of the oil pump on the cam", THRUST_INPUTS, _thrust),
)

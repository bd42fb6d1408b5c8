"""The skew gears of cam and distributor: spark shift, thrust, backlash, height of the gear.

Shafts at 90 degrees: where the cam moves along its axis by dz, the distributor turns by
2 dz / d radians, d its own pitch diameter; the helix angle drops out. Knows no case.
"""

from __future__ import annotations

import math

from diagnose.measuring.asking import if_open
from diagnose.measuring.beats import positive, taken
from diagnose.measuring.units import convert
from diagnose.measuring.verdict import judge
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

ENOUGH, NOT_ENOUGH = "the play is enough for it", "more than the play explains"
_RIGHT_ANGLES = "Helical gears with shafts at right angles, https://engineersedge.com/calculators/helical_gears_shafts_right_angles_15329.htm"
_FORCES = "Helical Gear Forces, https://vortarus.com/helical-gear-forces/"
_GEARS = "Helical Gears, geometry chapter 3, https://github.com/drivetrainhub/notebooks-gears"

_WALK = Input("walk", "end play of the cam, gear on and bolt torqued", "length", "thou")
_DIAMETER = Input("diameter", "pitch diameter of the distributor gear", "length", "in")


def lead(diameter: float, helix: float) -> float:
    """The way along the axis for one turn: pi d / tan(helix), helix from the axis in degrees.

    In the unit of the pitch diameter. Raises Refused for a helix not between 0 and 90.
    """
    positive(pitch_diameter=diameter)
    _angle("helix angle", helix)
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


def backlash_of_spread(spread: float, angle: float) -> float:
    """Backlash on the pitch circle of gears set apart by `spread`: 2 x spread x tan(angle).

    `angle` is the working pressure angle in degrees, seen along the axis.
    """
    _angle("pressure angle", angle)
    return 2 * spread * math.tan(math.radians(angle))


def backlash_square(backlash: float, angle: float, base: float) -> float:
    """Backlash square to the flank, as a feeler between the teeth reads it.

    From that on the pitch circle: x cos(pressure angle) x cos(helix angle on the base circle).
    """
    _angle("pressure angle", angle)
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


def _angle(name: str, value: float) -> None:
    if not 0 < value < 90:
        raise Refused(f"the {name} is {value:g} degrees; it must lie between 0 and 90")


def _needs(got: dict[str, float], name: str, other: str) -> None:
    if name not in got:
        raise Refused(f"{name} is missing: {other} needs it")


SPARK_INPUTS = (
    _WALK,
    _DIAMETER,
    Input("walk_doubt", "how far that end play may be off", "length", "thou", optional=True),
    Input("shaft_play", "end play of the distributor shaft", "length", "thou", optional=True),
    Input("helix", "helix angle of the distributor gear", "angle", "deg", optional=True),
    Input("seen", "spark wander seen at the damper, crank degrees", "angle", "deg", optional=True),
    Input("seen_doubt", "how far that may be off", "angle", "deg", usual=1.0, source="memory"),
)


def _spark(values: Values) -> Worked:
    got = taken(SPARK_INPUTS, values)
    walk, diameter = got["walk"] / 1000, got["diameter"]
    by_cam = 2 * turn_by_cam_walk(walk, diameter)
    shaft = got.get("shaft_play", 0.0) / 1000
    if shaft:
        _needs(got, "helix", "shaft_play")
    by_shaft = 2 * turn_by_lead(shaft, diameter, got["helix"]) if shaft else 0.0
    total, doubt = by_cam + by_shaft, got.get("walk_doubt")
    u = None if doubt is None else 2 * turn_by_cam_walk(doubt / 1000, diameter)
    steps = [f"cam: 2 x {walk:g} in / {diameter:g} in = {by_cam / 2:.2f} deg, {by_cam:.2f} crank"]
    if shaft:
        steps.append(
            f"shaft: 360 x {shaft:g} in / lead {lead(diameter, got['helix']):.3f} in "
            f"= {by_shaft / 2:.2f} deg, {by_shaft:.2f} crank"
        )
    verdict, more = _seen(total, u or 0.0, got)
    return Worked(
        title="Spark shift from end play",
        formula="distributor turn (rad) = 2 x cam walk / pitch diameter of the distributor gear; "
        "its own shaft: 360 x play / lead; twice that at the crank",
        steps=tuple(steps),
        figures=(
            Figure("turn of the distributor", total / 2, "deg", None if u is None else u / 2),
            Figure("spark shift at the crank, at most", total, "deg", u),
            Figure("shift of the wear band along the cam gear", got["walk"], "thou", doubt),
        ),
        verdict=verdict,
        says=f"This play can move the spark by up to {total:.1f} crank degrees{more}.",
        source=_RIGHT_ANGLES,
        settles=if_open(verdict, "Read the wander at steady speed, the play finer."),
        caution="For shafts at 90 degrees, distributor at cam speed. Which way it goes depends on "
        "this engine's own rotation. Helical timing gears and backlash add their own.",
    )


def _seen(total: float, u: float, got: dict[str, float]) -> tuple[str | None, str]:
    if "seen" not in got:
        return None, ""
    found = judge(got["seen"], math.hypot(u, got["seen_doubt"]) / 2, None, total)
    if not found.sure:
        return UNDECIDED, f"; whether that is all of the {got['seen']:g} seen can't be told"
    if found.state == "ok":
        return ENOUGH, f", enough for the {got['seen']:g} seen"
    return NOT_ENOUGH, f", so most likely something else adds to the {got['seen']:g} seen"


TIMING_INPUTS = (
    _WALK,
    Input("gear_diameter", "pitch diameter of the helical cam timing gear", "length", "in"),
    Input("gear_helix", "helix angle of its teeth from the axis", "angle", "deg"),
)


def _timing(values: Values) -> Worked:
    got = taken(TIMING_INPUTS, values)
    walk, way = got["walk"] / 1000, lead(got["gear_diameter"], got["gear_helix"])
    turn = turn_by_lead(walk, got["gear_diameter"], got["gear_helix"])
    return Worked(
        title="Cam timing shift with helical timing gears",
        formula="turn of the cam = 360 x cam walk / lead; lead = pi x diameter / tan(helix)",
        steps=(f"360 x {walk:g} in / lead {way:.3f} in = {turn:.2f} deg",),
        figures=(
            Figure("turn of the cam", turn, "deg"),
            Figure("shift of cam timing at the crank", 2 * turn, "deg"),
        ),
        verdict=None,
        says=f"The end play lets the cam timing wander by {2 * turn:.2f} crank degrees.",
        source=_GEARS,
        caution="Helical timing gears only; straight teeth and chains shift nothing.",
    )


THRUST_INPUTS = (
    _DIAMETER,
    Input("torque", "torque to turn the pump, measured", "torque", "in-lb", optional=True),
    Input("pressure", "oil pressure", "pressure", "psi", optional=True),
    Input("delivery", "what the pump delivers", "flow", "l/min", optional=True),
    Input("pump_speed", "pump speed at that delivery", "speed", "rpm", optional=True),
    Input("efficiency", "share of the torque not lost", "share", "%", usual=80, source="memory"),
)


def _thrust(values: Values) -> Worked:
    got = taken(THRUST_INPUTS, values)
    torque, steps = _torque(got)
    push = thrust_on_cam(torque, got["diameter"])
    newtons = push * convert(1, "in-lb", "Nm") / 0.0254
    return Worked(
        title="Push of the oil pump on the cam",
        formula="push = 2 x torque / diameter; torque = pressure x volume / (2 pi x efficiency)",
        steps=(*steps, f"2 x {torque:.1f} in-lb / {got['diameter']:g} in = {push:.0f} lbf"),
        figures=(Figure("pump torque", torque, "in-lb"), Figure("push on the cam", newtons, "N")),
        verdict=None,
        says=f"The pump pushes the cam along with about {newtons:.0f} N ({push:.0f} lbf), against "
        "the way the distributor teeth travel where they meet it.",
        source=_FORCES,
        caution="Cold oil takes several times the torque. Lobe taper, springs and helical timing "
        "gears push too and are not in this sum.",
    )


def _torque(got: dict[str, float]) -> tuple[float, tuple[str, ...]]:
    if "torque" in got:
        return got["torque"], (f"torque measured: {got['torque']:g} in-lb",)
    for name in ("pressure", "delivery", "pump_speed"):
        _needs(got, name, "a pump torque that was not measured")
    positive(pump_speed=got["pump_speed"])
    volume = got["delivery"] * 1e6 / 25.4**3 / got["pump_speed"]
    torque = pump_torque(got["pressure"], volume, got["efficiency"] / 100)
    return torque, (
        f"volume a turn = {got['delivery']:g} l/min / {got['pump_speed']:g} = {volume:.3f} in3",
        f"{got['pressure']:g} psi x {volume:.3f} in3 / (2 pi x {got['efficiency']:g} %) "
        f"= {torque:.1f} in-lb",
    )


BACKLASH_INPUTS = (
    Input("reading", "backlash on the dial, at several teeth", "length", "thou", many=True),
    Input("doubt", "how far the dial may be off", "length", "thou", usual=1.0, source="memory"),
    Input("dial_radius", "radius where the dial touches", "length", "in", optional=True),
    Input("radius", "pitch radius of the gear", "length", "in", optional=True),
    Input("end_play", "end play left free while reading", "length", "thou", optional=True),
    Input("helix", "helix angle of the gear", "angle", "deg", optional=True),
    Input("low", "least backlash allowed", "length", "thou", optional=True),
    Input("high", "most backlash allowed", "length", "thou", optional=True),
)


def _backlash(values: Values) -> Worked:
    got = taken(BACKLASH_INPUTS, values)
    factor = _to_pitch_circle(got)
    tight, slack = factor * min(values["reading"]), factor * max(values["reading"])
    doubt, added = factor * got["doubt"], _by_end_play(got)
    below = added + doubt
    verdict = _in_band((tight - below, tight + doubt), (slack - below, slack + doubt), got)
    figures = [
        Figure("tightest, on the pitch circle", tight, "thou", doubt),
        Figure("slackest, on the pitch circle", slack, "thou", doubt),
    ]
    if "radius" in got:
        turn = turn_by_backlash(slack / 1000, got["radius"])
        figures.append(Figure("free turn of this gear", turn, "deg"))
    return Worked(
        title="Backlash",
        formula="on the pitch circle = reading x pitch radius / radius at the dial; "
        "free end play adds play x tan(helix)",
        steps=(
            f"{min(values['reading']):g} to {max(values['reading']):g} thou x {factor:.3f} "
            f"= {tight:.1f} to {slack:.1f} thou on the pitch circle",
            f"free end play may be {added:.1f} thou of that",
        ),
        figures=tuple(figures),
        verdict=verdict,
        says=_BACKLASH_SAYS[verdict],
        source=_GEARS,
        settles=if_open(verdict, "Hold the cam to one end; read again, finer dial."),
        caution="Hold the cam against one end while reading. Take the limits from this engine's "
        "own book: published ones differ.",
    )


_BACKLASH_SAYS: dict[str | None, str] = {
    None: "That is the backlash; without limits for this engine it is not judged.",
    CONFORMS: "Every tooth tried is inside the limits, the doubt of the dial allowed for.",
    FAILS: "At least one tooth is outside the limits, whatever the dial is off.",
    UNDECIDED: "The readings lie too near a limit for this dial to tell.",
}


def _to_pitch_circle(got: dict[str, float]) -> float:
    if "dial_radius" not in got:
        return 1.0
    _needs(got, "radius", "dial_radius")
    positive(radius_at_the_dial=got["dial_radius"], pitch_radius=got["radius"])
    return got["radius"] / got["dial_radius"]


def _by_end_play(got: dict[str, float]) -> float:
    if not got.get("end_play"):
        return 0.0
    _needs(got, "helix", "end_play")
    _angle("helix angle", got["helix"])
    return got["end_play"] * math.tan(math.radians(got["helix"]))


def _in_band(
    tight: tuple[float, float], slack: tuple[float, float], got: dict[str, float]
) -> str | None:
    """Judge the least and most that the tightest and the slackest reading may stand for."""
    low, high = got.get("low", -math.inf), got.get("high", math.inf)
    if low > high:
        raise Refused(f"low is {low:g} and high is {high:g}; low must be below high")
    if "low" not in got and "high" not in got:
        return None
    if tight[1] < low or slack[0] > high:
        return FAILS
    return CONFORMS if tight[0] >= low and slack[1] <= high else UNDECIDED


HEIGHT_INPUTS = (
    Input("above", "free tooth above the wear band, gear upright", "length", "thou"),
    Input("below", "free tooth below the wear band", "length", "thou"),
    Input("doubt", "how far each may be off", "length", "thou", usual=10.0, source="memory"),
    Input("shims", "shims and gasket under the flange now", "length", "thou", optional=True),
)


def _height(values: Values) -> Worked:
    got = taken(HEIGHT_INPUTS, values)
    above, below, doubt = got["above"], got["below"], got["doubt"]
    shim = shim_for_band(above, below)
    under, u = got.get("shims", 0.0) + shim, doubt / math.sqrt(2)
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
    Calculation("spark-shift", "Spark shift from end play", SPARK_INPUTS, _spark),
    Calculation("cam-timing-shift", "Cam timing shift, helical gears", TIMING_INPUTS, _timing),
    Calculation("pump-thrust", "Push of the oil pump on the cam", THRUST_INPUTS, _thrust),
    Calculation("backlash", "Backlash", BACKLASH_INPUTS, _backlash),
    Calculation("gear-height", "Height of the distributor gear", HEIGHT_INPUTS, _height),
)

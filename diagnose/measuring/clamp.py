"""What a torque clamps with, and whether the bolt clamps at all.

torque = nut factor x diameter x clamp load. The nut factor is the doubt: oil alone takes it from
0.20 to 0.15, a third more clamp from the same torque. Knows no case.
"""

from __future__ import annotations

import math

from diagnose.measuring.asking import Given, positive, prove
from diagnose.measuring.shown import Known, Limits, OnBand, Picture
from diagnose.measuring.units import convert
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

DRY, OILED = 0.20, 0.15  # nut factors, by the torque table named in _TABLE
_TABLE = "Suggested tightening torque values, https://studylib.net/doc/26058660/bolt-torque-guide"
_SCATTER = (
    "Tightening factors and tolerances (VDI 2230 table), "
    "http://www2.trfastenings.com/pages/Tightening+Factors+and+Tolerances"
)
_POUND = convert(1, "lbf", "N")

# Grade: proof strength in MPa and the largest diameter in mm it holds for. Inch grades from psi,
# "Mechanical Property References",
# https://web.mst.edu/jthomas/classes/2211/lessons/fasteners/property_reference/index.html ;
# metric ones ISO 898-1, https://www.slsbearings.com/slsbnn/tensile-strength.html
_PSI = convert(1, "psi", "kPa") / 1000
PROOF = {
    2.0: (55_000 * _PSI, 0.75 * 25.4),
    5.0: (85_000 * _PSI, 25.4),
    8.0: (120_000 * _PSI, math.inf),
    8.8: (580.0, 16.0),
    10.9: (830.0, math.inf),
    12.9: (970.0, math.inf),
}


def stress_area_inch(diameter: float, threads: float) -> float:
    """Stress area of an inch thread in square inches: pi/4 (d - 0.9743 / threads per inch)^2."""
    positive(diameter=diameter, threads_per_inch=threads)
    return _area(diameter, 0.9743 / threads)


def stress_area_metric(diameter: float, pitch: float) -> float:
    """Stress area of a metric thread in mm2: pi/4 (d - 0.9382 x pitch)^2."""
    positive(diameter=diameter, pitch=pitch)
    return _area(diameter, 0.9382 * pitch)


def _area(diameter: float, less: float) -> float:
    if less >= diameter / 2:
        raise Refused(f"the thread is too coarse for a diameter of {diameter:g}; check the pitch")
    return math.pi / 4 * (diameter - less) ** 2


def clamp_load(torque: float, factor: float, diameter: float) -> float:
    """Clamp load = torque / (nut factor x diameter); N.m and m give N, in-lb and in give lb."""
    positive(torque=torque, nut_factor=factor, diameter=diameter)
    return torque / (factor * diameter)


def torque_for(load: float, factor: float, diameter: float) -> float:
    """Torque for a clamp load: nut factor x diameter x load; m and N give N.m."""
    positive(clamp_load=load, nut_factor=factor, diameter=diameter)
    return factor * diameter * load


def proof_strength(grade: float, diameter: float) -> float:
    """Proof strength in MPa of a bolt grade at a diameter in mm.

    Raises Refused for a grade or a size that the tables named above do not hold.
    """
    positive(diameter=diameter)
    if grade not in PROOF:
        known = ", ".join(f"{g:g}" for g in PROOF)
        raise Refused(f"grade {grade:g} is not in the table; it has {known}")
    strength, largest = PROOF[grade]
    if diameter > largest + 1e-9:
        raise Refused(f"grade {grade:g} is tabled up to {largest:g} mm, the bolt is {diameter:g}")
    return strength


def scatter(of_torque: float, of_friction: float) -> float:
    """Scatter of the clamp load as a share: the root of the sum of both squares."""
    return math.hypot(of_torque, of_friction)


def bounds(middle: float, share: float) -> tuple[float, float]:
    """The least and the most of a value that scatters by a share either way."""
    if not 0 <= share < 1:
        raise Refused(f"a scatter of {100 * share:g} % can't be; it must be from 0 to under 100 %")
    return middle * (1 - share), middle * (1 + share)


def room_under_bolt(length: float, stack: float, depth: float) -> float:
    """Thread left below a tightened bolt, in one unit; negative: it bottoms and clamps nothing.

    `length` under the head, `stack` all that is clamped, `depth` the usable thread of the hole.
    """
    positive(length=length, stack=stack, depth=depth)
    return depth - (length - stack)


def room_above_shank(length: float, stack: float, thread: float) -> float:
    """Stack left above the plain shank; negative: the shank meets the hole, nothing is clamped."""
    positive(length=length, stack=stack, thread_length=thread)
    if thread > length:
        raise Refused(f"thread is {thread:g}, longer than the bolt of {length:g}; measure again")
    return stack - (length - thread)


CLAMP_INPUTS = (
    Input("torque", "torque on the wrench", "torque", "Nm"),
    Input("diameter", "thread diameter", "length", "mm"),
    Input("pitch", "thread pitch, metric threads", "length", "mm", optional=True),
    Input("threads", "threads per inch, inch threads", "", "", optional=True),
    Input("grade", "grade on the head: 2, 5, 8, 8.8, 10.9, 12.9", "", "", optional=True),
    Input("factor", "nut factor: 0.20 dry, 0.15 oiled", "", "", usual=DRY, source=_TABLE),
    Input("friction", "scatter of the friction", "share", "%", usual=25.0, source=_SCATTER),
    Input("wrench", "how far the wrench may be off", "share", "%", usual=4.0, source="memory"),
    Input("wanted", "clamp load wanted", "force", "N", optional=True),
)


def _clamp(values: Values) -> Worked:
    given = Given(CLAMP_INPUTS, values)
    width, factor = given.one("diameter") / 1000, given.one("factor")
    load = clamp_load(given.one("torque"), factor, width)
    share = scatter(given.one("wrench") / 100, given.one("friction") / 100)
    least, most = bounds(load, share)
    oiled = clamp_load(given.one("torque"), min(OILED, factor), width)
    proof = _proof_load(given)
    verdict = None if proof is None else prove(load, load * share, None, proof)
    figures = (
        Figure("clamp load", load, "N", load * share),
        Figure("clamp load, same torque on oiled threads", oiled, "N", oiled * share),
        *_wanted(given.perhaps("wanted"), factor, width),
    )
    steps, more = _against_proof(load, proof, torque_for(1.0, factor, width))
    return Worked(
        title="Clamp load of a torque",
        formula="clamp load = torque / (nut factor x diameter); "
        "scatter = root of (wrench^2 + friction^2); proof load = stress area x proof strength",
        steps=(f"{given.one('torque'):g} N.m / ({factor:g} x {width:g} m) = {load:.0f} N", *steps),
        figures=figures + more,
        verdict=verdict,
        says=_clamp_says((load, least, most), oiled * (1 + share), proof, verdict),
        source=_TABLE,
        settles="Make the threads as the torque is meant for, dry or oiled, or measure how much "
        "longer the bolt gets."
        if verdict == UNDECIDED
        else None,
        caution="Not for bolts tightened by angle or to yield. Use the torque with threads as its "
        "table means them. A bolt that bottoms reads full torque and clamps nothing.",
        shows=_clamp_shows(load, oiled, share, proof),
    )


def _clamp_shows(
    load: float, oiled: float, share: float, proof: float | None
) -> tuple[Picture, ...]:
    if proof is None:
        return ()
    loads = Known("clamp load", load, load * share), Known("if oiled", oiled, oiled * share)
    return (OnBand("Clamp load", "N", loads, (Limits("under proof load", None, proof),)),)


def _wanted(load: float | None, factor: float, width: float) -> tuple[Figure, ...]:
    if load is None:
        return ()
    return (Figure("torque for the clamp load wanted", torque_for(load, factor, width), "Nm"),)


def _proof_load(given: Given) -> float | None:
    """Proof load in N, or None where no grade is given."""
    grade, pitch, threads = (given.perhaps(n) for n in ("grade", "pitch", "threads"))
    if grade is None:
        return None
    if (pitch is None) == (threads is None):
        raise Refused("the grade needs the thread: give either pitch or threads (per inch)")
    diameter = given.one("diameter")
    strength = proof_strength(grade, diameter)
    if threads is None:
        return strength * stress_area_metric(diameter, pitch or 0.0)
    return strength * stress_area_inch(diameter / 25.4, threads) * 25.4**2


def _against_proof(
    load: float, proof: float | None, torque_each: float
) -> tuple[tuple[str, ...], tuple[Figure, ...]]:
    if proof is None:
        return (), ()
    share = 100 * load / proof
    return (f"{load:.0f} N / proof load {proof:.0f} N = {share:.0f} %",), (
        Figure("proof load", proof, "N"),
        Figure("clamp load as a share of proof", share, "%"),
        Figure("torque for 75 % of proof, these threads", 0.75 * proof * torque_each, "Nm"),
    )


def _clamp_says(
    loads: tuple[float, float, float], oiled: float, proof: float | None, verdict: str | None
) -> str:
    middle, least, most = (f"{_two(load)} N ({_two(load / _POUND)} lbf)" for load in loads)
    said = f"The bolt clamps with about {middle}, anywhere from {least} to {most}"
    if verdict == FAILS:
        return said + ", which stretches it for good: fit a new one and less torque."
    if verdict == UNDECIDED:
        return said + ", so it may be stretched for good."
    if proof is not None and oiled > proof:
        return said + "; on oiled threads the same torque could stretch it for good."
    return said + "."


def _two(value: float) -> str:
    """A number to two figures, as finely as a clamp load is ever known."""
    return f"{float(f'{value:.2g}'):.0f}"


REACH_INPUTS = (
    Input("length", "bolt length under the head", "length", "mm"),
    Input("stack", "thickness of all it clamps, washers too", "length", "mm"),
    Input("depth", "usable thread of the hole, from its face", "length", "mm"),
    Input("thread", "length of thread on the bolt", "length", "mm", optional=True),
    Input("diameter", "thread diameter", "length", "mm", optional=True),
    Input("grip", "diameters of thread to be in the hole", "", "", usual=1.0, source="memory"),
    Input("doubt", "how far each length may be off", "length", "mm", usual=0.5, source="memory"),
)


def _reach(values: Values) -> Worked:
    given = Given(REACH_INPUTS, values)
    rooms, steps = _rooms(given)
    where = min(rooms, key=lambda place: rooms[place])
    doubt = math.sqrt(3) * given.one("doubt")  # three lengths make one room
    verdict = prove(rooms[where], doubt, 0.0, None)
    return Worked(
        title="Torqued but not clamping",
        formula="in the hole = length - stack; room below = depth - in the hole; "
        "room above the shank = stack - (length - thread)",
        steps=steps,
        figures=(
            *(Figure(place, room, "mm", doubt) for place, room in rooms.items()),
            *_bolts_that_clamp(given, doubt),
        ),
        verdict=verdict,
        says=_REACH_SAYS[where] if verdict == FAILS else _REACH_SAYS[verdict],
        source="common-practice",
        settles="Run the bolt in by hand without the parts: the gap left under its head must be "
        "well under the thickness of the parts."
        if verdict == UNDECIDED
        else None,
        caution="Oil, dirt or a chip in a blind hole takes room too. An end play read with a bolt "
        "that does not clamp is no reading.",
        shows=(
            OnBand(
                "Room for the bolt",
                "mm",
                tuple(Known(place, room, doubt) for place, room in rooms.items()),
                (Limits("clamps", 0.0, None),),
            ),
        ),
    )


def _bolts_that_clamp(given: Given, doubt: float) -> tuple[Figure, ...]:
    """The longest bolt that does not bottom for sure, and the shortest that grips enough."""
    stack = given.one("stack")
    longest = Figure("longest bolt that clamps", stack + given.one("depth") - doubt, "mm")
    diameter = given.perhaps("diameter")
    if diameter is None:
        return (longest,)
    shortest = stack + given.one("grip") * diameter + doubt
    return (longest, Figure("shortest bolt that clamps", shortest, "mm"))


_BELOW, _SHANK, _SPARE = (
    "room under the bolt end",
    "room above the plain shank",
    "thread in the hole beyond the least",
)
_REACH_SAYS = {
    CONFORMS: "Nothing stops the bolt before its head clamps the parts.",
    UNDECIDED: "These lengths are too near for telling whether the bolt clamps.",
    _BELOW: "The bolt bottoms in its hole before its head clamps: full torque, nothing held.",
    _SHANK: "The plain shank meets the hole before the head clamps: full torque, nothing held.",
    _SPARE: "Too little thread goes into the hole; it can strip before it clamps.",
}


def _rooms(given: Given) -> tuple[dict[str, float], tuple[str, ...]]:
    """Each room by its name in mm, all to be above zero, and the steps to them."""
    length, stack, depth = given.one("length"), given.one("stack"), given.one("depth")
    inside, below = length - stack, room_under_bolt(length, stack, depth)
    rooms = {_BELOW: below, _SPARE: inside - given.one("grip") * (given.perhaps("diameter") or 0.0)}
    steps = [
        f"thread in the hole: {length:g} - {stack:g} = {inside:.2f} mm",
        f"room under the bolt end: {depth:g} - {inside:.2f} = {below:.2f} mm",
    ]
    thread = given.perhaps("thread")
    if thread is not None:
        rooms[_SHANK] = room_above_shank(length, stack, thread)
        steps.append(
            f"room above the shank: {stack:g} - ({length:g} - {thread:g}) = {rooms[_SHANK]:.2f} mm"
        )
    return rooms, tuple(steps)


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation("clamp", "Clamp load of a torque", CLAMP_INPUTS, _clamp),
    Calculation("bolt-reach", "Torqued but not clamping", REACH_INPUTS, _reach),
)

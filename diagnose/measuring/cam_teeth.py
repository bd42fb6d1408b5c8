"""What one tooth of the cam drive is worth, and how many teeth a cam is out by.

Angles are crank degrees unless said otherwise; the cam turns half as far. Knows no case.

    36 teeth on the cam gear: 20 crank degrees a tooth. 21 late: one tooth.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from diagnose.measuring.asking import Given, if_open, positive
from diagnose.measuring.shown import Known, Limits, OnBand
from diagnose.measuring.worked import (
    UNDECIDED,
    Calculation,
    Figure,
    Input,
    Refused,
    Values,
    Worked,
)

HOLES = (
    "Timing chain inspection, "
    "https://forum.viva-lancia.com/viewtopic.php?start=10&t=5957&view=print"
)
MARKS = (
    "Timing chain cycle vs sprocket marker position, https://mechanics.stackexchange.com/"
    "questions/19414/timing-chain-cycle-vs-sprocket-marker-position"
)
IN_TIME, NO_TOOTH = "in time", "no whole tooth"
_SIDE = -360.0  # a cam that is early is late by less than nothing


def tooth(cam_teeth: float) -> float:
    """Return what one tooth is worth in crank degrees: 720 / teeth of the cam gear.

    Half as many crank teeth give the same: 360 / teeth of the crank gear. Plain arithmetic.
    """
    _whole(cam_teeth=cam_teeth)
    return 720 / cam_teeth


def crank_degrees(cam_degrees: float) -> float:
    """Return crank degrees for cam degrees: twice as many."""
    return 2 * cam_degrees


def hole_positions(gear_holes: float, cam_holes: float) -> int:
    """Return how many positions two rings of holes give: the least common multiple. By HOLES."""
    _whole(gear_holes=gear_holes, cam_holes=cam_holes)
    return math.lcm(round(gear_holes), round(cam_holes))


def marks_return(links: float, cam_teeth: float) -> tuple[int, int]:
    """Return the turns of chain and crank until the marks on chain and gear meet. Source: MARKS."""
    _whole(links=links, cam_teeth=cam_teeth)
    pitches = math.lcm(round(links), round(cam_teeth))
    return pitches // round(links), 2 * pitches // round(cam_teeth)


def _whole(**counts: float) -> None:
    positive(**counts)
    for name, count in counts.items():
        if count != round(count):
            raise Refused(f"{name.replace('_', '-')} is {count:g}; give a whole number, counted")


TOOTH_INPUTS = (
    Input("cam-teeth", "teeth of the cam gear", "", ""),
    Input("late", "how late the cam is, in crank degrees", "angle", "deg", optional=True),
    Input("doubt", "how far that may be off", "angle", "deg", usual=4.0, source="memory"),
    Input("links", "links of the whole chain", "", "", optional=True),
    Input("gear-holes", "holes of the gear, for a vernier", "", "", optional=True),
    Input("cam-holes", "holes of the cam, for a vernier", "", "", optional=True),
)


def _tooth(values: Values) -> Worked:
    given = Given(TOOTH_INPUTS, values)
    teeth, late, doubt = given.one("cam-teeth"), given.perhaps("late", _SIDE), given.one("doubt")
    one = tooth(teeth)
    verdict, says = (None, "") if late is None else teeth_off(late, one, doubt)
    return Worked(
        title="What one tooth is worth",
        formula="one tooth = 720 / cam teeth in crank degrees, half that in cam degrees",
        steps=(f"720 / {teeth:g} = {one:.2f} crank deg = {one / 2:.2f} cam deg",),
        figures=(
            Figure("one tooth, crank degrees", one, "deg"),
            Figure("one tooth, cam degrees", one / 2, "deg"),
            *(() if late is None else (Figure("teeth off", late / one, "", doubt / one),)),
            *_rarer(given, teeth),
        ),
        verdict=verdict,
        says=f"One tooth is {one:.1f} crank degrees or {one / 2:.1f} cam degrees.{says}",
        source=f"memory (arithmetic) ; holes: {HOLES} ; marks: {MARKS}",
        settles=if_open(verdict, "Find the centreline with wheel and dial; look at the marks."),
        caution="Count the teeth of this gear. A stretched chain makes the cam late by a few "
        "degrees without any tooth being wrong.",
        shows=() if late is None else (_shown(late, one, doubt),),
    )


def _shown(late: float, one: float, doubt: float) -> OnBand:
    """How late the cam is, between the whole teeth on both sides of it and none."""
    near = {0, math.floor(late / one), math.ceil(late / one)}
    limits = tuple(Limits(_count(n), n * one, n * one) for n in sorted(near))
    return OnBand("Cam late, crank degrees", "deg", (Known("late", late, doubt),), limits)


def _count(teeth: int) -> str:
    if not teeth:
        return "in time"
    word = "tooth" if abs(teeth) == 1 else "teeth"
    return f"{abs(teeth)} {word} {'late' if teeth > 0 else 'early'}"


def teeth_off(late: float, one: float, doubt: float) -> tuple[str, str]:
    """Return the verdict and sentence for a cam `late` degrees, right to `doubt`, one tooth `one`.

    A whole number of teeth within the doubt, or none; UNDECIDED where two would do.
    """
    positive(one_tooth=one)
    near = [n for n in range(-40, 41) if abs(late - n * one) <= doubt]
    if not near:
        return NO_TOOTH, " So late is no whole tooth: look for keys, dowels and stretch."
    if len(near) > 1:
        return UNDECIDED, " That fits several counts of teeth, so it tells nothing yet."
    count, way = abs(near[0]), "late" if near[0] > 0 else "early"
    if not count:
        return IN_TIME, " What was measured is far less than a tooth: no tooth is wrong."
    word = "tooth" if count == 1 else "teeth"
    return f"{count} {word} {way}", f" So the cam is {count} {word} {way}."


def _rarer(given: Given, teeth: float) -> Iterator[Figure]:
    """When the marks of a chain meet again, and what a ring of holes allows."""
    links, gear, cam = (given.perhaps(name) for name in ("links", "gear-holes", "cam-holes"))
    if links is not None:
        chain, crank = marks_return(links, teeth)
        yield Figure("turns of the chain until the marks meet", chain, "")
        yield Figure("turns of the crank until the marks meet", crank, "")
    if gear is not None and cam is not None:
        positions = hole_positions(gear, cam)
        yield Figure("positions of the holes", positions, "")
        yield Figure("one position, crank degrees", crank_degrees(360 / positions), "deg")


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation("tooth", "What one tooth is worth", TOOTH_INPUTS, _tooth),
)

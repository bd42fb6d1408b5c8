"""How far to turn what is set by hand: the nut of a rocker, a distributor, a cam in its drive.

An adjuster is worked from its thread and, on a stud, the rocker ratio; an angle is told in crank
degrees and in the half of them that cam and distributor turn. Knows no case, prints nothing.

    lash 10 thou too wide, screw of 24 threads at the pushrod end, ratio 1.5: 0.16 turn in.
"""

from __future__ import annotations

import math

from diagnose.measuring.asking import Given, if_open, positive, prove
from diagnose.measuring.cam_teeth import HOLES
from diagnose.measuring.fitting import Wanted, wanted_of
from diagnose.measuring.lifters import (
    PUSHROD_END,
    STUD,
    TURNS,
    nut_angle,
    plunger_travel,
    thread_pitch,
)
from diagnose.measuring.shown import Known, Limits, OnBand
from diagnose.measuring.worked import Calculation, Figure, Input, Refused, Values, Worked

AT_PLUNGER, AT_VALVE = 1.0, 2.0
LATER, EARLIER = 1.0, 2.0
_LEAST_ANGLE = -360.0  # an angle may be after top, or early


def lash_travel(travel: float, ratio: float, on_stud: bool) -> float:
    """Return how far lash at the valve moves for a travel of the adjuster, in its unit.

    A screw at the pushrod end moves that end alone: travel x ratio. A nut on the stud moves the
    pivot while the pushrod end is held: travel x (1 + ratio), the ratio times what a plunger makes
    of it. Derived; no page prints a worked example.

    >>> round(lash_travel(10.0, 1.5, on_stud=False), 1), round(lash_travel(10.0, 1.5, True), 1)
    (15.0, 25.0)
    """
    positive(ratio=ratio)
    return travel * (1 + ratio if on_stud else ratio)


ADJUSTER = (
    Input("measured", "lash or preload as it is", "length", "thou"),
    Input("measured-doubt", "how far that may be wrong, either way", "length", "thou", usual=1.0,
          source="memory"),
    Input("target-low", "least wanted", "length", "thou", optional=True),
    Input("target-high", "most wanted", "length", "thou", optional=True),
    Input("what", "1 for preload at the plunger, 2 for lash at the valve", "", ""),
    Input("place", "1 for a nut on stud or pedestal, 2 for a screw at the pushrod end", "", "",
          usual=STUD, source="common-practice"),
    Input("threads", "threads per inch of its thread", "", "", optional=True),
    Input("pitch", "pitch of its thread, if metric", "length", "mm", optional=True),
    Input("ratio", "rocker ratio", "", "", usual=1.5, source="common-practice"),
)  # fmt: skip


def _adjuster(values: Values) -> Worked:
    given = Given(ADJUSTER, values)
    read, doubt, wanted = given.one("measured"), given.one("measured-doubt"), wanted_of(given)
    what, each = given.one("what"), _moves(given)
    aim = wanted.aim(doubt)
    travel, u = (aim - read) / each, doubt / each
    way = _way(travel, what)
    turns = _turns(given, abs(travel), u)
    name = "preload" if what == AT_PLUNGER else "lash"
    return Worked(
        title="How far to turn an adjuster",
        formula="travel of the adjuster = change wanted / what one of travel moves (preload: "
        "1 + 1 / ratio for a nut on the stud, 1 for a screw at the pushrod end; lash: 1 + ratio "
        "and ratio); turns = travel / pitch",
        steps=(
            f"change wanted: {aim:.4g} - {read:g} = {aim - read:+.4g} thou",
            f"travel: {abs(aim - read):.4g} / {each:.4g} = {abs(travel):.2f} thou {way}",
            *(f"turns: {abs(travel):.2f} / pitch = {t.value:.2f}" for t in turns[:1]),
        ),
        figures=(Figure("travel of the adjuster", abs(travel), "thou", u), *turns),
        verdict=None,
        says=_adjuster_says((name, read, aim), wanted, (travel, u, way), turns),
        source=f"{TURNS} (angle) ; ratio: memory (derived)",
        caution="Set it with that valve shut, then read it again: turns only bring it near. "
        + ("Let the lifter bleed down between." if what == AT_PLUNGER else "Lock the nut last."),
        shows=(_now_and_wanted(name, "thou", Known(name, read, doubt), wanted),),
    )


def _moves(given: Given) -> float:
    """How far the reading moves for one of the adjuster's travel."""
    what, place, ratio = given.one("what"), given.one("place"), given.one("ratio")
    if what not in (AT_PLUNGER, AT_VALVE):
        raise Refused(f"what is {what:g}; give 1 for preload at the plunger, 2 for lash")
    if place not in (STUD, PUSHROD_END):
        raise Refused(f"place is {place:g}; give 1 for a nut on the stud, 2 for the pushrod end")
    if what == AT_VALVE:
        return lash_travel(1.0, ratio, place == STUD)
    return plunger_travel(1.0, ratio if place == STUD else None)


def _way(travel: float, what: float) -> str:
    """Screwed in, an adjuster adds preload and takes lash away."""
    return "in" if (travel > 0) == (what == AT_PLUNGER) else "out"


def _turns(given: Given, travel: float, doubt: float) -> tuple[Figure, ...]:
    """The turns of it, where its thread is known."""
    if given.perhaps("threads") is None and given.perhaps("pitch") is None:
        return ()
    pitch = thread_pitch(given)
    angle, angle_doubt = (nut_angle(t, pitch) for t in (travel, doubt))
    return (
        Figure("turns", angle / 360, "", angle_doubt / 360),
        Figure("degrees", angle, "deg", angle_doubt),
    )


def _adjuster_says(
    reading: tuple[str, float, float],
    wanted: Wanted,
    travel: tuple[float, float, str],
    turns: tuple[Figure, ...],
) -> str:
    (name, read, aim), (far, doubt, way) = reading, travel
    if wanted.holds(read):
        return f"The {name} of {read:.4g} thou lies in the {wanted.text} wanted; leave it."
    goes = f"{abs(far):.1f} thou of travel bring the {name} from {read:.4g} to {aim:.4g}"
    if not turns:
        return (
            f"Turn it {way}: {goes}, give or take {doubt:.1f}; count its threads per inch for the "
            "turns."
        )
    turn, degrees = turns
    return (
        f"Turn it {way} {turn.value:.2f} of a turn ({degrees.value:.0f} degrees, give or take "
        f"{degrees.u or 0.0:.0f}): {goes}."
    )


ANGLE = (
    Input("measured", "the angle as it is, in crank degrees", "angle", "deg"),
    Input("measured-doubt", "how far that may be wrong, either way", "angle", "deg", usual=1.0,
          source="memory"),
    Input("target-low", "least wanted, in crank degrees", "angle", "deg", optional=True),
    Input("target-high", "most wanted, in crank degrees", "angle", "deg", optional=True),
    Input("more-is", "1 if more degrees are later (a cam late), 2 if earlier (a spark before top)",
          "", ""),
    Input("offsets", "offset keys or bushes at hand, in crank degrees", "angle", "deg", many=True,
          optional=True),
    Input("rim", "diameter of the damper with the mark", "length", "in", optional=True),
)  # fmt: skip


def _angle(values: Values) -> Worked:
    given = Given(ANGLE, values)
    read, doubt = given.one("measured", _LEAST_ANGLE), given.one("measured-doubt")
    wanted, more = wanted_of(given, _LEAST_ANGLE), given.one("more-is")
    if more not in (LATER, EARLIER):
        raise Refused(f"more-is is {more:g}; give 1 if more degrees are later, 2 if earlier")
    aim = wanted.aim(doubt, least=_LEAST_ANGLE)
    turn = aim - read
    way = "later" if (turn > 0) == (more == LATER) else "earlier"
    offset = _offset(given, abs(turn))
    leaves = aim if offset is None else read + math.copysign(offset, turn)
    verdict = None if offset is None else prove(leaves, doubt, wanted.low, wanted.high)
    across = given.perhaps("rim")
    figures = [
        Figure("change, crank degrees", turn, "deg", doubt),
        Figure("change, cam or distributor degrees", turn / 2, "deg", doubt / 2),
    ]
    if across is not None:
        positive(rim=across)
        figures.append(Figure("on the rim of the damper", on_rim(across, abs(turn)), "in",
                              on_rim(across, doubt)))  # fmt: skip
    if offset is not None:
        figures.append(Figure("offset to fit", offset, "deg"))
    return Worked(
        title="How far to turn cam or distributor",
        formula="change = target - reading in crank degrees; cam and distributor turn half of it; "
        "on the rim of the damper: pi x diameter x change / 360",
        steps=(f"{aim:.4g} - {read:g} = {turn:+.4g} crank deg = {turn / 2:+.4g} at the cam",),
        figures=(*figures, Figure("reading then", leaves, "deg", doubt)),
        verdict=verdict,
        says=_angle_says(read, wanted, (turn, doubt, way), offset, leaves),
        source=f"memory (arithmetic) ; crank and cam degrees: {HOLES}",
        settles=if_open(verdict, "Set it, then read it again with the finer mark or wheel."),
        caution="Prove the mark true with a stop in number one before it is trusted.",
        shows=(_now_and_wanted("Angle", "deg", Known("now", read, doubt), wanted),),
    )


def on_rim(diameter: float, degrees: float) -> float:
    """Return how far a mark moves on a rim of this diameter, in its unit. Plain geometry."""
    return math.pi * diameter * degrees / 360


def _offset(given: Given, turn: float) -> float | None:
    """The offset at hand nearest to the change, none where doing without is nearer."""
    offsets = given.row("offsets")
    near = min(offsets, key=lambda each: abs(each - turn), default=0.0)
    return near if offsets and abs(near - turn) < turn else None


def _angle_says(
    read: float,
    wanted: Wanted,
    turn: tuple[float, float, str],
    offset: float | None,
    leaves: float,
) -> str:
    far, doubt, way = turn
    if wanted.holds(read):
        return f"The angle of {read:.4g} degrees lies in the {wanted.text} wanted; leave it."
    says = (
        f"Turn it {abs(far):.1f} crank degrees {way}, give or take {doubt:.1f}: "
        f"{abs(far) / 2:.1f} degrees at cam or distributor"
    )
    if offset is None:
        return f"{says}."
    return f"{says}. The nearest offset is {offset:g} and leaves it at {leaves:.1f}."


def _now_and_wanted(title: str, unit: str, value: Known, wanted: Wanted) -> OnBand:
    return OnBand(f"{title[0].upper()}{title[1:]}", unit, (value,), (Limits("wanted", *wanted),))


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation("adjuster", "How far to turn an adjuster", ADJUSTER, _adjuster),
    Calculation("angle-to-set", "How far to turn cam or distributor", ANGLE, _angle),
)

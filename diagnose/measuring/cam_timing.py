"""Degreeing a cam: centreline, true top dead centre, and what one tooth of the drive is worth.

Angles are crank degrees unless said otherwise; the cam turns half as far. Intake angles count from
top dead centre on, exhaust angles back from it. Knows no case, prints nothing.

    60 and 145.5 at one lift: centreline 102.75. Stops at 36.75 and 35.25: zero is 0.75 off.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from diagnose.measuring.asking import Given, if_open, positive, prove
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

WHEEL = "Degree wheel, https://blog.decatech.com/how-to-wos/degree-wheel-murah-5f8779"
EVENTS = (
    "How to figure out the intake centerline by just using cam card specs, "
    "https://www.onallcylinders.com/2023/07/26/ask-away-with-jeff-smith-how-to-figure-out-the-"
    "intake-centerline-by-just-using-cam-card-specs/"
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


class Lobe(NamedTuple):
    """How long a lobe holds its valve open, and where its middle lies, in crank degrees."""

    duration: float
    centreline: float


class Top(NamedTuple):
    """What both stops should read about true top dead centre, and where that lies on the wheel.

    `offset` is above zero after the wheel's zero, below zero before it.
    """

    each: float
    offset: float


def centreline(before: float, after: float) -> float:
    """Return the middle of a lobe from two wheel readings at one and the same lift.

    Angles counted one way from top dead centre: below zero on its other side. Source: WHEEL.

    >>> centreline(60, 145.5)
    102.75
    """
    if not math.isfinite(before + after) or after <= before:
        raise Refused(
            f"the reading after full lift ({after:g}) must be beyond the one before it "
            f"({before:g}); count on past zero, with readings before top dead centre below zero"
        )
    return (before + after) / 2


def intake_lobe(opens: float, closes: float) -> Lobe:
    """Return duration and centreline (after top dead centre) of an intake lobe.

    `opens` before top, `closes` after bottom dead centre, below zero on the other side; symmetrical
    lobes: duration = opens + 180 + closes, centreline = duration / 2 - opens. Source: EVENTS.
    """
    duration = _duration(opens, closes)
    return Lobe(duration, duration / 2 - opens)


def exhaust_lobe(opens: float, closes: float) -> Lobe:
    """Return duration and centreline (before top dead centre) of an exhaust lobe.

    `opens` before bottom, `closes` after top dead centre; duration = opens + 180 + closes,
    centreline = duration / 2 - closes. Source: EVENTS.
    """
    duration = _duration(opens, closes)
    return Lobe(duration, duration / 2 - closes)


def _duration(opens: float, closes: float) -> float:
    duration = opens + 180 + closes
    if not 0 < duration < 720:
        raise Refused(
            f"a lobe that opens at {opens:g} and closes at {closes:g} lasts {duration:g} degrees; "
            "it must last more than 0 and less than 720"
        )
    return duration


def lobe_separation(intake: float, exhaust: float) -> float:
    """Return the lobe separation in cam degrees: (intake + exhaust centreline) / 2."""
    return (intake + exhaust) / 2


def true_top(before: float, after: float) -> Top:
    """Return true top dead centre from the wheel readings at a piston stop, one on each side.

    Both counted from the wheel's zero, `before` before it and `after` after it: true top dead
    centre is the mid-point. Source: WHEEL.

    >>> true_top(36.75, 35.25)
    Top(each=36.0, offset=-0.75)
    """
    if not 0 < before + after < 360:
        raise Refused(
            f"stops at {before:g} before and {after:g} after zero can't be; count each from the "
            "wheel's zero to its own side, together less than 360"
        )
    return Top((before + after) / 2, (after - before) / 2)


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


CENTRELINE_INPUTS = (
    Input("before", "at one lift, going up, after top", "angle", "deg", many=True, optional=True),
    Input("after", "at the same lift, going down", "angle", "deg", many=True, optional=True),
    Input("opens", "intake opens, before top dead centre", "angle", "deg", optional=True),
    Input("closes", "intake closes, after bottom dead centre", "angle", "deg", optional=True),
    Input("exhaust-opens", "exhaust opens, before bottom", "angle", "deg", optional=True),
    Input("exhaust-closes", "exhaust closes, after top", "angle", "deg", optional=True),
    Input("card", "intake centreline by the cam card", "angle", "deg", optional=True),
    Input("allowed", "most it may be off the card", "angle", "deg", usual=2.0, source="memory"),
    Input("doubt", "how far the middle may be off", "angle", "deg", usual=1.0, source="memory"),
)
_SIDE = -360.0  # angles on the other side of dead centre are below zero


class _Found(NamedTuple):
    """Steps and figures of one way to a centreline, and the centreline itself."""

    steps: tuple[str, ...] = ()
    figures: tuple[Figure, ...] = ()
    middle: float | None = None
    spread: float = 0.0


def _by_readings(given: Given, doubt: float) -> _Found:
    before, after = given.row("before", _SIDE), given.row("after", _SIDE)
    if len(before) != len(after):
        raise Refused(
            f"before has {len(before)} readings and after {len(after)}; give one of each per lift"
        )
    if not before:
        return _Found()
    found = tuple(map(centreline, before, after))
    middle = sum(found) / len(found)
    triples = zip(before, after, found, strict=True)
    return _Found(
        tuple(f"({first:g} + {last:g}) / 2 = {each:.2f} deg" for first, last, each in triples),
        (Figure("intake centreline", middle, "deg", doubt),),
        middle,
        max(found) - min(found),
    )


def _by_events(given: Given, mark: str = "") -> _Found:
    """The intake lobe by its events, or the exhaust lobe where the inputs are so marked."""
    names = f"{mark}opens", f"{mark}closes"
    opens, closes = (given.perhaps(name, _SIDE) for name in names)
    if opens is None and closes is None:
        return _Found()
    if opens is None or closes is None:
        raise Refused(f"{names[opens is not None]} is missing; {' and '.join(names)} go together")
    lobe = exhaust_lobe(opens, closes) if mark else intake_lobe(opens, closes)
    kind, nearer = ("exhaust", closes) if mark else ("intake", opens)
    return _Found(
        (
            f"{kind}: {opens:g} + 180 + {closes:g} = {lobe.duration:g} deg; "
            f"{lobe.duration:g} / 2 - {nearer:g} = {lobe.centreline:g} deg",
        ),
        (
            Figure(f"{kind} duration", lobe.duration, "deg"),
            Figure(f"{kind} centreline by its events", lobe.centreline, "deg"),
        ),
        lobe.centreline,
    )


def _centreline(values: Values) -> Worked:
    given = Given(CENTRELINE_INPUTS, values)
    doubt, allowed, card = given.one("doubt"), given.one("allowed"), given.perhaps("card", _SIDE)
    read = _by_readings(given, doubt)
    ways = (read, _by_events(given), _by_events(given, "exhaust-"))
    if not any(way.figures for way in ways):
        raise Refused("before is missing; give before and after, or opens and closes")
    intake = ways[1].middle if read.middle is None else read.middle
    if card is not None and intake is None:
        raise Refused("card is the intake's; give before and after, or opens and closes, with it")
    late = None if card is None or intake is None else intake - card
    judged = late is not None and read.middle is not None
    verdict = prove(late or 0.0, doubt, -allowed, allowed) if judged else None
    figures = [figure for way in ways for figure in way.figures]
    if ways[1].middle is not None and ways[2].middle is not None:
        apart = lobe_separation(ways[1].middle, ways[2].middle)
        figures.append(Figure("lobe separation, cam degrees", apart, "deg"))
    if late is not None:
        figures.append(Figure("cam late (below zero: early)", late, "deg", doubt))
    return Worked(
        title="Cam centreline, intake valve",
        formula="centreline = (before + after) / 2 at one lift; by events duration = opens + 180 + "
        "closes, intake duration / 2 - opens, exhaust duration / 2 - closes",
        steps=tuple(step for way in ways for step in way.steps),
        figures=tuple(figures),
        verdict=verdict,
        says=_centreline_says(intake, late),
        source=f"{WHEEL} (re-worded copy) ; {EVENTS}",
        settles=if_open(verdict, "Find true top dead centre by a stop, read at three lifts."),
        caution="Turn the crank forwards only up to each reading, so that chain slack stays on one "
        "side; set the wheel by a piston stop first. Events serve for symmetrical lobes only."
        + (_WANDERS.format(read.spread) if read.spread > 2 * doubt else ""),
    )


_WANDERS = " The middle wanders by {:.1f} degrees between lifts: odd lobe, or a dial that slipped."


def _centreline_says(intake: float | None, late: float | None) -> str:
    if intake is None:
        return "The exhaust lobe is worked out; the intake's events would give the separation."
    said = f"The intake lobe is at full lift {intake:.1f} degrees after top dead centre"
    way = "late" if late and late > 0 else "early"
    return f"{said}." if late is None else f"{said}: {abs(late):.1f} degrees {way} by the card."


TOP_INPUTS = (
    Input("before", "at the stop, before the wheel's zero", "angle", "deg", many=True),
    Input("after", "at the stop, after the wheel's zero", "angle", "deg", many=True),
    Input("mark", "wheel with the damper's mark at zero", "angle", "deg", optional=True),
    Input("allowed", "most the mark may be off", "angle", "deg", usual=2.0, source="memory"),
    Input("doubt", "how far one reading may be off", "angle", "deg", usual=0.5, source="memory"),
)


def _top(values: Values) -> Worked:
    given = Given(TOP_INPUTS, values)
    before, after = given.row("before", _SIDE), given.row("after", _SIDE)
    one, other = sum(before) / len(before), sum(after) / len(after)
    found, u = true_top(one, other), given.one("doubt") / math.sqrt(2)
    side = "before" if found.offset < 0 else "after"
    figures, verdict, more = _mark(given, found, u)
    return Worked(
        title="Piston stop",
        formula="each stop = (before + after) / 2; true top dead centre = (after - before) / 2",
        steps=(
            f"({one:g} + {other:g}) / 2 = {found.each:.2f} deg each side",
            f"({other:g} - {one:g}) / 2 = {found.offset:.2f} deg after the wheel's zero",
        ),
        figures=(
            Figure("what each stop should read", found.each, "deg", u),
            Figure("true top dead centre after the wheel's zero", found.offset, "deg", u),
            *figures,
        ),
        verdict=verdict,
        says=f"True top dead centre is {abs(found.offset):.2f} degrees {side} the wheel's zero: "
        f"set the pointer so that both stops read {found.each:.2f}.{more}",
        source=f"{WHEEL} (re-worded copy)",
        settles=if_open(verdict, "Read stops and mark again with a larger wheel, finer pointer."),
        caution="Turn the crank by hand and gently onto the stop, with the plugs out; take the "
        "stop out before the engine is turned through.",
    )


def _mark(given: Given, top: Top, u: float) -> tuple[tuple[Figure, ...], str | None, str]:
    mark, allowed = given.perhaps("mark", _SIDE), given.one("allowed")
    if mark is None:
        return (), None, ""
    wrong, doubt = mark - top.offset, math.hypot(u, given.one("doubt"))
    verdict, way = prove(wrong, doubt, -allowed, allowed), "late" if wrong > 0 else "early"
    says = f" The damper's mark is {abs(wrong):.1f} degrees {way}{_MARK_SAYS[verdict]}"
    return (Figure("mark after true top dead centre", wrong, "deg", doubt),), verdict, says


_MARK_SAYS = {
    CONFORMS: ": good enough to time by.",
    FAILS: ": the damper's ring has slipped, or its pointer is wrong.",
    UNDECIDED: ", which this reading can't settle.",
}
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
    )


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
    Calculation("centreline", "Cam centreline, intake valve", CENTRELINE_INPUTS, _centreline),
    Calculation("top-dead-centre", "True top dead centre", TOP_INPUTS, _top),
    Calculation("tooth", "What one tooth is worth", TOOTH_INPUTS, _tooth),
)

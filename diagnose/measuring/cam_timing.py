"""Degreeing a cam: centreline and true top dead centre.

Angles are crank degrees unless said otherwise; the cam turns half as far. Intake angles count from
top dead centre on, exhaust angles back from it. Knows no case, prints nothing.

    60 and 145.5 at one lift: centreline 102.75. Stops at 36.75 and 35.25: zero is 0.75 off.
"""

from __future__ import annotations

import math

from diagnose.measuring.asking import Given, if_open, prove
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

WHEEL = "Degree wheel, https://blog.decatech.com/how-to-wos/degree-wheel-murah-5f8779"
EVENTS = (
    "How to figure out the intake centerline by just using cam card specs, "
    "https://www.onallcylinders.com/2023/07/26/ask-away-with-jeff-smith-how-to-figure-out-the-"
    "intake-centerline-by-just-using-cam-card-specs/"
)


class Lobe(Named):
    """How long a lobe holds its valve open, and where its middle lies, in crank degrees."""

    duration: float
    centreline: float


class Top(Named):
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


class _Found(Named):
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
        shows=late_on_band("Cam late by the card (below zero: early)", late, doubt, allowed)
        if judged
        else (),
    )


_WANDERS = " The middle wanders by {:.1f} degrees between lifts: odd lobe, or a dial that slipped."


def late_on_band(
    title: str, late: float | None, doubt: float, allowed: float
) -> tuple[Picture, ...]:
    """What is drawn of a size that may be off as far one way as the other."""
    value = Known("late", late or 0.0, doubt)
    return (OnBand(title, "deg", (value,), (Limits("allowed", -allowed, allowed),)),)


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
    allowed = given.one("allowed")
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
        shows=tuple(
            picture
            for mark in figures
            for picture in late_on_band("Damper's mark", mark.value, mark.u or 0.0, allowed)
        ),
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
CALCULATIONS: tuple[Calculation, ...] = (
    Calculation("centreline", "Cam centreline, intake valve", CENTRELINE_INPUTS, _centreline),
    Calculation("top-dead-centre", "True top dead centre", TOP_INPUTS, _top),
)

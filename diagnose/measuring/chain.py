"""The timing chain: how much longer it is, what that does to the cam, and how slack it feels.

Every way of trying a chain has its own limit, and those limits disagree by a factor of about 3 to
4.5: a reading is judged by the limit of its own method and never turned into another. Knows no
case.
"""

from __future__ import annotations

import math

from diagnose.measuring.asking import Given, if_open, positive, prove
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

FIXED_CENTRES = 0.015  # share a chain on fixed centres may be longer, by the page below
LEAST_LINKS = 10  # over fewer the rule is read too coarsely; the plates named below use ten
_WEAR = (
    "How can the wear in a roller chain be accurately measured, "
    "https://diamondchain.com/faq/how-can-the-wear-in-a-roller-chain-be-accurately-measured-and-when-is-the-chain-considered-worn-out/"
)
_MIDSPAN = "TM 9-2815-237-34, http://automotiveenginemechanics.tpub.com/TM-9-2815-237-34/css/TM-9-2815-237-34_46.htm"
_CAM_PLAY = "Measuring timing chain wear, https://s3.amazonaws.com/jeepwranglerjk2010/7c038ecc.html"
_ROCKING = "Timing chain set, https://2carpros.com/questions/dodge-caravan-1995-dodge-caravan-timing-chain-set"


class Layout(Named):
    """A chain on two sprockets; pitch and centre distance in one unit of length."""

    pitch: float
    crank_teeth: float
    cam_teeth: float
    centre: float


def elongation(length: float, new: float) -> float:
    """How much longer than new, as a share of new: (length - new) / new, both in one unit."""
    positive(length=length, new_length=new)
    return (length - new) / new


def allowed_elongation(teeth: float, fixed_centres: bool = True) -> float:
    """The share a chain may be longer: 200 / teeth of the larger sprocket in %, at most 3 %.

    On fixed centres, as any timing chain without a tensioner runs, 1.5 % at most.
    """
    positive(teeth=teeth)
    return min(2 / teeth, FIXED_CENTRES if fixed_centres else 0.03)


def pitch_diameter(pitch: float, teeth: float) -> float:
    """Pitch diameter of a sprocket, in the unit of the pitch: pitch / sin(180 / teeth)."""
    positive(pitch=pitch)
    if teeth < 3:
        raise Refused(f"a sprocket of {teeth:g} teeth can't be; count its teeth again")
    return pitch / math.sin(math.pi / teeth)


def links(layout: Layout) -> float:
    """Links of the whole chain: 2a + (z1 + z2) / 2 + (z2 - z1)^2 / (39.6 a), a = centre / pitch.

    Rounded to the next even number that is what is fitted. Raises Refused for centres too close.
    """
    positive(pitch=layout.pitch)
    free_span(layout)
    a = layout.centre / layout.pitch
    more = layout.cam_teeth - layout.crank_teeth
    return 2 * a + (layout.crank_teeth + layout.cam_teeth) / 2 + more**2 / (39.6 * a)


def free_span(layout: Layout) -> float:
    """The straight run between the sprockets, in the unit of the layout.

    Raises Refused where the sprockets would touch.
    """
    crank = pitch_diameter(layout.pitch, layout.crank_teeth) / 2
    cam = pitch_diameter(layout.pitch, layout.cam_teeth) / 2
    if not layout.centre > crank + cam:
        raise Refused(
            f"the centre distance is {layout.centre:g}; these sprockets need more than "
            f"{crank + cam:.3g}"
        )
    return math.sqrt(layout.centre**2 - (cam - crank) ** 2)


def extra_in_span(travel: float, span: float) -> float:
    """Chain too many in one run, from its whole travel in and out midway, in one unit.

    2 root((span/2)^2 + (travel/2)^2) - span: it grows with the square of the travel.
    """
    positive(free_span=span)
    return 2 * math.hypot(span / 2, travel / 2) - span


def cam_retard(stretch: float, layout: Layout) -> float:
    """Crank degrees the cam lags behind by a chain longer by the share `stretch`.

    The tight run alone counts: 2 x stretch x span / pitch radius of the cam sprocket (rad). At 1 %
    stretch that is 1 % of the lag off the full geometry; no page prints a worked figure.
    """
    radius = pitch_diameter(layout.pitch, layout.cam_teeth) / 2
    return 2 * math.degrees(stretch * free_span(layout) / radius)


def rocking(extra: float, layout: Layout) -> float:
    """Crank degrees to rock before the cam moves, from the length the chain has too many."""
    return math.degrees(extra / (pitch_diameter(layout.pitch, layout.crank_teeth) / 2))


CHAIN_INPUTS = (
    Input("length", "length over the links measured, pulled tight", "length", "mm"),
    Input("links", "links measured over, ten or more", "", ""),
    Input("pitch", "pitch of the chain when new", "length", "mm"),
    Input("doubt", "how far the length may be off", "length", "mm", usual=0.5, source="memory"),
    Input("crank-teeth", "teeth of the crank sprocket", "", "", optional=True),
    Input("cam-teeth", "teeth of the cam sprocket", "", "", optional=True),
    Input("centre", "from crank centre to cam centre", "length", "mm", optional=True),
)


def _chain(values: Values) -> Worked:
    given = Given(CHAIN_INPUTS, values)
    length, number, pitch, doubt = (given.one(n) for n in ("length", "links", "pitch", "doubt"))
    if number < LEAST_LINKS or number != round(number):
        raise Refused(f"links is {number:g}; measure over {LEAST_LINKS} or more whole links")
    new = number * pitch
    stretch, u = elongation(length, new), doubt / new
    if stretch < -u:
        raise Refused(
            f"length is {length:g} mm, shorter than {number:g} new links of "
            f"{pitch:g} mm; count the links and check the pitch"
        )
    teeth = given.perhaps("cam-teeth")
    limit = FIXED_CENTRES if teeth is None else allowed_elongation(teeth)
    verdict = prove(stretch, u, None, limit)
    effects, more = _effects(max(stretch, 0.0), u, given)
    return Worked(
        title="Timing chain: how much longer than new",
        formula="elongation = (length - new) / new, new = links x pitch; "
        "cam retard = 2 x elongation x free span / cam sprocket radius; "
        "rocking = elongation x whole chain / crank sprocket radius",
        steps=(
            f"new = {number:g} x {pitch:g} mm = {new:.2f} mm",
            f"({length:g} - {new:.2f}) / {new:.2f} = {100 * stretch:.2f} %, "
            f"allowed {100 * limit:.2f} %",
        ),
        figures=(
            Figure("elongation", 100 * stretch, "%", 100 * u),
            Figure("allowed on fixed centres", 100 * limit, "%"),
            *effects,
        ),
        verdict=verdict,
        says=_STRETCH_SAYS[verdict] + more,
        source=_WEAR,
        settles=if_open(verdict, f"Measure over more links, or to better than {doubt:g} mm."),
        caution="Pull the chain tight while measuring. The limit is for roller chain on fixed "
        "centres; a silent chain has its maker's. The lag is for unworn sprockets, no tensioner.",
        shows=_at_most("Elongation", "%", Known("elongation", 100 * stretch, 100 * u), 100 * limit),
    )


_STRETCH_SAYS = {
    CONFORMS: "The chain is not stretched beyond the limit.",
    FAILS: "The chain is stretched beyond the limit: fit a new one and look at the sprockets.",
    UNDECIDED: "The chain is too near the limit for this measurement to tell.",
}


def _effects(stretch: float, u: float, given: Given) -> tuple[tuple[Figure, ...], str]:
    wanted = ("crank-teeth", "cam-teeth", "centre")
    if given.perhaps("crank-teeth") is None and given.perhaps("centre") is None:
        return (), ""
    for name in wanted:
        given.needed(name, "the cam's lag")
    layout = Layout(*(given.one(name) for name in ("pitch", *wanted)))
    whole = 2 * math.ceil(links(layout) / 2) * layout.pitch
    lag, lost = cam_retard(stretch, layout), rocking(stretch * whole, layout)
    return (
        Figure("cam late, crank degrees", lag, "deg", cam_retard(u, layout)),
        Figure("rocking at the crank to expect", lost, "deg", rocking(u * whole, layout)),
    ), f" It lets the cam lag by about {lag:.1f} crank degrees."


MIDSPAN_INPUTS = (
    Input("travel", "whole travel midway, pushed in and pulled out", "length", "mm"),
    Input("limit", "most travel allowed", "length", "mm", usual=20.6, source=_MIDSPAN),
    Input("doubt", "how far the travel may be off", "length", "mm", usual=1.0, source="memory"),
    Input("span", "free run between the sprockets", "length", "mm", optional=True),
)


def _midspan(values: Values) -> Worked:
    given = Given(MIDSPAN_INPUTS, values)
    travel, limit, doubt = given.one("travel"), given.one("limit"), given.one("doubt")
    positive(limit=limit)
    verdict = prove(travel, doubt, None, limit)
    steps = [f"{travel:g} mm against {limit:g} mm"]
    figures = [Figure("travel midway", travel, "mm", doubt)]
    span = given.perhaps("span")
    if span is not None:
        extra = extra_in_span(travel, span)
        steps.append(f"2 x root(({span:g}/2)^2 + ({travel:g}/2)^2) - {span:g} mm")
        figures.append(Figure("chain too many in this run", extra, "mm"))
    return Worked(
        title="Timing chain: travel midway",
        formula="whole travel against its limit; "
        "chain too many = 2 x root((span/2)^2 + (travel/2)^2) - span",
        steps=tuple(steps),
        figures=tuple(figures),
        verdict=verdict,
        says=_SLACK_SAYS[verdict],
        source=_MIDSPAN,
        settles=if_open(verdict, _SETTLES),
        caution=f"The usual limit is one engine's, {_OWN_METHOD}",
        shows=_at_most("Travel midway", "mm", Known("travel", travel, doubt), limit),
    )


CAM_PLAY_INPUTS = (
    Input("movement", "movement at the cam sprocket, torque reversed", "length", "mm"),
    Input("limit", "most movement allowed", "length", "mm", usual=3.175, source=_CAM_PLAY),
    Input("doubt", "how far the movement may be off", "length", "mm", usual=0.5, source="memory"),
)


def _cam_play(values: Values) -> Worked:
    given = Given(CAM_PLAY_INPUTS, values)
    moved, doubt, limit = (given.one(name) for name in ("movement", "doubt", "limit"))
    positive(limit=limit)
    verdict = prove(moved, doubt, None, limit)
    return Worked(
        title="Timing chain: movement at the cam sprocket",
        formula="movement of the sprocket, 41 N.m one way and then the other, against its limit",
        steps=(f"{moved:g} mm against {limit:g} mm",),
        figures=(
            Figure("movement at the cam sprocket", given.one("movement"), "mm", given.one("doubt")),
        ),
        verdict=verdict,
        says=_SLACK_SAYS[verdict],
        source=_CAM_PLAY,
        settles=if_open(verdict, _SETTLES),
        caution=f"The usual limit is one engine's with the crank held, {_OWN_METHOD}",
        shows=_at_most("Movement at the cam", "mm", Known("movement", moved, doubt), limit),
    )


ROCKING_INPUTS = (
    Input("rocked", "crank degrees before the cam or rotor moves", "angle", "deg"),
    Input("doubt", "how far that may be off", "angle", "deg", usual=1.0, source="memory"),
    Input("good", "a good chain stays under", "angle", "deg", usual=5.0, source=_ROCKING),
    Input("worn", "one that still runs stays under", "angle", "deg", usual=15.0, source=_ROCKING),
)


def _rocked(values: Values) -> Worked:
    given = Given(ROCKING_INPUTS, values)
    rocked, doubt, good, worn = (given.one(n) for n in ("rocked", "doubt", "good", "worn"))
    if good > worn:
        raise Refused(f"good is {good:g} and worn {worn:g}; good must be the smaller")
    verdict = UNDECIDED
    if prove(rocked, doubt, None, good) == CONFORMS:
        verdict = CONFORMS
    elif prove(rocked, doubt, None, worn) == FAILS:
        verdict = FAILS
    return Worked(
        title="Timing chain: lost motion at the crank",
        formula="degrees the crank rocks before the cam moves, against the two bounds",
        steps=(f"{rocked:g} deg against {good:g} deg (good) and {worn:g} (worn)",),
        figures=(Figure("lost motion at the crank", rocked, "deg", doubt),),
        verdict=verdict,
        says=_SLACK_SAYS[verdict],
        source=_ROCKING,
        settles=if_open(verdict, _SETTLES),
        caution=f"Rotor and gear play count in when the rotor is watched. A rule of thumb, "
        f"{_OWN_METHOD}",
        shows=(
            OnBand(
                "Lost motion, crank degrees",
                "deg",
                (Known("lost motion", rocked, doubt),),
                (Limits("good", None, good), Limits("still runs", None, worn)),
            ),
        ),
    )


def _at_most(title: str, unit: str, value: Known, limit: float) -> tuple[Picture, ...]:
    return (OnBand(title, unit, (value,), (Limits("allowed", None, limit),)),)


_SLACK_SAYS = {
    CONFORMS: "By this way of trying it the chain is not too slack.",
    FAILS: "By this way of trying it the chain is too slack: replace it.",
    UNDECIDED: "This way of trying it can't tell whether the chain is too slack.",
}
_SETTLES = "Take the cover off and measure the chain over ten links or more, pulled tight."
_OWN_METHOD = "and limits of one method say nothing about a reading of another."


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation("chain", "Timing chain: how much longer than new", CHAIN_INPUTS, _chain),
    Calculation("chain-midspan", "Timing chain: travel midway", MIDSPAN_INPUTS, _midspan),
    Calculation("chain-cam-play", "Timing chain: movement at the cam", CAM_PLAY_INPUTS, _cam_play),
    Calculation("chain-rocking", "Timing chain: lost motion", ROCKING_INPUTS, _rocked),
)

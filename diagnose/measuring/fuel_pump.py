"""The mechanical fuel pump: lift of its eccentric, stroke a worn rod takes, delivery against need.

No page prints a limit for a worn rod, so a stroke is worked out and judged only where nothing of it
is left; what the pump delivers is judged. Lengths are in thou, flows in ml a minute. Knows no case.

    lift 275, rod 310 short: nothing is left. 500 ml a minute at 4500 rpm: 0.222 ml a stroke.
"""

from __future__ import annotations

import math

from diagnose.measuring.asking import Given, if_open, positive, prove
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
from diagnose.named import Named

BURNT = 0.50  # lb of petrol per hp and hour, unblown, by the page named in NEED
POUNDS = 6.0  # lb of petrol per US gallon, by the page named in WEIGHT
NEED = "Fuel Pump Flow Rate Calculator, https://terican.com/calculators/fuel-pump-calculator"
WEIGHT = "Fuel Pump Calculator, https://calculatorlib.com/fuel-pump-calculator"
STROKES = "Testing Pump Pressure, http://www.hillmanimages.com/912/fu_12.html"
ARM = (
    "Do I have a fuel pump pushrod problem?, "
    "https://www.forbbodiesonly.com/moparforum/goto/post?id=909830170"
)


def lift_of(offset: float) -> float:
    """Return the lift of an eccentric whose centre lies `offset` off the cam's: twice that.

    In the unit of `offset`. Plain geometry.
    """
    positive(offset=offset)
    return 2 * offset


def arm_travel(lift: float, wear: float, preload: float = 0.0) -> float:
    """Return the travel left at the pump's arm: lift - max(0, wear - preload), not below zero.

    `wear` is what rod, eccentric and pad are short of new together, `preload` how far new parts
    hold the arm pressed in at the eccentric's low point: that is used up first. All in one unit. No
    page prints a worked example.
    """
    positive(lift=lift)
    if not (wear >= 0 and preload >= 0):
        raise Refused(
            f"wear {wear:g} and preload {preload:g} can't be; each must be zero or more "
            "(a rod longer than new is a wrong rod)"
        )
    return max(0.0, lift - max(0.0, wear - preload))


def diaphragm_stroke(travel: float, ratio: float) -> float:
    """Return the stroke of the diaphragm with the line open: arm travel x arm ratio."""
    positive(ratio=ratio)
    return travel * ratio


def per_stroke(flow: float, speed: float) -> float:
    """Return the volume of one stroke: flow a minute over half the crank's speed in rpm.

    The cam, and the pump with it, turns once for two turns of the crank. Source: "Testing Pump
    Pressure", http://www.hillmanimages.com/912/fu_12.html

    >>> round(per_stroke(500, 4500), 3)
    0.222
    """
    positive(speed=speed)
    return flow / (speed / 2)


def fuel_need(power: float, burnt: float = BURNT, pounds: float = POUNDS) -> float:
    """Return the petrol an engine burns at full power, in ml a minute.

    `power` in hp, `burnt` in lb per hp and hour, `pounds` in lb per US gallon: power x burnt /
    pounds is in gallons an hour. Sources: NEED and WEIGHT.
    """
    positive(power=power, burnt=burnt, pounds=pounds)
    return convert(power * burnt / pounds, "gph", "ml/min")


INPUTS = (
    Input("lift", "the travel of rod or arm over two crank turns", "length", "thou", optional=True),
    Input("offset", "how far the eccentric is off centre", "length", "thou", optional=True),
    Input("wear", "what rod, pad and eccentric are short", "length", "thou", optional=True),
    Input("rod", "the length of the rod", "length", "in", optional=True),
    Input("new-rod", "the length of a new rod", "length", "in", optional=True),
    Input(
        "preload",
        "how far a new rod holds the arm pressed in at the low point",
        "length",
        "thou",
        usual=0.0,
        source="memory",
    ),
    Input("ratio", "diaphragm travel over arm travel", "", "", optional=True),
    Input(
        "doubt",
        "how far each length may be off, either way",
        "length",
        "thou",
        usual=1.0,
        source="common-practice",
    ),
    Input("delivery", "what the pump gives, line open", "flow", "ml/min", optional=True),
    Input("speed", "the engine speed it gave that at", "speed", "rpm", optional=True),
    Input(
        "delivery-doubt",
        "how far the delivery may be off",
        "share",
        "%",
        usual=5.0,
        source="memory",
    ),
    Input("need", "what the engine burns at most", "flow", "ml/min", optional=True),
    Input("power", "the engine's most power in hp", "", "", optional=True),
    Input("need-speed", "the engine speed of that need", "speed", "rpm", optional=True),
)


class _Part(Named):
    """One half of the sum: the stroke, or the delivery."""

    steps: tuple[str, ...]
    figures: tuple[Figure, ...]
    verdict: str | None
    says: str
    settles: str | None = None
    shows: tuple[Picture, ...] = ()


class _Wear(Named):
    """How much is worn off, how that came about, and how far it may be off; thou."""

    length: float
    doubt: float
    step: str


def _wear(given: Given, doubt: float) -> _Wear:
    worn, rod, new = given.perhaps("wear"), given.perhaps("rod"), given.perhaps("new-rod")
    if (rod is None) != (new is None):
        missing, there = ("rod", "new-rod") if rod is None else ("new-rod", "rod")
        raise Refused(f"{missing} is missing; give it with {there}, or give wear alone")
    if rod is None or new is None:
        return _Wear(worn or 0.0, doubt if worn else 0.0, f"worn off: {worn or 0:g} thou")
    if worn is not None:
        raise Refused("wear is given beside rod and new-rod; give either the one or the two")
    positive(rod=rod, new_rod=new)
    short, both = 1000 * (new - rod), math.sqrt(2) * doubt
    if short < -both:
        raise Refused(
            f"rod is {rod:g} in, longer than the {new:g} in of new-rod; "
            "measure both again, or look for the right rod"
        )
    step = f"worn off: {new:g} - {rod:g} in = {short:.1f} thou"
    return _Wear(max(short, 0.0), both, step)


def _stroke(given: Given) -> _Part | None:
    lift, offset = given.perhaps("lift"), given.perhaps("offset")
    if lift is None and offset is None:
        _refuse_lone_wear(given)
        return None
    doubt, preload = given.one("doubt"), given.one("preload")
    full = lift_of(offset or 0.0) if lift is None else lift
    worn = _wear(given, doubt)
    left = arm_travel(full, worn.length, preload)
    lift_doubt = 2 * doubt if lift is None else doubt
    u = math.hypot(lift_doubt, worn.doubt, doubt if preload else 0.0)
    reach = prove(full - max(0.0, worn.length - preload), u, 0.0, None)
    verdict = None if reach == CONFORMS else reach
    lost = 100 * (1 - left / full)
    steps: tuple[str, ...] = (
        f"lift: {full:g} thou" if lift is not None else f"lift: 2 x {offset:g} = {full:g} thou",
        worn.step,
        f"left at the arm: {full:g} - max(0, {worn.length:.1f} - {preload:g}) = {left:.1f} thou",
    )
    figures: tuple[Figure, ...] = (
        Figure("lift", full, "thou", lift_doubt),
        Figure("travel left at the arm", left, "thou", u),
        Figure("stroke lost", lost, "%", min(100 * u / full, 100.0)),
    )
    if lift is not None and offset is not None:
        figures += (Figure("lift by the offset", lift_of(offset), "thou", 2 * doubt),)
    ratio = given.perhaps("ratio")
    if ratio is not None:
        stroke = diaphragm_stroke(left, ratio)
        steps += (f"diaphragm: {left:.1f} x {ratio:g} = {stroke:.1f} thou",)
        figures += (Figure("stroke of the diaphragm", stroke, "thou", u * ratio),)
    says = _STROKE_SAYS[verdict].format(left=left, lost=lost)
    settles = "Lay the rod beside a new one, and watch the pump's arm while the engine is turned."
    travel = Known("travel left", full - max(0.0, worn.length - preload), u)
    shown = OnBand("Travel left at the arm", "thou", (travel,), (Limits("pumps", 0.0, None),))
    return _Part(steps, figures, verdict, says, if_open(verdict, settles), (shown,))


def _refuse_lone_wear(given: Given) -> None:
    for name in ("wear", "rod", "new-rod", "ratio"):
        if given.perhaps(name) is not None:
            raise Refused(f"lift is missing beside {name}; give lift, or offset of the eccentric")


_STROKE_SAYS = {
    None: "{left:.0f} thou of travel reach the arm, {lost:.0f} % of the lift is lost.",
    FAILS: "The rod no longer moves the arm: the pump can't give any fuel.",
    UNDECIDED: "So little travel is left that the pump hardly gives any fuel.",
}


class _Need(Named):
    """What the engine burns at most in ml a minute, and at which speed, where that is known."""

    flow: float
    speed: float | None
    step: str


def _need(given: Given) -> _Need | None:
    flow, power, speed = given.perhaps("need"), given.perhaps("power"), given.perhaps("need-speed")
    if speed is not None:
        positive(need_speed=speed)
    if flow is not None:
        positive(need=flow)
        return _Need(flow, speed, f"needed: {flow:g} ml a minute")
    if power is None:
        return None
    flow = fuel_need(power)
    said = f"needed: {power:g} hp x {BURNT:g} lb / {POUNDS:g} lb a gallon = {flow:.0f} ml a minute"
    return _Need(flow, speed, said)


def _delivery(given: Given) -> _Part | None:
    flow, need = given.perhaps("delivery"), _need(given)
    if flow is None:
        if need is not None:
            raise Refused(
                "delivery is missing; give what the pump gave with the line open, and speed"
            )
        return None
    speed = given.perhaps("speed")
    if speed is None:
        raise Refused("speed is missing; give the engine speed at which the delivery was caught")
    share = given.one("delivery-doubt") / 100
    stroke, u = per_stroke(flow, speed), flow * share
    steps: tuple[str, ...] = (f"a stroke: {flow:.0f} / ({speed:g} / 2) = {stroke:.3f} ml",)
    figures: tuple[Figure, ...] = (
        Figure("delivery", flow, "ml/min", u),
        Figure("delivery a stroke, in ml", stroke, "", stroke * share),
    )
    if need is None:
        return _Part(steps, figures, None, f"The pump gives {stroke:.2f} ml a stroke.")
    steps, figures = (*steps, need.step), (*figures, Figure("need", need.flow, "ml/min"))
    other = flow
    if need.speed is not None:
        other = stroke * need.speed / 2
        steps += (f"as much a stroke at {need.speed:g} rpm: {other:.0f} ml a minute",)
        figures += (Figure(f"as much a stroke at {need.speed:g} rpm", other, "ml/min"),)
    verdict = enough((flow, other if need.speed is not None else math.inf), need.flow, share)
    settles = (
        "Catch the delivery nearer the speed of the need, or watch the fuel pressure on the road "
        "at full throttle."
    )
    caught = [Known("as caught", flow, u)]
    if need.speed is not None:
        caught.append(Known("as much a stroke at the need's speed", other, other * share))
    limits = (Limits("enough", need.flow, None),)
    shown = OnBand("Delivery against need", "ml/min", tuple(caught), limits)
    settled = if_open(verdict, settles)
    return _Part(steps, figures, verdict, _DELIVERY_SAYS[verdict], settled, (shown,))


def enough(flows: tuple[float, float], need: float, share: float) -> str:
    """Judge a delivery, right to `share`, against the need at another speed.

    `flows` are the flow as caught and the flow if every stroke gave as much at the speed of the
    need (infinite where that is not known): what the pump really gives there lies between, since a
    stroke gives less the faster the pump runs. CONFORMS when the smaller is enough, FAILS when the
    larger is not.
    """
    positive(need=need)
    less, more = min(flows), max(flows)
    if less * (1 - share) >= need:
        return CONFORMS
    return FAILS if more * (1 + share) < need else UNDECIDED


_DELIVERY_SAYS = {
    CONFORMS: "The pump gives more than the engine ever burns.",
    FAILS: "Even if every stroke stayed as full, the pump gives less than the engine burns.",
    UNDECIDED: "The delivery caught can't tell whether it is enough at full power.",
}


def _work(values: Values) -> Worked:
    given = Given(INPUTS, values)
    parts = [part for part in (_stroke(given), _delivery(given)) if part is not None]
    if not parts:
        raise Refused("lift is missing; give lift or offset for the stroke, or delivery and speed")
    verdict, says, settles = _together(parts)
    return Worked(
        title="Fuel pump",
        formula="lift = 2 x offset; travel at the arm = lift - max(0, wear - preload); stroke = "
        "travel x arm ratio; delivery a stroke = flow / (rpm / 2)",
        steps=tuple(step for part in parts for step in part.steps),
        figures=tuple(figure for part in parts for figure in part.figures),
        verdict=verdict,
        says=says,
        source=f"stroke: memory (geometry), arm: {ARM} ; delivery: {STROKES} ; need: {NEED} and "
        f"{WEIGHT}",
        settles=settles,
        caution="No printed limit for a worn rod was found. In service the diaphragm moves only as "
        "far as fuel is used, so catch the volume with the line open, away from anything hot. "
        "A leaking pump valve, line or tank pick-up takes delivery too.",
        shows=tuple(picture for part in parts for picture in part.shows),
    )


def _together(parts: list[_Part]) -> tuple[str | None, str, str | None]:
    """The verdict, the sentence and what would settle it; a pump without stroke gives nothing."""
    says = " ".join(part.says for part in parts)
    if len(parts) > 1 and parts[0].verdict == FAILS and parts[1].figures[0].value > 0:
        says += " Yet it was caught giving fuel: one of the readings is wrong."
        return UNDECIDED, says, "Measure rod, lift and preload again."
    last = next((part for part in reversed(parts) if part.verdict is not None), parts[-1])
    return last.verdict, says, last.settles


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation("fuel-pump", "Stroke and delivery of the fuel pump", INPUTS, _work),
)

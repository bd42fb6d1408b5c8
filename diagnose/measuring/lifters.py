"""Lifters: preload from turns of the nut, the pushrod for a wanted preload, lash grown with heat.

Lengths are in thou, long ones in inches, heat in degrees Fahrenheit. Knows no case, prints nothing.

    3/4 turn of a 3/8-24 nut on the stud, rocker ratio 1.5: 52 thou, not 31.
"""

from __future__ import annotations

import math

from diagnose.measuring.asking import Given, if_open, positive, prove
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

TURNS = (
    "Lifter pre-load measurements, https://ls1tech.com/forums/generation-iii-internal-engine/"
    "274125-lifter-pre-load-measurements.html"
)
PRELOAD = (
    "Getting to the bottom of hydraulic lifter preload, http://www.enginebuildermag.com/2011/06/"
    "getting-to-the-bottom-of-hydraulic-lifter-preload/"
)
LIFT = "Rocker arm ratio calculator, https://calculatormom.com/?p=6607"
COLD = (
    "Cold lash vs. hot lash, https://www.chevyhardcore.com/news/"
    "what-i-learned-today-with-jeff-smith-cold-lash-vs-hot-lash/"
)
GROWTH = "Thermal growth, https://www.eng-tips.com/threads/thermal-growth.56544/post-224530"
IRON, ALUMINIUM = 1.0, 2.0
STUD, PUSHROD_END = 1.0, 2.0
# Growth of a length per degree Fahrenheit, as a share of it, by the page named in GROWTH.
SHARES = {IRON: 0.0000059, ALUMINIUM: 0.0000128}
STEEL = 0.0000065
# Cold lash less hot lash in thou for head and block, by the page named in COLD.
COLD_LESS_HOT = {(IRON, IRON): 2.0, (ALUMINIUM, IRON): -6.0, (ALUMINIUM, ALUMINIUM): -12.0}
_LOW, _HIGH = 20.0, 60.0  # thou of preload, by the page named in PRELOAD


def nut_angle(travel: float, pitch: float) -> float:
    """Return the degrees to turn a thread of this pitch for a travel, both in one unit.

    360 x travel / pitch. Source: TURNS.

    >>> round(nut_angle(0.008, 1 / 25.4), 2)
    73.15
    """
    positive(pitch=pitch)
    return 360 * travel / pitch


def plunger_travel(travel: float, ratio: float | None) -> float:
    """Return how far the lifter's plunger goes for a travel of the nut, in its unit.

    A nut on the stud or pedestal moves the rocker's pivot while the valve end is held, so the
    pushrod end goes further: travel x (1 + 1 / ratio). A screw at the pushrod end (ratio None)
    moves it by its own travel. Derived; pages that leave the ratio out are wrong for a stud.
    """
    if ratio is None:
        return travel
    positive(ratio=ratio)
    return travel * (1 + 1 / ratio)


def pushrod_length(zero_lash: float, preload: float) -> float:
    """Return the pushrod for a preload: length at zero lash + preload, in one unit.

    Common practice. Below zero the preload is lash: a shorter pushrod.
    """
    positive(zero_lash=zero_lash)
    return zero_lash + preload


def nearest_pushrod(length: float, step: float) -> float:
    """Return the length nearest to `length` that is sold in steps of `step`, in one unit."""
    positive(length=length, step=step)
    return step * math.floor(length / step + 0.5)


def valve_lift(lobe: float, ratio: float, lash: float = 0.0) -> float:
    """Return the lift of the valve: lobe lift x rocker ratio - lash, in one unit. Source: LIFT.

    >>> round(valve_lift(0.35, 1.6), 3)
    0.56
    """
    positive(ratio=ratio)
    return lobe * ratio - lash


def expansion(share: float, length: float, rise: float) -> float:
    """Return how much a length grows: share per degree x length x rise, in its unit.

    Share and rise go by the same degree, Fahrenheit or Celsius alike.
    """
    return share * length * rise


class Train(Named):
    """What stands between cam and rocker: materials, heights in inches, and the rocker ratio."""

    head: float
    block: float
    head_height: float
    block_height: float
    ratio: float


def lash_growth(train: Train, rise: float) -> float:
    """Return by how many thou lash grows when all is `rise` degrees Fahrenheit hotter.

    Head and block lift the rocker's pivot, the steel pushrod follows less or more: ratio x
    ((head - steel) x head height + (block - steel) x block height) x rise. Size and sign agree
    with the rule of COLD; a valve hotter than its head takes some of it back.
    """
    _material(head=train.head, block=train.block)
    head = expansion(SHARES[train.head] - STEEL, train.head_height, rise)
    block = expansion(SHARES[train.block] - STEEL, train.block_height, rise)
    return 1000 * train.ratio * (head + block)


def _material(**named: float) -> None:
    for name, value in named.items():
        if value not in SHARES:
            raise Refused(f"{name} is {value:g}; give 1 for iron or 2 for aluminium")


PRELOAD_INPUTS = (
    Input("turns", "turns of the nut past zero lash", "", ""),
    Input("threads", "threads per inch of its thread", "", "", optional=True),
    Input("pitch", "pitch of its thread, if metric", "length", "mm", optional=True),
    Input(
        "place",
        "1 for a nut on stud or pedestal, 2 for a screw at the pushrod end",
        "",
        "",
        usual=STUD,
        source="common-practice",
    ),
    Input("ratio", "rocker ratio", "", "", usual=1.5, source="common-practice"),
    Input("low", "least preload wanted", "length", "thou", usual=_LOW, source=PRELOAD),
    Input("high", "most preload wanted", "length", "thou", usual=_HIGH, source=PRELOAD),
    Input("doubt", "how far zero lash may be off", "angle", "deg", usual=20.0, source="memory"),
)


def thread_pitch(given: Given) -> float:
    """The pitch in thou, from threads per inch or a metric pitch."""
    threads, pitch = given.perhaps("threads"), given.perhaps("pitch")
    if (threads is None) == (pitch is None):
        raise Refused("threads is missing; give threads per inch, or the pitch of a metric thread")
    if threads is not None:
        positive(threads=threads)
        return 1000 / threads
    positive(pitch=pitch or 0.0)
    return (pitch or 0.0) / 0.0254


def _band(given: Given) -> tuple[float, float]:
    low, high = given.one("low"), given.one("high")
    if low > high:
        raise Refused(f"low is {low:g} and high {high:g} thou; low must be the smaller")
    return low, high


def _preload(values: Values) -> Worked:
    given = Given(PRELOAD_INPUTS, values)
    turns, place, pitch = given.one("turns"), given.one("place"), thread_pitch(given)
    if place not in (STUD, PUSHROD_END):
        raise Refused(f"place is {place:g}; give 1 for a nut on the stud, 2 for the pushrod end")
    ratio = given.one("ratio") if place == STUD else None
    low, high = _band(given)
    each = plunger_travel(pitch, ratio)
    preload, doubt = turns * each, each * given.one("doubt") / 360
    verdict = prove(preload, doubt, low, high)
    factor = f" x (1 + 1 / {ratio:g})" if ratio is not None else ""
    middle = (low + high) / 2
    return Worked(
        title="Lifter preload from turns of the nut",
        formula="nut on stud or pedestal: preload = turns x pitch x (1 + 1 / ratio); screw at the "
        "pushrod end: turns x pitch",
        steps=(
            f"one turn: {pitch:.2f}{factor} = {each:.2f} thou at the plunger",
            f"{turns:g} turns: {preload:.1f} thou",
        ),
        figures=(
            Figure("preload", preload, "thou", doubt),
            Figure("preload of one turn", each, "thou"),
            Figure(f"turns for {middle:g} thou", middle / each, ""),
            Figure(f"degrees for {middle:g} thou", 360 * middle / each, "deg"),
        ),
        verdict=verdict,
        says=f"The plunger is pressed in {preload:.0f} thou"
        + _PRELOAD_SAYS[verdict].format(low=low, high=high)
        + (" The valve may be held open." if verdict == FAILS and preload > high else ""),
        source=f"{TURNS} (angle) ; ratio: memory (derived) ; band: {PRELOAD}",
        settles=if_open(verdict, "Set zero lash again with the pushrod turned between fingers."),
        caution="Find zero lash on the heel of the lobe, spinning the pushrod and lifting it: a "
        "plunger pressed in by hand or pumped up hides it. Let each lifter bleed down before the "
        "engine is turned, or valves may touch. The band is common practice.",
        shows=(preload_on_band(Known("preload", preload, doubt), low, high),),
    )


def preload_on_band(preload: Known, low: float, high: float) -> OnBand:
    """What is drawn of a preload."""
    return OnBand("Preload of the lifter", "thou", (preload,), (Limits("wanted", low, high),))


_PRELOAD_SAYS = {
    CONFORMS: ", within the {low:g} to {high:g} wanted.",
    FAILS: ", outside the {low:g} to {high:g} of preload wanted: set it again.",
    UNDECIDED: ", too near the edge of {low:g} to {high:g} to be sure.",
}
PUSHROD_INPUTS = (
    Input("zero-lash", "checking pushrod, length at zero lash", "length", "in", many=True),
    Input("preload", "preload wanted", "length", "thou", usual=40.0, source=PRELOAD),
    Input("low", "least preload wanted", "length", "thou", usual=_LOW, source=PRELOAD),
    Input("high", "most preload wanted", "length", "thou", usual=_HIGH, source=PRELOAD),
    Input("step", "steps it is sold in", "length", "thou", usual=50.0, source="common-practice"),
    Input("fitted", "length of the pushrod fitted", "length", "in", optional=True),
    Input("doubt", "how far one length may be off", "length", "thou", usual=5.0, source="memory"),
)


def _pushrod(values: Values) -> Worked:
    given = Given(PUSHROD_INPUTS, values)
    read, preload, step = given.row("zero-lash"), given.one("preload"), given.one("step")
    low, high = _band(given)
    zero = sum(read) / len(read)
    wanted = pushrod_length(zero, preload / 1000)
    sold = nearest_pushrod(wanted, step / 1000)
    got, doubt = 1000 * (sold - zero), given.one("doubt") / math.sqrt(len(read))
    fitted = given.perhaps("fitted")
    figures = [
        Figure("pushrod for the preload wanted", wanted, "in", doubt / 1000),
        Figure(f"nearest in steps of {step:g} thou", sold, "in"),
        Figure("preload with that", got, "thou", doubt),
    ]
    judged, which = got, "the nearest one sold"
    if fitted is not None:
        judged, which = 1000 * (fitted - zero), "the one fitted"
        figures.append(Figure("preload with the one fitted", judged, "thou", doubt))
    verdict = prove(judged, doubt, low, high)
    return Worked(
        title="Pushrod length for a wanted preload",
        formula="pushrod = length at zero lash + preload wanted, then the nearest one sold",
        steps=(
            f"mean at zero lash {zero:.4f} in",
            f"{zero:.4f} + {preload / 1000:.3f} = {wanted:.4f} in, nearest sold {sold:.3f} in",
        ),
        figures=tuple(figures),
        verdict=verdict,
        says=f"Order {sold:.3f} in. With {which} {_pressed(judged)}"
        + _PRELOAD_SAYS[verdict].format(low=low, high=high),
        source=f"common-practice ; band: {PRELOAD}",
        settles=if_open(verdict, "Measure each pushrod's place again, at least three times."),
        caution="Rods are named over their ends or over a gauge ball, and these differ: ask the "
        "seller which. Check the rocker's wipe on the valve tip too; length changes it.",
        shows=(preload_on_band(Known(f"with {which}", judged, doubt), low, high),),
    )


def _pressed(preload: float) -> str:
    if preload < 0:
        return f"there are {-preload:.0f} thou of lash left"
    return f"the plunger is pressed in {preload:.0f} thou"


LASH_INPUTS = (
    Input("hot", "lash wanted hot, by the cam card", "length", "thou"),
    Input("head", "1 for an iron head, 2 for aluminium", "", ""),
    Input("block", "1 for an iron block, 2 for aluminium", "", ""),
    Input("cold", "lash measured cold", "length", "thou", optional=True),
    Input("allowed", "most it may be off", "length", "thou", usual=2.0, source="memory"),
    Input("doubt", "how far the feeler may be off", "length", "thou", usual=1.0, source="memory"),
    Input("ratio", "rocker ratio", "", "", usual=1.5, source="common-practice"),
    Input("head-height", "pivot over the deck", "length", "in", usual=4.0, source="memory"),
    Input("block-height", "cam to deck", "length", "in", usual=5.5, source="memory"),
    Input(
        "rise", "how much hotter it gets", "temperature rise", "degF", usual=150.0, source="memory"
    ),
    Input("lobe", "lift of the lobe", "length", "thou", optional=True),
)


def _lash(values: Values) -> Worked:
    given = Given(LASH_INPUTS, values)
    hot, head, block = (given.one(name) for name in ("hot", "head", "block"))
    ratio, cold, allowed = given.one("ratio"), given.perhaps("cold"), given.one("allowed")
    positive(ratio=ratio)
    heights = given.one("head-height"), given.one("block-height")
    growth = lash_growth(Train(head, block, *heights, ratio), given.one("rise"))
    rule = cold_less_hot(head, block)
    wanted = hot + rule
    if wanted <= 0:
        raise Refused(f"hot is {hot:g} thou, too little for a cold lash; give the card's hot lash")
    figures = [
        Figure("lash to set cold, by the rule", wanted, "thou"),
        Figure("lash grows with heat, by plain expansion", growth, "thou"),
        Figure("lash to set cold, by plain expansion", hot - growth, "thou"),
    ]
    verdict, says = None, f"Set {wanted:.0f} thou cold for {hot:g} thou hot, then check it hot."
    if cold is not None:
        verdict = prove(cold - wanted, given.one("doubt"), -allowed, allowed)
        figures.append(Figure("cold lash less the one to set", cold - wanted, "thou"))
        says += _LASH_SAYS[verdict]
    lobe = given.perhaps("lobe")
    if lobe is not None:
        figures.append(Figure("lift of the valve, hot", valve_lift(lobe, ratio, hot), "thou"))
    return Worked(
        title="Lash, cold and hot",
        formula="cold = hot + the rule for head and block; growth = ratio x ((head - steel) x head "
        "height + (block - steel) x block height) x rise; valve lift = lobe x ratio - lash",
        steps=(f"{hot:g} {rule:+g} = {wanted:g} thou cold", f"growth by expansion {growth:.1f}"),
        figures=tuple(figures),
        verdict=verdict,
        says=says,
        source=f"{COLD} ; expansion: {GROWTH} ; valve lift: {LIFT}",
        settles=if_open(verdict, "Check the lash again with the engine warmed through."),
        caution="The rule is common practice and the heights are usual sizes: only lash checked "
        "hot counts. Neither holds for aluminium pushrods.",
        shows=() if cold is None else (_lash_shown(cold, wanted, given),),
    )


def _lash_shown(cold: float, wanted: float, given: Given) -> OnBand:
    allowed, value = given.one("allowed"), Known("lash measured cold", cold, given.one("doubt"))
    limits = Limits("right when cold", wanted - allowed, wanted + allowed)
    return OnBand("Lash, cold", "thou", (value,), (limits,))


def cold_less_hot(head: float, block: float) -> float:
    """Return what to add to hot lash to set it cold, in thou; common practice. Source: COLD."""
    _material(head=head, block=block)
    if (head, block) not in COLD_LESS_HOT:
        raise Refused("head 1 on block 2: no rule is printed for iron on aluminium; set lash hot")
    return COLD_LESS_HOT[head, block]


_LASH_SAYS = {
    CONFORMS: " The lash measured cold is right.",
    FAILS: " The lash measured cold is not: set it.",
    UNDECIDED: " The lash measured cold is too near the edge to tell.",
}
CALCULATIONS: tuple[Calculation, ...] = (
    Calculation("preload", "Lifter preload from turns of the nut", PRELOAD_INPUTS, _preload),
    Calculation("pushrod-length", "Pushrod for a wanted preload", PUSHROD_INPUTS, _pushrod),
    Calculation("lash", "Lash, cold and hot", LASH_INPUTS, _lash),
)

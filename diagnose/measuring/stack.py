"""End play as the parts make it, what it takes to reach a target, and which shim does it.

The spacer (or shoulder) opens the gap; plate, washers, needle bearings and shims close it. All
lengths of one call are in one unit. Knows no case, prints nothing.

    spacer 161 - plate 150 = 11 thou; 3 wanted: a shim of 8 beside the plate, or a spacer of 153.

Sources: "Tolerance stack-up: a worked example",
https://metricmech.com/articles/tolerance-stackup-worked-example.html ; shims on the closing side
as in a gearbox manual, p. 90, https://www.easymanua.ls/eaton/fso-2105/manual?p=95
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations_with_replacement

from diagnose.measuring.asking import Given, prove
from diagnose.measuring.readings import THREE_READINGS
from diagnose.measuring.shown import InSection, Known, Limits, OnBand, Picture
from diagnose.measuring.worked import (
    UNDECIDED,
    Calculation,
    Figure,
    Input,
    Refused,
    Values,
    Worked,
)
from diagnose.named import Named

SOURCE = (
    "Tolerance stack-up: a worked example, "
    "https://metricmech.com/articles/tolerance-stackup-worked-example.html"
)
TOUCHES, LOOSE = "something else touches first", "more play than the parts make"
OPENS, CLOSES = 1, -1
MOST_SHIMS = 4  # in one pile; more are springy, common-practice
MOST_SIZES = 30  # so that trying every pile stays quick


class Layer(Named):
    """One part in the gap: it OPENS or CLOSES it by its size, known to +- `tolerance`."""

    name: str
    sign: int
    size: float
    tolerance: float = 0.0


class Gap(Named):
    """The play a stack makes; `worst` if all parts lie at their limits, `likely` if by chance.

    `likely` is the root of the sum of squares: parts independent, centred, roughly normal. With two
    or three parts that is hopeful, so both are shown.
    """

    size: float
    worst: float
    likely: float


class Pile(Named):
    """Shims chosen; `fits` when together they bring the play into the target."""

    sizes: tuple[float, ...]
    total: float
    fits: bool


def stack_up(layers: Iterable[Layer]) -> Gap:
    """Add up a stack; Refused for a part without thickness or a tolerance below 0.

    >>> stack_up([Layer("spacer", OPENS, 161), Layer("plate", CLOSES, 150)]).size
    11
    """
    layers = tuple(layers)
    for layer in layers:
        if not 0 < layer.size < math.inf or not 0 <= layer.tolerance < math.inf:
            raise Refused(
                f"{layer.name} can't be {layer.size:g} +- {layer.tolerance:g}; "
                "a part has a thickness above 0 and a tolerance of 0 or more"
            )
    return Gap(
        sum(layer.sign * layer.size for layer in layers),
        math.fsum(layer.tolerance for layer in layers),
        math.sqrt(math.fsum(layer.tolerance**2 for layer in layers)),
    )


def change_needed(play: float, target: float, side: int) -> float:
    """Return by how much the part on one side must grow to bring `play` to `target`."""
    return side * (target - play) + 0.0  # never -0


def shim_window(play: float, target: tuple[float, float], side: int) -> tuple[float, float]:
    """Return the thinnest and the thickest shim that bring `play` into the target (low, high).

    Refused where no shim can: the play is past the target already, on the side shims work to.
    """
    low, high = target
    if not low <= high:
        raise Refused(f"the target {low:g} to {high:g} is upside down; the low end comes first")
    thin, thick = sorted(change_needed(play, end, side) for end in target)
    if thick < 0:
        raise Refused(
            f"no shim can help: the play of {play:g} lies past the target of {low:g} to {high:g}; "
            "measure again, or change the spacer or the plate"
        )
    return max(thin, 0.0), thick


def choose_shims(window: tuple[float, float], sizes: Sequence[float]) -> Pile:
    """Choose the fewest shims that fall into the window, nearest to its middle.

    Each size may be used more than once. Where no pile falls inside, the nearest one is returned
    with `fits` False. Refused without sizes, with one of 0 or less, or with too many.
    """
    if not 1 <= len(sizes) <= MOST_SIZES or not all(0 < size < math.inf for size in sizes):
        raise Refused(
            f"{len(sizes)} shim sizes from {min(sizes, default=0):g} can't be chosen from; "
            f"give 1 to {MOST_SIZES} sizes above 0"
        )
    at_hand = sorted(set(sizes), reverse=True)
    piles = [
        _pile(pile, window)
        for number in range(MOST_SHIMS + 1)
        for pile in combinations_with_replacement(at_hand, number)
    ]
    middle = sum(window) / 2
    return min(
        piles,
        key=lambda p: (not p.fits, len(p.sizes) if p.fits else 0, abs(p.total - middle)),
    )


def compare(measured: float, doubt: float, gap: Gap) -> str | None:
    """Hold the measured play up against the stack: TOUCHES, LOOSE, or None where they agree.

    They differ only beyond what both can be wrong by, the root of both squares.
    """
    room = math.hypot(gap.likely, doubt)
    if measured < gap.size - room:
        return TOUCHES
    return LOOSE if measured > gap.size + room else None


def _pile(sizes: tuple[float, ...], window: tuple[float, float]) -> Pile:
    total = math.fsum(sizes)
    slack = 1e-9 * max(abs(window[1]), 1e-9)
    return Pile(sizes, total, window[0] - slack <= total <= window[1] + slack)


INPUTS = (
    Input("spacer", "how thick is the spacer or shoulder the gear is bolted against?",
          "length", "thou"),
    Input("plate", "how thick is the thrust plate?", "length", "thou"),
    Input("washers", "how thick is each thrust washer in the stack?", "length", "thou", many=True,
          optional=True),
    Input("bearings", "how thick is each needle bearing in the stack, rollers in cage?", "length",
          "thou", many=True, optional=True),
    Input("tolerance", "how far may each thickness be wrong, either way?", "length", "thou",
          usual=0.5, source="common-practice"),
    Input("measured", "what end play was measured, gear fitted and bolt torqued?", "length",
          "thou", optional=True),
    Input("measured-doubt", "how far may the measured end play be wrong, either way?", "length",
          "thou", usual=1.6, source=THREE_READINGS),
    Input("target-low", "what is the least play aimed at?", "length", "thou", optional=True),
    Input("target-high", "what is the most play aimed at?", "length", "thou", optional=True),
    Input("shims", "which shim sizes are at hand?", "length", "thou", many=True, optional=True),
)  # fmt: skip


class _Play(Named):
    """The play the correction starts from, how far it may be wrong, and where it comes from."""

    size: float
    doubt: float
    origin: str


def _work(values: Values) -> Worked:
    given = Given(INPUTS, values)
    layers = _layers(given)
    gap = stack_up(layers)
    target, shims = _target(given), given.row("shims")
    if shims and target is None:
        raise Refused("shims are given without a target; give target-low and target-high")
    measured = given.perhaps("measured")
    doubt = given.one("measured-doubt")
    clash = None if measured is None else compare(measured, doubt, gap)
    play = _Play(gap.size, gap.worst, "by the parts")
    if measured is not None:
        play = _Play(measured, doubt, "as measured")
    pile = _pile_for(play, target, shims) if clash is None else None
    verdict = clash or (target and prove(play.size, play.doubt, *target))
    return Worked(
        title="End play as the parts make it",
        formula="end play = spacer - (plate + washers + needle bearings)",
        steps=tuple(_steps(layers, gap, play)),
        figures=tuple(_figures(gap, play, None if clash else target, pile)),
        verdict=verdict,
        says=_says(gap, play, clash, _correction(play, target, pile)),
        source=SOURCE,
        settles=_SETTLES.get(verdict or ""),
        caution=_caution(layers, gap),
        shows=tuple(_shows(layers, gap, play, target)),
    )


def _layers(given: Given) -> tuple[Layer, ...]:
    tolerance = given.one("tolerance")
    layers = [
        Layer("spacer", OPENS, given.one("spacer"), tolerance),
        Layer("plate", CLOSES, given.one("plate"), tolerance),
    ]
    for many, single in (("washers", "washer"), ("bearings", "needle bearing")):
        layers += [Layer(single, CLOSES, size, tolerance) for size in given.row(many)]
    return tuple(layers)


def _target(given: Given) -> tuple[float, float] | None:
    low, high = (given.perhaps(name) for name in ("target-low", "target-high"))
    if low is None and high is None:
        return None
    if low is None or high is None:
        raise Refused("the target has one end only; give both target-low and target-high")
    if low > high:
        raise Refused(f"the target {low:g} to {high:g} is upside down; the low end comes first")
    return low, high


def _pile_for(
    play: _Play, target: tuple[float, float] | None, shims: tuple[float, ...]
) -> Pile | None:
    if not shims or target is None or play.size < target[0]:
        return None
    return choose_shims(shim_window(play.size, target, CLOSES), shims)


def _steps(layers: tuple[Layer, ...], gap: Gap, play: _Play) -> Iterator[str]:
    closing = " + ".join(f"{layer.name} {layer.size:g}" for layer in layers[1:])
    squares = " + ".join(f"{layer.tolerance:g}^2" for layer in layers)
    yield f"spacer {layers[0].size:g} - ({closing}) = {gap.size:.4g}"
    yield f"worst case: {' + '.join(f'{each.tolerance:g}' for each in layers)} = {gap.worst:.3g}"
    yield f"root of the sum of squares: sqrt({squares}) = {gap.likely:.3g}"
    if play.origin == "as measured":
        yield (
            f"measured {play.size:g} - {gap.size:.4g} = {play.size - gap.size:.3g}; both may be "
            f"wrong by sqrt({gap.likely:.3g}^2 + {play.doubt:g}^2) = "
            f"{math.hypot(gap.likely, play.doubt):.3g}"
        )


def _figures(
    gap: Gap, play: _Play, target: tuple[float, float] | None, pile: Pile | None
) -> Iterator[Figure]:
    yield Figure("play by the parts", gap.size, "thou", gap.likely)
    yield Figure("least play, worst case", gap.size - gap.worst, "thou")
    yield Figure("most play, worst case", gap.size + gap.worst, "thou")
    if play.origin == "as measured":
        yield Figure("measured less the parts", play.size - gap.size, "thou",
                     math.hypot(gap.likely, play.doubt))  # fmt: skip
    if target is not None:
        middle = sum(target) / 2
        yield Figure("plate to be thicker by", change_needed(play.size, middle, CLOSES), "thou",
                     play.doubt)  # fmt: skip
        yield Figure("or spacer to be thicker by", change_needed(play.size, middle, OPENS), "thou",
                     play.doubt)  # fmt: skip
    if pile is not None and pile.sizes:
        yield Figure("shims", pile.total, "thou")
        yield Figure("play with these shims", play.size - pile.total, "thou", play.doubt)


def _correction(play: _Play, target: tuple[float, float] | None, pile: Pile | None) -> str:
    if target is None:
        return ""
    aim = f"the target of {target[0]:.4g} to {target[1]:.4g}"
    short = change_needed(play.size, sum(target) / 2, OPENS)
    if play.size < target[0]:
        return (
            f"; that is too little and no shim can help: a spacer {short:.1f} thicker, or a plate "
            f"as much thinner, brings it to the middle of {aim}"
        )
    if pile is not None and pile.fits:
        if not pile.sizes:
            return f"; it lies in {aim} without a shim"
        names = " + ".join(f"{size:g}" for size in pile.sizes)
        return f"; shims of {names} beside the plate leave {play.size - pile.total:.1f}"
    none = "" if pile is None else "none of the shims at hand brings it there: "
    if play.size <= target[1]:
        return f"; it lies in {aim}"
    return f"; {none}a plate {-short:.1f} thicker brings it to the middle of {aim}"


def _says(gap: Gap, play: _Play, clash: str | None, correction: str) -> str:
    parts = f"The parts make {gap.size:.1f} thou of end play"
    if gap.size <= 0:
        parts = f"The spacer is {-gap.size:.1f} thou too thin to leave any play"
    if clash == TOUCHES:
        return (
            f"{parts}, yet only {play.size:.1f} are there: something else touches first, and a "
            "bolt head is the first to look at; work no shim out before that is found."
        )
    if clash == LOOSE:
        return (
            f"{parts}, yet {play.size:.1f} are there: a part is worn, measured wrong or not "
            "clamped; measure the parts again before ordering any."
        )
    known = f", and {play.size:.1f} measured agree" if play.origin == "as measured" else ""
    return f"{parts}{known}{correction}."


def _shows(
    layers: tuple[Layer, ...], gap: Gap, play: _Play, target: tuple[float, float] | None
) -> Iterator[Picture]:
    opens, closes = (
        tuple(Known(la.name, la.size, la.tolerance) for la in layers if la.sign == side)
        for side in (OPENS, CLOSES)
    )
    yield InSection("thou", opens, closes, Known("play by the parts", gap.size, gap.worst))
    measured = play.origin == "as measured"
    plays = [Known("play by the parts", gap.size, gap.likely if measured else gap.worst)]
    if measured:
        plays.append(Known("play as measured", play.size, play.doubt))
    limits = () if target is None else (Limits("target", *target),)
    if limits or measured:
        title = "The play on its target" if limits else "Both plays"
        yield OnBand(title, "thou", tuple(plays), limits)


_SETTLES = {
    UNDECIDED: "Measure the end play, gear fitted and bolt torqued, and judge those readings; a "
    "finer dial or micrometer narrows the doubt.",
    TOUCHES: "Put clay on the bolt heads, fit the gear and see what it marks.",
    LOOSE: "Measure plate and spacer again at four places each, and torque the gear's bolt.",
}


def _caution(layers: tuple[Layer, ...], gap: Gap) -> str:
    if gap.size <= 0:
        return "Without play the gear clamps the plate: do not torque it up and turn it."
    if len(layers) <= 3:
        return (
            f"With {len(layers)} parts the root of squares is hopeful; the worst case is "
            f"{gap.size - gap.worst:.1f} to {gap.size + gap.worst:.1f} thou."
        )
    return "Measure every washer and bearing of the stack; catalogue thicknesses are not enough."


CALCULATIONS = (Calculation("stack", "End play as the parts make it", INPUTS, _work),)

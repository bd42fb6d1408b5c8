"""The part that brings a reading to its target: thicker or thinner, of the sizes there are.

One sum for all that is set by a size: plate, spacer, button, shims, pushrod, pump rod, packing. The
part works to one side: a plate takes play up, a spacer opens it. Lengths are in thou. Knows no
case, prints nothing.

    play 11, target 2 to 4, plate 249: a plate of 257, or shims of 5 + 2 beside it, which leave 4.
"""

from __future__ import annotations

import math

from diagnose.measuring.asking import Given, if_open, positive, prove
from diagnose.measuring.shown import Known, Limits, OnBand, Picture
from diagnose.measuring.stack import (
    CLOSES,
    OPENS,
    Pile,
    change_needed,
    choose_shims,
    shim_window,
)
from diagnose.measuring.worked import Calculation, Figure, Input, Refused, Values, Worked
from diagnose.named import Named

SOURCE = (
    "Shims from measured and wanted play, a gearbox manual p. 90, "
    "https://www.easymanua.ls/eaton/fso-2105/manual?p=95"
)
SIDES = {1.0: CLOSES, 2.0: OPENS}
_MOST_SOLD = 200
_LONG = 1000.0  # thou; longer parts are told in inches


class Wanted(Named):
    """The target of a reading; a side that is None is open."""

    low: float | None
    high: float | None

    def aim(self, doubt: float, least: float = 0.0) -> float:
        """The middle, or where one side is open the limit with the doubt kept off it."""
        if self.low is not None and self.high is not None:
            return (self.low + self.high) / 2
        if self.low is not None:
            return self.low + doubt
        return max((self.high or 0.0) - doubt, least)

    def holds(self, value: float) -> bool:
        """Whether a value lies inside, its doubt left aside."""
        low = -math.inf if self.low is None else self.low
        return low <= value <= (math.inf if self.high is None else self.high)

    @property
    def text(self) -> str:
        """The target in words."""
        if self.low is None:
            return f"at most {self.high:.4g}"
        if self.high is None:
            return f"at least {self.low:.4g}"
        return f"{self.low:.4g}" if self.low == self.high else f"{self.low:.4g} to {self.high:.4g}"


def nearest(size: float, step: float | None, sold: tuple[float, ...]) -> float | None:
    """Return the size nearest to `size` that is sold, in steps or off a list; None for neither.

    >>> nearest(257.0, None, (250.0, 255.0, 260.0)), nearest(7893.0, 50.0, ())
    (255.0, 7900.0)
    """
    if sold:
        return min(sold, key=lambda each: (abs(each - size), each))
    return None if step is None else step * math.floor(size / step + 0.5)


INPUTS = (
    Input("measured", "what does the reading show now?", "length", "thou"),
    Input("measured-doubt", "how far may it be wrong, either way?", "length", "thou", usual=1.0,
          source="memory"),
    Input("target-low", "what is the least wanted?", "length", "thou", optional=True),
    Input("target-high", "what is the most wanted?", "length", "thou", optional=True),
    Input("side", "1 if a thicker part makes the reading less (plate, shim), 2 if more (spacer, "
          "packing, pushrod)", "", ""),
    Input("gain", "how far the reading moves for each of the part", "", "", usual=1.0,
          source="common-practice"),
    Input("fitted", "how thick or long is the part that is fitted?", "length", "thou",
          optional=True),
    Input("fitted-doubt", "how far may that be wrong, either way?", "length", "thou", usual=0.5,
          source="common-practice"),
    Input("step", "in which steps is the part sold?", "length", "thou", optional=True),
    Input("sold", "in which sizes is the part sold, or at hand?", "length", "thou", many=True,
          optional=True),
    Input("shims", "which shim sizes are at hand, to lay beside the part?", "length", "thou",
          many=True, optional=True),
)  # fmt: skip


class _Part(Named):
    """What to do to a part: its growth, the part itself, the one sold, or the shims beside it."""

    growth: float
    size: float | None
    sold: float | None
    pile: Pile | None
    leaves: float
    doubt: float

    @property
    def chosen(self) -> bool:
        """Whether a size that can be had was chosen, so that it may miss the aim."""
        return self.sold is not None or self.pile is not None


def _work(values: Values) -> Worked:
    given = Given(INPUTS, values)
    read, doubt, wanted = given.one("measured"), given.one("measured-doubt"), wanted_of(given)
    side, gain = _side(given), given.one("gain")
    positive(gain=gain)
    part = _part(given, wanted, side, gain)
    verdict = None  # what is aimed at is judged when it has been fitted
    if part.chosen and wanted.low != wanted.high:
        verdict = prove(part.leaves, part.doubt, wanted.low, wanted.high)
    return Worked(
        title="Part to fit, from a reading and what is wanted",
        formula="the part grows by (reading - target) / gain where it takes the reading up, "
        "by (target - reading) / gain where it opens it",
        steps=tuple(_steps(read, wanted.aim(doubt), side, gain, part)),
        figures=tuple(_figures(part, doubt / gain)),
        verdict=verdict,
        says=_says(read, wanted, doubt / gain, part, bool(given.row("shims"))),
        source=SOURCE,
        settles=if_open(verdict, "Fit it and measure again: what was read before may be off by "
                        "as much as the target is wide, or by more."),
        caution=None if part.pile is None else "Measure each shim; not more than four in a pile.",
        shows=_shows(read, doubt, wanted, part),
    )  # fmt: skip


def wanted_of(given: Given, least: float = 0.0) -> Wanted:
    """The target a sum was given; Refused without any, and for one upside down."""
    low, high = given.perhaps("target-low", least), given.perhaps("target-high", least)
    if low is None and high is None:
        raise Refused("target-low and target-high are both missing; give at least one of them")
    if low is not None and high is not None and low > high:
        raise Refused(f"the target {low:g} to {high:g} is upside down; the low end comes first")
    return Wanted(low, high)


def _side(given: Given) -> int:
    told = given.one("side")
    if told not in SIDES:
        raise Refused(
            f"side is {told:g}; give 1 if a thicker part makes the reading less, 2 if more"
        )
    return SIDES[told]


def _part(given: Given, wanted: Wanted, side: int, gain: float) -> _Part:
    read, doubt = given.one("measured"), given.one("measured-doubt")
    aim = wanted.aim(doubt)
    growth = change_needed(read, aim, side) / gain
    fitted, shims = given.perhaps("fitted"), given.row("shims")
    size = None if fitted is None else _there(fitted, growth)
    sold = None if size is None else _sold(given, size)
    pile = (
        _pile(wanted, side, gain, read, shims)
        if shims and _calls_for_shims(wanted, read, growth)
        else None
    )
    leaves, left_doubt = aim, doubt
    if sold is not None and fitted is not None:
        leaves = read + side * gain * (sold - fitted)
        left_doubt = math.hypot(doubt, gain * given.one("fitted-doubt"))
    elif pile is not None:
        leaves = read + side * gain * pile.total
    elif wanted.holds(read):
        leaves = read
    return _Part(growth, size, sold, pile, leaves, left_doubt)


def _calls_for_shims(wanted: Wanted, read: float, growth: float) -> bool:
    """Shims only add: not to a part that must be thinner, nor to a reading that is right."""
    return growth > 0 and not wanted.holds(read)


def _there(fitted: float, growth: float) -> float:
    positive(fitted=fitted)
    if fitted + growth <= 0:
        raise Refused(
            f"a part of {fitted:g} thou can't be made {-growth:.4g} smaller; look at reading, "
            "target and side again"
        )
    return fitted + growth


def _sold(given: Given, size: float) -> float | None:
    step, sold = given.perhaps("step"), given.row("sold")
    if step is not None:
        positive(step=step)
    if len(sold) > _MOST_SOLD or not all(each > 0 for each in sold):
        raise Refused(
            f"{len(sold)} sizes from {min(sold):g} thou can't be chosen from; give up to "
            f"{_MOST_SOLD} above 0"
        )
    return nearest(size, step, sold)


def _pile(
    wanted: Wanted, side: int, gain: float, read: float, shims: tuple[float, ...]
) -> Pile | None:
    """The shims for the target; with one side open the limit itself is the target."""
    low = wanted.high if wanted.low is None else wanted.low
    high = wanted.low if wanted.high is None else wanted.high
    thin, thick = shim_window(read, (low or 0.0, high or 0.0), side)
    return choose_shims((thin / gain, thick / gain), shims)


def _steps(read: float, aim: float, side: int, gain: float, part: _Part) -> list[str]:
    first, second = (read, aim) if side == CLOSES else (aim, read)
    steps = [f"({first:.4g} - {second:.4g}) / {gain:g} = {part.growth:+.4g} thou"]
    if part.size is not None:
        steps.append(f"{part.size - part.growth:.5g} {part.growth:+.4g} = {part.size:.5g} thou")
    if part.pile is not None and part.pile.sizes:
        steps.append(f"{_names(part.pile)} = {part.pile.total:g} thou")
    return steps


def _figures(part: _Part, doubt: float) -> list[Figure]:
    figures = [Figure("part to grow by", part.growth, "thou", doubt)]
    if part.size is not None:
        figures.append(_length("part to fit", part.size, doubt))
    if part.sold is not None:
        figures.append(_length("nearest sold", part.sold))
    if part.pile is not None and part.pile.sizes:
        figures.append(Figure("shims", part.pile.total, "thou"))
    return [*figures, Figure("reading then", part.leaves, "thou", part.doubt)]


def _length(name: str, size: float, doubt: float | None = None) -> Figure:
    if size < _LONG:
        return Figure(name, size, "thou", doubt)
    return Figure(name, size / 1000, "in", None if doubt is None else doubt / 1000)


def _says(read: float, wanted: Wanted, doubt: float, part: _Part, shims: bool) -> str:
    if wanted.holds(read):
        return f"The reading of {read:.4g} thou lies in the target of {wanted.text}; leave it."
    way = "larger" if part.growth > 0 else "smaller"
    says = f"The part must be {abs(part.growth):.1f} thou {way}, give or take {doubt:.1f}"
    if part.size is not None:
        says += f": {_told(part.size)}"
    if part.sold is not None:
        says += f"; the nearest sold is {_told(part.sold)} and leaves {part.leaves:.1f} thou"
    if shims and part.growth < 0:
        return f"{says}; take so much out of the shims."
    return f"{says}{_shims_say(part)}."


def _shims_say(part: _Part) -> str:
    if part.pile is None or not part.pile.sizes:
        return ""
    names, leaves = _names(part.pile), f"leave {part.leaves:.1f} thou"
    if not part.pile.fits:
        return f"; no shims of these sizes reach it, the nearest are {names} and {leaves}"
    return f"; shims of {names} thou {leaves}"


def _names(pile: Pile) -> str:
    return " + ".join(f"{size:g}" for size in pile.sizes)


def _told(size: float) -> str:
    return f"{size:.1f} thou" if size < _LONG else f"{size / 1000:.3f} in"


def _shows(read: float, doubt: float, wanted: Wanted, part: _Part) -> tuple[Picture, ...]:
    values = (Known("now", read, doubt), Known("then", part.leaves, part.doubt))
    return (OnBand("Reading now and then", "thou", values, (Limits("wanted", *wanted),)),)


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation("part-to-fit", "Part to fit, from a reading and what is wanted", INPUTS, _work),
)

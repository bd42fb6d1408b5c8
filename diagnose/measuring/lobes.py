"""Lobe lift: what each lobe still lifts, and what it lost against new and against its neighbours.

Lengths are in thou. Knows no case, prints nothing.

    highest 238, lowest 0, new 245: lost 7 thou, where 5 are allowed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from diagnose.measuring.asking import Given, positive, prove
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

ALLOWED = (
    "Camshaft, Engine (lobe lift, allowable lobe lift loss), https://charm.li/Ford/2003/"
    "Econoline%20E150%201%2F2%20Ton%20V6-4.2L%20VIN%202/Repair%20and%20Diagnosis/Specifications/"
    "Mechanical%20Specifications/Engine/Camshaft%2C%20Engine"
)
LIFTED = (
    "Camshaft lobe lift, subtract the lowest reading from the highest, "
    "https://myvehicle.help/Mercury%20Truck/2007/Monterey%20V6-4.2L%20VIN%202/Repair%20and%20"
    "Diagnosis/Engine%2C%20Cooling%20and%20Exhaust/Engine/Service%20and%20Repair/Procedures/"
    "Camshaft"
)
DIAL = (
    "4 Evaluating standard uncertainty, "
    "http://www.iso.org/sites/JCGM/GUM/JCGM100/C045315e-html/C045315e_FILES/MAIN_C045315e/04_e.html"
)
# A travel read once at both ends of a dial of 1 thou, right to 1 thou: 2 root(1/6 + 1/3).
ONE_READING = 2 * math.sqrt(1 / 6 + 1 / 3)


def lobe_lift(readings: Sequence[float]) -> float:
    """Return the highest less the lowest dial reading over two turns of the crank, in their unit.

    Read at the pushrod on a solid or bled lifter. Refused for fewer than two readings.
    """
    if len(readings) < 2 or not all(map(math.isfinite, readings)):
        raise Refused(
            f"{len(readings)} readings give no lift; "
            "give at least the highest and the lowest, as numbers"
        )
    return max(readings) - min(readings)


def lobe_from_valve(lift: float, ratio: float, lash: float = 0.0) -> float:
    """Return the lift of the lobe from that of the valve: (valve lift + lash) / rocker ratio."""
    positive(ratio=ratio)
    if not lash >= 0:
        raise Refused(f"lash is {lash:g}; it must be zero or more")
    return (lift + lash) / ratio


def lift_losses(lifts: Sequence[float], new: float | None = None) -> tuple[float, ...]:
    """Return what each lobe has lost: against new, or against the best of them where new is None.

    All in one unit. Lobes may have lost alike, so without new the loss is the least it can be.
    """
    if not lifts or (new is None and len(lifts) < 2):
        raise Refused(
            f"{len(lifts)} lobes can't be compared; give two or more, or the new lift as 'new'"
        )
    full = max(lifts) if new is None else new
    return tuple(full - lift for lift in lifts)


INPUTS = (
    Input(
        "highest",
        "the highest dial reading of each lobe over two turns of the crank, lobes of one kind",
        "length",
        "thou",
        many=True,
    ),
    Input(
        "lowest",
        "the lowest dial reading, one for all lobes or one each",
        "length",
        "thou",
        many=True,
        usual=0.0,
        source="common-practice",
    ),
    Input("new", "the lift of a new lobe, at the lobe", "length", "thou", optional=True),
    Input("allowed", "the most lift a lobe may lose", "length", "thou", usual=5.0, source=ALLOWED),
    Input(
        "ratio",
        "the rocker ratio if the dial stood on the valve, 1 if on the pushrod",
        "",
        "",
        usual=1.0,
        source="common-practice",
    ),
    Input(
        "lash",
        "the lash while reading at the valve of a solid lifter",
        "length",
        "thou",
        usual=0.0,
        source="common-practice",
    ),
    Input(
        "doubt",
        "how far the lift read may be off, either way",
        "length",
        "thou",
        usual=ONE_READING,
        source=DIAL,
    ),
)


class _Lobes(Named):
    """Lifts at the lobes, what they lost, and how far a loss may be off; all thou."""

    lifts: tuple[float, ...]
    losses: tuple[float, ...]
    new: float | None
    allowed: float
    doubt: float

    @property
    def worst(self) -> int:
        """Which lobe lost most, counted from 0."""
        return self.losses.index(max(self.losses))

    @property
    def loss_doubt(self) -> float:
        """A loss against another lobe has the doubt of two readings."""
        return self.doubt if self.new is not None else math.sqrt(2) * self.doubt

    @property
    def verdict(self) -> str:
        """Without the new lift nothing can conform: all lobes may have lost alike."""
        found = prove(self.losses[self.worst], self.loss_doubt, None, self.allowed)
        return UNDECIDED if self.new is None and found == CONFORMS else found


def _read(given: Given) -> _Lobes:
    highest, lowest = given.row("highest", -math.inf), given.row("lowest", -math.inf)
    if len(lowest) not in (1, len(highest)):
        raise Refused(
            f"lowest has {len(lowest)} values and highest {len(highest)}; "
            "give one lowest for all lobes or one for each"
        )
    ratio, lash = given.one("ratio"), given.one("lash")
    pairs = zip(highest, lowest * len(highest) if len(lowest) == 1 else lowest, strict=True)
    lifts = []
    for place, (high, low) in enumerate(pairs, 1):
        if high < low:
            raise Refused(
                f"lobe {place}: the highest reading {high:g} is below the lowest {low:g}; swap them"
            )
        lifts.append(lobe_from_valve(lobe_lift((high, low)), ratio, lash))
    new, doubt = given.perhaps("new"), given.one("doubt") / ratio
    found = _Lobes(tuple(lifts), lift_losses(lifts, new), new, given.one("allowed"), doubt)
    _refuse_gain(found)
    return found


def _refuse_gain(found: _Lobes) -> None:
    """No lobe grows: more than new means another cam, or valve lift taken for lobe lift."""
    if found.new is None:
        return
    positive(new=found.new)
    best = max(found.lifts)
    if best - found.new > found.allowed + found.doubt:
        place = found.lifts.index(best) + 1
        raise Refused(
            f"lobe {place} lifts {best:.1f} thou, more than the {found.new:g} of new; give the "
            "rocker ratio if the dial stood on the valve, and new as the lift at the lobe"
        )


def _work(values: Values) -> Worked:
    found = _read(Given(INPUTS, values))
    full = max(found.lifts) if found.new is None else found.new
    against = "the best lobe" if found.new is None else "new"
    steps = tuple(
        f"lobe {place}: lift {lift:.1f} thou, {full:.1f} - {lift:.1f} = {loss:.1f} thou lost"
        for place, (lift, loss) in enumerate(zip(found.lifts, found.losses, strict=True), 1)
    )
    return Worked(
        title="Lobe lift",
        formula="lift = highest less lowest reading over two turns of the crank, at the valve "
        f"(lift + lash) / rocker ratio; lost = {against} less lift",
        steps=steps,
        figures=(
            *(
                Figure(f"lift of lobe {place}", lift, "thou", found.doubt)
                for place, lift in enumerate(found.lifts, 1)
            ),
            Figure(
                f"most lost (lobe {found.worst + 1})",
                found.losses[found.worst],
                "thou",
                found.loss_doubt,
            ),
            Figure("best less worst lobe", max(found.lifts) - min(found.lifts), "thou"),
        ),
        verdict=found.verdict,
        says=_says(found),
        source=f"{LIFTED} ; limit: {ALLOWED}",
        settles=_settles(found),
        caution="Use a solid or bled-down lifter with a light spring, and give intake and exhaust "
        "lobes apart: many cams grind them differently. Makers' limits for lift lost run from 5 "
        "to 10 thou.",
        shows=(_shown(found, against),),
    )


def _shown(found: _Lobes, against: str) -> OnBand:
    losses = tuple(
        Known(f"lobe {place}", loss, found.loss_doubt) for place, loss in enumerate(found.losses, 1)
    )
    limits = (Limits("allowed", None, found.allowed),)
    return OnBand(f"Lift lost against {against}", "thou", losses, limits)


def _says(found: _Lobes) -> str:
    lost = f"Lobe {found.worst + 1} lost {found.losses[found.worst]:.1f} thou of lift"
    if found.verdict == FAILS:
        return f"{lost}, more than the {found.allowed:g} allowed: this cam is worn."
    if found.verdict == CONFORMS:
        return f"No lobe lost more than {found.allowed:g} thou of lift: the lobes are good."
    if found.new is None and found.losses[found.worst] + found.loss_doubt <= found.allowed:
        return "No lobe stands out from the others, but all of them may have worn alike."
    return f"{lost}, too near the {found.allowed:g} allowed for this reading to tell."


def _settles(found: _Lobes) -> str | None:
    if found.verdict != UNDECIDED:
        return None
    if found.new is None:
        return "Find the lift of a new lobe of this cam, and give it as 'new'."
    return "Read that lobe again three times or more with a finer dial, and look at its lifter."


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation("lobe-lift", "Lobe lift: what the lobes have lost", INPUTS, _work),
)

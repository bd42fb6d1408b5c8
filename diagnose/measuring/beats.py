"""How often a noise comes per turn of the crank, from counted beats; what turns that fast.

order = beats per turn of the crank: 0.5 for what turns at cam speed, 1 for the crank, half the
number of cylinders for firing (four-stroke). An order is a clue and never proof. Knows no case.
"""

from __future__ import annotations

import math

from diagnose.measuring.asking import Given, positive
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
from diagnose.named import Named

HALF, WHOLE, FIRING = "half crank speed", "crank speed", "firing speed"
BY_HAND = 8.0  # beats a second: no hand taps and no ear counts faster; memory
_ORDERS = "Doubt in NVH, https://www.physicsforums.com/threads/doubt-in-noise-vibration-and-harshness-nvh.743718/"
_COUNTING = "Engine Knocking Ticking Noise, https://dannysengineportal.com/what-is-that-knocking-or-ticking-noise/"

INPUTS = (
    Input("beats", "beats counted", "", ""),
    Input("seconds", "how long the count took", "time", "s"),
    Input("speed", "engine speed while counting", "speed", "rpm"),
    Input(
        "speed-doubt",
        "how far the engine speed may be off, either way",
        "speed",
        "rpm",
        usual=20.0,
        source="memory",
    ),
    Input("cylinders", "number of cylinders (four-stroke)", "", "", optional=True),
)


def order(beats: float, seconds: float, speed: float) -> float:
    """Beats per turn of the crank: beats / seconds x 60 / rpm.

    Raises Refused where a value is not above zero.
    """
    positive(beats=beats, seconds=seconds, speed=speed)
    return 60 * beats / (seconds * speed)


def order_spread(beats: float, speed: float, speed_spread: float) -> float:
    """The standard uncertainty of an order, as a share of it.

    A count may be one out either way, anywhere between alike: 1 / (sqrt 3 n). `speed_spread` is
    the standard uncertainty of the speed in rpm.
    """
    positive(beats=beats, speed=speed)
    return math.hypot(1 / (math.sqrt(3) * beats), speed_spread / speed)


def frequency(order: float, speed: float) -> float:
    """Beats a second of an order at a speed in rpm: order x rpm / 60."""
    positive(order=order, speed=speed)
    return order * speed / 60


def firing_order(cylinders: float) -> float:
    """Firings per turn of the crank of a four-stroke: half the number of cylinders."""
    positive(number_of_cylinders=cylinders)
    return cylinders / 2


def beats_needed(speed: float, speed_spread: float) -> int | None:
    """The least count that keeps half and whole crank speed apart at 95 %; None where none does.

    The two bands touch when the expanded share (twice the standard one) is a third.
    """
    positive(speed=speed)
    room = 1 / 36 - (speed_spread / speed) ** 2
    return None if room <= 0 else math.floor(1 / math.sqrt(3 * room)) + 1


class Counted(Named):
    """An order with its expanded uncertainty, and the speeds that fit within it."""

    order: float
    u: float
    fits: tuple[str, ...]


def counted(beats: float, seconds: float, speed: tuple[float, float], firing: float) -> Counted:
    """Judge a count. `speed` is the rpm and its standard uncertainty; `firing` 0 if not known."""
    found = order(beats, seconds, speed[0])
    u = 2 * found * order_spread(beats, speed[0], speed[1])
    return Counted(found, u, tuple(n for n, at in _known(firing) if abs(found - at) <= u))


def _known(firing: float) -> tuple[tuple[str, float], ...]:
    """What turns in step with the engine; firing only where the cylinders are known."""
    return ((HALF, 0.5), (WHOLE, 1.0), *(((FIRING, firing),) if firing else ()))


def _work(values: Values) -> Worked:
    given = Given(INPUTS, values)
    beats, seconds, speed = given.one("beats"), given.one("seconds"), given.one("speed")
    if beats != round(beats) or beats < 2:
        raise Refused(f"beats is {beats:g}; it must be a whole count of at least two")
    cylinders = given.perhaps("cylinders")
    firing = 0.0 if cylinders is None else firing_order(cylinders)
    found = counted(beats, seconds, (speed, given.one("speed-doubt") / 2), firing)
    least = beats_needed(speed, given.one("speed-doubt") / 2)
    verdict = found.fits[0] if len(found.fits) == 1 else UNDECIDED
    return Worked(
        title="Beats of a noise against engine speed",
        formula="order = beats / seconds x 60 / rpm; "
        "doubt = 2 x order x root of (1 / (root 3 x beats))^2 + (doubt of rpm / 2 / rpm)^2",
        steps=(
            f"{beats:g} / {seconds:g} s x 60 / {speed:g} rpm = {found.order:.2f} beats a turn",
            f"doubt at 95 %: {found.u:.2f} beats a turn",
            f"cam speed here is {frequency(0.5, speed):.1f} a second, "
            f"crank speed {frequency(1, speed):.1f}",
        ),
        figures=(
            Figure("beats per turn of the crank", found.order, "", found.u),
            Figure("beats a second", beats / seconds, ""),
            *(() if least is None else (Figure("least count for half or whole", least, ""),)),
        ),
        verdict=verdict,
        says=_says(found),
        source=_ORDERS if verdict != HALF else _COUNTING,
        settles=_settles(found, least),
        caution=_caution(found, beats / seconds),
        shows=(
            OnBand(
                "Beats a turn of the crank",
                "",
                (Known("counted", found.order, found.u),),
                tuple(Limits(name, at, at) for name, at in _known(firing)),
            ),
        ),
    )


def _says(found: Counted) -> str:
    if len(found.fits) > 1:
        return f"The count fits {' and '.join(found.fits)} alike, so it tells nothing yet."
    if not found.fits:
        return f"{found.order:.2f} beats a turn fits nothing that turns in step with the engine."
    parts = {
        HALF: "valve train, fuel pump arm, distributor or cam, or one cylinder's firing stroke",
        WHOLE: "crank, rods, pistons, flywheel or damper",
        FIRING: "every firing: exhaust leak, detonation or plain combustion noise",
    }
    return f"The noise comes at {found.fits[0]}, like {parts[found.fits[0]]}."


def _settles(found: Counted, least: int | None) -> str | None:
    if len(found.fits) == 1 and found.fits[0] != HALF:
        return None
    if found.fits == (HALF,):
        return (
            "See whether it keeps step with the timing light of one cylinder, whether it changes "
            "with that plug earthed, and where the stethoscope hears it loudest."
        )
    if least is None:
        return "Read the engine speed more closely; at this doubt no count is long enough."
    return f"Count again, {max(least, 40)} beats or more, at a steady speed read at the same time."


def _caution(found: Counted, rate: float) -> str:
    told = [
        "A speed read on the wrong cylinder setting, or every second beat counted, turns half "
        "into whole and back."
    ]
    if HALF in found.fits:
        told.insert(
            0,
            "Half speed is no proof of the valve train: uneven firing alone sounds so, and a rod "
            "that knocks only on its firing stroke too.",
        )
    if rate > BY_HAND:
        told.append(
            f"Nobody counts {rate:.0f} a second by ear: take it from a recording or strobe."
        )
    return " ".join(told)


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation("beats", "Beats of a noise against engine speed", INPUTS, _work),
)

"""What several readings prove against a band, a wear limit and a target, and what would settle it.

Two rules side by side. The proof rule takes the give-or-take off the band: it proves, disproves or
can't tell. The chance rule weighs where the true value may lie: 95 % inside is enough, 5 % is too
little. The proof rule speaks the verdict; it never says more than the chance rule does. Knows no
case, prints nothing.

    U 1.6 on a band of 1 to 6: proved inside from 2.6 to 4.4 only.

Sources: the proof rule as told in "Decision rule", https://lvt.com.tr/en/kurumsal/karar-kurali ;
the chance rule is JCGM 106:2012, section 7, inputs as quoted at http://metrologyrules.com/2022/03/
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from diagnose.measuring import asking
from diagnose.measuring.asking import Given
from diagnose.measuring.endplay import end_play_correction
from diagnose.measuring.readings import (
    GUM,
    INPUTS,
    SURE,
    Gauge,
    Measured,
    budget,
    budget_steps,
    gauge_of,
    measure,
    scatter_caution,
)
from diagnose.measuring.shown import Known, Limits, OnBand
from diagnose.measuring.student import student_cdf
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

SOURCE = f"Decision rule, https://lvt.com.tr/en/kurumsal/karar-kurali ; {GUM}"
FIRM = (
    "TM 9-2815-253-24, http://automotiveenginemechanics.tpub.com/TM-9-2815-253-24/css/"
    "TM-9-2815-253-24_76.htm (the screws are tightened before end play is read)"
)
DIALS = {
    1.0: "0.001 in",
    0.5: "0.0005 in",
    0.01 / 0.0254: "0.01 mm",
    0.1: "0.0001 in",
    0.001 / 0.0254: "0.001 mm",
}  # usual divisions by their thou, common-practice
_TRACE = 1e-6  # a distribution with less than this left above its least value tells nothing
MOST_READINGS = 30  # more is not bench work; the spread is then known to 13 % (JCGM 100, annex G)


class Band(Named):
    """Limits; a side that is None is open."""

    low: float | None
    high: float | None


class Estimate(Named):
    """What is believed of a true value: Student's distribution, cut off below `least`."""

    value: float
    u: float
    dof: float = math.inf
    least: float | None = None


class Chances(Named):
    """Chances that the true value lies below, inside and above a band; they make 1."""

    below: float
    inside: float
    above: float


class Settling(Named):
    """What would settle an open verdict: the coarsest finer division, the readings in all, or both.

    None where that way does not lead there; `both` is looked for where neither does alone.
    """

    division: float | None
    readings: int | None
    both: tuple[float, int] | None = None


class Judged(Named):
    """One question answered both ways: `proof` by the give-or-take, `likely` by the chances."""

    name: str
    band: Band
    proof: str
    likely: str
    chances: Chances


def prove(value: float, expanded: float, band: Band) -> str:
    """Return CONFORMS, FAILS or UNDECIDED for a value known to +- `expanded`.

    >>> prove(5.0, 1.6, Band(1.0, 6.0)), prove(3.5, 1.6, Band(1.0, 6.0))
    ("can't be told", 'conforms')
    """
    _check_band(band)
    return asking.prove(value, expanded, band.low, band.high)


def provable(band: Band, expanded: float) -> Band | None:
    """Return the part of a band where a value can be proved inside; None where there is none."""
    _check_band(band)
    low = None if band.low is None else band.low + expanded
    high = None if band.high is None else band.high - expanded
    return None if low is not None and high is not None and low > high else Band(low, high)


def chances(estimate: Estimate, band: Band) -> Chances:
    """Return how likely the true value lies below, inside and above a band; JCGM 106, section 7.

    With `least` what lies below it can't be, and the rest makes the whole.
    """
    _check_band(band)
    if not math.isfinite(estimate.value) or not estimate.u > 0:
        raise Refused(
            f"{estimate.value:g} with a standard uncertainty of {estimate.u:g} can't be judged; "
            "give a number and an uncertainty above 0"
        )
    least = -math.inf if estimate.least is None else estimate.least
    cut = _share_below(estimate, least)
    if cut > 1 - _TRACE:
        raise Refused(f"{estimate.value:g} lies too far below {least:g}, the least it can be")
    below = above = 0.0
    if band.low is not None and band.low > least:
        below = (_share_below(estimate, band.low) - cut) / (1 - cut)
    if band.high is not None:
        above = min((1 - _share_below(estimate, band.high)) / (1 - cut), 1.0)
    return Chances(below, max(1 - below - above, 0.0), above)


def likely(inside: float, sure: float = SURE) -> str:
    """Return the verdict of the chance rule for the chance to lie inside."""
    if inside >= sure:
        return CONFORMS
    return FAILS if inside <= 1 - sure else UNDECIDED


def edge_distance(value: float, band: Band) -> float:
    """Return how far a value lies from the nearest limit, whichever side of it."""
    return min((abs(value - edge) for edge in band if edge is not None), default=math.inf)


def settle(
    found: Measured, gauge: Gauge, distance: float, divisions: tuple[float, ...]
) -> Settling:
    """Work out what brings the give-or-take below `distance`, if mean and spread stay as they are.

    Either the coarsest finer division as often read (its maximum error in the same proportion), or
    the number of readings in all with the gauge in hand; at most MOST_READINGS of them.
    """
    finer = [each for each in sorted(divisions, reverse=True) if each < gauge.division * 0.999]
    more = range(found.taken + 1, MOST_READINGS + 1)

    def does(division: float, taken: int) -> bool:
        error = gauge.error * division / gauge.division
        foreseen = Gauge(division, error, gauge.tilt)
        return budget(found.mean, found.spread, taken, foreseen).expanded < distance

    division = next((each for each in finer if does(each, found.taken)), None)
    readings = next((taken for taken in more if does(gauge.division, taken)), None)
    both = None
    if division is None and readings is None:
        both = next(((each, n) for each in finer for n in more if does(each, n)), None)
    return Settling(division, readings, both)


def _share_below(estimate: Estimate, limit: float) -> float:
    if limit == -math.inf:
        return 0.0
    return student_cdf((limit - estimate.value) / estimate.u, estimate.dof)


def _check_band(band: Band, name: str = "band") -> None:
    if any(edge is not None and not math.isfinite(edge) for edge in band):
        raise Refused(f"the {name} {band.low!r} to {band.high!r} has a limit that is no number")
    if band.low is not None and band.high is not None and band.low > band.high:
        raise Refused(
            f"the {name} {band.low:g} to {band.high:g} is upside down; the low limit comes first"
        )


END_PLAY = (
    *INPUTS,
    Input("band-low", "what is the least play for a new build?", "length", "thou", optional=True),
    Input("band-high", "what is the most play for a new build?", "length", "thou", optional=True),
    Input("wear-limit", "beyond which play is it worn out?", "length", "thou", optional=True),
    Input("target-low", "what is the least play aimed at?", "length", "thou", optional=True),
    Input("target-high", "what is the most play aimed at?", "length", "thou", optional=True),
    Input("gear-torqued", "is the gear fitted and its bolt torqued? (yes or no)", "", "",
          source=FIRM),
)  # fmt: skip


def _work(values: Values) -> Worked:
    given = Given(END_PLAY, values)
    _check_torqued(given)
    gauge = gauge_of(given)
    found = measure(given.row("readings"), gauge)
    bands = _bands(given)
    judged = tuple(_judge(found, name, band) for name, band in bands.items())
    change = _change(found, bands.get("target"))
    return Worked(
        title="Camshaft end play from several readings",
        formula="proved inside = from low limit + give-or-take to high limit - give-or-take",
        steps=budget_steps(found, gauge) + tuple(_judged_steps(found, judged)),
        figures=tuple(_figures(found, judged, change)),
        verdict=judged[0].proof,
        says=_says(found, judged, change),
        source=SOURCE,
        settles=_settles(found, gauge, judged),
        caution=_caution(found, gauge, bands),
        shows=(
            OnBand(
                "End play on its limits",
                "thou",
                (Known("end play", found.mean, found.expanded),),
                tuple(Limits(each.name, *each.band) for each in judged),
            ),
        ),
    )


def _check_torqued(given: Given) -> None:
    told = given.one("gear-torqued") if given.values.get("gear-torqued") else None
    if told != 1:
        shown = "missing" if told is None else f"{told:g}"
        raise Refused(
            f"gear-torqued is {shown}; end play counts only with the gear fitted and its bolt "
            "torqued, so that the spacer is clamped: fit, torque, read again and give 1"
        )


def _bands(given: Given) -> dict[str, Band]:
    """The questions in the order they are judged; the first one speaks the verdict."""
    low, high, worn, least, most = (
        given.perhaps(name)
        for name in ("band-low", "band-high", "wear-limit", "target-low", "target-high")
    )
    bands = {"new band": Band(low, high), "wear limit": Band(None, worn)}
    if (least is None) != (most is None):
        raise Refused("the target has one end only; give both target-low and target-high")
    bands["target"] = Band(least, most)
    bands = {name: band for name, band in bands.items() if band != Band(None, None)}
    if not bands:
        raise Refused("there is nothing to judge by; give a band, a wear limit or a target")
    for name, band in bands.items():
        _check_band(band, name)
    if worn is not None and worn < max(low or 0.0, high or 0.0):
        raise Refused(
            f"the wear limit {worn:g} lies below an end of the new band "
            f"({_span(bands['new band'])}); a worn part is allowed more play than a new one"
        )
    return bands


def _judge(found: Measured, name: str, band: Band) -> Judged:
    believed = chances(Estimate(found.mean, found.u, found.dof, least=0.0), band)
    proof = prove(found.mean, found.expanded, band)
    return Judged(name, band, proof, likely(believed.inside), believed)


def _change(found: Measured, target: Band | None) -> float | None:
    if target is None or target.low is None or target.high is None:
        return None
    return end_play_correction(found.mean, (target.low, target.high), None, None).change


def _judged_steps(found: Measured, judged: tuple[Judged, ...]) -> Iterator[str]:
    for each in judged:
        room = provable(each.band, found.expanded)
        reach = "nowhere" if room is None else _span(room)
        yield (
            f"{each.name} {_span(each.band)}: provable {reach}: {each.proof}; "
            f"chance inside {each.chances.inside:.1%}: {each.likely}"
        )


def _figures(found: Measured, judged: tuple[Judged, ...], change: float | None) -> Iterator[Figure]:
    yield Figure("end play", found.mean, "thou", found.expanded)
    yield Figure("spread", found.spread, "thou")
    for each in judged:
        yield Figure(f"chance inside the {each.name}", 100 * each.chances.inside, "%")
    if change is not None:
        yield Figure("change to the middle of the target", change, "thou", found.expanded)


def _says(found: Measured, judged: tuple[Judged, ...], change: float | None) -> str:
    limits = [each for each in judged if each.name != "target"] or judged
    verdicts = ", ".join(
        f"{_OUTCOMES[each.proof]} the {each.name} ({_span(each.band)} thou)" for each in limits
    )
    aim = "" if change is None else f"; {_to_target(found.mean, judged[-1].band, change)}"
    size = f"{found.mean:.1f} thou, give or take {found.expanded:.1f}"
    return f"The end play is {size}: {verdicts}{aim}."


_OUTCOMES = {
    CONFORMS: "proved inside",
    FAILS: "proved outside",
    UNDECIDED: "too close to call against",
}


def _to_target(mean: float, target: Band, change: float) -> str:
    if prove(mean, 0.0, target) == CONFORMS:
        return f"as read it lies in the target of {_span(target)} thou"
    way = "take up" if change < 0 else "open it by"
    return f"{way} {abs(change):.1f} thou to reach the middle of {_span(target)} thou"


def _settles(found: Measured, gauge: Gauge, judged: tuple[Judged, ...]) -> str | None:
    """What to do about the first question left open, the target only where it is the only one."""
    limits = [each for each in judged if each.name != "target"] or judged
    unsettled = next((each for each in limits if each.proof == UNDECIDED), None)
    if unsettled is None:
        return None
    distance = edge_distance(found.mean, unsettled.band)
    way = settle(found, gauge, distance, tuple(DIALS))
    ways = []
    if way.division is not None:
        ways.append(f"read {found.taken} times on a dial of {DIALS[way.division]}")
    if way.readings is not None:
        ways.append(f"take {way.readings} readings in all with this dial")
    if way.both is not None:
        ways.append(f"read {way.both[1]} times on a dial of {DIALS[way.both[0]]}")
    if not ways:
        return (
            f"No dial and no number of readings will do: the play lies {distance:.2g} thou from "
            f"the end of the {unsettled.name}; bring it further inside and measure again."
        )
    alone = "" if way.readings else "; more readings with this dial would not do"
    return f"To settle it {' or '.join(ways)}, if the play shows the same again{alone}."


def _caution(found: Measured, gauge: Gauge, bands: dict[str, Band]) -> str | None:
    said = [
        f"No reading with this dial can be proved inside the {name} of {_span(band)} thou: it is "
        f"narrower than twice the give-or-take of {found.expanded:.2g}."
        for name, band in bands.items()
        if provable(band, found.expanded) is None
    ]
    if found.mean < found.expanded:
        said.append("The play can't be told from 0, and 0 hides a preload: turn the shaft by hand.")
    if found.taken == 2:
        said.append("Two readings tell little of the scatter; three to five are better.")
    ends = [edge for edge in bands.get("target", ()) if edge is not None]
    if any(prove(edge, 0.0, bands.get("new band", Band(None, None))) == FAILS for edge in ends):
        said.append("The target reaches outside the new band; make sure of both.")
    scatter = scatter_caution(found, gauge)
    return " ".join([*said, scatter] if scatter else said) or None


def _span(band: Band) -> str:
    if band.low is None:
        return f"up to {band.high:.3g}"
    return f"from {band.low:.3g}" if band.high is None else f"{band.low:.3g} to {band.high:.3g}"


CALCULATIONS = (
    Calculation("end-play", "Camshaft end play from several readings", END_PLAY, _work),
)

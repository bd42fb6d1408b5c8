"""Several readings against worked examples printed elsewhere; the source stands beside each.

Where a line says GUM: "Evaluation of measurement data - Guide to the expression of uncertainty in
measurement", http://www.iso.org/sites/JCGM/GUM/JCGM100/C045315e-html/C045315e_FILES/MAIN_C045315e/
"""

import math
import random
from functools import cache

import pytest
from hypothesis import given as drawn
from hypothesis import strategies as st
from scipy import special

from diagnose.measuring.readings import (
    CALCULATIONS,
    Gauge,
    Measured,
    Part,
    budget,
    combine,
    coverage_factor,
    division_doubt,
    error_doubt,
    mean_and_spread,
    measure,
    spread_doubt,
    tilt_doubt,
    true_travel,
)
from diagnose.measuring.worked import Refused, Worked

# GUM 4.4.3, as reproduced at http://weblims.cn/forum.php?goto=nextnewset&mod=redirect&tid=1947
TEMPERATURES = [
    96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07,
    100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
]  # fmt: skip
# nm; GUM H.1, "Gauge block measurement (GUM H1)", docs/API/GUM_H1.rst, https://github.com/MSLNZ/GTC
END_GAUGE = (
    Part("standard", 25.0, 18),
    Part("repeated readings", 5.8, 24),
    Part("comparator, random", 3.9, 5),
    Part("comparator, systematic", 6.7, 8),
    Part("expansion", 50_000_623 * 0.1 * 1e-6 / math.sqrt(3), 50),
    Part("temperature", 50_000_623 * 11.5e-6 * 0.05 / math.sqrt(3), 2),
)
LENGTHS = st.floats(0.1, 100)
FREEDOM = st.floats(1, 1e7)


def test_twenty_readings_give_the_mean_and_spread_printed() -> None:
    """GUM 4.4.3: mean 100.14 (100.145 before rounding), s 1.49."""
    mean, spread = mean_and_spread(TEMPERATURES)
    assert mean == pytest.approx(100.14, abs=0.0051)
    assert spread == pytest.approx(1.49, abs=0.005)


def test_twenty_readings_give_the_doubt_of_the_mean_printed() -> None:
    """GUM 4.4.3: s / sqrt n = 0.33."""
    assert measure(TEMPERATURES, Gauge(0.01, 0)).parts[0].u == pytest.approx(0.33, abs=0.005)


@pytest.mark.parametrize(
    ("part", "printed", "precision"),
    [
        ("standard", 25, 0.5),
        ("temperature", 16.599, 5e-4),
        ("comparator, systematic", 6.7, 0.05),
        ("repeated readings", 5.8, 0.05),
        ("comparator, random", 3.9, 0.05),
        ("expansion", 2.88679, 5e-6),
    ],
)
def test_the_shares_of_the_end_gauge_are_those_printed(
    part: str, printed: float, precision: float
) -> None:
    """GUM H.1 as worked at https://github.com/MSLNZ/GTC, docs/API/GUM_H1.rst."""
    assert {p.name: p.u for p in END_GAUGE}[part] == pytest.approx(printed, abs=precision)


def test_the_end_gauge_is_known_as_well_as_printed() -> None:
    """GUM H.1, same page: 50 000 838 nm (standard 50 000 623, difference 215), uc 32 nm."""
    assert 50_000_623 + 215 == 50_000_838
    assert combine(END_GAUGE)[0] == pytest.approx(32, abs=0.5)


def test_the_end_gauge_has_sixteen_degrees_of_freedom() -> None:
    """GUM H.1.6: 16 (rounded down), t of 99 % 2.92, U 93 nm (from the rounded 32). From memory."""
    dof = math.floor(combine(END_GAUGE)[1])
    factor = coverage_factor(dof, 0.99)
    assert (dof, round(factor, 2), round(factor * 32)) == (16, 2.92, 93)


def test_the_end_gauge_agrees_with_the_library() -> None:
    """GUM H.1: the factor of 99 % for its degrees of freedom, and U with it, against scipy."""
    u, dof = combine(END_GAUGE)
    for each in (dof, math.floor(dof)):
        assert coverage_factor(each, 0.99) == pytest.approx(special.stdtrit(each, 0.995), rel=1e-9)
        expanded = special.stdtrit(each, 0.995) * u
        assert coverage_factor(each, 0.99) * u == pytest.approx(expanded, rel=1e-9)


def test_the_spread_of_thirty_readings_is_known_to_thirteen_percent() -> None:
    """GUM annex G (AG_e.html): about 13 percent."""
    assert spread_doubt(30) == pytest.approx(0.13, abs=0.005)


@pytest.mark.parametrize(("taken", "share"), [(3, 0.50), (5, 0.35)])
def test_the_spread_of_few_readings_is_poorly_known(taken: int, share: float) -> None:
    """Worked out from the same formula, 1 / sqrt(2 (n - 1))."""
    assert spread_doubt(taken) == pytest.approx(share, abs=0.005)


@drawn(FREEDOM, st.floats(1.01, 10))
def test_more_freedom_makes_the_factor_smaller(dof: float, times: float) -> None:
    assert coverage_factor(dof * times) < coverage_factor(dof)


@pytest.mark.parametrize(("reading", "tilt", "true"), [(0.004, 60, 0.002), (1, 10, 0.9848)])
def test_a_tilted_plunger_reads_too_much_as_printed(
    reading: float, tilt: float, true: float
) -> None:
    """60 deg: "Cosine Error in Indicator Readings", http://cncexpo.com/IndCosine.aspx ; 10 deg:
    "cosine error", https://friendlywiki.com/article/index.php?title=cosine_error"""
    assert true_travel(reading, tilt) == pytest.approx(true, abs=5e-5)


def test_ten_degrees_of_tilt_cost_one_and_a_half_percent_as_printed() -> None:
    """ "cosine error", same page: 1.5 %."""
    assert tilt_doubt(100, 0, 10) == pytest.approx(1.5, abs=0.05)


def test_tilt_is_worked_in_radians() -> None:
    """A known tilt: m sin(tilt) u; none: m u^2 / 2. Worked out; in degrees 57 times too much."""
    assert tilt_doubt(10, 30, 0.1) == pytest.approx(10 * 0.5 * math.radians(0.1), rel=2e-3)
    assert tilt_doubt(10, 0, 5) == pytest.approx(10 * math.radians(5) ** 2 / 2, rel=1e-3)


def test_a_dial_of_a_thousandth_is_good_to_seven_tenths() -> None:
    """0.001 in division and +- 0.001 in: 0.00071 in. Worked out two ways; nothing published."""
    both = math.hypot(division_doubt(0.001), error_doubt(0.001))
    assert both == pytest.approx(0.00071, abs=5e-6)
    assert both == pytest.approx(0.001 * math.sqrt(1 / 6 + 1 / 3))


def test_three_readings_with_such_a_dial_are_good_to_sixteen_tenths() -> None:
    """Readings spread by 0.0006 in: uc 0.00079, U about 0.0016 in. Worked out, not published."""
    found = budget(0.004, 0.0006, 3, Gauge(0.001, 0.001))
    assert found.u == pytest.approx(0.00079, abs=5e-6)
    assert found.expanded == pytest.approx(0.0016, abs=5e-5)


def test_equal_readings_are_not_taken_for_exact() -> None:
    found = measure([4, 4, 4], Gauge(1, 1))
    assert (found.spread, found.dof) == (0, math.inf)
    assert found.expanded == pytest.approx(1.96 * 0.7071, abs=1e-3)


@drawn(st.lists(LENGTHS, min_size=2, max_size=9), LENGTHS, st.floats(0.001, 1000))
def test_the_unit_does_not_matter(readings: list[float], division: float, factor: float) -> None:
    found = measure(readings, Gauge(division, division, 5))
    scaled = measure([r * factor for r in readings], Gauge(division * factor, division * factor, 5))
    assert scaled.expanded == pytest.approx(found.expanded * factor, rel=1e-6)
    assert scaled.mean == pytest.approx(found.mean * factor, rel=1e-9)


@drawn(LENGTHS, st.floats(0, 10), st.integers(2, 30), LENGTHS)
def test_neither_a_finer_dial_nor_more_readings_ever_hurt(
    mean: float, spread: float, taken: int, division: float
) -> None:
    now = budget(mean, spread, taken, Gauge(division, division))
    assert budget(mean, spread, taken + 1, Gauge(division, division)).u <= now.u * (1 + 1e-12)
    assert budget(mean, spread, taken, Gauge(division / 2, division / 2)).u <= now.u


@drawn(st.lists(st.tuples(st.floats(0.001, 10), FREEDOM), min_size=1, max_size=6))
def test_the_freedom_lies_between_the_poorest_share_and_all_together(
    shares: list[tuple[float, float]],
) -> None:
    """GUM G.4.1: no less than the least, no more than the sum."""
    _, dof = combine(Part("a", u, v) for u, v in shares)
    assert min(v for _, v in shares) * (1 - 1e-9) <= dof <= sum(v for _, v in shares) * (1 + 1e-9)


def test_no_share_no_doubt() -> None:
    assert combine([Part("a", 0.0, 2)]) == (0.0, math.inf)


def _read(draw: random.Random, true: float, taken: int, noise: float) -> Measured:
    """Readings as a dial gives them: both ends rounded to 1, one error of up to 1 for all."""
    error = draw.uniform(-1, 1)
    zeros = [draw.uniform(0, 1) for _ in range(taken)]
    ends = [zero + true + error + draw.gauss(0, noise) for zero in zeros]
    return _worked_up(tuple(sorted(round(e) - round(z) for e, z in zip(ends, zeros, strict=True))))


@cache
def _worked_up(readings: tuple[int, ...]) -> Measured:
    return measure(readings, Gauge(1, 1))


@pytest.mark.parametrize("taken", [3, 5])
@pytest.mark.parametrize("noise", [0.1, 0.6, 1.0])
def test_the_true_play_lies_within_the_give_or_take(taken: int, noise: float) -> None:
    """Simulated; the aim is 95 %, more is caution. With three readings about 99 %."""
    draw = random.Random(20)
    plays = [draw.uniform(2, 12) for _ in range(20_000)]
    found = [(true, _read(draw, true, taken, noise)) for true in plays]
    held = sum(abs(f.mean - true) <= f.expanded for true, f in found) / len(found)
    assert 0.94 <= held <= 1


@pytest.mark.parametrize(
    ("readings", "gauge", "wrong"),
    [
        ([4.0], Gauge(1, 1), "1 reading shows no spread; take two or more"),
        ([], Gauge(1, 1), "0 reading"),
        ([4.0, math.nan], Gauge(1, 1), "the reading nan is no number"),
        ([4.0, 5.0], Gauge(0, 1), "division 0"),
        ([4.0, 5.0], Gauge(1, -1), "maximum error -1"),
        ([4.0, 5.0], Gauge(1, 1, 60), "tilt 60"),
        ([4.0, 5.0], Gauge(math.nan, 1), "division nan"),
        ([4.0, 5.0], Gauge(1, math.inf), "maximum error inf"),
    ],
)
def test_what_can_not_be_measured_is_refused(
    readings: list[float], gauge: Gauge, wrong: str
) -> None:
    with pytest.raises(Refused, match=wrong):
        measure(readings, gauge)


def work(**values: tuple[float, ...]) -> Worked:
    return CALCULATIONS[0].work({name.replace("_", "-"): v for name, v in values.items()})


def test_readings_are_told_with_their_give_or_take() -> None:
    found = work(readings=(3.0, 4.0, 4.0))
    assert found.says == (
        "The size is 3.67 thou, give or take 1.6, as far as 3 readings with this dial can tell."
    )
    assert found.figures[0].u == pytest.approx(1.564, abs=1e-3)


def test_every_share_of_the_doubt_is_shown() -> None:
    assert work(readings=(3.0, 4.0, 4.0), maximum_error=(0.5,)).steps == (
        "mean of 3 = 3.667, spread 0.577",
        "scatter: 0.577 / sqrt 3 = 0.333",
        "division: 1 / sqrt 12 x sqrt 2 = 0.408",
        "maximum error: 0.5 / sqrt 3 = 0.289",
        "tilt: 3.667 x (1 - cos 5 deg) = 0.014",
        "together: root of the sum of squares = 0.601, degrees of freedom 21.1",
        "give or take: 2.08 x 0.601 = 1.25",
    )


def test_readings_that_scatter_more_than_the_dial_does_are_pointed_out() -> None:
    assert "something moves" in (work(readings=(3.0, 9.0, 4.0)).caution or "")
    assert work(readings=(3.0, 4.0, 4.0)).caution is None


def test_equal_readings_have_unlimited_freedom() -> None:
    assert "unlimited" in " ".join(work(readings=(-3.0, -3.0)).steps)

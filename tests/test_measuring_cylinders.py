"""Compression and leak-down, checked on printed figures; the source stands beside each."""

import doctest
import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnose.measuring import cylinders
from diagnose.measuring.units import convert
from diagnose.measuring.worked import CONFORMS, FAILS, UNDECIDED, Refused, Worked

CALCULATIONS = {entry.name: entry for entry in cylinders.CALCULATIONS}
COMPRESSION, LEAK = "compression-test", "leak-down"
FOOT = 0.0003048  # km
PRESSURES = st.floats(20, 250)


def work(name: str, **values: float | tuple[float, ...]) -> Worked:
    rows = {n: v if isinstance(v, tuple) else (v,) for n, v in values.items()}
    return CALCULATIONS[name].work(rows)


def figure(found: Worked, start: str) -> float:
    return next(f.value for f in found.figures if f.name.startswith(start))


@pytest.mark.parametrize(("highest", "lowest"), [(150, 105), (1035, 725)])
def test_seventy_per_cent_of_the_highest_as_printed(highest: float, lowest: float) -> None:
    """150 psi: 105; 1035 kPa: 725. "Engine compression test",
    http://gm.saturn.team/Pontiac/Solstice/2006/58/1/5348/136040"""
    assert highest * 0.70 == pytest.approx(lowest, abs=0.6)
    assert cylinders.share_of_highest(lowest, highest) == pytest.approx(70, abs=0.1)


def test_the_floor_agrees_in_both_systems_as_printed() -> None:
    """690 kPa, 100 psi: "Engine compression test",
    http://gm.saturn.team/Pontiac/Solstice/2006/58/1/5348/136040"""
    assert convert(100, "psi", "kPa") == pytest.approx(690, abs=1)
    assert next(i.usual for i in CALCULATIONS[COMPRESSION].inputs if i.name == "floor") == 100


def test_the_stricter_limit_is_seventy_five_per_cent_as_printed() -> None:
    """"Interpretation of the results", https://recarea.com/static/2012%20Land%20Rover%20LR4%20HSE
    %20Lux/pages/10865.html"""  # fmt: skip
    usual = {asked.name: asked.usual for asked in CALCULATIONS[COMPRESSION].inputs}
    assert (usual["good"], usual["bad"]) == (75, 70)


@pytest.mark.parametrize(
    ("swept", "clearance", "ratio"),
    [
        # "Formulas & charts" (410.25 cc swept, 50 + 9.06 cc above the piston),
        # http://qualitygermanautoparts.com/index.php?p=p1278312671&navt=Formulas%20&%20Charts
        (410.25, 50 + 9.06, 7.95),
        # "How to figure compression ratio" (62.65 / 5.91),
        # https://wattsshopperformance.com/calculator1.html
        (62.65 - 5.91, 5.91, 10.60),
    ],
)
def test_compression_ratios_as_printed(swept: float, clearance: float, ratio: float) -> None:
    assert cylinders.compression_ratio(swept, clearance) == pytest.approx(ratio, abs=5e-3)


def test_displacement_as_printed() -> None:
    """87 x 69 mm x 4: 1641 cc. "Formulas & charts",
    http://qualitygermanautoparts.com/index.php?p=p1278312671&navt=Formulas%20&%20Charts"""
    assert cylinders.displacement(8.7, 6.9, 4) == pytest.approx(1641, abs=0.5)


def test_sixty_of_eighty_is_a_quarter_as_printed() -> None:
    """60/80: 25 %. AC 43.13-1B as quoted in https://estamoscuriosos.me/questions/23454/existe-uma-
    decisao-da-faa-sobre-aeronavegabilidade-de-motore , and the 25 % in
    https://board.moparts.org/ubbthreads/ubbthreads.php/posts/2176183.html"""
    assert cylinders.leak_share(80, 60) == 25


@pytest.mark.parametrize(
    ("feet", "psi"),
    [(500, 14.430), (1000, 14.175), (2000, 13.664), (3000, 13.173), (5000, 12.230), (6000, 11.778),
     (7000, 11.341), (8000, 10.914), (10000, 10.108), (15000, 8.296)],
)  # fmt: skip
def test_the_air_at_an_altitude_as_printed(feet: float, psi: float) -> None:
    """Of 14.696 psi at sea level: "Standard Atmospheric Data for Altitude and Temperature",
    https://engineersedge.com/calculators/standard_atmospheric_data_15729.htm (its 4000 ft lies
    0.010 psi off its own formula and is left out)"""
    assert 14.696 * cylinders.thin_air(feet * FOOT) == pytest.approx(psi, abs=2.5e-3)


@pytest.mark.parametrize(
    ("feet", "inches"), [(2000, 27.82), (4000, 25.84), (6000, 23.98), (8000, 22.22), (10000, 20.57)]
)
def test_the_barometer_at_an_altitude_as_printed(feet: float, inches: float) -> None:
    """Of 29.92 in of mercury: "Air Temperature, Pressure and Density vs. Altitude",
    https://www.engineeringtoolbox.com/air-altitude-temperature-d_461.html"""
    assert 29.92 * cylinders.thin_air(feet * FOOT) == pytest.approx(inches, abs=0.01)


def test_a_cranking_gauge_reads_less_in_thin_air_as_printed() -> None:
    """120 psi at sea level are about 100 at 5000 ft: "20% Less At Altitude!",
    https://www.snowtechmagazine.com/20-less-at-altitude/"""
    assert 120 * cylinders.thin_air(5000 * FOOT) == pytest.approx(100, abs=0.5)


@given(st.floats(60, 250), st.floats(0, 4))
def test_gauge_readings_fall_as_the_air_does(reading: float, altitude: float) -> None:
    """The other derivation: the absolute pressure falls with the air, and the gauge takes the air
    of the place off again."""
    here = 14.696 * cylinders.thin_air(altitude)
    squeezed = (reading + 14.696) / 14.696
    assert squeezed * here - here == pytest.approx(reading * cylinders.thin_air(altitude))


@pytest.mark.parametrize(
    ("low", "verdict"),
    [(150, CONFORMS), (120, CONFORMS), (114, UNDECIDED), (106, UNDECIDED), (98, FAILS)],
)
def test_between_the_makers_limits_nothing_is_proved(low: float, verdict: str) -> None:
    assert work(COMPRESSION, dry=(150.0, 150.0, low)).verdict == verdict


@pytest.mark.parametrize(
    ("dry", "altitude", "verdict"),
    [
        ((92.0, 90.0), 0.0, FAILS),
        ((92.0, 90.0), 1.6, CONFORMS),
        ((101.0, 100.0), 0.0, UNDECIDED),
    ],
)
def test_the_floor_moves_with_the_altitude_and_the_share_does_not(
    dry: tuple[float, ...], altitude: float, verdict: str
) -> None:
    found = work(COMPRESSION, dry=dry, altitude=altitude)
    assert found.verdict == verdict
    assert figure(found, "lowest over") == pytest.approx(100 * dry[1] / dry[0])


@pytest.mark.parametrize(
    ("dry", "said"),
    [
        ((150.0, 148.0), "even enough"),
        ((150.0, 90.0), "leaks somewhere"),
        ((92.0, 90.0), "below the floor"),
        ((101.0, 100.0), "too near the floor"),
        ((150.0, 108.0), "makers set differently"),
    ],
)
def test_the_sentence_tells_what_is_low(dry: tuple[float, ...], said: str) -> None:
    assert said in work(COMPRESSION, dry=dry).says


@pytest.mark.parametrize(
    ("wet", "said"),
    [(145, "past the rings"), (108, "valve or the head gasket"), (125, "can't tell rings")],
)
def test_oil_tells_rings_from_valves_by_what_it_brings_back(wet: float, said: str) -> None:
    found = work(COMPRESSION, dry=(150.0, 100.0, 148.0), wet=(155.0, wet, 153.0))
    assert said in found.says


def test_what_oil_lifts_the_sound_cylinders_is_taken_off() -> None:
    assert cylinders.regained(100, 130, 150, 10) == 40


def test_with_no_cylinder_low_the_wet_test_says_nothing() -> None:
    found = work(COMPRESSION, dry=(150.0, 146.0), wet=(155.0, 151.0))
    assert "Oil" not in found.says


@pytest.mark.parametrize(
    ("leak", "verdict"),
    [(5, CONFORMS), (13, CONFORMS), (16, UNDECIDED), (25, UNDECIDED), (28, FAILS)],
)
def test_between_the_limits_for_leaks_nothing_is_proved(leak: float, verdict: str) -> None:
    assert work(LEAK, leak=(3.0, leak, 4.0)).verdict == verdict


def test_a_cylinder_that_stands_out_is_told_beside_the_others() -> None:
    found = work(LEAK, held=(78.0, 77.0, 60.0, 79.0), supply=80)
    assert figure(found, "worst leak (cylinder 3)") == 25
    assert figure(found, "worst above that") == pytest.approx(22.5)
    assert "others are at 2 %" in found.says


def test_one_cylinder_alone_is_judged_and_not_compared() -> None:
    found = work(LEAK, leak=30)
    assert (found.verdict, len(found.figures)) == (FAILS, 1)


@given(st.lists(PRESSURES, min_size=2, max_size=8), st.floats(0.01, 100))
def test_the_unit_of_pressure_does_not_matter(readings: list[float], factor: float) -> None:
    low, high = min(readings), max(readings)
    assert cylinders.share_of_highest(low * factor, high * factor) == pytest.approx(
        cylinders.share_of_highest(low, high)
    )


@given(PRESSURES, PRESSURES, st.floats(0, 20))
def test_oil_that_brings_all_back_regains_a_hundred(dry: float, high: float, more: float) -> None:
    assume(high > dry + 0.01)
    assert cylinders.regained(dry, high + more, high, more) == pytest.approx(100, abs=1e-6)
    assert cylinders.regained(dry, dry + more, high, more) == pytest.approx(0, abs=1e-6)


@given(st.floats(-0.4, 5), st.floats(0.01, 1))
def test_the_air_thins_with_height(altitude: float, more: float) -> None:
    assert cylinders.thin_air(altitude + more) < cylinders.thin_air(altitude)


@given(st.floats(10, 200), st.floats(0, 1))
def test_what_leaks_and_what_is_held_make_the_whole(supply: float, share: float) -> None:
    assert cylinders.leak_share(supply, supply * share) == pytest.approx(
        100 * (1 - share), abs=1e-9
    )


@given(st.floats(0, 100), st.floats(0, 10), st.floats(0, 10))
def test_more_doubt_never_turns_good_into_bad(share: float, doubt: float, more: float) -> None:
    pair = {cylinders.judge_share(share, d, 75, 70) for d in (doubt, doubt + more)}
    assert pair != {CONFORMS, FAILS}


@pytest.mark.parametrize(
    ("name", "values", "told"),
    [
        (COMPRESSION, {}, "dry is missing"),
        (COMPRESSION, {"dry": 150}, "one for each cylinder"),
        (COMPRESSION, {"dry": (150.0, math.nan)}, "dry is nan"),
        (COMPRESSION, {"dry": (150.0, -5.0)}, "dry is -5"),
        (COMPRESSION, {"dry": (0.0, 0.0)}, "highest is 0"),
        (COMPRESSION, {"dry": (150.0, 100.0), "wet": 150}, "wet has 1 readings and dry 2"),
        (COMPRESSION, {"dry": (150.0, 100.0), "good": 60}, "good must not be below bad"),
        (COMPRESSION, {"dry": (150.0, 100.0), "altitude": 9}, "altitude is 9 km"),
        (LEAK, {}, "leak is missing"),
        (LEAK, {"leak": 5, "held": 75, "supply": 80}, "leak in per cent, or held"),
        (LEAK, {"leak": 120}, "more than 100"),
        (LEAK, {"held": 75}, "supply is missing"),
        (LEAK, {"held": 85, "supply": 80}, "held is 85"),
        (LEAK, {"held": 0, "supply": 0}, "supply is 0"),
        (LEAK, {"leak": 5, "good": 30}, "good must not be above bad"),
    ],
)
def test_what_gives_no_honest_result_is_refused_by_name(
    name: str, values: dict[str, float], told: str
) -> None:
    with pytest.raises(Refused, match=told):
        work(name, **values)


def test_a_lowest_above_the_highest_is_refused() -> None:
    with pytest.raises(Refused, match="must not be above"):
        cylinders.share_of_highest(160, 150)


def test_a_cylinder_that_lacks_nothing_regains_nothing() -> None:
    with pytest.raises(Refused, match="lacks nothing"):
        cylinders.regained(150, 155, 150)


def test_the_examples_hold() -> None:
    assert doctest.testmod(cylinders).failed == 0

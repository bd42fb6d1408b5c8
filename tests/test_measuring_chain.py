"""The timing chain, checked on printed figures; the source stands beside each."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.measuring import chain
from diagnose.measuring.worked import CONFORMS, FAILS, UNDECIDED, Refused, Worked

CALCULATIONS = {entry.name: entry for entry in chain.CALCULATIONS}
INCH = 25.4
# A common layout, from memory: pitch 0.5 in, 18 and 36 teeth, centres 4.52 in apart.
COMMON = chain.Layout(0.5, 18, 36, 4.52)
WHOLE = 23.0  # inches: 46 links
LAYOUT_MM = {"pitch": 12.7, "crank_teeth": 18.0, "cam_teeth": 36.0, "centre": 4.52 * INCH}
STRETCHES = st.floats(0, 0.03)


def work(name: str, **values: float) -> Worked:
    return CALCULATIONS[name].work({n.replace("_", "-"): (value,) for n, value in values.items()})


def figure(found: Worked, start: str) -> float:
    return next(f.value for f in found.figures if f.name.startswith(start))


@pytest.mark.parametrize(
    ("new", "scrap", "digits"),
    [
        # Engine maker's chain data plate 106-1: ten links, scrap at 1 % more,
        # https://rt.http3.lol/index.php?q=aHR0cHM6Ly93d3cuc2NyaWJkLmNvbS9kb2N1bWVudC83ODk2MjE2ODUvOTA2
        (1143.0, 1154.4, 0.05),
        # "Chain & camshaft (manual)", plate 106-1,
        # https://pdfslide.us/documents/chain-camshaft-manual.html
        (952.5, 962.0, 0.5),
    ],
)
def test_one_per_cent_more_as_printed(new: float, scrap: float, digits: float) -> None:
    assert new * 1.01 == pytest.approx(scrap, abs=digits)
    assert chain.elongation(scrap, new) == pytest.approx(0.01, abs=digits / new)


def test_the_limits_of_elongation_as_printed() -> None:
    """200 / N %, 3 % to 67 teeth, 1.5 % on fixed centres. "How can the wear in a roller chain be
    accurately measured", https://diamondchain.com/faq/how-can-the-wear-in-a-roller-chain-be-accurately-measured-and-when-is-the-chain-considered-worn-out/
    """
    assert chain.allowed_elongation(67, fixed_centres=False) == pytest.approx(0.03, abs=5e-4)
    assert chain.allowed_elongation(40, fixed_centres=False) == 0.03
    assert chain.allowed_elongation(100, fixed_centres=False) == pytest.approx(0.02)
    assert chain.allowed_elongation(36) == 0.015


def test_pitch_diameter_and_links_by_the_printed_formulas() -> None:
    """d = t / sin(180 / z) and the links, "Chain transmission",
    https://www.engpowerdata.com/mech/ketting.php ; the page prints no figures, so a square
    sprocket and two alike stand in."""
    assert chain.pitch_diameter(1, 4) == pytest.approx(math.sqrt(2))
    assert chain.pitch_diameter(1, 6) == pytest.approx(2)
    assert chain.links(chain.Layout(0.5, 20, 20, 5)) == 40
    assert chain.links(COMMON) == pytest.approx(46, abs=0.02)


def test_the_printed_limits_stand_as_usual_values() -> None:
    """0.810 in (20.6 mm) midway, TM 9-2815-237-34,
    http://automotiveenginemechanics.tpub.com/TM-9-2815-237-34/css/TM-9-2815-237-34_46.htm ;
    3.175 mm at the cam sprocket, "Measuring timing chain wear",
    https://s3.amazonaws.com/jeepwranglerjk2010/7c038ecc.html ; 5 and 15 degrees, common practice,
    https://2carpros.com/questions/dodge-caravan-1995-dodge-caravan-timing-chain-set"""
    usual = {(name, i.name): i.usual for name, entry in CALCULATIONS.items() for i in entry.inputs}
    assert usual["chain-midspan", "limit"] == pytest.approx(0.810 * INCH, abs=0.05)
    assert usual["chain-cam-play", "limit"] == 3.175
    assert (usual["chain-rocking", "good"], usual["chain-rocking", "worn"]) == (5, 15)


def test_a_longer_chain_makes_the_cam_late() -> None:
    """Direction only: "Timing chains",
    http://www.marinediesels.info/members/timing%20chains/index.shtml"""
    found = work("chain", length=10 * 12.7 * 1.01, links=10, **LAYOUT_MM)
    assert figure(found, "cam late") > 0


def test_one_per_cent_on_a_common_layout() -> None:
    """Worked here, not published: 1.7 degrees late, 9.2 degrees of rocking."""
    assert chain.cam_retard(0.01, COMMON) == pytest.approx(1.7, abs=0.05)
    assert chain.rocking(0.01 * WHOLE, COMMON) == pytest.approx(9.2, abs=0.05)
    found = work("chain", length=10 * 12.7 * 1.01, links=10, **LAYOUT_MM)
    assert figure(found, "cam late") == pytest.approx(1.7, abs=0.05)
    assert figure(found, "rocking") == pytest.approx(9.2, abs=0.05)


@pytest.mark.parametrize(
    ("degrees", "share"), [(5, 0.0055), (10, 0.011), (15, 0.016), (13.7, 0.015)]
)
def test_rocking_against_stretch_on_a_common_layout(degrees: float, share: float) -> None:
    """Worked here, not published; it shows why one limit is never turned into another."""
    assert chain.rocking(share * WHOLE, COMMON) == pytest.approx(degrees, rel=0.025)


def test_the_limits_disagree_so_each_reading_has_its_own() -> None:
    """Worked here: 3.175 mm is 5.0 degrees and 0.54 %, 0.810 in is 3.0 degrees and 0.33 %."""
    at_cam = chain.rocking(3.175 / INCH, COMMON)
    midway = chain.extra_in_span(0.810, chain.free_span(COMMON))
    assert at_cam == pytest.approx(5.0, abs=0.05)
    assert chain.elongation(WHOLE + 3.175 / INCH, WHOLE) == pytest.approx(0.0054, abs=5e-5)
    assert chain.rocking(midway, COMMON) == pytest.approx(3.0, abs=0.05)
    assert midway / WHOLE == pytest.approx(0.0033, abs=5e-5)
    for name, value in (("travel", 19), ("movement", 2), ("rocked", 3)):
        sums = {"travel": "chain-midspan", "movement": "chain-cam-play", "rocked": "chain-rocking"}
        caution = work(sums[name], **{name: value}).caution or ""
        assert "say nothing about a reading of another" in caution


def lag_by_counting_links(stretch: float, layout: chain.Layout) -> float:
    """Crank degrees the cam lags, from links kept on crank, tight run and cam.

    A longer link rides further out on both sprockets and tilts the run, both counted here.
    """

    def run(longer: float) -> tuple[float, float]:
        pitch = layout.pitch * (1 + longer)
        teeth = (layout.cam_teeth, layout.crank_teeth)
        cam, crank = (pitch / math.sin(math.pi / n) / 2 for n in teeth)
        tilt = math.asin((cam - crank) / layout.centre)
        return layout.centre * math.cos(tilt) / pitch, tilt

    (worn, worn_tilt), (new, new_tilt) = run(stretch), run(0)
    fewer = (new - worn) * 2 * math.pi / layout.cam_teeth
    tilted = (worn_tilt - new_tilt) * (1 - layout.crank_teeth / layout.cam_teeth)
    return 2 * math.degrees(fewer - tilted)


@given(st.floats(1e-4, 0.03), st.integers(16, 24), st.floats(1.05, 2))
def test_the_lag_agrees_with_counted_links(stretch: float, teeth: int, apart: float) -> None:
    """Two derivations agree to about the stretch itself (1 % at 1 %); nothing published."""
    radii = (chain.pitch_diameter(0.5, teeth) + chain.pitch_diameter(0.5, 2 * teeth)) / 2
    layout = chain.Layout(0.5, teeth, 2 * teeth, apart * radii)
    full = lag_by_counting_links(stretch, layout)
    assert chain.cam_retard(stretch, layout) == pytest.approx(full, rel=0.005 + 1.2 * stretch)


def test_the_lag_is_within_one_per_cent_on_the_common_layout() -> None:
    full = lag_by_counting_links(0.01, COMMON)
    assert chain.cam_retard(0.01, COMMON) == pytest.approx(full, rel=0.01)


@given(STRETCHES, STRETCHES)
def test_a_longer_chain_is_never_less_late(one: float, two: float) -> None:
    low, high = sorted((one, two))
    assert chain.cam_retard(low, COMMON) <= chain.cam_retard(high, COMMON)
    assert chain.rocking(low, COMMON) <= chain.rocking(high, COMMON)


@given(STRETCHES, st.floats(1, 1000))
def test_elongation_is_undone_by_lengthening(stretch: float, new: float) -> None:
    assert chain.elongation(new * (1 + stretch), new) == pytest.approx(stretch, abs=1e-12)


@given(st.floats(0.1, 1), st.floats(3, 10))
def test_the_extra_in_a_run_grows_with_the_square_of_the_travel(travel: float, span: float) -> None:
    one, two = chain.extra_in_span(travel / 10, span), chain.extra_in_span(travel / 5, span)
    assert two == pytest.approx(4 * one, rel=0.01)


@given(STRETCHES)
def test_the_unit_of_length_does_not_matter(stretch: float) -> None:
    metric = chain.Layout(0.5 * INCH, 18, 36, 4.52 * INCH)
    assert chain.cam_retard(stretch, metric) == pytest.approx(chain.cam_retard(stretch, COMMON))
    assert chain.links(metric) == pytest.approx(chain.links(COMMON))


@pytest.mark.parametrize(
    ("length", "verdict"), [(127.5, CONFORMS), (128.9, UNDECIDED), (131.0, FAILS)]
)
def test_elongation_over_ten_links_read_to_half_a_millimetre(length: float, verdict: str) -> None:
    found = work("chain", length=length, links=10, pitch=12.7)
    assert found.verdict == verdict
    assert (found.settles is None) == (verdict != UNDECIDED)


def test_more_links_settle_what_ten_leave_open() -> None:
    ten = work("chain", length=10 * 12.7 * 1.012, links=10, pitch=12.7)
    whole = work("chain", length=46 * 12.7 * 1.012, links=46, pitch=12.7)
    assert (ten.verdict, whole.verdict) == (UNDECIDED, CONFORMS)


def test_without_the_layout_no_lag_is_made_up() -> None:
    found = work("chain", length=128, links=10, pitch=12.7)
    assert [f.name for f in found.figures] == ["elongation", "allowed on fixed centres"]


def test_a_big_sprocket_allows_less() -> None:
    found = work("chain", length=128, links=10, pitch=12.7, cam_teeth=160)
    assert figure(found, "allowed") == pytest.approx(1.25)


@pytest.mark.parametrize(
    ("name", "reading", "values"),
    [
        ("chain-midspan", "travel", {CONFORMS: 15, UNDECIDED: 20.5, FAILS: 25}),
        ("chain-cam-play", "movement", {CONFORMS: 2, UNDECIDED: 3.2, FAILS: 5}),
        ("chain-rocking", "rocked", {CONFORMS: 3, UNDECIDED: 10, FAILS: 17}),
    ],
)
def test_slack_is_judged_by_its_own_method(
    name: str, reading: str, values: dict[str, float]
) -> None:
    for verdict, value in values.items():
        found = work(name, **{reading: value})
        assert (found.verdict, found.settles is None) == (verdict, verdict != UNDECIDED)


def test_travel_midway_tells_the_chain_too_many_where_the_run_is_known() -> None:
    found = work("chain-midspan", travel=20.574, span=chain.free_span(COMMON) * INCH)
    assert figure(found, "chain too many") == pytest.approx(0.0033 * WHOLE * INCH, abs=0.03)


@pytest.mark.parametrize(
    ("name", "values", "wrong"),
    [
        ("chain", {"length": 128, "links": 10}, "pitch is missing"),
        ("chain", {"length": 64, "links": 5, "pitch": 12.7}, "10 or more whole links"),
        ("chain", {"length": 128, "links": 10.5, "pitch": 12.7}, "10 or more whole links"),
        ("chain", {"length": 128, "links": 10, "pitch": 0}, "new-length is 0"),
        ("chain", {"length": 120, "links": 10, "pitch": 12.7}, "shorter than 10 new links"),
        ("chain", {"length": math.nan, "links": 10, "pitch": 12.7}, "length is nan"),
        (
            "chain",
            {"length": 128, "links": 10, "pitch": 12.7, "crank_teeth": 18, "cam_teeth": 36},
            "centre is missing",
        ),
        ("chain", {"length": 128, "links": 10, **LAYOUT_MM, "centre": 50}, "need more than"),
        ("chain", {"length": 128, "links": 10, **LAYOUT_MM, "crank_teeth": 2}, "count its teeth"),
        ("chain-midspan", {"travel": -1}, "travel is -1"),
        ("chain-midspan", {"travel": 20, "limit": 0}, "limit is 0"),
        ("chain-midspan", {"travel": 20, "span": 0}, "free-span is 0"),
        ("chain-cam-play", {}, "movement is missing"),
        ("chain-rocking", {"rocked": 8, "good": 15, "worn": 5}, "good must be the smaller"),
    ],
)
def test_what_gives_no_honest_result_is_refused(
    name: str, values: dict[str, float], wrong: str
) -> None:
    with pytest.raises(Refused, match=wrong):
        work(name, **values)


@pytest.mark.parametrize(
    ("travel", "limit", "verdict"),
    [(0.55, 0.5, FAILS), (0.45, 0.5, CONFORMS), (0.85, 0.8, FAILS), (0.75, 0.8, CONFORMS)],
)
def test_mid_span_limits_of_half_an_inch_new_and_eight_tenths_used(
    travel: float, limit: float, verdict: str
) -> None:
    """0.5 in new, 0.8 in used: camshaft features of a 6.5 L V8,
    http://www.dieselmotors.info/detroit-6-5l-v8/gm-6-5l-v8-camshaft-features.html"""
    found = work("chain-midspan", travel=travel * 25.4, limit=limit * 25.4, doubt=0.5)
    assert found.verdict == verdict

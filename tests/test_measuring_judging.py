"""What readings prove, against worked examples printed elsewhere; the source stands beside each."""

import math
import random
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special

from diagnose.measuring.judging import (
    CALCULATIONS,
    Band,
    Chances,
    Estimate,
    Settling,
    chances,
    edge_distance,
    likely,
    provable,
    prove,
    settle,
)
from diagnose.measuring.readings import Gauge, Measured, budget, coverage_factor, measure
from diagnose.measuring.verdict import judge
from diagnose.measuring.worked import CONFORMS, FAILS, UNDECIDED, Refused, Worked

VALUES = st.floats(0, 100)
DOUBTS = st.floats(0.01, 50)
WIDTHS = st.floats(0, 100)
FREEDOM = st.floats(1, 1e6)


def test_the_chance_inside_a_two_sided_band_is_the_printed_one() -> None:
    """JCGM 106 section 7.4: y 13.6, u 1.8, limits 12.5 to 16.3, inputs as quoted at
    http://metrologyrules.com/2022/03/ : 0.663; the text's 0.66 from memory."""
    assert chances(Estimate(13.6, 1.8), Band(12.5, 16.3)).inside == pytest.approx(0.663, abs=5e-4)


def test_the_chance_below_one_limit_is_the_printed_one() -> None:
    """JCGM 106 section 7.3.3: y -5.47, u 0.05, limit -5.40: 0.92. From memory."""
    assert chances(Estimate(-5.47, 0.05), Band(None, -5.40)).inside == pytest.approx(0.92, abs=5e-3)


def test_the_published_chances_agree_with_the_library() -> None:
    """JCGM 106 sections 7.3.3 and 7.4, worked with scipy: within a billionth."""
    inside = special.ndtr((16.3 - 13.6) / 1.8) - special.ndtr((12.5 - 13.6) / 1.8)
    assert chances(Estimate(13.6, 1.8), Band(12.5, 16.3)).inside == pytest.approx(inside, abs=1e-9)
    under = special.ndtr((-5.40 + 5.47) / 0.05)
    assert chances(Estimate(-5.47, 0.05), Band(None, -5.40)).inside == pytest.approx(
        under, abs=1e-9
    )
    few = special.stdtr(2, (16.3 - 13.6) / 1.8) - special.stdtr(2, (12.5 - 13.6) / 1.8)
    assert chances(Estimate(13.6, 1.8, 2), Band(12.5, 16.3)).inside == pytest.approx(few, abs=1e-9)


@pytest.mark.parametrize(
    ("value", "verdict"),
    [(20.0349, CONFORMS), (20.0351, UNDECIDED), (20.040, UNDECIDED), (20.0649, UNDECIDED),
     (20.0651, FAILS), (20.070, FAILS)],
)  # fmt: skip
def test_the_proof_rule_turns_where_it_is_printed_to(value: float, verdict: str) -> None:
    """Limit 20.05, U 0.015: 20.035 and 20.065; 20.040 undecided, 20.070 not. Pages on ISO 14253-1
    (weak ones; the standard itself was not at hand)."""
    assert prove(value, 0.015, Band(None, 20.05)) == verdict


def test_the_proof_rule_ends_where_it_is_printed_to() -> None:
    """The same: conforming up to 20.035."""
    assert provable(Band(None, 20.05), 0.015) == (None, pytest.approx(20.035))


def test_a_band_of_six_thou_leaves_less_than_two_to_prove() -> None:
    """0.001 to 0.006 in (a maker's specification page) with U 0.0016 in: 0.0026 to 0.0044 in can
    be proved. Worked out, not published."""
    assert provable(Band(0.001, 0.006), 0.0016) == pytest.approx((0.0026, 0.0044))


@pytest.mark.parametrize(
    ("low", "high", "metric"),
    [(4, 11, (0.10, 0.28)), (None, 12, (None, 0.3)), (1, 6, (0.025, 0.150))],
)
def test_published_bands_are_the_same_in_both_systems(
    low: float | None, high: float, metric: tuple[float | None, float]
) -> None:
    """TM 9-2815-253-24, http://automotiveenginemechanics.tpub.com/TM-9-2815-253-24/css/
    TM-9-2815-253-24_76.htm ; TM 9-2815-237-34, http://automotiveenginemechanics.tpub.com/
    TM-9-2815-237-34/css/TM-9-2815-237-34_46.htm ; a maker's specification page."""
    assert [low and low * 0.0254, high * 0.0254] == [
        each and pytest.approx(each, abs=0.0051) for each in metric
    ]


@pytest.mark.parametrize(
    ("band", "middle", "far"),
    [
        # TM 9-2815-253-24, http://automotiveenginemechanics.tpub.com/TM-9-2815-253-24/css/
        # TM-9-2815-253-24_76.htm
        (Band(4, 11), 7.5, 14),
        # TM 9-2815-237-34, http://automotiveenginemechanics.tpub.com/TM-9-2815-237-34/css/
        # TM-9-2815-237-34_46.htm
        (Band(None, 12), 6, 14),
        # TM 5-6115-400-35, https://dieselgenerators.tpub.com/TM-5-6115-400-35/
        # TM-5-6115-400-350119.htm
        (Band(3, 9), 6, 11),
        # TM 55-1905-223-24-1, http://boatmanuals.tpub.com/TM-55-1905-223-24-1/
        # TM-55-1905-223-24-10243.htm
        (Band(6, 13), 9.5, 15),
        # TM 5-3895-347-14P, https://constructionrollers.tpub.com/TM-5-3895-347-14P/
        # TM-5-3895-347-14P00554.html
        (Band(5, 15), 10, 17),
        # 1935 shop manual page, https://oldcarburetors.com/1935-Chevy/018.htm
        (Band(None, 3), 1, 5),
        # a maker's specification page, 0.001-0.006 in
        (Band(1, 6), 3.5, 8),
    ],
)
def test_published_bands_can_be_proved_with_a_dial_of_a_thou(
    band: Band, middle: float, far: float
) -> None:
    """U 1.6 thou: the middle is proved inside, well beyond is proved outside, the end is open."""
    assert band.high is not None
    found = [prove(value, 1.6, band) for value in (middle, band.high, far)]
    assert found == [CONFORMS, UNDECIDED, FAILS]


@given(VALUES, DOUBTS, FREEDOM, VALUES, WIDTHS)
def test_the_chances_make_one(value: float, u: float, dof: float, low: float, width: float) -> None:
    found = chances(Estimate(value, u, dof, least=0.0), Band(low, low + width))
    assert sum(found) == pytest.approx(1, abs=1e-9)
    assert min(found) >= 0


@given(VALUES, DOUBTS, VALUES, WIDTHS)
def test_with_endless_freedom_the_chance_is_the_normal_one(
    value: float, u: float, low: float, width: float
) -> None:
    known = judge(value, u, low, low + width)
    found = chances(Estimate(value, u), Band(low, low + width))
    assert found.inside == pytest.approx(known.ok, abs=1e-9)


@given(VALUES, st.floats(0.01, 20), FREEDOM, VALUES, WIDTHS)
def test_what_is_proved_is_likely_too(
    value: float, u: float, dof: float, low: float, width: float
) -> None:
    """The proof rule never says more than the chance rule, cut off at 0 or not."""
    band = Band(low, low + width)
    proof = prove(value, budget_factor(dof) * u, band)
    for least in (None, 0.0):
        chance = likely(chances(Estimate(value, u, dof, least), band).inside)
        assert proof in (UNDECIDED, chance)


def budget_factor(dof: float) -> float:
    return coverage_factor(dof) * (1 + 1e-9)


@given(VALUES, DOUBTS, VALUES, WIDTHS, st.floats(0.001, 10))
def test_a_finer_reading_never_takes_a_proof_back(
    value: float, expanded: float, low: float, width: float, share: float
) -> None:
    band = Band(low, low + width)
    proof = prove(value, expanded, band)
    finer = prove(value, expanded / (1 + share), band)
    assert proof in (UNDECIDED, finer)


@given(VALUES, DOUBTS)
def test_without_limits_everything_conforms(value: float, expanded: float) -> None:
    assert prove(value, expanded, Band(None, None)) == CONFORMS
    assert chances(Estimate(value, expanded), Band(None, None)) == Chances(0, 1, 0)


def test_nothing_lies_below_zero_play() -> None:
    """Symmetric about 0, cut off there: the half that is left counts double."""
    whole = chances(Estimate(0.0, 1.0), Band(1.0, None))
    cut = chances(Estimate(0.0, 1.0, least=0.0), Band(1.0, None))
    assert cut.inside == pytest.approx(2 * whole.inside)
    assert chances(Estimate(0.5, 1.0, least=0.0), Band(0.0, None)) == Chances(0, 1, 0)


@pytest.mark.parametrize(
    ("inside", "verdict"),
    [(0.95, CONFORMS), (0.94, UNDECIDED), (0.06, UNDECIDED), (0.049, FAILS)],
)
def test_ninety_five_of_a_hundred_is_enough(inside: float, verdict: str) -> None:
    assert likely(inside) == verdict


def test_the_distance_counts_to_the_nearest_limit() -> None:
    assert edge_distance(5.0, Band(1.0, 6.0)) == 1.0
    assert edge_distance(5.0, Band(None, None)) == math.inf


DIALS = (1.0, 0.5, 0.1)


def test_a_finer_dial_settles_what_more_readings_can_not() -> None:
    """Of the doubt of 0.79, 0.71 is the dial's; worked out, not published."""
    found = budget(4.7, 0.6, 3, Gauge(1, 1))
    assert settle(found, Gauge(1, 1), 1.3, DIALS) == Settling(0.5, None)


def test_more_readings_settle_what_scatters() -> None:
    found = budget(4.7, 1.5, 3, Gauge(0.1, 0.1))
    assert settle(found, Gauge(0.1, 0.1), 1.3, DIALS) == Settling(None, 8)


def test_some_doubts_take_both() -> None:
    found = budget(4.7, 1.5, 4, Gauge(1, 1))
    assert settle(found, Gauge(1, 1), 1.25, DIALS) == Settling(None, None, (0.5, 10))


def test_on_the_limit_nothing_settles() -> None:
    found = budget(6.0, 0.6, 3, Gauge(1, 1))
    assert settle(found, Gauge(1, 1), 0.0, DIALS) == Settling(None, None, None)


@given(st.floats(0.05, 5), st.floats(0, 3), st.integers(2, 8))
def test_what_is_said_to_settle_it_does(distance: float, spread: float, taken: int) -> None:
    found = budget(5.0, spread, taken, Gauge(1, 1))
    way = settle(found, Gauge(1, 1), distance, DIALS)
    reached = [
        budget(5.0, spread, n, Gauge(division, division)).expanded
        for division, n in ((way.division, taken), (1.0, way.readings), way.both or (None, None))
        if division is not None and n is not None
    ]
    assert all(expanded < distance for expanded in reached)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: prove(5.0, -1.0, Band(1, 6)),
        lambda: prove(math.nan, 1.0, Band(1, 6)),
        lambda: prove(5.0, math.nan, Band(1, 6)),
        lambda: prove(5.0, 1.0, Band(6, 1)),
        lambda: provable(Band(math.nan, 6), 1.0),
        lambda: chances(Estimate(5.0, 0.0), Band(1, 6)),
        lambda: chances(Estimate(math.inf, 1.0), Band(1, 6)),
        lambda: chances(Estimate(-50.0, 1.0, least=0.0), Band(1, 6)),
    ],
)
def test_what_can_not_be_judged_is_refused(wrong: object) -> None:
    assert callable(wrong)
    with pytest.raises(Refused, match="can't be judged|upside down|no number|too far below"):
        wrong()


@cache
def _worked_up(readings: tuple[int, ...]) -> tuple[Measured, Chances]:
    found = measure(readings, Gauge(1, 1))
    believed = Estimate(found.mean, found.u, found.dof, least=0.0)
    return found, chances(believed, Band(3, 9))


def _draw(draw: random.Random, true: float, taken: int) -> tuple[int, ...]:
    """Readings as a dial gives them: both ends rounded to 1, one error of up to 1 for all."""
    error = draw.uniform(-1, 1)
    zeros = [draw.uniform(0, 1) for _ in range(taken)]
    ends = [zero + true + error + draw.gauss(0, 0.6) for zero in zeros]
    return tuple(sorted(round(e) - round(z) for e, z in zip(ends, zeros, strict=True)))


@pytest.mark.parametrize("taken", [3, 5])
def test_the_stated_chance_to_be_out_comes_true(taken: int) -> None:
    """Simulated over plays of 0.5 to 13.5 thou, band 3 to 9: stated and found agree in .01."""
    draw = random.Random(7)
    plays = [draw.uniform(0.5, 13.5) for _ in range(8000)]
    stated = [1 - _worked_up(_draw(draw, true, taken))[1].inside for true in plays]
    out = [not 3 <= true <= 9 for true in plays]
    assert math.fsum(stated) / len(plays) == pytest.approx(sum(out) / len(plays), abs=0.01)


def test_the_chance_stated_for_one_set_of_readings_comes_true_for_it() -> None:
    """Simulated: of the true plays that gave 8, 8 and 9 thou, so many lay outside 3 to 9."""
    draw = random.Random(5)
    plays = [draw.uniform(5.5, 11.5) for _ in range(60_000)]
    out = [not 3 <= true <= 9 for true in plays if _draw(draw, true, 3) == (8, 8, 9)]
    assert 1 - _worked_up((8, 8, 9))[1].inside == pytest.approx(sum(out) / len(out), abs=0.01)


@pytest.mark.parametrize("taken", [5, 10])
def test_the_chance_is_that_of_its_shares_drawn_one_by_one(taken: int) -> None:
    """Each share from its own shape (the method of JCGM 101) against the one Student's distribution
    that stands for them all. With three readings this method says up to .03 more."""
    draw = random.Random(11)
    found = budget(7.6, 0.6, taken, Gauge(1, 1))

    def true() -> float:
        squares = sum(draw.gauss(0, 1) ** 2 for _ in range(taken - 1))
        scatter = draw.gauss(0, 1) / math.sqrt(squares / (taken - 1)) * 0.6 / math.sqrt(taken)
        ends = draw.uniform(-0.5, 0.5) + draw.uniform(-0.5, 0.5)
        return 7.6 + scatter + ends + draw.uniform(-1, 1)

    drawn = [true() for _ in range(30_000)]
    out = sum(not 3 <= each <= 9 for each in drawn) / len(drawn)
    stated = chances(Estimate(found.mean, found.u, found.dof, least=0.0), Band(3, 9))
    assert 1 - stated.inside == pytest.approx(out, abs=0.01)


BANDS = {
    "band_low": (1.0,),
    "band_high": (6.0,),
    "wear_limit": (15.0,),
    "target_low": (2.0,),
    "target_high": (4.0,),
}


def work(torqued: float = 1.0, **values: tuple[float, ...]) -> Worked:
    values = {"gear_torqued": (torqued,), **values}
    return CALCULATIONS[0].work({name.replace("_", "-"): v for name, v in values.items()})


def test_a_play_well_inside_conforms() -> None:
    found = work(readings=(3.0, 4.0, 4.0), **BANDS)
    assert found.verdict == CONFORMS
    assert found.settles is None
    assert found.says == (
        "The end play is 3.7 thou, give or take 1.6: proved inside the new band (1 to 6 thou), "
        "proved inside the wear limit (up to 15 thou); as read it lies in the target of 2 to 4 "
        "thou."
    )


def test_a_play_too_large_for_new_may_still_be_within_the_wear_limit() -> None:
    found = work(readings=(9.0, 10.0, 9.0), **BANDS)
    assert found.verdict == FAILS
    assert found.says == (
        "The end play is 9.3 thou, give or take 1.6: proved outside the new band (1 to 6 thou), "
        "proved inside the wear limit (up to 15 thou); take up 6.3 thou to reach the middle of "
        "2 to 4 thou."
    )


def test_a_play_near_the_limit_is_undecided_and_says_what_would_settle_it() -> None:
    found = work(readings=(5.0, 5.0, 4.0), **BANDS)
    assert found.verdict == UNDECIDED
    assert found.settles == (
        "To settle it read 3 times on a dial of 0.0005 in, if the play shows the same again; "
        "more readings with this dial would not do."
    )


def test_readings_that_scatter_ask_for_a_finer_dial_and_more_of_them() -> None:
    found = work(readings=(3.0, 6.0, 6.0, 4.0), **BANDS)
    assert "read 10 times on a dial of 0.0005 in" in (found.settles or "")


def test_readings_that_scatter_on_a_fine_dial_ask_for_more_of_them() -> None:
    found = work(readings=(4.0, 5.1, 5.4), division=(0.1,), band_high=(6.0,))
    assert found.settles == (
        "To settle it take 4 readings in all with this dial, if the play shows the same again."
    )


def test_on_the_limit_a_correction_beats_any_dial() -> None:
    found = work(readings=(6.0, 6.0, 6.0), **BANDS)
    assert (found.settles or "").startswith("No dial and no number of readings will do")


def test_a_play_too_small_is_to_be_opened() -> None:
    found = work(readings=(0.0, 0.0, 1.0), **BANDS)
    assert "open it by 2.7 thou" in found.says
    assert "0 hides a preload" in (found.caution or "")


def test_the_published_pair_of_new_band_and_limit_is_carried() -> None:
    """0.003-0.009 in new, 0.015 max: TM 5-6115-400-35,
    https://dieselgenerators.tpub.com/TM-5-6115-400-35/TM-5-6115-400-350119.htm"""
    pair = {"band_low": (3.0,), "band_high": (9.0,), "wear_limit": (15.0,)}
    found = [work(readings=(x, x, x), **pair) for x in (6.0, 12.0, 18.0)]
    assert [each.verdict for each in found] == [CONFORMS, FAILS, FAILS]
    assert ["inside the wear limit" in each.says for each in found] == [True, True, False]


def test_a_worn_part_may_have_the_published_used_play() -> None:
    """0.005-0.015 in new, 0.019 used: TM 5-3895-347-14P,
    https://constructionrollers.tpub.com/TM-5-3895-347-14P/TM-5-3895-347-14P00554.html"""
    found = work(readings=(17.0, 17.0, 17.0), wear_limit=(19.0,))
    assert found.verdict == CONFORMS


def test_a_lower_limit_alone_is_enough() -> None:
    assert "(from 3 thou)" in work(readings=(7.0, 7.0), band_low=(3.0,)).says


def test_a_target_alone_is_judged() -> None:
    found = work(readings=(3.0, 4.0, 4.0), target_low=(3.0,), target_high=(4.0,))
    assert found.verdict == UNDECIDED
    assert "too close to call against the target (3 to 4 thou)" in found.says
    assert "narrower than twice the give-or-take" in (found.caution or "")


def test_every_question_has_its_chance() -> None:
    figures = {f.name: f.value for f in work(readings=(5.0, 5.0, 4.0), **BANDS).figures}
    assert figures["chance inside the new band"] == pytest.approx(95.3, abs=0.1)
    assert figures["chance inside the wear limit"] == pytest.approx(100, abs=0.1)
    assert figures["chance inside the target"] == pytest.approx(19.8, abs=0.1)
    assert figures["change to the middle of the target"] == pytest.approx(-1.667, abs=1e-3)


def test_both_rules_are_shown_side_by_side() -> None:
    assert work(readings=(5.0, 5.0, 4.0), **BANDS).steps[7] == (
        "new band 1 to 6: provable 2.56 to 4.44: can't be told; chance inside 95.3%: conforms"
    )


def test_two_readings_are_told_to_be_few() -> None:
    assert "Two readings tell little" in (
        work(readings=(7.0, 8.0), wear_limit=(15.0,)).caution or ""
    )
    assert work(readings=(7.0, 8.0, 7.0), wear_limit=(15.0,)).caution is None


def test_a_target_outside_the_band_is_pointed_out() -> None:
    bands = {"band_low": (3.0,), "band_high": (9.0,), "target_low": (2.0,), "target_high": (9.0,)}
    assert "reaches outside the new band" in (work(readings=(6.0, 6.0), **bands).caution or "")


def test_readings_that_scatter_are_pointed_out() -> None:
    assert "something moves" in (work(readings=(2.0, 9.0, 7.0), wear_limit=(15.0,)).caution or "")


@pytest.mark.parametrize("torqued", [0.0, 0.5, 2.0])
def test_without_the_gear_torqued_no_number_is_given(torqued: float) -> None:
    with pytest.raises(Refused, match="end play counts only with the gear fitted"):
        work(torqued, readings=(3.0, 4.0, 4.0), **BANDS)


def test_not_saying_whether_the_gear_is_torqued_is_refused_too() -> None:
    with pytest.raises(Refused, match="gear-torqued is missing"):
        CALCULATIONS[0].work({"readings": (3.0, 4.0), "band-high": (6.0,)})


@pytest.mark.parametrize(
    ("values", "wrong"),
    [
        ({"readings": (3.0, 4.0)}, "nothing to judge by"),
        ({"readings": (3.0, 4.0), "band_low": (6.0,), "band_high": (1.0,)}, "upside down"),
        ({"readings": (3.0, 4.0), "target_low": (2.0,)}, "the target has one end only"),
        ({"readings": (3.0, 4.0), "band_high": (6.0,), "wear_limit": (5.0,)}, "wear limit 5 lies"),
        ({"readings": (3.0, 4.0), "band_low": (6.0,), "wear_limit": (5.0,)}, "wear limit 5 lies"),
        ({"readings": (3.0,), "band_high": (6.0,)}, "take two or more"),
        ({"readings": (3.0, -4.0), "band_high": (6.0,)}, "readings is -4; it must be"),
        ({"readings": (3.0, math.nan), "band_high": (6.0,)}, "readings is nan; it must be"),
        ({"readings": (3.0, 4.0), "band_high": (6.0,), "division": (0.0,)}, "division 0"),
        ({"band_high": (6.0,)}, "readings is missing"),
    ],
)
def test_bad_input_is_named(values: dict[str, tuple[float, ...]], wrong: str) -> None:
    with pytest.raises(Refused, match=wrong):
        work(**values)

"""Drawings of sums: well-formed, each size where its value lies, all words, both systems."""

import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.cli.work_out import find
from diagnose.measuring.drawing import draw, draw_one
from diagnose.measuring.drawing_band import MOST_VALUES
from diagnose.measuring.drawing_paper import WIDE, Scale, plain, units_for
from diagnose.measuring.drawing_section import MOST_PARTS
from diagnose.measuring.given import read_values
from diagnose.measuring.shown import (
    BandHeight,
    BandWalk,
    InSection,
    Known,
    Limits,
    OnBand,
    OverHeads,
    Picture,
)
from diagnose.measuring.sums import SUMS
from diagnose.measuring.worked import Refused, Worked

SVG = "{http://www.w3.org/2000/svg}"
# For every sum that is held against a limit, values that let it be drawn.
TYPED = {
    "end-play": "readings=5 5 4 thou; band-low=1 thou; band-high=6 thou; wear-limit=15 thou; "
    "gear-torqued=1",
    "stack": "spacer=161 thou; plate=150 thou; target-low=2 thou; target-high=4 thou",
    "part-to-fit": "measured=11 thou; target-low=2 thou; target-high=4 thou; side=1; "
    "fitted=249 thou",
    "bolt-head": "head=5.3 mm; bearing-stack=4 mm; end-play=0.2 mm",
    "spark-shift": "walk=10 thou; diameter=1.25 in; shaft-play=8 thou; helix=40 deg; seen=2 deg",
    "backlash": "reading=4 5 6 thou; low=2 thou; high=8 thou",
    "gear-height": "above=20 thou; below=80 thou",
    "chain": "length=128 mm; links=10; pitch=12.7 mm",
    "chain-midspan": "travel=15 mm",
    "chain-cam-play": "movement=2 mm",
    "chain-rocking": "rocked=8 deg",
    "clamp": "torque=40 ft-lb; diameter=3/8 in; threads=16; grade=5",
    "bolt-reach": "length=40 mm; stack=25 mm; depth=20 mm",
    "beats": "beats=40; seconds=6 s; speed=800 rpm; cylinders=8",
    "fuel-pump": "lift=275 thou; wear=60 thou; delivery=500 cc/min; speed=1000 rpm; power=200; "
    "need-speed=4500 rpm",
    "centreline": "before=60 deg; after=145.5 deg; card=104 deg",
    "top-dead-centre": "before=36.75 deg; after=35.25 deg; mark=1 deg",
    "tooth": "cam-teeth=36; late=21 deg",
    "adjuster": "measured=25 thou; target-low=15 thou; target-high=17 thou; what=2; threads=24",
    "angle-to-set": "measured=2 deg; target-low=6 deg; target-high=10 deg; more-is=2; rim=7 in",
    "preload": "turns=0.75; threads=24",
    "pushrod-length": "zero-lash=7.9 7.91 in",
    "lash": "hot=20 thou; head=2; block=1; cold=13 thou",
    "oil-pressure": "pressure=12 45 psi; speed=700 3000 rpm",
    "compression-test": "dry=150 148 105 psi",
    "leak-down": "leak=8 10 30 %",
    "lobe-lift": "highest=245 244 238 thou; new=245 thou",
}
UNDRAWN = {"readings", "cam-timing-shift", "pump-thrust"}  # these judge nothing


def worked(name: str, typed: str = "") -> Worked:
    calculation = find(name)
    asked = {i.name: i for i in calculation.inputs}
    pairs = [part.split("=") for part in (typed or TYPED[name]).split("; ")]
    return calculation.work({n: read_values(text, asked[n]) for n, text in pairs})


def tree(svg: str) -> ET.Element:
    return ET.fromstring(svg)


def texts(root: ET.Element) -> str:
    return " ".join(e.text or "" for e in root.iter(f"{SVG}text"))


def part(root: ET.Element, name: str) -> ET.Element:
    return next(e for e in root.iter() if e.get("data-part") == name)


def parts(root: ET.Element, start: str) -> list[ET.Element]:
    return [e for e in root.iter() if (e.get("data-part") or "").startswith(start)]


def numbers(element: ET.Element, *names: str) -> list[float]:
    return [float(element.get(name) or "nan") for name in names]


def wide(element: ET.Element) -> float:
    return numbers(element, "width")[0]


def middle(diamond: ET.Element) -> float:
    xs = [float(point.split(",")[0]) for point in (diamond.get("points") or "").split()]
    return (min(xs) + max(xs)) / 2


def one(picture: Picture, *first: str) -> ET.Element:
    return tree(draw_one(picture, "a title", "what it tells", first))


def test_every_sum_is_drawn_or_judges_nothing() -> None:
    assert {*TYPED} | UNDRAWN == {*SUMS}


@pytest.mark.parametrize("name", TYPED)
def test_a_drawing_can_be_read_by_eye_and_by_a_screen_reader(name: str) -> None:
    found = worked(name)
    root = tree(draw(found))
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    assert [e.tag for e in root[:2]] == [f"{SVG}title", f"{SVG}desc"]
    assert root[0].text == found.title
    assert found.says in (root[1].text or "")
    assert (found.verdict or "") in (root[1].text or "")
    assert found.title in texts(root)
    assert " ".join(found.says.split()) in texts(root)


@pytest.mark.parametrize("name", TYPED)
def test_nothing_is_drawn_or_written_off_the_paper(name: str) -> None:
    root = tree(draw(worked(name)))
    left, top, width, tall = map(float, (root.get("viewBox") or "").split())
    assert (left, top, width) == (0, 0, WIDE)
    for e in root.iter():
        for x in numbers(e, *(n for n in ("x", "x1", "x2") if e.get(n))):
            assert 0 <= x <= width
        for y in numbers(e, *(n for n in ("y", "y1", "y2") if e.get(n))):
            assert 0 <= y <= tall


@pytest.mark.parametrize("name", TYPED)
def test_words_end_before_the_edge_of_the_paper(name: str) -> None:
    """Letters of a wide font (DejaVu Sans) are on average 0.54 of their height wide here."""
    for e in tree(draw(worked(name))).iter(f"{SVG}text"):
        size = 12 * 0.54 * len(e.text or "") * (1.1 if e.get("font-weight") else 1)
        x = numbers(e, "x")[0] - (size / 2 if e.get("text-anchor") == "middle" else 0)
        assert x >= 0, e.text
        assert x + size <= WIDE, e.text


@pytest.mark.parametrize("name", TYPED)
def test_no_two_lines_of_words_lie_on_each_other(name: str) -> None:
    rows: dict[float, list[tuple[float, float]]] = {}
    for e in tree(draw(worked(name))).iter(f"{SVG}text"):
        size = 12 * 0.54 * len(e.text or "")
        x, y = numbers(e, "x", "y")
        x -= size / 2 if e.get("text-anchor") == "middle" else 0
        rows.setdefault(y, []).append((x, x + size))
    for row in rows.values():
        assert all(a[1] <= b[0] for a, b in pairwise(sorted(row))), row


@pytest.mark.parametrize("name", TYPED)
def test_no_colour_is_used_and_no_id_that_two_drawings_could_share(name: str) -> None:
    svg = draw(worked(name))
    assert set(re.findall(r'#[0-9a-f]+|(?:fill|stroke)="([a-z]+)"', svg)) <= {"", "none"}
    assert set(re.findall(r"#[0-9a-fA-F]+", svg)) == {"#000", "#fff"}
    assert " id=" not in svg
    assert "<?xml" not in svg


def test_a_reading_lies_on_its_band_in_proportion() -> None:
    """On one scale: the band 1 to 6, the value 4.5 +- 1.5, ticks and limits alike."""
    limits = Limits("new band", 1.0, 6.0), Limits("wear limit", None, 15.0)
    root = one(OnBand("End play", "thou", (Known("play", 4.5, 1.5),), limits))
    left, width = numbers(part(root, "limits new band"), "x", "width")
    each = width / 5
    low, high = numbers(part(root, "span play"), "x1", "x2")
    assert middle(part(root, "value play")) == pytest.approx(left + 3.5 * each, abs=0.02)
    assert (low, high) == pytest.approx((left + 2 * each, left + 5 * each), abs=0.02)
    start, size = numbers(part(root, "limits wear limit"), "x", "width")
    assert start + size == pytest.approx(left + 14 * each, abs=0.02)
    assert start == pytest.approx(numbers(part(root, "axis thou"), "x1")[0], abs=0.02)
    ends = [numbers(e, "x1")[0] for e in parts(root, "end new band")]
    assert ends == pytest.approx([left, left + width], abs=0.02)


def test_both_scales_tell_the_same_places() -> None:
    """Each number under a scale stands where that size lies: 0.0254 mm to the thou."""
    root = one(OnBand("End play", "thou", (Known("play", 4.5, 1.5),), (Limits("band", 1, 6),)))
    left, width = numbers(part(root, "limits band"), "x", "width")
    placed = [(e.text or "", numbers(e, "x")[0]) for e in root.iter(f"{SVG}text")
              if e.get("text-anchor") == "middle"]  # fmt: skip
    thou = [(float(text), x) for text, x in placed if "." not in text or float(text) >= 0.5]
    mm = [(float(text) / 0.0254, x) for text, x in placed if (float(text), x) not in thou]
    assert len(thou) >= 3 and len(mm) >= 3
    for value, x in thou + mm:
        assert x == pytest.approx(left + (value - 1) * width / 5, abs=0.05)


@pytest.mark.parametrize(
    ("first", "said"),
    [
        ((), "play: 4 thou (0.102 mm), give or take 1 thou (0.025 mm)"),
        (("thou",), "play: 4 thou (0.102 mm), give or take 1 thou (0.025 mm)"),
        (("mm",), "play: 0.102 mm (4 thou), give or take 0.025 mm (1 thou)"),
        (("in", "mm"), "play: 0.102 mm (4 thou), give or take 0.025 mm (1 thou)"),
        (("in",), "play: 4 thou (0.102 mm), give or take 1 thou (0.025 mm)"),
        (("psi",), "play: 4 thou (0.102 mm), give or take 1 thou (0.025 mm)"),
    ],
)
def test_sizes_are_told_in_both_systems_the_persons_own_first(
    first: tuple[str, ...], said: str
) -> None:
    root = one(OnBand("End play", "thou", (Known("play", 4, 1),), (Limits("b", 1, 6),)), *first)
    assert said in texts(root)


def test_the_limits_of_end_play_are_named_with_their_sizes() -> None:
    said = texts(tree(draw(worked("end-play"))))
    assert "new band: 1 thou (0.025 mm) to 6 thou (0.152 mm)" in said
    assert "wear limit: up to 15 thou (0.381 mm)" in said
    assert "Verdict: can't be told." in said


def test_limits_differ_by_hatching_and_line_not_by_colour() -> None:
    limits = tuple(Limits(f"limit {n}", float(n), n + 5.0) for n in range(3))
    root = one(OnBand("x", "mm", (Known("size", 3.0, 1.0),), limits))
    dashes = {e.get("stroke-dasharray") for n in range(3) for e in parts(root, f"end limit {n}")}
    hatchings = {e.get("d") for e in root.iter(f"{SVG}path")}
    assert (len(dashes), len(hatchings)) == (3, 3)


def test_a_limit_of_one_size_is_a_line() -> None:
    root = one(OnBand("x", "", (Known("counted", 0.5),), (Limits("half", 0.5, 0.5),)))
    x1, x2 = numbers(part(root, "limit half"), "x1", "x2")
    assert x1 == x2 == pytest.approx(middle(part(root, "value counted")), abs=0.02)


def test_what_a_value_may_be_less_by_makes_its_span_longer() -> None:
    root = one(OnBand("x", "mm", (Known("size", 5.0, 1.0, 2.0),), (Limits("l", 0.0, 10.0),)))
    left, width = numbers(part(root, "limits l"), "x", "width")
    span = [(x - left) / width * 10 for x in numbers(part(root, "span size"), "x1", "x2")]
    assert span == pytest.approx([2.0, 6.0], abs=0.01)
    assert "or 2 mm (78.74 thou) less" in texts(root)


def test_of_a_thousand_values_those_near_a_limit_are_drawn() -> None:
    values = tuple(Known(f"lobe {n}", float(n)) for n in range(1000))
    root = one(OnBand("Lobes", "thou", values, (Limits("allowed", None, 500.0),)))
    drawn = [e.get("data-part") for e in parts(root, "value")]
    assert len(drawn) == MOST_VALUES
    assert "value lobe 500" in drawn
    assert f"{1000 - MOST_VALUES} more, further from the limits, left out." in texts(root)


def test_a_stack_in_section_is_to_scale() -> None:
    """161 over 150: of the spacer's length 150/161 is plate, the rest is the gap at the gear."""
    opens, closes = (Known("spacer", 161.0),), (Known("plate", 130.0), Known("washer", 20.0))
    root = one(InSection("thou", opens, closes, Known("play", 11.0, 1.0)))
    whole = wide(part(root, "part spacer"))
    sizes = [wide(part(root, f"part {n}")) / whole * 161 for n in ("plate", "washer")]
    assert sizes == pytest.approx([130, 20], abs=0.02)
    assert wide(part(root, "gap")) / whole * 161 == pytest.approx(11, abs=0.02)
    x, size = numbers(part(root, "gap"), "x", "width")
    assert x + size == pytest.approx(numbers(part(root, "gear"), "x")[0])
    assert "A  play: 11 thou (0.279 mm), give or take 1 thou (0.025 mm)" in texts(root)


def test_a_spacer_too_thin_shows_the_gap_on_its_side() -> None:
    root = one(InSection("mm", (Known("spacer", 9.0),), (Known("plate", 10.0),), Known("p", -1.0)))
    gap, spacer = part(root, "gap"), part(root, "part spacer")
    assert numbers(gap, "y") == numbers(spacer, "y")
    assert wide(gap) / wide(spacer) == pytest.approx(1 / 9, abs=1e-3)
    assert "no play: the spacer is short by 1 mm" in texts(root)


def test_the_numbers_of_thin_parts_are_moved_apart() -> None:
    closes = (Known("plate", 150.0), *(Known("shim", 1.0) for _ in range(8)))
    root = one(InSection("thou", (Known("spacer", 165.0),), closes, Known("play", 7.0)))
    xs = [numbers(e, "x")[0] for e in root.iter(f"{SVG}text")
          if e.get("text-anchor") == "middle" and (e.text or "") in "23456789"]  # fmt: skip
    assert all(b - a >= 9 for a, b in pairwise(xs[:8]))


def test_too_many_parts_are_not_drawn() -> None:
    closes = tuple(Known("washer", 1.0) for _ in range(MOST_PARTS))
    with pytest.raises(Refused, match="too many to draw"):
        one(InSection("mm", (Known("spacer", 99.0),), closes, Known("play", 1.0)))


def test_a_bolt_head_against_the_gear_is_to_scale() -> None:
    """A head of 5.3 in a stack of 4: 1.3 in the way; pulled out by 0.2 the gear is at 4.2."""
    root = one(OverHeads("mm", (Known("head", 5.3, 0.1),), 4.0, 0.0, 0.2))
    face, size = numbers(part(root, "head head"), "x", "width")
    each = size / 5.3
    gear = numbers(part(root, "gear"), "x")[0]
    assert gear == pytest.approx(face + 4 * each, abs=0.02)
    assert wide(part(root, "clash head")) == pytest.approx(1.3 * each, abs=0.02)
    out = numbers(part(root, "gear pulled out"), "x1")[0]
    assert out == pytest.approx(face + 4.2 * each, abs=0.02)
    assert wide(part(root, "head bearing")) == pytest.approx(4 * each, abs=0.02)
    assert "in the way by 1.3 mm (51.18 thou)" in texts(root)


def test_a_recess_moves_the_gear_away_from_the_heads_alone() -> None:
    root = one(OverHeads("thou", (Known("a", 100.0), Known("b", 0.0)), 150.0, 60.0, 0.0))
    each = wide(part(root, "head a")) / 100
    faces = [numbers(e, "x")[0] for e in parts(root, "gear")]
    assert faces[0] == faces[1]
    assert faces[0] - faces[2] == pytest.approx(60 * each, abs=0.03)
    assert "b: flush; gap 210 thou" in texts(root)
    assert "relieved by 60 thou" in texts(root)


def test_a_sunk_head_lies_inside_the_plate() -> None:
    root = one(OverHeads("thou", (Known("head", -9.0, 1.0),), 157.0, 0.0, 0.0))
    x, size = numbers(part(root, "sunk head"), "x", "width")
    left, plate = numbers(part(root, "plate"), "x", "width")
    assert x + size == pytest.approx(left + plate, abs=0.02)
    assert "sunk by 9 thou" in texts(root)


def test_the_contact_wanders_along_the_gear_by_the_walk() -> None:
    turn = Known("spark shift", 1.83, 0.29)
    walk = Known("cam walk", 10.0, 1.6)
    root = one(BandWalk("cam gear", "distributor gear", "thou", walk, turn))
    near, far = (numbers(part(root, f"contact {n} end"), "x1")[0] for n in ("one", "other"))
    start, end = numbers(part(root, "axis thou"), "x1", "x2")
    assert (far - near) / (end - start) == pytest.approx(10 / 22, abs=1e-3)
    assert numbers(part(root, "wear band"), "x", "width") == pytest.approx(
        [near, far - near], abs=0.02
    )
    rings = [numbers(e, "cx")[0] for e in root.iter(f"{SVG}circle")]
    assert rings == pytest.approx([near, far], abs=0.02)
    assert "spark shift: 1.83 deg, give or take 0.29" in texts(root)


def test_no_walk_leaves_both_ends_in_one_place() -> None:
    turn = Known("spark shift", 0.0)
    root = one(BandWalk("cam gear", "distributor gear", "mm", Known("walk", 0.0), turn))
    assert len({e.get("cx") for e in root.iter(f"{SVG}circle")}) == 1


def test_the_wear_band_on_the_upright_gear_is_to_scale() -> None:
    """Free 2 above, band 4, free 1 below: the dashed place is in the middle of the teeth."""
    root = one(BandHeight("mm", 2.0, 1.0, 4.0, Known("shims", -0.5, 0.2)))
    top, tall = numbers(part(root, "teeth"), "y", "height")
    y, size = numbers(part(root, "wear band"), "y", "height")
    assert [(y - top) / tall * 7, size / tall * 7] == pytest.approx([2, 4], abs=0.01)
    dashed = [numbers(e, "y1")[0] for e in parts(root, "band after shimming")]
    assert sum(dashed) / 2 == pytest.approx(top + tall / 2, abs=0.02)
    assert dashed[1] - dashed[0] == pytest.approx(size, abs=0.02)
    y1, y2 = numbers(part(root, "measure"), "y1", "y2")
    assert (y2 - y1) / tall * 7 == pytest.approx(1.0, abs=0.01)  # it says 1 mm
    assert "of shims less" in texts(root)


def test_a_band_not_measured_leaves_the_free_teeth_in_proportion() -> None:
    root = one(BandHeight("thou", 20.0, 80.0, None, Known("shims", 30.0)))
    top, tall = numbers(part(root, "teeth"), "y", "height")
    y, size = numbers(part(root, "wear band"), "y", "height")
    assert (top + tall - y - size) / (y - top) == pytest.approx(4, abs=0.01)
    assert "not measured, not to scale" in texts(root)
    assert "30 thou (0.762 mm) of shims more" in texts(root)


def test_a_band_from_end_to_end_is_drawn_so() -> None:
    root = one(BandHeight("mm", 0.0, 0.0, None, Known("shims", 0.0)))
    assert numbers(part(root, "wear band"), "y", "height") == numbers(
        part(root, "teeth"), "y", "height"
    )
    assert "the shims as they are" in texts(root)


def test_words_are_made_safe() -> None:
    picture = OnBand('<b>&"\x00\ud800', "mm", (Known("<i>", 1.0, 0.5),), (Limits("&", 0, 2),))
    root = tree(draw_one(picture, "a < b & c\x01", '"told"'))
    assert root[0].text == "a < b & c "
    assert '<b>&"' in texts(root)
    assert part(root, "value <i>") is not None


def test_a_drawing_can_stand_in_a_page() -> None:
    page = f"<div>{draw(worked('stack'))}{draw(worked('end-play'))}</div>"
    assert len(tree(page)) == 2


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("readings", "readings=4 5 thou"),
        ("pump-thrust", "diameter=1 in; torque=20 in-lb"),
        ("clamp", "torque=40 Nm; diameter=10 mm"),
        ("backlash", "reading=4 thou"),
        ("lash", "hot=20 thou; head=2; block=1"),
        ("tooth", "cam-teeth=36"),
        ("centreline", "before=60 deg; after=145.5 deg"),
    ],
)
def test_what_is_held_against_nothing_is_not_drawn(name: str, typed: str) -> None:
    with pytest.raises(Refused, match="nothing to draw"):
        draw(worked(name, typed))


def test_sizes_beyond_one_scale_are_refused() -> None:
    with pytest.raises(Refused, match="one scale"):
        one(OnBand("x", "mm", (Known("size", 1e308, 1e308),), (Limits("l", -1e308, 0.0),)))


SIZES = st.floats(-1e6, 1e6)


@given(SIZES, st.floats(0, 1e6), SIZES, st.floats(0, 1e6), st.sampled_from(["thou", "mm", "", "%"]))
def test_any_value_and_limit_lie_on_one_scale(
    size: float, u: float, low: float, width: float, unit: str
) -> None:
    picture = OnBand("x", unit, (Known("v", size, u),), (Limits("l", low, low + width),))
    try:
        root = one(picture)
    except Refused:
        return
    start, end = numbers(parts(root, "axis")[0], "x1", "x2")
    assert start - 0.01 <= middle(part(root, "value v")) <= end + 0.01
    assert "nan" not in ET.tostring(root, encoding="unicode")


@given(st.floats(-1e6, 1e6), st.floats(1e-3, 1e6))
def test_ticks_are_few_and_on_the_scale(low: float, width: float) -> None:
    ticks = Scale(low, low + width, 0.0, 100.0).ticks()
    assert 1 <= len(ticks) <= 6
    assert all(low - width / 1e6 <= t <= low + width * (1 + 1e-6) for t in ticks)


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0, "0"), (21351.2, "21350"), (0.0254, "0.0254"), (-3.0, "-3"), (1e12, "1e+12")],
)
def test_numbers_are_written_as_in_a_workshop(value: float, text: str) -> None:
    assert plain(value) == text


def test_a_force_and_a_pressure_are_told_in_both_systems() -> None:
    """1 lbf is 4.448 222 N, 1 psi 6.894 757 kPa: NIST Special Publication 811, appendix B."""
    assert units_for("N", ["lbf"]).say(4448.222) == "1000 lbf (4448 N)"
    assert units_for("psi", []).say(100.0) == "100 psi (689.5 kPa)"

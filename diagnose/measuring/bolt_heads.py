"""How far a thrust plate's bolt heads stand proud, and whether they clear the gear or bearing.

With the gear pushed in the end play is used up and the gap over the heads is least: that one
counts. Geometry works in any one unit; the table of heads is in mm. Knows no case, prints nothing.

    hex head 5.3 mm high in a bearing stack of 4 mm: gap -1.3 mm, it touches.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from diagnose.measuring.asking import Given, prove
from diagnose.measuring.shown import Known, Limits, OnBand, OverHeads, Picture
from diagnose.measuring.units import convert
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

FLAT_SOURCE = (
    "Hexagon socket flat countersunk head cap screws, "
    "https://boltport.com/standards/asme-b18.3/hexagon-socket-flat-countersunk-head-cap-screws/"
)
FLAT_METRIC_SOURCE = (
    "ISO metric hexagon socket screws dimensions in table, https://www.joshuanava.biz/"
    "engineering-3/iso-metric-hexagon-socket-set-screws-dimensions-in-table.html"
)
HEX_SOURCE = "ASME B18.2.1 hex cap screws, https://astma193gradeb7.com/hex-cap-screws-asme-b18.2.1/"
HEX_BOLT_SOURCE = "ASME B18.2.1 dimensions charts, https://fastenrsc.com/?p=52"
HEX_METRIC_SOURCE = "Bolt head sizes chart, https://mlc.org.uk/guides/bolt-head-sizes-chart"
SOCKET_SOURCE = (
    "Bolt & screw head dimensions chart, "
    "https://rivcut.pages.dev/resources/bolt-head-dimensions-chart"
)
BUTTON_SOURCE = (
    "Socket button head cap screws, http://www.cfi1.com/socket-button-head-p-535-l-en.html"
)
BUTTON_METRIC_SOURCE = (
    "Button head socket head cap screws ISO 7380 / ANSI B 18.3.4M, "
    "https://www.scribd.com/doc/270233937/ISO-7380"
)
SOURCE = (
    "Countersink depth calculator, "
    "https://calculatorsir.com/construction/countersink-depth-calculator"
)
INCH_ANGLE, METRIC_ANGLE = 82.0, 90.0


class Head(Named):
    """One standard head in mm: its height, and where countersunk its sharp diameter and angle."""

    kind: str
    thread: str
    bolt: float
    height: float
    source: str
    sharp: float = 0.0
    angle: float = 0.0


class Gap(Named):
    """Room between head and gear or bearing, gear pushed in and pulled out."""

    pushed_in: float
    pulled_out: float


def cone_height(wide: float, narrow: float, angle: float) -> float:
    """Return how far apart on a cone of this whole angle two diameters lie.

    The height of a countersunk head from its sharp edge to the shank; also how far a head stands
    proud whose sharp diameter is `wide` in a countersink of mouth `narrow` (negative: sunk), the
    same angle on both and no burr. Source: "Countersink depth calculator",
    https://calculatorsir.com/construction/countersink-depth-calculator

    >>> round(cone_height(0.322, 0.125, 82), 4)
    0.1133
    """
    if not 0 < angle < 180 or not 0 <= narrow < math.inf or not 0 <= wide < math.inf:
        raise Refused(
            f"a cone of {angle:g} degrees from {wide:g} to {narrow:g} can't be; the angle lies "
            "between 0 and 180 (82 for inch heads, 90 for metric) and diameters are 0 or more"
        )
    return (wide - narrow) / (2 * math.tan(math.radians(angle / 2)))


def head_gap(stack: float, recess: float, proud: float, end_play: float = 0.0) -> Gap:
    """Return the gap over a head standing `proud` of the plate, over the whole end play.

    `stack` is what holds the gear off the plate (needle bearing and washers; 0 without), `recess`
    how deep the gear is relieved over the heads.
    """
    if min(stack, recess, end_play) < 0:
        raise Refused(
            f"bearing stack {stack:g}, recess {recess:g} and end play {end_play:g} "
            "can't be below 0; give 0 where there is none"
        )
    pushed_in = stack + recess - proud
    return Gap(pushed_in, pushed_in + end_play)


def standard_heads(bolt: float) -> tuple[Head, ...]:
    """Return the standard heads for a bolt diameter in mm, right to 0.03 mm; the flattest first."""
    found = [head for head in HEADS if abs(head.bolt - bolt) <= _SAME_THREAD]
    return tuple(sorted(found, key=lambda head: (head.sharp == 0, head.height)))


_SAME_THREAD = 0.03  # mm; 5/16 in and M8, the nearest pair, are 0.06 mm apart


def _inch_heads(kind: str, source: str, heights: dict[str, float]) -> list[Head]:
    return [
        Head(kind, f"{name} in", _INCHES[name] * 25.4, height * 25.4, source)
        for name, height in heights.items()
    ]


def _metric_heads(kind: str, source: str, heights: dict[int, float]) -> list[Head]:
    return [Head(kind, f"M{d}", float(d), height, source) for d, height in heights.items()]


_INCHES = {"No. 10": 0.19, "1/4": 0.25, "5/16": 0.3125, "3/8": 0.375, "7/16": 0.4375, "1/2": 0.5,
           "5/8": 0.625, "3/4": 0.75}  # fmt: skip
_FLAT = {"No. 10": (0.411, 0.127), "1/4": (0.531, 0.161), "5/16": (0.656, 0.198),
         "3/8": (0.781, 0.234), "7/16": (0.844, 0.234), "1/2": (0.938, 0.251),
         "5/8": (1.188, 0.324), "3/4": (1.438, 0.396)}  # in: sharp diameter, height  # fmt: skip
_FLAT_METRIC = {6: (13.44, 3.72), 8: (17.92, 4.96), 10: (22.4, 6.2), 12: (26.88, 7.44)}
HEADS: tuple[Head, ...] = (
    *(
        Head("countersunk", f"{name} in", _INCHES[name] * 25.4, height * 25.4, FLAT_SOURCE,
             sharp * 25.4, INCH_ANGLE)
        for name, (sharp, height) in _FLAT.items()
    ),
    *(
        Head("countersunk", f"M{d}", float(d), height, FLAT_METRIC_SOURCE, sharp, METRIC_ANGLE)
        for d, (sharp, height) in _FLAT_METRIC.items()
    ),
    *_inch_heads("finished hex", HEX_SOURCE,
                 {"1/4": 0.163, "5/16": 0.211, "3/8": 0.243, "7/16": 0.291, "1/2": 0.323,
                  "5/8": 0.403, "3/4": 0.483}),
    *_inch_heads("unfinished hex", HEX_BOLT_SOURCE,
                 {"1/4": 0.188, "5/16": 0.235, "3/8": 0.268, "7/16": 0.316, "1/2": 0.364,
                  "5/8": 0.444, "3/4": 0.524}),
    *_metric_heads("hex", HEX_METRIC_SOURCE, {6: 4.0, 8: 5.3, 10: 6.4, 12: 7.5}),
    *_inch_heads("button", BUTTON_SOURCE,
                 {"No. 10": 0.101, "1/4": 0.132, "5/16": 0.166, "3/8": 0.199, "1/2": 0.265}),
    *_metric_heads("button", BUTTON_METRIC_SOURCE, {6: 3.3, 8: 4.4, 10: 5.5, 12: 6.6}),
    *_inch_heads("socket", SOCKET_SOURCE, _INCHES),
    *_metric_heads("socket", SOCKET_SOURCE, {6: 6.0, 8: 8.0, 10: 10.0, 12: 12.0}),
)  # fmt: skip

INPUTS = (
    Input("head", "how far does each head stand above the plate, measured? (0 if flush)",
          "length", "thou", many=True, optional=True),
    Input("head-diameter", "how wide is each countersunk head at its sharp edge?", "length", "thou",
          many=True, optional=True),
    Input("mouth", "how wide is each countersink at the face of the plate?", "length", "thou",
          many=True, optional=True),
    Input("angle", "what is the whole angle of head and countersink?", "angle", "deg",
          usual=INCH_ANGLE, source=FLAT_SOURCE),
    Input("bolt", "what is the diameter of the bolt's thread?", "length", "thou", optional=True),
    Input("bearing-stack", "how thick are needle bearing and washers between plate and gear? "
          "(0 without)", "length", "thou", usual=0.0, source="common-practice"),
    Input("recess", "how deep is the gear relieved over the heads? (0 if flat)", "length", "thou",
          usual=0.0, source="common-practice"),
    Input("end-play", "what is the end play?", "length", "thou", optional=True),
    Input("margin", "how much room is wanted over the heads?", "length", "thou",
          usual=0.5 / 0.0254, source="memory"),
    Input("doubt", "how far may each size be wrong, either way?", "length", "thou", usual=1.0,
          source="common-practice"),
)  # fmt: skip
_WORDS = {
    CONFORMS: "clears, with the end play used up, by {gap:.1f} thou",
    FAILS: "touches: with the end play used up the room over it is {gap:.1f} thou",
    UNDECIDED: "leaves {gap:.1f} thou with the end play used up, where {margin:.1f} are wanted",
}


class _Room(Named):
    """What there is over the plate: stack and recess, end play, the margin wanted, the doubt."""

    stack: float
    recess: float
    end_play: float
    margin: float
    doubt: float

    def judge(self, proud: float, doubt: float) -> tuple[Gap, float, str]:
        """The gap over a head, how far it may be wrong, and whether it clears."""
        gap = head_gap(self.stack, self.recess, proud, self.end_play)
        wrong = math.sqrt(doubt**2 + self.doubt**2 * ((self.stack > 0) + (self.recess > 0)))
        touch = prove(gap.pushed_in, wrong, 0.0, None)
        clear = touch == CONFORMS and gap.pushed_in >= self.margin
        return gap, wrong, CONFORMS if clear else FAILS if touch == FAILS else UNDECIDED


class _Proud(Named):
    """How far the highest head stands proud, how far that may be wrong, and how it was got."""

    size: float
    doubt: float
    step: str


def _work(values: Values) -> Worked:
    given = Given(INPUTS, values)
    room = _Room(
        given.one("bearing-stack"),
        given.one("recess"),
        given.perhaps("end-play") or 0.0,
        given.one("margin"),
        given.one("doubt"),
    )
    proud = _proud(given, room.doubt)
    heads = _heads(given)
    if proud is None and not heads:
        raise Refused(
            "no head is given; give its measured height, or head-diameter and mouth of a "
            "countersunk one, or the bolt's diameter for the standard heads"
        )
    verdict = UNDECIDED if proud is None else room.judge(proud.size, proud.doubt)[2]
    return Worked(
        title="Room over the thrust plate's bolt heads",
        formula="gap with the gear pushed in = bearing stack + recess - head standing proud; "
        "pulled out, the end play more",
        steps=tuple(_steps(room, proud, heads)),
        figures=tuple(_figures(room, proud, heads)),
        verdict=verdict,
        says=_says(room, proud, heads),
        source=_source(heads),
        settles=_settles(verdict, proud),
        caution=_caution(proud, heads),
        shows=_shows(room, proud, heads),
    )


def _proud(given: Given, doubt: float) -> _Proud | None:
    """The highest of the measured heads, or the widest head in the narrowest countersink."""
    measured = given.row("head")
    wide, mouth = given.row("head-diameter"), given.row("mouth")
    if measured and (wide or mouth):
        raise Refused("head and head-diameter are both given; give the measured height alone")
    if bool(wide) != bool(mouth):
        raise Refused("head-diameter and mouth go together; one of them is missing")
    if measured:
        return _Proud(max(measured), doubt, f"highest head: {max(measured):g}")
    if not wide:
        return None
    angle = given.one("angle")
    size = cone_height(max(wide), min(mouth), angle)
    step = f"({max(wide):g} - {min(mouth):g}) / (2 x tan({angle:g} deg / 2)) = {size:.4g}"
    return _Proud(size, cone_height(math.sqrt(2) * doubt, 0.0, angle), step)


def _heads(given: Given) -> tuple[Head, ...]:
    bolt = given.perhaps("bolt")
    if bolt is None:
        return ()
    heads = standard_heads(convert(bolt, "thou", "mm"))
    if not heads:
        raise Refused(
            f"no standard head is known for a bolt of {bolt:g} thou; give the thread's nominal "
            "diameter (No. 10 to 3/4 in, M6 to M12), or the measured head instead"
        )
    return heads


def _above(head: Head) -> float:
    """How far a standard head stands proud, in thou; a countersunk one is sunk flush."""
    return 0.0 if head.sharp else convert(head.height, "mm", "thou")


def _steps(room: _Room, proud: _Proud | None, heads: tuple[Head, ...]) -> Iterator[str]:
    if proud is not None:
        gap, wrong, _ = room.judge(proud.size, proud.doubt)
        yield proud.step
        yield (
            f"pushed in: {room.stack:g} + {room.recess:g} - {proud.size:.4g} = "
            f"{gap.pushed_in:.4g}, give or take {wrong:.2g}"
        )
        if room.end_play:
            yield f"pulled out: {gap.pushed_in:.4g} + {room.end_play:g} = {gap.pulled_out:.4g}"
    for head in heads:
        gap, _, verdict = room.judge(_above(head), 0.0)
        yield (
            f"{head.thread} {head.kind}, {_above(head):.4g} proud: {room.stack:g} + "
            f"{room.recess:g} - {_above(head):.4g} = {gap.pushed_in:.4g}: {_SHORT[verdict]}"
        )


_SHORT = {CONFORMS: "clears", FAILS: "touches", UNDECIDED: "too close"}


def _figures(room: _Room, proud: _Proud | None, heads: tuple[Head, ...]) -> Iterator[Figure]:
    if proud is not None:
        gap, wrong, _ = room.judge(proud.size, proud.doubt)
        yield Figure("head stands proud", proud.size, "thou", proud.doubt)
        yield Figure("gap, gear pushed in", gap.pushed_in, "thou", wrong)
        if room.end_play:
            yield Figure("gap, gear pulled out", gap.pulled_out, "thou", wrong)
    for head in heads:
        gap, wrong, _ = room.judge(_above(head), 0.0)
        yield Figure(f"gap over {head.thread} {head.kind} head", gap.pushed_in, "thou", wrong)


def _says(room: _Room, proud: _Proud | None, heads: tuple[Head, ...]) -> str:
    said = []
    if proud is not None:
        gap, _, verdict = room.judge(proud.size, proud.doubt)
        words = _WORDS[verdict].format(gap=gap.pushed_in, margin=room.margin)
        said.append(f"The highest head {words}")
    if heads:
        clear = [h.kind for h in heads if room.judge(_above(h), 0.0)[2] == CONFORMS]
        which = f"these clear: {', '.join(clear)}" if clear else "none clears"
        said.append(f"of the standard {heads[0].thread} heads {which}")
    text = "; ".join(said)
    return f"{text[0].upper()}{text[1:]}."


def _settles(verdict: str, proud: _Proud | None) -> str | None:
    if verdict != UNDECIDED:
        return None
    if proud is None:
        return "Measure the head you have; the table shows the highest a standard allows."
    return "Put clay on the head, fit the gear, push it in and measure what is left of the clay."


def _caution(proud: _Proud | None, heads: tuple[Head, ...]) -> str | None:
    deep = [convert(head.height, "mm", "thou") for head in heads if head.sharp]
    if deep:
        return (
            f"The countersunk head is counted as flush, {max(deep):.0f} thou deep: the plate must "
            "be thicker than that, and its countersink of the same angle."
        )
    if proud is not None and proud.size < 0:
        return "The head is sunk: make sure it still holds enough of the plate."
    return None


def _shows(room: _Room, proud: _Proud | None, heads: tuple[Head, ...]) -> tuple[Picture, ...]:
    """Every head against the gear, and the room over it against what is wanted."""
    known = [] if proud is None else [Known("highest head", proud.size, proud.doubt)]
    known += [Known(f"{head.thread} {head.kind}", _above(head)) for head in heads]
    gaps = []
    for head in known:
        gap, wrong, _ = room.judge(head.size, head.u)
        gaps.append(Known(f"over {head.name}", gap.pushed_in, wrong))
    limits = Limits("clear of the gear", 0.0, None), Limits("wanted", room.margin, None)
    return (
        OverHeads("thou", tuple(known), room.stack, room.recess, room.end_play),
        OnBand("Room over the heads, gear pushed in", "thou", tuple(gaps), limits),
    )


def _source(heads: tuple[Head, ...]) -> str:
    return " ; ".join(dict.fromkeys(head.source for head in heads)) or SOURCE


CALCULATIONS = (Calculation("bolt-head", "Room over the thrust plate's bolt heads", INPUTS, _work),)

"""Made-up knowledge for the tests of the language: three noises, two readings, a few parts."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from diagnose.knowledge.model import (
    Access,
    Band,
    Cause,
    Check,
    Confirmation,
    Finding,
    Gauge,
    HowCommon,
    Knowledge,
    Repair,
    Words,
    settlers,
)
from diagnose.knowledge.yamltext import read
from diagnose.language.index import LanguageIndex, build_index
from diagnose.language.understand import understand
from diagnose.language.understanding import Context, Understanding

NOISE = {"absent": ("no {0}", "doesnt {0}"), "present": ("{0}", "{0}ing")}
STATES = ("absent", "present")


def finding(key: str, states: tuple[str, ...], phrases: Mapping[str, tuple[str, ...]]) -> Finding:
    """A finding with states, as short as it can be."""
    say = {state: state.replace("_", " ") for state in states if state != "unknown"}
    return Finding(
        id=key,
        title=key.replace("_", " "),
        topic="noise_places" if key == "at_front" else "made_up",
        kind="state",
        states=states,
        nature="effect",
        background={},
        source="memory",
        ask=f"How is the {key.replace('_', ' ')}?",
        say=say,
        phrases=phrases,
    )


def noise(key: str) -> Finding:
    """A noise that is there or not."""
    filled = {state: tuple(t.format(key) for t in texts) for state, texts in NOISE.items()}
    return finding(key, STATES, filled)


def reading(key: str, dimension: str, unit: str, names: tuple[str, ...]) -> Finding:
    """A reading that can be 0 to 200 of its unit."""
    return Finding(
        id=key,
        title=key.replace("_", " "),
        topic="made_up",
        kind="reading",
        states=("low", "ok", "high"),
        nature="effect",
        background={},
        source="memory",
        ask=f"What is the {key}?",
        say={"low": "too small", "ok": "right", "high": "too large"},
        phrases={"name": names, "high": (f"far too much {names[0]}",)},
        dimension=dimension,
        unit=unit,
        possible=Band(low=0, high=200, unit=unit, source="memory"),
        gauge=Gauge(u=0.5, unit=unit, source="memory"),
    )


FINDINGS = (
    noise("knock"),
    noise("rattle"),
    noise("tick"),
    finding("at_front", STATES, {"absent": ("not at the front",), "present": ("at the front",)}),
    finding("engine_runs", ("yes", "no"), {"yes": ("it runs",), "no": ("wont run", "not a pop")}),
    finding(
        "widget",
        ("whole", "sheared", "loose"),
        {
            "whole": ("widget fine", "widget in one piece"),
            "sheared": ("widget sheared", "widget cut through"),
            "loose": ("widget loose", "widget rattles about", "widget wedged crooked"),
        },
    ),
    finding(
        "upper_plate",
        ("clean", "worn"),
        {"clean": ("upper plate clean",), "worn": ("upper plate worn",)},
    ),
    finding(
        "lower_plate",
        ("clean", "worn"),
        {"clean": ("lower plate clean",), "worn": ("lower plate worn",)},
    ),
    reading("shaft_play", "length", "thou", ("shaft play", "shaft float", "play in the shaft")),
    reading("hot_pressure", "pressure", "psi", ("oil pressure hot", "hot oil pressure")),
    reading("cold_pressure", "pressure", "psi", ("oil pressure cold", "cold oil pressure")),
    reading("spark_lead", "angle", "deg", ("spark lead", "static lead")),
)


def cause(key: str, phrases: tuple[str, ...]) -> Cause:
    """A cause with its names."""
    return Cause(
        id=key,
        system="made_up",
        title=key.replace("_", " "),
        phrases=phrases,
        how_common=HowCommon("seldom", "seldom", "memory"),
        signs=(),
        confirm=Confirmation("widget", "sheared", "it is cut"),
        remedy="Replace it.",
        repair=Repair("running", 10, "memory"),
        recheck=(),
        does_not_cover="",
    )


def check(key: str, settles: tuple[str, ...], access: str) -> Check:
    """A check that settles findings."""
    return Check(key, key, "made_up", settles, access, 3, (), (), "", "", 0.05, "memory")


@cache
def toy_index() -> LanguageIndex:
    """The index of the made-up knowledge with the real word lists."""
    causes = (
        cause("bent_rod", ("bent rod", "rod knock")),
        cause("widget_failed", ("widget gone",)),
    )
    checks = (
        check("listen", ("knock", "rattle", "tick", "at_front"), "running"),
        check("look", ("widget", "upper_plate", "lower_plate"), "open"),
    )
    access = (
        Access("running", "running", 3, 3, engine_running=True, source="memory"),
        Access("open", "open", 60, 3, engine_running=False, source="memory"),
    )
    knowledge = Knowledge(
        findings={f.id: f for f in FINDINGS},
        checks={c.id: c for c in checks},
        causes={c.id: c for c in causes},
        access={a.id: a for a in access},
        rules={},
        cautions={},
        sheets={},
        sources={},
        words=Words({}, {}, {}, {}, {}, {}),
        settled_by=settlers({c.id: c for c in checks}),
    )
    return build_index(knowledge, word_lists())


def word_lists() -> Mapping[str, object]:
    """The content of rules/language.yaml, without the doubts, which name real findings."""
    path = Path(__file__).parent.parent / "rules" / "language.yaml"
    content: dict[str, object] = dict(read(path, "language.yaml").data)
    return {**content, "doubts": [], "tests": {}}


def heard(text: str, context: Context | None = None) -> Understanding:
    """What a text is taken to mean on the made-up knowledge."""
    return understand(text, toy_index(), context or Context())


def states(text: str, asked: str | None = None) -> dict[str, str | None]:
    """The findings taken from a text with their states."""
    found = heard(text, Context(asked=asked)).taken
    return {t.finding: t.state for t in found if t.value is None}


def numbers(text: str, asked: str | None = None, unit: str | None = None) -> dict[str, object]:
    """The readings taken from a text with value and unit."""
    found = heard(text, Context(asked=asked, asked_unit=unit)).taken
    return {t.finding: (t.value, t.unit) for t in found if t.value is not None}

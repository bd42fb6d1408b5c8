"""A tiny made-up rule base: three causes a, b, c, as files that a test may spoil."""

# ruff: noqa: E501
from pathlib import Path

WORDS = """
how_often: {never: 0.01, rarely: 0.03, seldom: 0.1, sometimes: 0.3, often: 0.6, usually: 0.9, always: 0.99}
background: {none: 0.0005, freak: 0.002, rare: 0.01, uncommon: 0.03, some: 0.1, common: 0.3, half: 0.5}
how_common: {never: 0.02, rarely: 0.3, seldom: 1.0, sometimes: 3.0, often: 7.0}
strength: {slightly: 2.0, clearly: 5.0, strongly: 20.0}
settings:
  one_fault: 0.5
  expected_faults: 1.0
  none_of_these: 0.06
  none_shows: 0.15
  tempering: 0.9
  misread: 0.05
  well_without_complaint: 8
  talked_about: 10
  misheard: 0.05
  talked_about_at_most: 4
  counted: 1.0
  counted_beside: 0.5
  complained_of: 0.05
  looks_for_one_more: 14
  question_price: 6
  patience: 6
  has_a_root: 0.5
  mistaken_proof: 0.004
  disproved: 0.02
  undo_minutes: 45
  call_for_help_minutes: 600
sums: {}
"""
ACCESS = """
access:
  - {id: outside, title: Nothing apart, minutes: 2, each: 4, engine_running: false, source: memory}
  - {id: running, title: Running, minutes: 3, each: 4, engine_running: true, source: memory}
"""
SOURCES = """
sources:
  book:
    title: A book
    address: https://example.org/book
"""
FINDINGS = """
findings:
  - id: hum
    title: A hum
    kind: state
    states: [absent, present]
    nature: effect
    background: {present: some}
    source: memory
    ask: Does it hum?
    say: {absent: no hum, present: a hum}
    phrases:
      absent: [silent box]
      present: [humming box]
  - id: lamp
    title: The lamp
    kind: state
    states: [lit, dark]
    nature: effect
    background: {dark: rare}
    source: book
    ask: Is the lamp lit?
    say: {lit: lit, dark: dark}
    phrases:
      lit: [lamp glows]
      dark: [lamp out]
  - id: gap
    title: The gap
    kind: reading
    dimension: length
    nature: effect
    states: [low, ok, high]
    background: {low: rare, high: rare}
    source: memory
    ask: How wide is the gap?
    unit: mm
    possible: {low: 0, high: 50, unit: mm, source: memory}
    usual: {low: 1, high: 2, unit: mm, source: memory}
    gauge: {u: 0.05, unit: mm, source: memory}
    say: {low: narrow, ok: right, high: wide}
    phrases:
      name: [box gap]
      low: [gap far too narrow]
      ok: [gap is right]
      high: [gap far too wide]
"""
CHECKS = """
checks:
  - {id: listen, title: Listen, settles: [hum], access: running, minutes: 2, tools: [],
     how: [Listen.], good: Silence., bad: A hum., misread: 0.05, source: memory}
  - {id: look, title: Look, settles: [lamp], access: outside, minutes: 1, tools: [],
     how: [Look.], good: Lit., bad: Dark., misread: 0.01, source: memory}
  - {id: measure, title: Measure, settles: [gap], access: outside, minutes: 5, tools: [rule],
     how: [Measure.], good: In band., bad: Out of it., misread: 0.01, source: memory}
"""
RULES = """
rules:
  - id: dark_and_hum
    when: [lamp is dark, hum is present]
    then: {caution: hands_off}
    because: It is alive
    source: memory
  - id: gap_when_dark
    when: [gap is read, lamp is dark]
    then: {invalid: gap}
    because: Nobody can read a gap in the dark
    source: memory
"""
CAUTIONS = """
cautions:
  - {id: hands_off, stop_engine: true, text: Hands off., source: memory}
"""


def cause(name: str, finding: str, state: str, extra: str = "") -> str:
    """One cause file whose proof is one state of one finding."""
    return f"""id: {name}
title: Cause {name}
phrases: [the {name} thing]
how_common: {{after_build: seldom, in_service: seldom, source: memory}}
signs:
  - finding: {finding}
    state: {state}
    how_often: always
    because: It does that
    source: memory
{extra}confirm: {{finding: {finding}, state: {state}, shows: It is so}}
remedy: Mend it.
repair: {{access: outside, minutes: 30, source: memory}}
recheck: [{finding}]
does_not_cover: The rest.
"""


FILES = {
    "words.yaml": WORDS,
    "access.yaml": ACCESS,
    "sources.yaml": SOURCES,
    "findings/box.yaml": FINDINGS,
    "checks/box.yaml": CHECKS,
    "chaining/box.yaml": RULES,
    "chaining/cautions.yaml": CAUTIONS,
    "causes/box/a.yaml": cause("a", "lamp", "dark"),
    "causes/box/b.yaml": cause("b", "gap", "high"),
    "causes/box/c.yaml": cause("c", "hum", "present"),
    "engines/plain.yaml": """id: plain
title: Plain box
describes: A box.
fitted: []
limits:
  - {finding: gap, low: 1.2, high: 1.8, unit: mm, source: book}
""",
}


def write_rules(folder: Path, changed: dict[str, str | None] | None = None) -> Path:
    """Write the rule base, with some files changed or (None) left out; the folder of it."""
    for name, text in {**FILES, **(changed or {})}.items():
        if text is not None:
            path = folder / "rules" / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text.lstrip("\n"), encoding="utf-8")
    return folder / "rules"

"""What holds for any text and any statements, tried on the shipped rule base."""

import math
from itertools import chain
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lengths import tries

from diagnose.cases.assess import load_workbench
from diagnose.cases.log import CaseLog
from diagnose.cases.remembering import Remembering
from diagnose.dialogue.conversation import Conversation
from diagnose.dialogue.reply import Reply
from diagnose.language.index import load_index
from diagnose.measuring.units import convert, units_of

BENCH = load_workbench()
INDEX = load_index(BENCH.knowledge)
KNOWLEDGE = BENCH.knowledge
PHRASES = sorted(
    {p for f in KNOWLEDGE.findings.values() for p in chain.from_iterable(f.phrases.values())}
)
GLUE = [
    "and", "but", "not", "no", "when", "cold", "it", ",", ".", "?", "!", "(", '"', "\n", "maybe",
    "7", "0", "-3", "1/2", "0.004", "1e9", "thou", "mm", "psi", "lb", "mil", "in", "deg", "why",
    "how", "undo", "what if", "don't know", "stop", "start over", "why not", "first", "yes",
]  # fmt: skip

some = settings(
    max_examples=tries(20, 8),
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)

texts = st.one_of(
    st.text(max_size=200),
    st.lists(st.sampled_from(PHRASES + GLUE * 8), max_size=12).map(" ".join),
)


def states_of(finding: str) -> st.SearchStrategy[dict[str, Any]]:
    states = KNOWLEDGE.findings[finding].known_states
    return st.sampled_from(states).map(lambda s: {"finding": finding, "state": s})


told = st.sampled_from(sorted(KNOWLEDGE.findings)).flatmap(states_of)
READINGS = sorted(f.id for f in KNOWLEDGE.findings.values() if f.is_reading and f.usual)


@st.composite
def readings(draw: st.DrawFn) -> dict[str, Any]:
    """A reading somewhere about its usual band, in any unit of its dimension."""
    finding = KNOWLEDGE.findings[draw(st.sampled_from(READINGS))]
    band = finding.usual
    assert band is not None
    edge = band.high if band.high is not None else band.low
    value = draw(st.floats(0.2, 3.0)) * abs(edge or 1.0)
    unit = draw(st.sampled_from(units_of(finding.dimension or "")))
    return {"finding": finding.id, "value": convert(value, band.unit, unit), "unit": unit}


statements = st.one_of(told, readings())
several = st.lists(statements, max_size=5, unique_by=lambda s: s["finding"])


def talk() -> Conversation:
    return Conversation(BENCH, INDEX)


def outlook(reply: Reply) -> dict[str, Any]:
    """What is concluded, the question apart: a question once put is not put again."""
    whole = reply.as_dict()
    return {k: whole[k] for k in ("causes", "none_of_these", "cautions", "engine", "invalid")}


def is_sound(reply: Reply) -> bool:
    """What every reply promises to whoever reads it as data."""
    chances = [c["p"] for c in reply.causes]
    running = {a.id for a in KNOWLEDGE.access.values() if a.engine_running}
    cautions = [KNOWLEDGE.cautions[c["id"]] for c in reply.cautions]
    stop = any(c.stop_engine and not c.short_run for c in cautions)
    step, end = reply.next, reply.conclusion or {}
    before_refitting = bool(end.get("behind_it"))  # beside a conclusion only its root is asked for
    return (
        len(chances) <= 10
        and chances == sorted(chances, reverse=True)
        and all(0.01 < p <= 1 for p in chances)
        and 0 <= reply.none_of_these <= 1
        and bool(reply.text.strip())
        and not (step and end and not before_refitting)
        and not (step and stop and KNOWLEDGE.checks[step["check"]].access in running)
        and all(u["finding"] in KNOWLEDGE.findings for u in reply.understood)
    )


@some
@given(st.lists(texts, min_size=1, max_size=3))
def test_any_texts_get_sound_replies(typed: list[str]) -> None:
    conversation = talk()
    assert all(is_sound(conversation.say(text)) for text in typed)


@some
@given(several)
def test_any_statements_get_sound_replies(given_: list[dict[str, Any]]) -> None:
    conversation = talk()
    assert all(is_sound(conversation.say(turn)) for turn in given_)


@some
@given(several, statements)
def test_undo_returns_to_the_conclusions_before(
    given_: list[dict[str, Any]], last: dict[str, Any]
) -> None:
    conversation = talk()
    before = conversation.say([*given_, {"open": "outside"}])
    conversation.say(last)
    assert outlook(conversation.say({"undo": 1})) == outlook(before)


@some
@given(several, st.randoms(use_true_random=False))
def test_the_order_of_independent_statements_changes_no_conclusion(
    given_: list[dict[str, Any]], rng: Any
) -> None:
    one, two = talk(), talk()
    first = [one.say(turn) for turn in [{"open": "outside"}, *given_]][-1]
    shuffled = rng.sample(given_, len(given_))
    second = [two.say(turn) for turn in [{"open": "outside"}, *shuffled]][-1]
    assert is_same(outlook(first), outlook(second))


@some
@given(several)
def test_one_turn_or_several_make_no_difference(given_: list[dict[str, Any]]) -> None:
    one, two = talk(), talk()
    first = one.say([{"open": "outside"}, *given_])
    second = [two.say(turn) for turn in [{"open": "outside"}, *given_]][-1]
    assert is_same(outlook(first), outlook(second))


@some
@given(several)
def test_the_same_statements_give_the_same_words(given_: list[dict[str, Any]]) -> None:
    one, two = talk(), talk()
    first = [one.say(turn).text for turn in given_]
    assert first == [two.say(turn).text for turn in given_]


def is_same(one: Any, two: Any) -> bool:
    """Equal, figures to the last shown place, whatever the order of lists."""
    if isinstance(one, float):
        return math.isclose(one, two, abs_tol=1.5e-4)
    if isinstance(one, dict):
        return one.keys() == two.keys() and all(is_same(one[k], two[k]) for k in one)
    if isinstance(one, list):
        key = str if one and not isinstance(one[0], dict) else by_name
        pairs = zip(sorted(one, key=key), sorted(two, key=key), strict=False)
        return len(one) == len(two) and all(is_same(a, b) for a, b in pairs)
    return bool(one == two)


def by_name(item: Any) -> str:
    return str(item.get("id") or item.get("rule") or item.get("finding"))


@some
@given(st.lists(several, min_size=1, max_size=3), st.randoms(use_true_random=False))
def test_a_log_seen_before_is_assessed_as_it_was(turns: list[list[dict[str, Any]]], chance) -> None:
    """Prefixes of a log in any order, each twice: what is remembered is what is worked out."""
    talked = talk()
    for turn in turns:
        talked.say(turn)
    log = talked.log.statements
    seen = Remembering(BENCH)
    looks = [tuple(CaseLog(log[:n]).standing()) for n in range(0, len(log) + 1, 3)] * 2
    chance.shuffle(looks)
    for standing in looks:
        found, fresh = seen.assess(standing), BENCH.assess(standing)
        for one in ("evidence", "ranking", "plan", "verdict", "root_plan", "must_not_run"):
            assert getattr(found, one) == getattr(fresh, one)

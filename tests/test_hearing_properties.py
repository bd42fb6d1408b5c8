"""What holds of every text heard with the shipped rule base: manner, quantities, noise, time."""

from __future__ import annotations

import statistics
import time
import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.cli.talk import new_conversation
from diagnose.dialogue.conversation import Conversation
from diagnose.language.understand import understand
from diagnose.language.understanding import Context
from diagnose.measuring.units import convert

TALK = new_conversation(None)
INDEX = TALK.index
SAID = [
    "tick at the front cover, cam end play 11 thou",
    "it knocks low down when warm and the oil pressure is low",
    "no knock, no rattle, but it whines at the front",
    "oil pressure 60 psi cold and 15 hot",
    "it doesn't knock unless it's hot",
    "the dowel is sheared and the cam bolt is loose",
    "customer says it rattles for the first seconds",
    "lifters, pushrods and rockers are fine",
    "last week it was quiet, now it knocks",
    "fitted a new fuel pump, made no difference",
    "timing marks line up dot to dot",
    "300 miles on it since the rebuild",
]
WAYS = [
    "cam end play is {0} thou",
    "cam end play: {0} thousandths",
    "cam end play about {0} thou",
    "cam end play is .0{0} in",
    'cam end play is 0.0{0}"',
    "cam end play is 0,0{0} inches",
    "{0} thou of cam end play",
    "cam end play {0}thou",
]
NOISES = ["knock", "tick", "rattle", "squeal", "whine"]
THREAD = (
    "Re: Re: Best pizza in town? Posted by admin, 14 replies. Quote: I like the one by the river, "
    "the service was slow on saturday though. Edited twice. Reply: agree, parking is a pain. "
) * 40
NOISE = {
    "100 kB of letters": "qwrtz " * 17_000,
    "100 kB of digits": "0123456789 " * 9_000,
    "right to left": "مرحبا كيف حالك اليوم שלום מה שלומך",
    "control characters": "\x00\x07\x1b[31mred\x1b[0m\x08\x9b2J",
    "SQL": "DROP TABLE users; SELECT * FROM orders WHERE id = 7 -- x",
    "HTML": "<script>alert('x')</script><div class=\"a\">text</div>",
    "JSON": '{"user": {"id": 17, "roles": ["admin", "guest"]}, "ok": true}',
    "shell": "rm -rf /tmp/x && curl http://example.invalid | sh; echo $HOME",
    "a pasted thread": THREAD,
}
some = settings(max_examples=60, deadline=None)


def taken(text: str) -> set[tuple[object, ...]]:
    found = understand(text, INDEX, Context()).taken
    return {(t.finding, t.state, t.value, t.unit, t.low, t.high, t.bound) for t in found}


def cased(text: str, upper: list[bool]) -> str:
    marks = zip(text, (upper * len(text))[: len(text)], strict=True)
    return "".join(c.upper() if up else c for c, up in marks)


@some
@given(st.sampled_from(SAID), st.lists(st.booleans(), min_size=1, max_size=9))
def test_the_case_of_letters_changes_nothing(text: str, upper: list[bool]) -> None:
    assert taken(cased(text, upper)) == taken(text)


@some
@given(st.sampled_from(SAID), st.integers(1, 5), st.sampled_from([" ", "\t", "\u00a0", "  "]))
def test_spacing_changes_nothing(text: str, count: int, space: str) -> None:
    assert taken(f"{space}{text.replace(' ', space * count)}{space}") == taken(text)


@some
@given(st.sampled_from(SAID), st.sampled_from([",", ".", "!"]), st.integers(2, 4))
def test_doubled_punctuation_changes_nothing(text: str, mark: str, count: int) -> None:
    assert taken(text.replace(",", "," * count) + mark * count) == taken(text)


@some
@given(st.sampled_from(SAID), st.sampled_from(["please ", "please, ", "Please: ", "hi, "]))
def test_a_please_in_front_changes_nothing(text: str, please: str) -> None:
    assert taken(please + text) == taken(text)


@some
@given(st.integers(10, 99), st.sampled_from(WAYS))
def test_each_way_of_writing_a_quantity_is_the_same_reading(thou: int, way: str) -> None:
    (found,) = understand(way.format(thou), INDEX, Context()).taken
    assert found.value is not None and found.unit is not None
    assert found.finding == "cam_end_play"
    assert convert(found.value, found.unit, "thou") == pytest.approx(thou)


@some
@given(st.sampled_from(NOISES), st.integers(0, 3))
def test_negating_twice_returns(noise: str, denials: int) -> None:
    text = f"it does {'not ' * denials}{noise}"
    (state,) = {t.state for t in understand(text, INDEX, Context()).taken}
    assert state == ("absent" if denials % 2 else "present")


@some
@given(st.text(max_size=300))
def test_any_text_survives_and_gives_no_control_character_back(text: str) -> None:
    reply = Conversation(TALK.bench, INDEX).say(text)
    assert not [c for c in reply.text if unicodedata.category(c) == "Cc" and c != "\n"]


@pytest.mark.parametrize("kind", NOISE)
def test_noise_makes_no_finding_and_is_not_echoed(kind: str) -> None:
    reply = Conversation(TALK.bench, INDEX).say(NOISE[kind])
    assert (reply.understood, reply.conclusion) == ([], None)
    assert not [c for c in reply.text if unicodedata.category(c) == "Cc" and c != "\n"]


def milliseconds(text: str, times: int = 9) -> float:
    """Median of the processor's own time, which a busy machine does not stretch."""
    spent = []
    for _ in range(times):
        start = time.process_time()
        understand(text, INDEX, Context())
        spent.append((time.process_time() - start) * 1000)
    return statistics.median(spent)


def test_a_short_sentence_and_a_long_message_are_heard_in_time() -> None:
    long = " ".join((". ".join(SAID * 4)).split()[:300])
    assert len(long.split()) == 300
    assert milliseconds(SAID[0]) <= 10
    assert milliseconds(long) <= 60

"""What is offered while somebody types."""

import time
from pathlib import Path
from statistics import median

import pytest
from rule_files import write_rules

from diagnose.cases.assess import load_workbench
from diagnose.cli.talk import new_conversation
from diagnose.dialogue.conversation import Conversation
from diagnose.language.index import load_index
from diagnose.screens import wording
from diagnose.screens.desk import Desk, names_of
from diagnose.screens.offers import MOST, Offers, nearest
from diagnose.screens.words import WORDS

SAYS = [word.say for word in WORDS]


@pytest.fixture
def talk(tmp_path: Path) -> Conversation:
    bench = load_workbench("plain", write_rules(tmp_path))
    return Conversation(bench, load_index(bench.knowledge))


def texts(talk: Conversation, typed: str, wanted: bool = False) -> list[str]:
    return [offer.text for offer in Offers(talk).near(typed, wanted)]


def test_the_answers_of_the_open_question_are_offered_first(talk: Conversation) -> None:
    talk.say({"ask": "lamp"})
    assert texts(talk, "", wanted=True)[:4] == ["lit", "dark", "don't know", "can't check that"]


def test_the_meanings_asked_back_about_are_offered_before_all(talk: Conversation) -> None:
    talk.say("box gap 3 mil")
    assert texts(talk, "", wanted=True)[:2] == ["3 thou (The gap)", "3 mm (The gap)"]


def test_without_a_question_the_words_of_the_screen_are_offered(talk: Conversation) -> None:
    assert texts(talk, "", wanted=True) == SAYS


def test_nothing_is_offered_on_an_empty_line_unasked(talk: Conversation) -> None:
    assert texts(talk, "  ") == []


@pytest.mark.parametrize(
    ("typed", "first"),
    [("da", "dark"), ("drak", "dark"), ("li", "lit"), ("DON", "don't know")]
    + [("dont kn", "don't know"), ("over", "start over"), ("udno", "undo"), ("bar", "bars")],
)
def test_slips_of_typing_still_find_the_offer(talk: Conversation, typed: str, first: str) -> None:
    talk.say({"ask": "lamp"})
    assert texts(talk, typed)[0] == first


@pytest.mark.parametrize("typed", ["the lamp went dark last week", "zzz", "0.11"])
def test_free_text_is_left_alone(talk: Conversation, typed: str) -> None:
    talk.say({"ask": "lamp"})
    assert texts(talk, typed) == []


def test_the_nearest_offer_stands_first() -> None:
    rows = [(text, "") for text in ("don't know", "no hum", "a hum")]
    assert [text for text, _ in nearest("no", rows)] == ["no hum", "don't know"]


@pytest.mark.parametrize(
    ("typed", "found"),
    [("hummi", "humming box"), ("box hum", "humming box"), ("humimng bo", "humming box")]
    + [("LAMP o", "lamp out")],
)
def test_a_wording_of_the_rule_base_is_offered_with_what_it_is_taken_for(
    talk: Conversation, typed: str, found: str
) -> None:
    offers = {offer.text: offer.explains for offer in Offers(talk).near(typed)}
    assert found in offers
    assert offers[found].startswith(("A hum: a hum", "The lamp: dark"))


@pytest.mark.parametrize("joint", [", ", ". ", " and ", " but ", "\n"])
def test_only_the_part_being_typed_is_replaced(talk: Conversation, joint: str) -> None:
    (offer,) = [o for o in Offers(talk).near(f"lamp out{joint}hummi") if o.text == "humming box"]
    assert offer.replaces == 5


@pytest.mark.parametrize(
    ("typed", "text", "replaces"),
    [("gap 3", " mm", 0), ("gap 3 ", "mm", 0), ("gap 3.5 t", "thou", 1), ("3mm", "mm", 2)],
)
def test_a_unit_is_offered_after_a_figure(
    talk: Conversation, typed: str, text: str, replaces: int
) -> None:
    talk.say({"ask": "gap"})
    offers = {o.text: o for o in Offers(talk).near(typed)}
    assert (offers[text].replaces, offers[text].explains) == (replaces, "a unit of length")


def test_no_unit_is_offered_after_a_bare_figure_that_nobody_asked_for(talk: Conversation) -> None:
    assert texts(talk, "3") == []


def test_calls_on_hold_are_offered_by_name(talk: Conversation) -> None:
    desk = Desk(talk)
    desk.take("caller Kim")
    desk.take("the lamp is out")
    desk.take("hold")
    offers = Offers(desk.talk)
    offers.names = names_of(desk)
    (offer,) = [o for o in offers.near("call 1") if o.text == "call 1"]
    assert offer.explains.startswith("Kim: Cause a")


@pytest.fixture(scope="module")
def whole() -> Offers:
    return Offers(new_conversation(None))


LINES = ["tick at the front cover, cam end pl", "no fuel and timing wan", "deep knokc low dwn"]


def test_every_key_over_all_phrases_is_answered_in_a_moment(whole: Offers) -> None:
    assert len(whole.phrases.texts) > 10_000
    spent = []
    for line in LINES:
        for end in range(1, len(line) + 1):
            begun = time.thread_time()
            whole.near(line[:end])
            spent.append(time.thread_time() - begun)
    assert median(spent) < 0.02  # of the 30 ms from key to screen


@pytest.mark.parametrize("typed", ["t", "ti", "knock", "front cover", "oil pre"])
def test_the_menu_stays_short_and_explains_each(whole: Offers, typed: str) -> None:
    offers = whole.near(typed)
    assert len(offers) <= MOST
    assert all(offer.explains for offer in offers)


def test_words_of_any_order_find_a_wording(whole: Offers) -> None:
    found = [o.text for o in whole.near("fro tic")]
    assert any("tick" in text and "front" in text for text in found)


def test_the_explanations_are_in_words() -> None:
    assert wording.MEANING and wording.ANSWER

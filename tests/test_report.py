"""The page about a case: what is on it, that people's words are only words, and its forms."""

import io
import json
import re
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest
from cases_toy import desk, field

from diagnose.cases.assess import load_workbench
from diagnose.cases.log import Statement
from diagnose.cases.store import Store, open_store
from diagnose.cli.main import main
from diagnose.dialogue.conversation import Conversation
from diagnose.dialogue.recording import RecordedConversation
from diagnose.language.index import load_index
from diagnose.reports import picture, wording
from diagnose.reports.content import Report, as_data, report_of
from diagnose.reports.course import Course, Line
from diagnose.reports.page import html, markdown, plain_markdown
from diagnose.reports.wording import parts

SHEET = "generic-small-pushrod-v8"
TALK = (
    "small V8, ticks at the front, cover is off now. read the cam end play, 21 thou",
    "no, the gear bolt was not torqued yet",
    "gear bolt torqued now, cam end play 12 thou",
    "light tick",
    "undo",
    "thrust plate is clean on the gear side, thrust plate thickness 248 thou, cam spacer length 260"
    " thou",
)
EVIL = '<script>alert(1)</script><img src=x onerror="a()">&amp; {{ 773*7 }} ](javascript:x) `x` # y'
Opener = Callable[[str], Store]


@pytest.fixture(scope="module")
def base() -> Conversation:
    bench = load_workbench(SHEET)
    return Conversation(bench, load_index(bench.knowledge))


@pytest.fixture
def told(base: Conversation, tmp_path: Path, opened: Opener) -> RecordedConversation:
    talk = desk(base, opened(f"sqlite:///{tmp_path}/cases.db"), who="Ann")
    for text in TALK:
        talk.say(text)
    talk.record.store.append(1, [field("caller", "Jo"), field("engine", "the old truck")])
    return talk


def of(talk: RecordedConversation) -> Report:
    store = talk.record.store
    return report_of(talk.bench, store.head(1), store.entries(1))


@pytest.fixture
def report(told: RecordedConversation) -> Report:
    return of(told)


def test_engine_and_parts(report: Report) -> None:
    assert report.facts[:3] == [("Caller", "Jo"), ("Engine", "the old truck"), ("Lies with", "Ann")]
    assert "How the cam is driven: by a chain" in report.parts_fitted


def test_what_was_said_by_whom_and_what_was_taken_back(report: Report) -> None:
    assert [row["words"] for row in report.said] == [[text] for text in TALK]
    assert {row["who"] for row in report.said} == {"Ann"}
    assert [row["turn"] for row in report.said if row["taken_back"]] == [4]
    assert report.said[2]["taken"][0] == "Camshaft end play: 12 thou (0.305 mm)"


def test_what_was_measured_with_its_verdict_and_source(report: Report) -> None:
    first = report.measured[0]
    assert first["says"] == "Camshaft end play 12 thou (0.305 mm): above the band of 1 to 7 thou."
    assert (first["band"], first["counts"]) == ("1 to 7 thou", True)
    assert "no band to judge it by" in report.measured[1]["says"]


def test_a_reading_not_used_says_why(base: Conversation, tmp_path: Path, opened: Opener) -> None:
    talk = desk(base, opened(f"sqlite:///{tmp_path}/cases.db"))
    for text in TALK[:2]:
        talk.say(text)
    (row,) = of(talk).measured
    assert (row["counts"], "kept but not used" in row["says"]) == (False, True)


def test_the_conclusion_with_its_correction_parts_and_rechecks(report: Report) -> None:
    end = report.conclusion or {}
    assert "Thrust plate too thin" in end["causes"][0]["title"]
    assert end["band"] == "almost certain (over 90 %)"
    assert "Plate to fit: 257 thou (6.528 mm) thick." in report.worked_out
    assert report.order[0] == "Thrust plate 257 thou (6.528 mm) thick"
    assert report.recheck[0] == "Camshaft end play (1 to 7 thou)"
    assert report.next is None


def test_a_part_worked_out_by_a_sum_is_among_the_parts_to_order() -> None:
    size = {"name": "part to fit", "value": 7.835, "unit": "in"}
    sold = {"name": "nearest sold", "value": 7.85, "unit": "in"}
    ways = [{"title": "Pushrod", "figures": [size, sold]}, {"title": "Nut", "missing": []}]
    assert list(parts([], {"ways": ways})) == ["Pushrod: 7.85 in (199.39 mm)"]


def test_what_is_not_proven_and_the_sources(report: Report) -> None:
    assert any(line.startswith("Thrust plate too thin") for line in report.unproven)
    assert any(line.startswith("Not covered for") for line in report.unproven)
    assert all(address for _, _, address in report.sources[:3])
    assert [key for key, *_ in report.sources][-2:] == ["common-practice", "memory"]


def test_the_course_has_a_step_for_each_turn_that_told_something(report: Report) -> None:
    course = report.course
    assert course["turns"] == [1, 2, 3, 4, 5, 6]
    assert course["causes"][0]["ps"][-1] > 0.9
    assert course["leads"][-1].startswith("From turn 6: Thrust plate too thin")


def test_a_confirmed_cause_stands_before_the_reckoned_one(told: RecordedConversation) -> None:
    told.record.store.append(1, [Statement("closed", "thrust_plate_worn", 6)])
    report = of(told)
    end = report.conclusion or {}
    assert (end["confirmed"], end["causes"][0]["id"]) == (True, "thrust_plate_worn")
    assert report.status.startswith("closed, confirmed: ")


def test_an_open_question_is_the_next_step(
    base: Conversation, tmp_path: Path, opened: Opener
) -> None:
    talk = desk(base, opened(f"sqlite:///{tmp_path}/cases.db"))
    asked = talk.say("light tick").next
    assert (of(talk).conclusion, of(talk).next) == (None, asked)


def test_a_case_with_nothing_told(base: Conversation, tmp_path: Path, opened: Opener) -> None:
    store = opened(f"sqlite:///{tmp_path}/cases.db")
    store.begin([field("caller", "Jo")])
    report = report_of(base.bench, store.head(1), store.entries(1))
    assert (report.said, report.course["picture"], report.conclusion) == ([], "", None)
    for made in (html(report), markdown(report)):
        assert wording.NOTHING_SAID in made
        assert wording.NO_CONCLUSION in made


def test_the_page_has_every_part_in_both_forms(report: Report) -> None:
    absent = {"next"}
    headings = [text for key, text in wording.HEADINGS.items() if key not in absent]
    for made in (html(report), markdown(report)):
        assert [text for text in headings if text not in made] == []


class Elements(HTMLParser):
    """The elements of a page and what they refer to."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.names: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.text = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.names.append(tag)
        self.attributes += attrs

    def handle_data(self, data: str) -> None:
        self.text += data


def test_the_page_stands_alone_without_a_script(report: Report) -> None:
    page = Elements(html(report))
    assert set(page.names) & {"script", "link", "img", "iframe", "object", "form"} == set()
    assert [n for n, _ in page.attributes if n.startswith("on")] == []
    links = [v or "" for n, v in page.attributes if n in ("href", "src")]
    assert [v for v in links if not v.startswith(("http://", "https://"))] == []
    assert page.names.count("input") == len(report.recheck)


def test_words_of_people_are_never_markup(told: RecordedConversation) -> None:
    told.say(f"light tick {EVIL}")
    store = told.record.store
    store.append(1, [field("caller", EVIL), Statement("note", "", 6, text=EVIL)], EVIL)
    report = of(told)
    page = Elements(html(report))
    assert set(page.names) & {"script", "img"} == set()
    assert page.text.count(EVIL) >= 4
    made = markdown(report)
    assert re.findall(r"(?<!\\)<(?!https?:)", made) == []
    assert re.findall(r"(?<!\\)[\[\]`]", made) == ["[", "]"] * made.count("- [ ] ")
    assert "5411" not in made


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("a*b_c`d", r"a\*b\_c\`d"),
        ("# head", r"\# head"),
        ("- item", r"\- item"),
        ("1. one", r"\1. one"),
        ("a\n\n# b", r"a \# b"),
        ("[x](y)", r"\[x\](y)"),
    ],
)
def test_markdown_of_a_text_means_only_itself(text: str, plain: str) -> None:
    assert plain_markdown(text) == plain


def test_the_json_is_the_same_report_without_pictures(report: Report) -> None:
    data = json.loads(json.dumps(as_data(report)))
    assert data["conclusion"]["causes"][0]["id"] == "thrust_plate_too_thin"
    assert "<svg" not in json.dumps(data)
    assert data["sources"][0].keys() == {"key", "title", "address"}


def test_the_course_ends_where_the_case_stands(told: RecordedConversation) -> None:
    course, log = of(told).course, told.log.standing()
    ranking = told.bench.ranked(log)
    assert [c["ps"][-1] for c in course["causes"]] == [
        round(ranking.p(c["id"]), 4) for c in course["causes"]
    ]


def test_the_templates_are_made_ready_once(report: Report, monkeypatch: pytest.MonkeyPatch) -> None:
    first = html(report)
    monkeypatch.setattr("jinja2.Environment._generate", lambda *_: pytest.fail("made again"))
    assert html(report) == first


COURSE = Course(
    (1, 2, 5),
    (Line("a", "Cause <a>", (0.2, 0.5, 0.9)), Line("b", "Cause b", (0.3, 0.1, 0.0))),
    ((1, "Cause b", 0.3), (2, "Cause <a>", 0.5)),
)


def test_the_picture_shows_the_figures_it_is_given() -> None:
    root = ElementTree.fromstring(picture.picture_of(COURSE))
    lines = [e.get("points", "") for e in root.iter() if e.tag.endswith("polyline")]
    points = [[tuple(map(float, p.split(","))) for p in line.split()] for line in lines]
    heights = [
        [round((picture.BOTTOM - y) / (picture.BOTTOM - picture.TOP), 2) for _, y in line]
        for line in points
    ]
    assert heights == [[0.2, 0.5, 0.9], [0.3, 0.1, 0.0]]
    across = [x for x, _ in points[0]]
    assert across[1] - across[0] == pytest.approx(across[2] - across[1], abs=0.11)


def test_the_picture_tells_a_screen_reader_and_needs_no_colour() -> None:
    drawn = picture.picture_of(COURSE)
    root = ElementTree.fromstring(drawn)
    said = [e.text for e in root if e.tag.rsplit("}")[-1] in ("title", "desc")]
    assert said == ["Causes over the turns", "Turn 1: Cause b 30 %. Turn 2: Cause <a> 50 %."]
    marks = [
        {e.tag for e in g if not e.tag.endswith(("polyline", "text"))}
        for g in root
        if g.tag.endswith("}g")
    ]
    assert marks[0] != marks[1]
    assert re.findall(r"#[0-9a-f]{3,6}|rgb", drawn) == []


def test_names_at_line_ends_never_cover_each_other() -> None:
    lines = tuple(Line(str(n), str(n), (0.5, 0.001 * n)) for n in range(5))
    root = ElementTree.fromstring(picture.picture_of(Course((1, 2), lines, ())))
    ends = sorted(
        float(e.get("y", "0"))
        for g in root
        if g.tag.endswith("}g")
        for e in g
        if e.tag.endswith("text")
    )
    assert min(b - a for a, b in zip(ends, ends[1:], strict=False)) >= 10
    assert max(ends) <= picture.BOTTOM + 4


def test_one_turn_is_a_picture_too() -> None:
    one = Course((3,), (Line("a", "A", (0.4,)),), ((3, "A", 0.4),))
    assert ElementTree.fromstring(picture.picture_of(one)) is not None


@pytest.fixture
def kept(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """The same case in the store of the command."""
    monkeypatch.setattr("sys.stdin", io.StringIO("\n".join(TALK)))
    main(["chat", "--engine", SHEET])
    capsys.readouterr()


def test_the_command_writes_each_form(
    kept: None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for form, start in (("html", "<!DOCTYPE html>"), ("markdown", "# Case 1"), ("json", "{")):
        target = tmp_path / form
        assert main(["report", "1", f"--{form}", "--out", str(target)]) == 0
        assert target.read_text("utf-8").startswith(start)
    assert main(["report", "1"]) == 0
    assert capsys.readouterr().out == (tmp_path / "markdown").read_text("utf-8")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["2"], "there is no case 2"),
        (["1", "--pdf"], "a PDF needs a file: add --out FILE.pdf"),
        (["1", "--html", "--out", "/dev/null/x"], "/dev/null/x can't be written: "),
    ],
)
def test_bad_input_of_the_command_is_one_line(
    kept: None, capsys: pytest.CaptureFixture[str], words: list[str], told: str
) -> None:
    code = main(["report", *words])
    out, err = capsys.readouterr()
    assert (code, out, err.count("\n")) == (1, "", 1)
    assert told in err


def test_without_a_browser_the_pdf_is_refused_with_a_way_out(
    kept: None, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DIAGNOSE_BROWSER", "no-such-browser")
    target = tmp_path / "case.pdf"
    assert main(["report", "1", "--pdf", "--out", str(target)]) == 1
    assert "no browser is here" in capsys.readouterr().err
    assert not target.exists()


def test_a_browser_that_fails_leaves_no_file(
    kept: None, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DIAGNOSE_BROWSER", "false")
    target = tmp_path / "case.pdf"
    assert main(["report", "1", "--pdf", "--out", str(target)]) == 1
    assert "made no PDF (it ended with 1)" in capsys.readouterr().err
    assert not target.exists()


def test_an_open_store_is_left_as_it_is_by_a_report(kept: None) -> None:
    before = open_store()
    entries = before.entries(1)
    main(["report", "1", "--json"])
    assert before.entries(1) == entries
    before.close()


def test_a_reading_is_drawn_on_its_band(report: Report) -> None:
    drawings = [row["drawing"] for row in report.measured]
    assert ElementTree.fromstring(drawings[0]).tag.endswith("svg")
    assert drawings[1:] == ["", ""]  # nothing to draw them on
    assert drawings[0] in html(report)

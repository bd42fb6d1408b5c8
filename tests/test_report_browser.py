"""The page in a real browser: nothing runs over on a phone or a desk, all letters stand out."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from browser import look
from cases_toy import desk, field
from test_report import EVIL, SHEET, TALK

from diagnose.cases.assess import load_workbench
from diagnose.cases.log import Statement
from diagnose.cases.store import Store
from diagnose.dialogue.conversation import Conversation
from diagnose.language.index import load_index
from diagnose.reports.content import Report, report_of
from diagnose.reports.page import html
from diagnose.reports.pdf import print_pdf

pytestmark = [pytest.mark.browser, pytest.mark.usefixtures("chromium")]
LONG = "x" * 400
SIZES = {"a4": (595, 842), "letter": (612, 792)}


@pytest.fixture
def report(tmp_path: Path, opened: Callable[[str], Store]) -> Report:
    """A case with all parts, words without a break and words that would be markup."""
    bench = load_workbench(SHEET)
    base = Conversation(bench, load_index(bench.knowledge))
    talk = desk(base, opened(f"sqlite:///{tmp_path}/cases.db"), who="Ann")
    for text in TALK:
        talk.say(text)
    store = talk.record.store
    store.append(1, [field("caller", LONG), Statement("note", "", 6, text=f"{EVIL} {LONG}")])
    return report_of(bench, store.head(1), store.entries(1))


@pytest.mark.parametrize("dark", [False, True])
def test_nothing_runs_over_and_all_letters_stand_out(
    report: Report, tmp_path: Path, dark: bool
) -> None:
    looks = look(html(report), (360, 1200), tmp_path, dark)
    assert set(looks) == {360, 1200}
    for width, found in looks.items():
        assert (width, found["wide"], found["scroll"] <= width) == (width, [], True)
        assert found["faint"] == []  # contrast of 4.5 to 1, as WCAG 2.2 asks (1.4.3)
        assert (found["scripts"], found["letters"] > 100) == (0, True)
        assert (sum(map(int, re.findall(r"\d+", found["paper"]))) < 200) is dark


def test_the_check_sees_what_runs_over_and_what_is_faint(tmp_path: Path) -> None:
    page = "<p style='color:#999'>faint</p><div style='width:500px'>wide</div>"
    found = look(page, [360], tmp_path)[360]
    assert found["scroll"] > 360
    assert [line.split()[0] for line in found["wide"]] == ["DIV"]
    assert [line.split()[0] for line in found["faint"]] == ["P"]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_it_prints_on_each_paper(report: Report, tmp_path: Path, paper: str) -> None:
    target = tmp_path / "case.pdf"
    print_pdf(html(report, paper), target)
    content = target.read_bytes()
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", content)
    sizes = {(round(float(w)), round(float(h))) for w, h in boxes}
    assert content.startswith(b"%PDF")
    assert sizes == {SIZES[paper]}

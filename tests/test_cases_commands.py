"""The commands of kept cases from outside: what they print, keep, and how they end."""

import io
import json
import subprocess
import sys
from pathlib import Path

import pytest

from diagnose.cases.entries import Head
from diagnose.cases.store import Wanted, open_store
from diagnose.cli import case_lines
from diagnose.cli.main import main
from diagnose.dialogue import wording
from diagnose.knowledge.load import rules_folder

Capture = pytest.CaptureFixture[str]
Patch = pytest.MonkeyPatch


def run(capsys: Capture, *words: str) -> tuple[int, str, str]:
    code = main(list(words))
    out, err = capsys.readouterr()
    return code, out, err


def chat(monkeypatch: Patch, text: str, *words: str) -> int:
    monkeypatch.setattr("sys.stdin", io.StringIO(text))
    return main(["chat", *words])


def kept() -> list[Head]:
    store = open_store()
    try:
        return store.listed(Wanted())
    finally:
        store.close()


@pytest.fixture
def case(monkeypatch: Patch, capsys: Capture) -> None:
    """Case 1: a tick at the front cover."""
    chat(monkeypatch, "tick at the front cover\n", "--caller", "Jo", "--job", "A-17")
    capsys.readouterr()


@pytest.fixture
def in_folder(tmp_path: Path, monkeypatch: Patch) -> Path:
    """The folder where files named without one are written."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_a_talk_is_kept_and_the_next_one_goes_on_with_it(
    case: None, monkeypatch: Patch, capsys: Capture
) -> None:
    code = chat(monkeypatch, "cam end play 11 thou\n")
    out = capsys.readouterr().out
    assert (code, out.startswith("Going on with case 1: tick at the front cover")) == (0, True)
    assert [(h.turns, h.caller, h.job) for h in kept()] == [(2, "Jo", "A-17")]


def test_new_begins_another_case(case: None, monkeypatch: Patch, capsys: Capture) -> None:
    chat(monkeypatch, "light tick\n", "--new")
    assert capsys.readouterr().out.startswith(wording.GREETING)
    assert [h.number for h in kept()] == [2, 1]


def test_no_record_keeps_nothing(monkeypatch: Patch, own_data: Path) -> None:
    assert chat(monkeypatch, "light tick\n", "--no-record") == 0
    assert not own_data.exists()


def test_json_lines_and_questions_keep_nothing_unasked(
    monkeypatch: Patch, own_data: Path, capsys: Capture
) -> None:
    chat(monkeypatch, "light tick\n", "--json")
    main(["ask", "light tick"])
    assert not own_data.exists()


def test_with_a_case_json_lines_and_questions_are_kept(
    case: None, monkeypatch: Patch, capsys: Capture
) -> None:
    chat(monkeypatch, '{"finding": "noise_knock", "state": "absent"}\n', "--json", "--case", "1")
    main(["ask", "cam end play 11 thou", "--case", "1"])
    assert [h.turns for h in kept()] == [3]


def test_another_engine_sheet_begins_another_case(
    case: None, monkeypatch: Patch, capsys: Capture
) -> None:
    chat(monkeypatch, "light tick\n", "--engine", "generic-small-pushrod-v8")
    assert [h.sheet for h in kept()] == ["generic-small-pushrod-v8", ""]


def test_another_caller_begins_another_case_and_the_same_goes_on(
    case: None, monkeypatch: Patch, capsys: Capture
) -> None:
    chat(monkeypatch, "light tick\n", "--caller", "Jo", "--registration", "AB 1")
    chat(monkeypatch, "light tick\n", "--caller", "Mo")
    assert [(h.number, h.caller, h.registration) for h in kept()] == [
        (2, "Mo", ""),
        (1, "Jo", "AB 1"),
    ]


def test_a_sheet_in_a_file_is_found_again_from_anywhere(
    monkeypatch: Patch, capsys: Capture, tmp_path: Path
) -> None:
    sheet = rules_folder() / "engines" / "generic-small-pushrod-v8.yaml"
    (tmp_path / "mine.yaml").write_text(sheet.read_text("utf-8"), "utf-8")
    monkeypatch.chdir(tmp_path)
    chat(monkeypatch, "light tick\n", "--engine", "mine.yaml")
    monkeypatch.chdir("/")
    assert chat(monkeypatch, "no knock\n", "--case", "1") == 0


def test_each_desk_has_its_own_open_case(case: None, monkeypatch: Patch, capsys: Capture) -> None:
    monkeypatch.setenv("DIAGNOSE_WHO", "Ann")
    chat(monkeypatch, "light tick\n")
    assert [(h.number, h.owner) for h in kept()] == [(2, "Ann"), (1, "")]


def test_a_case_that_is_not_there_is_one_line(monkeypatch: Patch, capsys: Capture) -> None:
    code = chat(monkeypatch, "light tick\n", "--case", "9")
    out, err = capsys.readouterr()
    assert (code, out, err.count("\n")) == (1, "", 1)
    assert err.startswith("there is no case 9; ")


def test_without_a_store_the_talk_says_how_to_go_on(monkeypatch: Patch, capsys: Capture) -> None:
    monkeypatch.setenv("DIAGNOSE_STORE", "sqlite:////dev/null/cases.db")
    code = chat(monkeypatch, "light tick\n")
    out, err = capsys.readouterr()
    assert (code, out, err.count("\n")) == (1, "", 1)
    assert err.endswith("to talk without keeping it: diagnose chat --no-record\n")


def test_a_turn_that_cant_be_kept_is_told_and_the_talk_goes_on(
    case: None, monkeypatch: Patch, capsys: Capture
) -> None:
    main(["cases", "close", "1"])
    store = open_store()
    monkeypatch.setattr("diagnose.cli.keeping.opened", lambda store, number: store.head(number))
    code = chat(monkeypatch, "light tick\nlist\n", "--case", "1")
    out, err = capsys.readouterr()
    assert (code, err.count("is closed; open it again")) == (1, 1)
    assert "Told so far" in out
    store.close()


def test_list_show_and_search(case: None, capsys: Capture) -> None:
    line = run(capsys, "cases", "list")[1]
    assert "     1  open " in line
    assert line.endswith("tick at the front cover  [caller Jo; job A-17]\n")
    assert run(capsys, "cases", "search", "front", "jo")[1] == line
    shown = run(capsys, "cases", "show", "1")[1]
    assert "  caller: Jo\n" in shown
    assert "Loudest at the front cover: loudest at the front" in shown


def test_a_search_that_finds_nothing_ends_with_one(case: None, capsys: Capture) -> None:
    assert run(capsys, "cases", "search", "zeppelin")[:2] == (1, "No such case is kept.\n")


def test_a_slip_of_typing_is_told(case: None, capsys: Capture) -> None:
    code, out, err = run(capsys, "cases", "search", "tikc")
    assert (code, err) == (0, "Nobody wrote 'tikc'; looked for tick.\n")
    assert "tick at the front cover" in out


def test_lists_as_json(case: None, capsys: Capture) -> None:
    (row,) = map(json.loads, run(capsys, "cases", "list", "--json")[1].splitlines())
    assert (row["number"], row["title"], row["caller"]) == (1, "tick at the front cover", "Jo")
    shown = json.loads(run(capsys, "cases", "show", "1", "--json")[1])
    assert shown["entries"][2]["text"] == "tick at the front cover"


def test_note_field_tag_and_hand_over(case: None, monkeypatch: Patch, capsys: Capture) -> None:
    monkeypatch.setenv("DIAGNOSE_WHO", "Ann")
    main(["cases", "note", "1", "ring", "back", "at", "five", "--registration", "AB 1"])
    main(["cases", "note", "1", "--tag", "boat", "--tag", "hot", "--caller", ""])
    main(["cases", "note", "1", "--untag", "hot"])
    main(["cases", "hand-over", "1", "Bob", "--note", "lunch"])
    (head,) = kept()
    assert (head.registration, head.tags, head.caller, head.owner) == ("AB 1", "boat", "", "Bob")
    shown = run(capsys, "cases", "show", "1")[1]
    assert "  Ann" in shown
    assert "note: ring back at five" in shown
    assert "handed over to Bob (lunch)" in shown


def test_hold_close_and_reopen(case: None, capsys: Capture) -> None:
    states = []
    for words in (["hold"], ["reopen"], ["close", "--cause", "thrust_plate_worn"], ["reopen"]):
        main(["cases", words[0], "1", *words[1:]])
        states += [(h.status, h.cause) for h in kept()]
    assert states == [("held", ""), ("open", ""), ("closed", "thrust_plate_worn"), ("open", "")]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["note", "1"], "nothing to note; give a text"),
        (["note", "1", "--tag", "two words"], "'two words' is no tag; a tag is one word"),
        (
            ["note", "1", "x" * 10_485_760],
            "a note holds at most 20000 letters, this one has 104857",
        ),
        (["hand-over", "1", "x" * 20_001], "a note holds at most 20000 letters"),
        (["close", "1", "--cause", "thrust_plate_warn"], "did you mean thrust_plate_worn"),
        (["list", "--since", "tuesday"], "'tuesday' is no day; write it as 2031-05-27"),
        (["show", "2"], "there is no case 2; 'diagnose cases list' shows"),
        (["merge-duplicates", "1"], "merge-duplicates takes no case number, or the two"),
        (["forget", "1"], "to remove a case without being asked give --yes"),
        (["export", "/dev/null/x"], "/dev/null/x: Not a directory; name another file"),
        (["export", "-", "5"], "there is no case 5"),
        (["import", "/nowhere.jsonl"], "/nowhere.jsonl: No such file or directory; name another"),
        (["restore", "/nowhere.db"], "/nowhere.db is not there; name a file made by"),
    ],
)
def test_bad_input_is_one_line_and_changes_nothing(
    case: None, capsys: Capture, words: list[str], told: str
) -> None:
    before = kept()
    code, out, err = run(capsys, "cases", *words)
    assert (code, out, err.count("\n")) == (1, "", 1)
    assert told in err
    assert kept() == before


def test_what_people_typed_never_steers_the_screen(monkeypatch: Patch, capsys: Capture) -> None:
    evil = "tick \x1b]0;owned\x07\x1b[2J\x9b31m\u202e\r at the front\x1b[1A"
    chat(monkeypatch, evil + "\n", "--caller", "Jo\x1b[31m\nforged line", "--job", "\x1b")
    main(["cases", "note", "1", "a\x1b[2Jb", "--tag", "t\x1b[1m"])
    for words in (["list"], ["show", "1"], ["search", "tick"], ["merge-duplicates"]):
        main(["cases", *words])
    main(["report", "1"])
    main(["report", "1", "--html"])
    chat(monkeypatch, "list\n")
    out = capsys.readouterr()
    text = out.out + out.err
    assert set(text) & {"\x1b", "\x07", "\x9b", "\u202e", "\r"} == set()
    assert "\nforged line" not in text


def test_export_and_import_by_files(
    case: None, capsys: Capture, tmp_path: Path, monkeypatch: Patch
) -> None:
    target = tmp_path / "all.jsonl"
    assert run(capsys, "cases", "export", str(target))[1] == f"1 case written to {target}.\n"
    monkeypatch.setenv("DIAGNOSE_DATA", str(tmp_path / "other"))
    code, out, _ = run(capsys, "cases", "import", str(target))
    assert (code, out) == (0, "1 new, 0 continued, 0 already here, 0 left as they are here.\n")
    assert run(capsys, "cases", "export", "-")[1] == target.read_text("utf-8")


def test_an_import_that_differs_ends_with_one(case: None, capsys: Capture, tmp_path: Path) -> None:
    target = tmp_path / "all.jsonl"
    main(["cases", "export", str(target)])
    target.write_text(target.read_text("utf-8").replace("front", "back"), "utf-8")
    capsys.readouterr()
    code, out, _ = run(capsys, "cases", "import", str(target))
    assert (code, out.splitlines()[1].split(";")[0]) == (
        (1, "Both sides went on by themselves in case 1")
    )


def test_duplicates_are_shown_and_joined_only_when_asked(
    case: None, monkeypatch: Patch, capsys: Capture
) -> None:
    chat(monkeypatch, "light tick\n", "--new", "--job", "a17")
    capsys.readouterr()
    shown = run(capsys, "cases", "merge-duplicates")[1]
    assert shown.startswith("Case 1 (tick at the front cover) and case 2 (light tick): same job.\n")
    assert len(kept()) == 2
    done = run(capsys, "cases", "merge-duplicates", "--yes")[1]
    assert done == "Case 2 goes on in case 1; all that was said is there.\n"
    assert [(h.number, h.turns) for h in kept()] == [(1, 3)]
    assert run(capsys, "cases", "merge-duplicates")[1] == "No case seems to be there twice.\n"


def test_forget_backup_restore_and_check(case: None, capsys: Capture, tmp_path: Path) -> None:
    copy = str(tmp_path / "copy.db")
    assert run(capsys, "cases", "backup", copy)[0] == 0
    assert run(capsys, "cases", "forget", "1", "--yes")[1].startswith("Case 1 is removed.")
    assert kept() == []
    assert run(capsys, "cases", "restore", copy)[0] == 0
    assert [h.number for h in kept()] == [1]
    assert run(capsys, "cases", "check")[:2] == (0, "The store is whole.\n")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("note 1 louder now", {"number": 1, "status": "open"}),
        ("hand-over 1 Kim", {"owner": "Kim"}),
        ("hold 1", {"status": "held"}),
        ("close 1 --minutes 90", {"status": "closed"}),
        ("desk", {"number": 1, "concluded": None, "sheet_is_here": True}),
        ("statistics", {"cases": 0, "causes": []}),
        ("export OUT", {"cases": 1}),
        ("check", {"problems": []}),
        ("backup OUT", {"file": "OUT"}),
        ("forget 1 --yes", {"removed": 1}),
    ],
)
def test_an_act_tells_a_program_what_came_of_it(
    words: str, told: dict[str, object], case: None, capsys: Capture, in_folder: Path
) -> None:
    code, out, err = run(capsys, "cases", *words.split(), "--json")
    assert (code, err) == (0, "")
    assert json.loads(out).items() >= told.items()


def test_an_export_and_a_copy_come_back_as_json(
    case: None, capsys: Capture, in_folder: Path
) -> None:
    run(capsys, "cases", "export", "OUT")
    run(capsys, "cases", "backup", "COPY")
    taken = json.loads(run(capsys, "cases", "import", "OUT", "--json")[1])
    assert taken == {"new": 0, "continued": 0, "known": 1, "differ": []}
    assert json.loads(run(capsys, "cases", "restore", "COPY", "--json")[1])["file"] == "COPY"


def test_duplicates_come_as_json(case: None, monkeypatch: Patch, capsys: Capture) -> None:
    chat(monkeypatch, "light tick\n", "--new", "--job", "a17")
    capsys.readouterr()
    shown = json.loads(run(capsys, "cases", "merge-duplicates", "--json")[1])
    done = json.loads(run(capsys, "cases", "merge-duplicates", "1", "2", "--json")[1])
    assert shown == {"first": 1, "second": 2, "same": ["job"]}
    assert done == {"case": 2, "goes_on_in": 1}


def test_a_program_is_asked_nothing_before_a_case_is_removed(case: None, capsys: Capture) -> None:
    code, out, err = run(capsys, "cases", "forget", "1", "--json")
    assert (code, out, err) == (1, "", f"{case_lines.NEEDS_YES}\n")


def test_ask_and_batch_never_load_the_store_or_the_pages(tmp_path: Path) -> None:
    source = tmp_path / "in.jsonl"
    source.write_text('{"id": "1", "turns": ["light tick"]}\n', "utf-8")
    out = str(tmp_path / "out.jsonl")
    code = (
        "import sys; from diagnose.cli.main import main;"
        f"main(['ask', 'light tick']); main(['batch', {str(source)!r}, '--out', {out!r}]);"
        "print([m for m in ('sqlalchemy', 'jinja2', 'sqlite3') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"

"""Conversation files: what is read, what an `=` line holds, and what is said when it does not."""

from pathlib import Path

import pytest
from rule_files import FILES, cause, write_rules

from diagnose.cases.assess import load_workbench
from diagnose.cli.main import main
from diagnose.dialogue.conversation import Conversation
from diagnose.dialogue.script import (
    ConversationFileError,
    Script,
    check_script,
    play,
    read_script,
    write_script,
)
from diagnose.language.index import load_index

HEAD = "# The promise\n# who: bench   ends at: none\n\n"
LAMP, HUM, GAP = "> the lamp is out\n", "> the box is humming\n", "> box gap 3 mm\n"
SOUND = "> silent box\n> the lamp glows\n> box gap 1.5 mm\n"
SUMS = "sums:\n  box_sum: {reading: gap, plate: gap, spacer: gap}\n"
TARGET = "low: 1.2, high: 1.8, unit: mm, target_low: 1.4, target_high: 1.6"
CHANGED = {
    "corrections.yaml": "corrections:\n  - {id: box_sum, reading: gap, ways: []}\n",
    "words.yaml": FILES["words.yaml"].replace("sums: {}\n", SUMS),
    "engines/plain.yaml": FILES["engines/plain.yaml"].replace(
        "low: 1.2, high: 1.8, unit: mm", TARGET
    ),
    "causes/box/b.yaml": cause(
        "b", "gap", "high", "behind_it: [{cause: a, because: Nobody saw it}]\nwork_out: box_sum\n"
    ),
    "causes/box/d.yaml": cause("d", "gap", "low"),
}


@pytest.fixture
def talk(tmp_path: Path) -> Conversation:
    bench = load_workbench("plain", write_rules(tmp_path, dict(CHANGED)))
    return Conversation(bench, load_index(bench.knowledge))


def script_of(tmp_path: Path, text: str, head: str = HEAD) -> Script:
    path = tmp_path / "talk.txt"
    path.write_text(head + text, encoding="utf-8")
    return read_script(path)


def failures(tmp_path: Path, talk: Conversation, text: str) -> list[str]:
    return play(script_of(tmp_path, text), talk)


def test_the_head_tells_title_sheet_and_end(tmp_path: Path) -> None:
    head = "# Lamp out\n# who: phone   ends at: a\n# engine: plain\n"
    script = script_of(tmp_path, LAMP, head)
    assert (script.title, script.engine, script.ends_at) == ("Lamp out", "plain", "a")


def test_no_sheet_and_no_end_are_none(tmp_path: Path) -> None:
    script = script_of(tmp_path, LAMP)
    assert (script.engine, script.ends_at) == (None, None)


def test_expectations_and_wording_belong_to_the_text_before_them(tmp_path: Path) -> None:
    first, second = script_of(tmp_path, LAMP + "= leads: a\n< one\n<\n\n" + HUM + "< two\n").turns
    assert (first.line, first.expects, first.wording) == (4, [(5, "leads: a")], ["one", ""])
    assert (second.line, second.expects, second.wording) == (9, [], ["two"])


def test_the_blank_after_a_mark_may_be_left_out(tmp_path: Path) -> None:
    (turn,) = script_of(tmp_path, ">the lamp is out\n=leads: a\n").turns
    assert (turn.text, turn.expects) == ("the lamp is out", [(5, "leads: a")])


HOLDS = {
    "understood": LAMP + "= understood: lamp",
    "understood in a state": LAMP + "= understood: lamp dark",
    "understood as a reading": GAP + "= understood: gap 3 mm, gap high",
    "understood in another unit": GAP + "= understood: gap 0.118 in",
    "not understood": LAMP + "= not understood: hum, gap",
    "asks": "> hello\n= asks: gap",
    "leads": LAMP + "= leads: a",
    "among": LAMP + "= among: a",
    "not leading": LAMP + "= not leading: b, c",
    "caution": LAMP + HUM + "= caution: hands_off",
    "no stop": LAMP + "= no stop",
    "invalid": LAMP + GAP + "= invalid: gap",
    "unclear": "> box gap 3 mil\n= unclear",
    "concludes": GAP + "> don't know\n> don't know\n= concludes: b",
    "behind": GAP + "> don't know\n> don't know\n= behind: a",
    "worked out": GAP + "> don't know\n> don't know\n= worked out: change -1.5 mm, target 1.5 mm",
    "nothing wrong": SOUND + "= nothing wrong",
    "nothing wrong but this": LAMP + "= nothing wrong: a",
}
FAILS = {
    "understood": (LAMP + "= understood: hum", "hum was not understood; understood: lamp dark"),
    "understood in a state": (LAMP + "= understood: lamp lit", "lamp lit was not understood"),
    "understood as a reading": (GAP + "= understood: gap 3.2 mm", "understood: gap 3.0 mm (high)"),
    "understood nothing": ("> hello\n= understood: hum", "understood: nothing"),
    "not understood": (LAMP + "= not understood: lamp", "lamp was taken"),
    "asks": (LAMP + "= asks: lamp", "lamp is not asked"),
    "leads": (LAMP + "= leads: b", "b does not lead; leading: a "),
    "among": ("> hello\n= among: d", "d is not there; leading: a "),
    "not leading": (LAMP + "= not leading: a", "a leads"),
    "caution": (LAMP + "= caution: hands_off", "warned of: nothing"),
    "no stop": (LAMP + HUM + "= no stop", "hands_off stops the engine"),
    "invalid": (GAP + "= invalid: gap", "refused: nothing"),
    "unclear": (LAMP + "= unclear", "nothing was asked back"),
    "concludes": (LAMP + "= concludes: b", "b is not concluded; concluded: "),
    "behind": (LAMP + "= behind: b", "b is not behind it"),
    "worked out": (
        GAP + "> don't know\n> don't know\n= worked out: change -1.6 mm",
        "change -1.6 mm was not worked out; worked out: measured 3 mm",
    ),
    "worked out of nothing": (LAMP + "= worked out: change -1.5 mm", "worked out: nothing"),
    "nothing wrong": (LAMP + "= nothing wrong", "a is accused"),
}


@pytest.mark.parametrize("kind", HOLDS)
def test_an_expectation_that_is_met_is_silent(
    kind: str, tmp_path: Path, talk: Conversation
) -> None:
    assert failures(tmp_path, talk, HOLDS[kind]) == []


@pytest.mark.parametrize("kind", FAILS)
def test_an_expectation_that_is_not_met_says_what_was_found(
    kind: str, tmp_path: Path, talk: Conversation
) -> None:
    text, found = FAILS[kind]
    (failure,) = failures(tmp_path, talk, text)
    assert found in failure


def test_every_expectation_has_a_case_that_holds_and_one_that_fails(tmp_path: Path) -> None:
    with pytest.raises(ConversationFileError) as caught:
        check_script(script_of(tmp_path, LAMP + "= hums: a"), load_workbench().knowledge)
    kinds = set(str(caught.value).split("use one of ")[1].split(", "))
    assert kinds <= HOLDS.keys()
    assert kinds <= FAILS.keys()


def test_a_failure_shows_the_place_and_the_dialogue_so_far(
    tmp_path: Path, talk: Conversation
) -> None:
    (failure,) = failures(tmp_path, talk, LAMP + HUM + "= leads: b\n" + GAP)
    assert failure.startswith(f"{tmp_path / 'talk.txt'}:6: = leads: b\n")
    assert "> the lamp is out" in failure
    assert "> box gap" not in failure


@pytest.mark.parametrize(
    ("text", "line", "part"),
    [
        ("", 1, "nothing is typed"),
        ("= leads: a\n" + LAMP, 4, "stand after a > line"),
        ("< hello\n" + LAMP, 4, "stand after a > line"),
        (LAMP + "and it hums\n", 5, "'and it hums' begins with no known mark"),
    ],
)
def test_a_line_that_can_not_be_read_is_named(
    text: str, line: int, part: str, tmp_path: Path
) -> None:
    with pytest.raises(ConversationFileError) as caught:
        script_of(tmp_path, text)
    assert str(caught.value).startswith(f"{tmp_path / 'talk.txt'}:{line}: ")
    assert part in str(caught.value)


def test_a_title_is_wanted(tmp_path: Path) -> None:
    with pytest.raises(ConversationFileError, match="title is missing"):
        script_of(tmp_path, LAMP, head="")


def test_a_file_that_is_not_text_is_named(tmp_path: Path) -> None:
    (tmp_path / "talk.txt").write_bytes(b"\xff\xfe> hi")
    with pytest.raises(ConversationFileError, match="can't be read"):
        read_script(tmp_path / "talk.txt")


@pytest.mark.parametrize(
    ("words", "part"),
    [
        ("hums: a", "unknown expectation 'hums'; use one of understood"),
        ("leads: z", "'z' is not among the causes"),
        ("not leading: z", "'z' is not among the causes"),
        ("not understood: lamb", "'lamb' is not among the findings"),
        ("caution: fire", "'fire' is not among the cautions"),
        ("understood: lamp broken", "not a state of lamp; it has lit, dark"),
        ("understood: gap 3 psi", "not a value of gap"),
        ("understood: gap three mm", "not a value of gap"),
        ("understood: gap 3 mm wide", "not a state of gap"),
        ("leads: a b", "put a comma between names"),
        ("leads", "'leads' needs a name"),
        ("no stop: a", "takes no name"),
        ("worked out: change", "a name, a value and a unit"),
        ("worked out: change nan mm", "a name, a value and a unit"),
        ("worked out: change 1 blip", "a name, a value and a unit"),
    ],
)
def test_an_expectation_that_could_never_fail_is_refused_before_playing(
    words: str, part: str, tmp_path: Path, talk: Conversation
) -> None:
    with pytest.raises(ConversationFileError) as caught:
        failures(tmp_path, talk, LAMP + HUM + f"= {words}")
    assert "talk.txt:6: " in str(caught.value)
    assert part in str(caught.value)
    assert talk.turn == 0


def test_an_end_that_is_no_cause_is_refused(tmp_path: Path, talk: Conversation) -> None:
    script = script_of(tmp_path, LAMP, "# Lamp\n# who: bench  ends at: z\n")
    with pytest.raises(ConversationFileError, match="'z', no cause"):
        play(script, talk)


def test_writing_refreshes_the_wording_and_keeps_all_else(
    tmp_path: Path, talk: Conversation
) -> None:
    before = HEAD + "# why it matters\n" + LAMP + "= leads: a\n< old words\n\n# last\n" + HUM
    script = script_of(tmp_path, before + "\n# the end\n", head="")
    play(script, talk)
    write_script(script)
    after = (tmp_path / "talk.txt").read_text(encoding="utf-8")
    kept = [line for line in after.splitlines() if line and not line.startswith("<")]
    wanted = [x for x in (before + "# the end").splitlines() if x and not x.startswith("<")]
    assert kept == wanted
    assert "old words" not in after


def test_writing_twice_changes_nothing(tmp_path: Path, talk: Conversation) -> None:
    path = tmp_path / "talk.txt"
    play(script := script_of(tmp_path, LAMP + HUM), talk)
    write_script(script)
    once = path.read_bytes()
    play(again := read_script(path), Conversation(talk.bench, talk.index))
    write_script(again)
    assert path.read_bytes() == once


REAL = "# A tick\n# who: bench   ends at: none\n\n> light tick at the front cover\n"


def replayed(tmp_path: Path, text: str, *words: str) -> int:
    path = tmp_path / "talk.txt"
    path.write_text(text, encoding="utf-8")
    return main(["replay", str(path), *words])


def test_replay_ends_with_nought_when_all_holds(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert replayed(tmp_path, REAL + "= understood: noise_tick present\n") == 0
    assert capsys.readouterr().out == "1 conversations, 0 with a failed expectation.\n"


def test_replay_ends_with_one_when_an_expectation_fails(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert replayed(tmp_path, REAL + "= not understood: noise_tick\n") == 1
    assert "talk.txt:5: = not understood: noise_tick" in capsys.readouterr().err


def test_replay_writes_only_when_told(tmp_path: Path) -> None:
    replayed(tmp_path, REAL)
    assert (tmp_path / "talk.txt").read_text(encoding="utf-8") == REAL
    replayed(tmp_path, REAL, "--write")
    assert "\n< What I took from that:\n" in (tmp_path / "talk.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("text", "part"),
    [
        (REAL + "= leads: nobody\n", "talk.txt:5: 'nobody' is not among the causes"),
        ("# A\n# engine: warp-drive\n> tick\n", "talk.txt: no engine sheet 'warp-drive'"),
    ],
)
def test_a_mistake_in_a_file_is_one_line_on_stderr(
    text: str, part: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert replayed(tmp_path, text) == 1
    err = capsys.readouterr().err
    assert part in err
    assert err.count("\n") == 1


def test_a_file_that_is_not_there_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["replay", str(tmp_path / "none.txt")]) == 1
    assert "none.txt: it can't be read" in capsys.readouterr().err


def test_nothing_is_written_when_one_of_the_files_can_not_be_read(tmp_path: Path) -> None:
    good, bad = tmp_path / "good.txt", tmp_path / "bad.txt"
    good.write_text(REAL, encoding="utf-8")
    bad.write_text("hello\n", encoding="utf-8")
    assert main(["replay", str(good), str(bad), "--write"]) == 1
    assert good.read_text(encoding="utf-8") == REAL

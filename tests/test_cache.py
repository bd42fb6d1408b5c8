"""The compiled copy is keyed by content and survives damage and company."""

import multiprocessing
import os
import pickle
from pathlib import Path

import pytest
from rule_files import FILES, write_rules

from diagnose.knowledge.cache import cache_folder, code_mark, compiled, digest_of
from diagnose.knowledge.load import load_knowledge
from diagnose.knowledge.problems import KnowledgeError


@pytest.fixture(autouse=True)
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DIAGNOSE_CACHE", str(tmp_path / "cache"))


def fail() -> None:
    raise AssertionError("built again")


def test_what_was_built_is_not_built_again() -> None:
    assert compiled("x", "1", lambda: [1, 2]) == [1, 2]
    assert compiled("x", "1", fail) == [1, 2]


@pytest.mark.parametrize("keep", [0, 7, 16, 30])
def test_a_half_written_copy_is_built_anew(keep: int) -> None:
    compiled("x", "1", lambda: list(range(100)))
    (path,) = Path(cache_folder()).glob("x-1.bin")
    path.write_bytes(path.read_bytes()[:keep])
    assert compiled("x", "1", lambda: "anew") == "anew"


def test_a_changed_byte_is_noticed() -> None:
    compiled("x", "1", lambda: list(range(100)))
    (path,) = Path(cache_folder()).glob("x-1.bin")
    content = bytearray(path.read_bytes())
    content[-5] ^= 1
    path.write_bytes(content)
    assert compiled("x", "1", lambda: "anew") == "anew"


def test_a_folder_that_can_not_be_written_does_no_harm(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("DIAGNOSE_CACHE", str(tmp_path / "file"))
    assert compiled("x", "1", lambda: 5) == 5


def test_another_content_is_another_key(tmp_path: Path) -> None:
    folder = write_rules(tmp_path)
    before = digest_of(folder)
    path = folder / "causes/box/a.yaml"
    path.write_text(path.read_text().replace("Cause a", "Cause A"))
    assert digest_of(folder) != before
    assert load_knowledge(folder).causes["a"].title == "Cause A"


def test_two_processes_at_once_read_the_same_rule_base(tmp_path: Path) -> None:
    folder = write_rules(tmp_path)
    with multiprocessing.get_context("spawn").Pool(2) as pool:
        titles = pool.map(title_of_a, [folder] * 4)
    assert titles == ["Cause a"] * 4


def test_a_rule_base_refused_in_another_process_is_told_here(tmp_path: Path) -> None:
    folder = write_rules(tmp_path, {"words.yaml": "settings: {}\n"})
    with pytest.raises(KnowledgeError) as here:
        load_knowledge(folder)
    assert pickle.loads(pickle.dumps(here.value)).problems == here.value.problems


def title_of_a(folder: Path) -> str:
    return load_knowledge(folder).causes["a"].title


def test_the_compiled_copy_equals_what_was_read(tmp_path: Path) -> None:
    folder = write_rules(tmp_path)
    assert load_knowledge(folder) == load_knowledge(folder)
    assert list(load_knowledge(folder).findings) == ["gap", "hum", "lamp"]
    assert len(FILES) == 11


def test_another_program_is_another_key(tmp_path: Path) -> None:
    (tmp_path / "a.py").write_text("x = 1\n")
    before = code_mark(tmp_path)
    (tmp_path / "a.py").write_text("x = 11\n")
    assert code_mark(tmp_path) != before


def test_only_program_files_count_for_the_program(tmp_path: Path) -> None:
    (tmp_path / "a.py").write_text("x = 1\n")
    before = code_mark(tmp_path)
    (tmp_path / "a.txt").write_text("a note")
    assert code_mark(tmp_path) == before


def test_old_copies_do_not_pile_up() -> None:
    for number in range(30):
        compiled("x", str(number), lambda: 1)
    assert len(list(Path(cache_folder()).glob("x-*.bin"))) <= 12


@pytest.mark.parametrize(
    ("named", "folder"),
    [
        ({"DIAGNOSE_CACHE": "/one"}, "/one"),
        ({"XDG_CACHE_HOME": "/two"}, "/two/diagnose"),
        ({"HOME": "/three"}, "/three/.cache/diagnose"),
    ],
)
def test_the_folder_is_the_users_own(
    named: dict[str, str], folder: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("DIAGNOSE_CACHE", "XDG_CACHE_HOME"):
        monkeypatch.delenv(name, raising=False)
    for name, value in named.items():
        monkeypatch.setenv(name, value)
    assert cache_folder() == folder


def names() -> set[str]:
    return {p.name for p in Path(cache_folder()).iterdir()}


def test_of_each_kind_those_used_last_are_kept() -> None:
    for number in range(12):
        compiled("x", str(number), lambda: 0)
        os.utime(Path(cache_folder()) / f"x-{number}.bin", (number, number))
    compiled("x", "0", fail)  # used again
    compiled("y", "0", lambda: 0)
    compiled("x", "12", lambda: 0)
    assert names() == {"y-0.bin", "x-0.bin", *(f"x-{n}.bin" for n in range(2, 13))}


def test_the_marks_of_many_folders_do_not_heap_up(tmp_path: Path) -> None:
    for number in range(20):
        digest_of(write_rules(tmp_path / str(number)))
    assert sum(name.startswith("seen-") for name in names()) == 12


def test_what_a_program_of_long_ago_left_is_removed_and_nothing_else() -> None:
    old = [f"gone3-{'0a' * 16}.bin", f"gone3-{'0a' * 16}.bin.77.part"]
    Path(cache_folder()).mkdir()
    for name in (*old, "theirs.bin", "notes-1.bin"):
        (Path(cache_folder()) / name).write_bytes(b"")
        os.utime(Path(cache_folder()) / name, (1, 1))
    compiled("x", "1", lambda: 0)
    assert names() == {"x-1.bin", "theirs.bin", "notes-1.bin"}

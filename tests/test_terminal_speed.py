"""How quick the screen is, in a pty: first prompt against the bare interpreter, key to screen."""

import os
import pty
import select
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from statistics import median

import pytest
from lengths import tries

ROOT = Path(__file__).parents[1]
PROMPT, LINE = b"Leads: ", "tick at the front cover, cam end play"
PAUSE = 0.1
# 17 times on a machine with three at work on each core; the rest is room for a busier one
MOST_TIMES_BARE = 60


class Typist:
    """The program in a pty, with a clock beside it."""

    def __init__(self, *command: str) -> None:
        self._here, there = pty.openpty()
        env = {**os.environ, "TERM": "xterm", "COLUMNS": "100", "LINES": "40"}
        env.pop("PYTHONDONTWRITEBYTECODE", None)  # warm is also: compiled once, as by an install
        self._process = subprocess.Popen(
            command, stdin=there, stdout=there, stderr=there, cwd=ROOT, env=env
        )
        os.close(there)

    def until(self, mark: bytes) -> float:
        """Seconds until this was written."""
        begun, seen = time.perf_counter(), b""
        while mark not in seen:
            ready, _, _ = select.select([self._here], [], [], 20)
            assert ready, seen
            seen += self._read()
        return time.perf_counter() - begun

    def key(self, letter: str) -> float:
        """Seconds from a key until the line and the menu under it stand there."""
        begun = time.perf_counter()
        os.write(self._here, letter.encode())
        assert select.select([self._here], [], [], 20)[0], "the key was never shown"
        return self.settled() - begun

    def settled(self) -> float:
        """When the last thing was written before a pause, as between two keys."""
        last = time.perf_counter()
        while select.select([self._here], [], [], PAUSE)[0]:
            self._read()
            last = time.perf_counter()
        return last

    def _read(self) -> bytes:
        got = os.read(self._here, 65536)
        if b"\x1b[6n" in got:  # it asks where the cursor is
            os.write(self._here, b"\x1b[1;1R")
        return got

    def close(self) -> None:
        """End it."""
        self._process.kill()
        self._process.wait()
        os.close(self._here)


@pytest.fixture
def chat() -> Iterator[Typist]:
    typist = Typist(sys.executable, "-m", "diagnose.cli", "chat")
    yield typist
    typist.close()


def seconds(*command: str) -> float:
    begun = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True)
    return time.perf_counter() - begun


def test_a_letter_stands_there_within_thirty_thousandths_of_a_second(chat: Typist) -> None:
    chat.until(PROMPT)
    chat.settled()
    spent = []
    for letter in LINE[: tries(len(LINE), 16)]:
        spent.append(chat.key(letter))
    print(f"key to screen: median {median(spent) * 1000:.1f} ms, most {max(spent) * 1000:.1f} ms")
    assert median(spent) <= 0.03


def test_the_first_prompt_comes_soon_against_the_bare_interpreter() -> None:
    bare = min(seconds(sys.executable, "-c", "pass") for _ in range(5))
    first = []
    for _ in range(3):
        typist = Typist(sys.executable, "-m", "diagnose.cli", "chat")
        first.append(typist.until(PROMPT))
        typist.close()
    print(f"first prompt: {min(first):.3f} s, {min(first) / bare:.1f} times bare ({bare:.3f} s)")
    assert min(first) <= max(0.4, MOST_TIMES_BARE * bare)

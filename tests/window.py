"""A real terminal window for tests, by tmux: keys go in, what stands on the screen comes out."""

import os
import re
import shlex
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parents[1]
_PATIENCE, _NOT_LISTENING = 30.0, 8.0
_CALM = 10  # looks of 50 ms each in which nothing changed
_COLOURS = re.compile(r"\x1b\[(?:[\d;]*;)?(?:3[0-7]|4[0-7]|9[0-7]|10[0-7]|38|48)[;\dm]")


class Window:
    """One window of a given size with a shell in it; the command is typed in from outside."""

    def __init__(self, columns: int = 80, rows: int = 24, **env: str) -> None:
        self._socket = f"diagnose-test-{os.getpid()}-{time.monotonic_ns()}"
        self._call("-f", "/dev/null", "new-session", "-d", "-x", str(columns), "-y", str(rows),
                   "env", "PS1=ready$ ", *(f"{k}={v}" for k, v in env.items()),
                   "bash", "--norc", "--noprofile", "-i")  # fmt: skip
        self._call("set-option", "-g", "history-limit", "5000")
        self.wait("ready$")

    def __enter__(self) -> "Window":
        return self

    def __exit__(self, *_: object) -> None:
        subprocess.run(["tmux", "-L", self._socket, "kill-server"], capture_output=True)

    def start(self, *words: str, greeting: str = "Hello.") -> None:
        """Run the program and wait for its prompt."""
        line = (
            f"clear; cd {ROOT}; {shlex.quote(sys.executable)} -m diagnose.cli {shlex.join(words)}"
        )
        self.type(line, "Enter")
        came = self._came(greeting, _NOT_LISTENING)
        if came is None and set(self.shown().split()) == {"ready$"}:
            self.type(line, "Enter")  # what is typed too early a shell throws away
        self.wait(greeting)
        self.wait("\n>")

    def type(self, text: str, *keys: str) -> None:
        """Type a text as it is, then keys by their names."""
        if text:
            self._call("send-keys", "-l", text)
        if keys:
            self._call("send-keys", *keys)

    def paste(self, text: str) -> None:
        """Paste in one piece, marked as a paste where the program asked for that."""
        self._call("load-buffer", "-", given=text)
        self._call("paste-buffer", "-p", "-r")

    def resize(self, columns: int, rows: int = 24) -> None:
        """Make the window another size."""
        self._call("resize-window", "-x", str(columns), "-y", str(rows))

    def shown(self, past: bool = True) -> str:
        """The text on the screen, with what has scrolled off it."""
        return self._call("capture-pane", "-p", "-J", *(("-S", "-") if past else ()))

    def raw(self, past: bool = True) -> str:
        """The same with its colours."""
        return self._call("capture-pane", "-p", "-e", *(("-S", "-") if past else ()))

    def settle(self) -> None:
        """Wait until what stands there no longer changes."""
        before, same = "", 0
        while same < _CALM:
            time.sleep(0.05)
            now = self.raw()
            before, same = now, same + 1 if now == before else 0

    def has_colour(self) -> bool:
        """Whether anything stands there in colour."""
        return bool(_COLOURS.search(self.raw()))

    def wait(self, text: str, past: bool = True) -> str:
        """Wait until a text stands there; what stands there then."""
        came = self._came(text, _PATIENCE, past)
        if came is None:
            raise AssertionError(f"{text!r} never came; there stands:\n{self.shown(past)}")
        return came

    def _came(self, text: str, patience: float, past: bool = True) -> str | None:
        until = time.monotonic() + patience
        while text not in (shown := self.shown(past)):
            if time.monotonic() > until:
                return None
            time.sleep(0.02)
        return shown

    def pid(self) -> int:
        """The process of the shell."""
        return int(self._call("display-message", "-p", "#{pane_pid}"))

    def _call(self, *words: str, given: str | None = None) -> str:
        done = subprocess.run(
            ["tmux", "-L", self._socket, *words], input=given, capture_output=True, text=True
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

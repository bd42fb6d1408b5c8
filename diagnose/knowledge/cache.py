"""A compiled copy of anything built from the rule base, keyed by the content it was built from.

The program that builds it is part of the key, so that no copy outlives a change of the code.
A copy is written beside its final name and moved there in one step, so a reader sees a whole file
or none; its checksum is verified, so a damaged one is built anew. Two processes may build at once:
both write the same bytes. The folder is the user's own cache folder.
"""

from __future__ import annotations

import gc
import os
import sys
import time
import zlib
from collections.abc import Callable
from contextlib import suppress
from typing import TypeVar, cast

import diagnose
from diagnose.knowledge.packed import NEWEST, PickleError, dumps, loads

try:  # the module behind hashlib, without the OpenSSL that hashlib loads beside it
    from _blake2 import blake2b
except ImportError:
    from hashlib import blake2b

# Places are plain text here: pathlib takes 3 ms to load, which every question would wait for.
Place = str | os.PathLike[str]

T = TypeVar("T")
_FORM = f"{diagnose.__version__}/{sys.version_info[0]}.{sys.version_info[1]}/2"
_MARK = 4  # bytes of the checksum before a copy
_KEPT = 12  # of each kind, those used last
_FORGOTTEN = 90 * 86400.0  # seconds after which a copy of an older program is not waited for
# what this process has read, by place; the one asked for last stands at the end
_in_hand: dict[str, tuple[tuple[int, int], object]] = {}


def digest_of(folder: Place) -> str:
    """A fingerprint of every rule file below `folder`, and of the program itself.

    The files are only read again when one of them seems touched: the last fingerprint is kept with
    the place, size and times of every file it was made from.
    """
    rules = os.fspath(folder)
    code = code_mark(os.path.dirname(diagnose.__file__))
    mark = _hash(repr((_FORM, code, _states(rules, ".yaml"))).encode())
    name = f"seen-{_hash(rules.encode())}"
    kept = kept_copy(name, mark)
    if isinstance(kept, str):
        return kept
    digest = _content_digest(rules, code)
    keep_copy(name, mark, digest)
    return digest


def _content_digest(folder: str, code: str) -> str:
    total = blake2b(f"{_FORM}:{code}".encode(), digest_size=16)
    for path, *_ in _states(folder, ".yaml"):
        with open(path, "rb") as file:
            content = file.read()
        total.update(f"{path[len(folder) :]}:{len(content)}:".encode())
        total.update(content)
    return total.hexdigest()


def cache_folder() -> str:
    """The folder for compiled copies; `DIAGNOSE_CACHE` names another."""
    named = os.environ.get("DIAGNOSE_CACHE")
    if named:
        return named
    if os.name == "nt":
        base = os.environ.get("LOCALAPPDATA", "~")
    else:
        base = os.environ.get("XDG_CACHE_HOME") or "~/.cache"
    return os.path.join(os.path.expanduser(base), "diagnose")


def compiled(name: str, digest: str, build: Callable[[], T]) -> T:
    """The copy of `name` for this `digest`, or `build()`, which is then kept."""
    kept = kept_copy(name, digest)
    if kept is not None:
        return cast(T, kept)
    built = build()
    keep_copy(name, digest, built)
    return built


def kept_copy(name: str, digest: str) -> object | None:
    """The copy of `name` for this `digest`, if a whole one is there.

    A process that asks again gets the object it got before: what is kept here is never changed.
    """
    path = os.path.join(cache_folder(), f"{name}-{digest}.bin")
    state, kept = _in_hand.pop(path, (None, None))
    if state is None or state != _state(path):
        kept = _read(path)
        state = _state(path)
    if kept is not None and state is not None:
        _in_hand[path] = (state, kept)
        for oldest in [*_in_hand][:-_KEPT]:
            del _in_hand[oldest]
    return kept


def keep_copy(name: str, digest: str, built: object) -> None:
    """Keep a copy, where one can be kept."""
    _write(os.path.join(cache_folder(), f"{name}-{digest}.bin"), built)


def code_mark(folder: Place) -> str:
    """A mark of the program files below `folder`: name, size and time of each."""
    root = os.fspath(folder)
    told = [(path[len(root) :], size, time) for path, size, time, _ in _states(root, ".py")]
    return _hash(repr(told).encode())


def _states(folder: str, ending: str) -> list[tuple[str, int, int, int]]:
    """Path, size, and times of change of every such file below a folder, in order of path."""
    found = []
    waiting = [folder]
    while waiting:
        with os.scandir(waiting.pop()) as entries:
            for entry in entries:
                if entry.is_dir():
                    waiting.append(entry.path)
                elif entry.name.endswith(ending):
                    state = entry.stat()
                    times = (state.st_mtime_ns, state.st_ctime_ns)
                    found.append((entry.path, state.st_size, *times))
    return sorted(found)


def _state(path: str) -> tuple[int, int] | None:
    """What tells one copy from another at its place (its time tells when it was used)."""
    try:
        now = os.stat(path)
    except OSError:
        return None
    return now.st_ino, now.st_size


def _hash(content: bytes) -> str:
    return blake2b(content, digest_size=16).hexdigest()


def _read(path: str) -> object | None:
    try:
        with open(path, "rb", buffering=0) as file:
            content = file.read()
        body = memoryview(content)[_MARK:]
        if zlib.crc32(body).to_bytes(_MARK) != content[:_MARK]:
            return None
        with suppress(OSError):  # a cache that is only read is as good
            os.utime(path)
        return _loaded(body)
    except (OSError, EOFError, PickleError, AttributeError, ImportError, TypeError):
        return None


def _loaded(body: memoryview) -> object:
    """Unpickle with the collector at rest, and tell it never to search these records again.

    There are tens of thousands of them, and they live as long as the process.
    """
    resting = gc.isenabled()
    gc.disable()
    try:
        return cast(object, loads(body))
    finally:
        gc.freeze()
        if resting:
            gc.enable()


def _write(path: str, built: object) -> None:
    body = dumps(built, NEWEST)
    part = f"{path}.{os.getpid()}.part"
    try:
        os.makedirs(os.path.dirname(path), mode=0o700, exist_ok=True)
        with open(part, "wb") as file:
            file.write(zlib.crc32(body).to_bytes(_MARK) + body)
        os.replace(part, path)
        _tidy(path)
    except OSError:
        return  # a machine that can't keep the copy builds it each time


def _tidy(path: str) -> None:
    """Keep of this kind the copies used last; of every other, those not long unused."""
    folder, name = os.path.split(path)
    kind, long_ago = name.split("-", 1)[0], time.time() - _FORGOTTEN
    with os.scandir(folder) as entries:
        used = {e.name: e.stat().st_mtime for e in entries if e.name.endswith((".bin", ".part"))}
    ours = [name for name in used if name.startswith(f"{kind}-") and name.endswith(".bin")]
    gone = sorted(ours, key=used.__getitem__)[:-_KEPT]
    gone += [name for name in used if used[name] < long_ago and _is_copy(name)]
    for name in gone:
        with suppress(FileNotFoundError):
            os.unlink(os.path.join(folder, name))


def _is_copy(name: str) -> bool:
    """Whether a file has a name as copies have: a folder may hold what is somebody else's."""
    digest = name.split(".", 1)[0].rsplit("-", 1)[-1]
    return len(digest) == 32 and set(digest) <= set("0123456789abcdef")

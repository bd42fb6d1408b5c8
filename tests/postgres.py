"""A PostgreSQL server of the tests' own, in a folder of their own, reached by no network."""

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_PLACES = sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)


def program(name: str) -> str | None:
    """Where a program of the server is."""
    found = shutil.which(name)
    return found or next((str(p / name) for p in _PLACES if (p / name).is_file()), None)


def is_here() -> bool:
    """Whether a server can be started."""
    return all(program(name) for name in ("initdb", "pg_ctl"))


@contextmanager
def server() -> Iterator[str]:
    """Start a server and stop it; the address of its first database."""
    folder = Path(tempfile.mkdtemp(prefix="pg-", dir="/tmp"))
    user = _user()
    shutil.chown(folder, user)
    data = folder / "data"
    options = (
        f"-k {folder} -c listen_addresses= -c fsync=off -c full_page_writes=off -c autovacuum=off "
    )
    options += "-c max_connections=50"
    words = ["--auth=trust", "--username=bench", "--encoding=UTF8", "--locale=C", "--no-sync"]
    try:
        _do(user, "initdb", "-D", str(data), *words)
        log = str(folder / "log")
        _do(user, "pg_ctl", "-D", str(data), "-o", options, "-l", log, "-w", "start")
        try:
            yield f"postgresql://bench@/postgres?host={folder}"
        finally:
            _do(user, "pg_ctl", "-D", str(data), "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _user() -> str:
    """Who the server runs as: it refuses to run as root."""
    return "postgres" if os.geteuid() == 0 else pwd.getpwuid(os.geteuid()).pw_name


def _do(user: str, name: str, *words: str) -> None:
    as_user = {"user": user} if os.geteuid() == 0 else {}
    out = subprocess.run(
        [str(program(name)), *words], stdout=subprocess.DEVNULL, cwd="/", check=False, **as_user
    )
    if out.returncode:
        raise RuntimeError(f"{name} ended with {out.returncode}")

"""A page as PDF, printed by a browser without a window, where there is one."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path

from diagnose.knowledge.problems import DiagnoseError
from diagnose.reports import wording

BROWSER = "DIAGNOSE_BROWSER"
_NAMES = ("chromium", "chromium-browser", "chrome", "google-chrome")
_PATIENCE = 90


class NoPdf(DiagnoseError):
    """The page could not be printed; says what to do instead."""


def browser() -> str | None:
    """The browser to print with, if there is one."""
    named = os.environ.get(BROWSER)
    if named:
        return shutil.which(named)
    return next(filter(None, map(shutil.which, _NAMES)), None)


def options() -> list[str]:
    """How a browser is run without a window; as root it has no sandbox to use."""
    root = hasattr(os, "geteuid") and os.geteuid() == 0
    words = ["--headless", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run"]
    return [*words, "--no-sandbox"] if root else words


def print_pdf(page: str, target: Path) -> None:
    """Print a page to a file; raises `NoPdf`, and then no file is left."""
    found = browser()
    if found is None:
        raise NoPdf(wording.NO_BROWSER)
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        source, made = Path(folder) / "report.html", Path(folder) / "report.pdf"
        source.write_text(page, encoding="utf-8")
        words = [found, *options(), f"--user-data-dir={folder}/profile"]
        words += ["--no-pdf-header-footer", f"--print-to-pdf={made}", source.as_uri()]
        why = _run(words)
        if not made.is_file():
            raise NoPdf(wording.browser_failed(found, why))
        try:
            shutil.copyfile(made, target)
        except OSError as fault:
            raise NoPdf(wording.cant_write(str(target), fault.strerror)) from fault


def _run(words: list[str]) -> str:
    try:
        done = subprocess.run(words, capture_output=True, timeout=_PATIENCE, check=False)
    except subprocess.TimeoutExpired:
        return f"it took more than {_PATIENCE} seconds"
    except OSError as fault:
        return str(fault.strerror)
    lines = done.stderr.decode("utf-8", "replace").strip().splitlines()
    return lines[-1][:200] if lines else f"it ended with {done.returncode}"

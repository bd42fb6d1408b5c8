"""The command `report`: one page about a kept case, to the screen or a file."""

from __future__ import annotations

import argparse
import gc
import json
import sys
from contextlib import suppress
from pathlib import Path

from diagnose.cases.assess import load_workbench
from diagnose.cases.faults import StoreError
from diagnose.reports import wording
from diagnose.reports.content import Report, as_data, report_of


def run(given: argparse.Namespace) -> int:
    """Write the report in the form asked for; Markdown if none is named."""
    if given.form == "pdf" and not given.out:
        raise StoreError(wording.NAME_A_FILE)
    resting = gc.isenabled()
    gc.disable()  # a command as short as this is over before a collection pays
    try:
        return _write(given)
    finally:
        if resting:
            gc.enable()


def _write(given: argparse.Namespace) -> int:
    from diagnose.cases.elsewhere import all_counts
    from diagnose.cases.statistics import learned
    from diagnose.cases.store import open_store

    store = open_store()
    head = store.head(given.number)
    bench = learned(load_workbench(head.sheet or None), all_counts(store))
    report = report_of(bench, head, store.entries(given.number))
    if given.form == "pdf":
        from diagnose.reports.page import html
        from diagnose.reports.pdf import print_pdf

        print_pdf(html(report, given.paper or "a4"), Path(given.out))
        return 0
    _put(_text(report, given.form, given.paper), given.out)
    return 0


def _text(report: Report, form: str | None, paper: str | None) -> str:
    if form == "json":
        return json.dumps(as_data(report), ensure_ascii=False, indent=1) + "\n"
    from diagnose.reports.page import html, markdown

    return html(report, paper) if form == "html" else markdown(report)


def _put(text: str, target: str | None) -> None:
    if target is None:
        sys.stdout.write(text)
        return
    part = Path(f"{target}.part")
    try:
        part.write_text(text, encoding="utf-8")
        part.replace(target)
    except OSError as fault:
        with suppress(OSError):
            part.unlink()
        raise StoreError(wording.cant_write(target, fault.strerror)) from fault

"""A report as a page: HTML in one file without a script, or Markdown; this module owns Jinja2.

Everything from people is text: escaped in HTML, and in Markdown every sign that could mean markup.
"""

from __future__ import annotations

import re
from datetime import datetime
from pathlib import Path
from typing import Any

from jinja2 import BytecodeCache, Environment, FileSystemLoader, StrictUndefined
from jinja2.bccache import Bucket
from markupsafe import Markup

from diagnose.dialogue.wording import number
from diagnose.knowledge.cache import keep_copy, kept_copy
from diagnose.reports import wording
from diagnose.reports.content import Report
from diagnose.reports.picture import mark_of

_COPY = "page"
PAPERS = {"a4": "A4", "letter": "Letter"}
_MARKUP = re.compile(r"([\\`*_{}\[\]<>#|~&!])")
_START = re.compile(r"^(\s*)([-+=]|\d+[.)])")


def html(report: Report, paper: str | None = None) -> str:
    """The whole page; with a paper, made for that size only."""
    size = PAPERS[paper] if paper else ""
    return _environment(escaped=True).get_template("page.html.jinja").render(_given(report, size))


def markdown(report: Report) -> str:
    """The page as Markdown."""
    text = _environment(escaped=False).get_template("page.md.jinja").render(_given(report, ""))
    return re.sub(r"\n{3,}", "\n\n", text).strip() + "\n"


def _given(report: Report, paper: str) -> dict[str, Any]:
    title = wording.heading(report.number, report.title)
    return {"r": report, "title": title, "says": wording, "h": wording.HEADINGS, "paper": paper}


def _environment(escaped: bool) -> Environment:
    made = Environment(
        loader=FileSystemLoader(Path(__file__).parent / "templates"),
        autoescape=escaped,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
        bytecode_cache=_KeptTemplates(),
    )
    made.filters.update(md=plain_markdown, day=day, drawn=Markup, number=number)
    made.globals["mark_of"] = lambda place: Markup(mark_of(place))
    return made


class _KeptTemplates(BytecodeCache):
    """The templates made ready, kept beside the other compiled copies."""

    def load_bytecode(self, bucket: Bucket) -> None:
        """Take the copy there is; without one it stays empty."""
        kept = kept_copy(_COPY, _name(bucket))
        if isinstance(kept, bytes):
            bucket.bytecode_from_string(kept)

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep a copy."""
        keep_copy(_COPY, _name(bucket), bucket.bytecode_to_string())


def _name(bucket: Bucket) -> str:
    return f"{bucket.key[:16]}{bucket.checksum[:16]}"


def plain_markdown(text: object) -> str:
    """A text that means nothing but itself in Markdown, in one line."""
    line = " ".join(str(text).split())
    return _START.sub(r"\1\\\2", _MARKUP.sub(r"\\\1", line))


def day(at: str) -> str:
    """A time as the clock of this place showed it."""
    try:
        return datetime.fromisoformat(at.replace("Z", "+00:00")).astimezone().strftime(_FORM)
    except ValueError:
        return at


_FORM = "%Y-%m-%d %H:%M"

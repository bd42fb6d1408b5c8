"""What the command `cases` takes on the command line; loads nothing else."""

from __future__ import annotations

import argparse

from diagnose.cli.options import as_json

_FIELDS = ("caller", "engine", "registration", "job")
_LIST_HELP = {
    "caller": "only cases of this caller",
    "tag": "only cases with this tag",
    "owner": "only cases that lie with this person",
    "since": "only cases written in since this day, YYYY-MM-DD",
    "until": "only cases begun before this day, YYYY-MM-DD",
}


def add_acts(cases: argparse.ArgumentParser) -> None:
    """Add every act of the command."""
    acts = cases.add_subparsers(dest="act", metavar="ACT", required=True)
    _to_read(acts)
    _to_write(acts)
    _to_look_after(acts)
    for act in acts.choices.values():
        as_json(act, "what comes of it as JSON, a value a line")


def _to_read(acts: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    list_ = acts.add_parser("list", help="the cases, those last written in first")
    list_.add_argument("--status", choices=("open", "held", "closed", "merged"))
    for name, text in _LIST_HELP.items():
        list_.add_argument(f"--{name}", default="", help=text)
    show = acts.add_parser("show", help="one case with all that was said")
    show.add_argument("number", type=int, metavar="CASE")
    desk = acts.add_parser("desk", help="the open calls: how old, what is asked, what to mind")
    desk.add_argument("--most", type=int, default=20, metavar="N", help="at most so many (20)")
    search = acts.add_parser("search", help="cases that hold all these words")
    search.add_argument("words", nargs="+", metavar="WORDS")
    for act in (list_, search):
        act.add_argument("--most", type=int, default=20, metavar="N", help="at most so many (20)")


def _to_write(acts: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    note = acts.add_parser("note", help="a remark, a field or a tag")
    note.add_argument("number", type=int, metavar="CASE")
    note.add_argument("text", nargs="*", metavar="TEXT")
    for name in _FIELDS:
        note.add_argument(f"--{name}", metavar="TEXT", help=f"the {name}; empty to take it out")
    note.add_argument("--tag", action="append", default=[], help="a tag to add")
    note.add_argument("--untag", action="append", default=[], help="a tag to take off")
    hand = acts.add_parser("hand-over", help="give the case to somebody")
    hand.add_argument("number", type=int, metavar="CASE")
    hand.add_argument("to", metavar="WHO")
    close = acts.add_parser("close", help="the case is done")
    close.add_argument("number", type=int, metavar="CASE")
    close.add_argument("--minutes", type=float, metavar="N", help="minutes it took in all")
    close.add_argument("--cause", default="", metavar="ID", help="the cause that was confirmed")
    for name, text in (("reopen", "a closed or held case is open again"), ("hold", "put by")):
        act = acts.add_parser(name, help=text)
        act.add_argument("number", type=int, metavar="CASE")
    for act in (hand, close):
        act.add_argument("--note", default="", metavar="TEXT", help="a remark with it")
    merge = acts.add_parser("merge-duplicates", help="find cases begun twice for one engine")
    merge.add_argument("pair", nargs="*", type=int, metavar="CASE", help="join these two")
    merge.add_argument("--days", type=float, default=14, help="begun within so many days (14)")
    merge.add_argument("--yes", action="store_true", help="join every pair found")


def _to_look_after(acts: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    export = acts.add_parser("export", help="write cases to a file (- for the screen)")
    export.add_argument("file", metavar="FILE")
    export.add_argument("numbers", nargs="*", type=int, metavar="CASE", help="default: all")
    help_ = "practice and the counts of other shops too"
    export.add_argument("--everything", action="store_true", help=help_)
    for name, text in (
        ("import", "take in the cases of an export (- to read the input)"),
        ("backup", "copy the whole store to a file"),
        ("restore", "put a copy in place of the store"),
    ):
        acts.add_parser(name, help=text).add_argument("file", metavar="FILE")
    counts = acts.add_parser("statistics", help="what the closed cases teach")
    counts.add_argument(
        "--with",
        dest="others",
        action="append",
        default=[],
        metavar="FILE",
        help="look at the cases of another shop too",
    )
    counts.add_argument("--take-in", metavar="FILE", help="count another shop's from now on")
    counts.add_argument("--shop", metavar="NAME", help="what that shop is called (the file's name)")
    counts.add_argument("--leave-out", metavar="NAME", help="count that shop's no more")
    counts.add_argument("--export", metavar="FILE", help="write the counts alone, of nobody")
    acts.add_parser("check", help="prove the store whole")
    forget = acts.add_parser("forget", help="remove a case for good")
    forget.add_argument("number", type=int, metavar="CASE")
    forget.add_argument("--yes", action="store_true", help="do not ask")

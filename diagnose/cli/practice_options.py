"""The command line of `practice`, apart from its work so that other commands start quickly."""

from __future__ import annotations

import argparse


def add_options(practice: argparse.ArgumentParser) -> None:
    """The command line of practice."""
    _common(practice, "", False)
    practice.add_argument("--level", type=int, metavar="N", help="1 (clear) to 5 (two, misleading)")
    practice.add_argument("--seed", type=int, metavar="N", help="this engine and no other")
    practice.add_argument("--lesson", metavar="ID", help="a lesson (list them: practice lessons)")
    practice.set_defaults(act=None)
    acts = practice.add_subparsers(dest="act", metavar="ACT")
    _common(acts.add_parser("lessons", help="list the lessons"))
    past = acts.add_parser("history", help="what you did, what is weak, a plot")
    _common(past)
    past.add_argument("--html", metavar="FILE", help="write it as a web page")
    gone = acts.add_parser("forget", help="remove a record of practice for good")
    _common(gone)
    gone.add_argument("--yes", action="store_true", help="really")
    play = acts.add_parser("play", help="a lesson file of your own, or a class file")
    _common(play)
    play.add_argument("file", metavar="FILE")
    set_ = acts.add_parser("set", help="make a class file, or show results as a table")
    _common(set_)
    set_.add_argument(
        "files", nargs="*", metavar="FILE", help="class files (none: all in the store)"
    )
    set_.add_argument("--export", metavar="FILE", help="make a class file")
    set_.add_argument("--count", type=int, default=10, metavar="N", help="drawn engines (10)")
    set_.add_argument("--level", type=int, metavar="N")
    set_.add_argument("--seed", type=int, metavar="N")
    set_.add_argument("--lessons", nargs="*", default=[], metavar="ID", help="lessons before them")


def _common(command: argparse.ArgumentParser, *defaults: object) -> None:
    """What every act takes; one that is not told leaves what stood before the act."""
    name, told = defaults or (argparse.SUPPRESS, argparse.SUPPRESS)
    command.add_argument(
        "--name", default=name, metavar="NAME", help="whose record (DIAGNOSE_WHO, else yours)"
    )
    help_ = "one JSON object a line"
    command.add_argument("--json", action="store_true", default=told, help=help_)
    help_ = "keep nothing of this exercise"
    command.add_argument("--no-record", action="store_true", default=told, help=help_)
    help_ = "start another; what was begun stays"
    command.add_argument("--new", action="store_true", default=told, help=help_)

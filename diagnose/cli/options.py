"""The options of each command; nothing heavy is imported, so that help comes at once."""

from __future__ import annotations

import argparse

MANNERS = ("bench", "phone", "student")
SHELLS = ("bash", "zsh", "fish")


def chat(parser: argparse.ArgumentParser) -> None:
    """The talk of one engine."""
    parser.add_argument("--for", dest="manner", choices=MANNERS, help="who sits at the screen")
    parser.add_argument("--phone", action="store_true", help="the same as --for phone")
    parser.add_argument(
        "--guess-first", action="store_true", help="ask for your guess before mine is shown"
    )
    parser.add_argument(
        "--plain", action="store_true", help="plain lines one after the other (screen reader)"
    )
    parser.add_argument("--new", action="store_true", help="begin a new case, keep the open one")
    parser.add_argument("--no-record", action="store_true", help="keep nothing of this talk")
    for field in ("caller", "registration", "job"):
        parser.add_argument(f"--{field}", metavar="TEXT", help=f"note the {field} with the case")
    _engine(parser)
    as_json(parser, "one JSON reply a line; lines in are texts or JSON statements")


def ask(parser: argparse.ArgumentParser) -> None:
    """Turns given on the command line."""
    parser.add_argument(
        "texts", nargs="+", metavar="TEXT", help="each TEXT is one turn of one case"
    )
    parser.add_argument("--bars", action="store_true", help="add bars of the causes and readings")
    _engine(parser)
    as_json(parser, "one JSON reply a line")


def demo(parser: argparse.ArgumentParser) -> None:
    """The invented case."""
    parser.add_argument("--fast", action="store_true", help="without pauses")
    as_json(parser, "one JSON reply a line, without pauses")


def work_out(parser: argparse.ArgumentParser) -> None:
    """A sum with its values."""
    parser.add_argument("what", nargs="?", metavar="WHAT", help="without it: list the sums")
    parser.add_argument(
        "values", nargs="*", metavar="NAME=VALUE", help='as reading="4 5 thou", or reading=@FILE'
    )
    as_json(parser, "the result as JSON")
    parser.add_argument("--draw", metavar="FILE.svg", help="draw the result into a file")


def batch(parser: argparse.ArgumentParser) -> None:
    """A file of cases."""
    parser.add_argument("source", metavar="IN.jsonl")
    parser.add_argument("--out", required=True, metavar="OUT.jsonl")
    parser.add_argument("--jobs", type=int, default=1, metavar="N", help="processes (default 1)")
    as_json(parser, "say at the end how many were played, as JSON")


def knowledge(parser: argparse.ArgumentParser) -> None:
    """The acts on the rule base."""
    acts = parser.add_subparsers(dest="act", metavar="ACT", required=True)
    check = acts.add_parser("check", help="report every problem of the rule files")
    check.add_argument("folder", nargs="?", help="another rules folder")
    check.add_argument("--sources", action="store_true", help="show where the signs come from")
    check.add_argument("--systems", action="store_true", help="show how the systems compare")
    check.add_argument("--phrases", action="store_true", help="also try whether phrases are heard")
    show = acts.add_parser("show", help="one cause, finding, check, sheet or source")
    show.add_argument("id", metavar="ID")
    search = acts.add_parser("search", help="find entries by words")
    search.add_argument("words", nargs="+", metavar="WORDS")
    for act in (check, show, search):
        as_json(act, "the same as JSON")


def replay(parser: argparse.ArgumentParser) -> None:
    """Conversation files."""
    parser.add_argument("files", nargs="*", metavar="FILE", help="default: all conversations")
    parser.add_argument("--write", action="store_true", help="refresh the wording lines")
    as_json(parser, "how many were played, and what failed, as JSON")


def completion(parser: argparse.ArgumentParser) -> None:
    """The shell to fit; `--words` is what the shell itself calls."""
    parser.add_argument("shell", choices=SHELLS, metavar="SHELL", help=", ".join(SHELLS))
    as_json(parser, "the same as JSON")
    parser.add_argument("--words", nargs=argparse.REMAINDER, help="what fits after these words")


def as_json(parser: argparse.ArgumentParser, what: str) -> None:
    """The option every command has."""
    parser.add_argument("--json", action="store_true", help=what)


def report(parser: argparse.ArgumentParser) -> None:
    """One kept case, and the form of its page."""
    parser.add_argument("number", type=int, metavar="CASE")
    form = parser.add_mutually_exclusive_group()
    for name in ("html", "markdown", "json", "pdf"):
        form.add_argument(f"--{name}", dest="form", action="store_const", const=name)
    parser.add_argument("--paper", choices=("a4", "letter"), help="for this size of paper only")
    parser.add_argument("--out", metavar="FILE", help="write it there, not to the screen")


def _engine(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--case", type=int, metavar="CASE", help="go on with this kept case")
    parser.add_argument("--engine", metavar="SHEET", help="the engine sheet to judge by")

"""The command `diagnose`: reads the command line, calls one command, gives its exit code.

0 done; 1 the person's input could not be used (one line on stderr says why); 2 wrong usage.
"""

from __future__ import annotations

import argparse
import os
import sys

from diagnose import __version__
from diagnose.cli import practice_options
from diagnose.knowledge.problems import DiagnoseError


def main(arguments: list[str] | None = None) -> int:
    """Run one command; a bug shows its trace."""
    words = sys.argv[1:] if arguments is None else arguments
    parser = _parser(words[:1] == ["cases"])
    given = parser.parse_args(arguments)
    try:
        return int(_run(given))
    except DiagnoseError as fault:
        print(fault, file=sys.stderr)
        return 1
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return 130


def _run(given: argparse.Namespace) -> int:
    if given.command == "knowledge":
        from diagnose.cli import knowledge

        return knowledge.run(given)
    if given.command == "batch":
        from diagnose.cli import batch

        return batch.run(given)
    if given.command == "replay":
        from diagnose.cli import replay

        return replay.run(given)
    if given.command in ("cases", "report"):
        return _records(given)
    if given.command == "work-out":
        from diagnose.cli import work_out

        return work_out.run(given)
    if given.command == "practice":
        from diagnose.cli import practice

        return practice.run(given)
    from diagnose.cli import talk

    return talk.ask(given) if given.command == "ask" else talk.chat(given)


def _records(given: argparse.Namespace) -> int:
    if given.command == "cases":
        from diagnose.cli import cases

        return cases.run(given)
    from diagnose.cli import report

    return report.run(given)


def _parser(with_cases: bool = False) -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="diagnose",
        description="Tell it what a freshly built pushrod engine does; it asks the next check.",
    )
    parser.add_argument("--version", action="version", version=f"diagnose {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")
    _talk_commands(commands)
    _batch_command(commands)
    _knowledge_command(commands)
    practice_options.add_command(commands)
    work_out = commands.add_parser("work-out", help="a sum of the measuring bench by itself")
    work_out.add_argument("what", nargs="?", metavar="WHAT", help="without it: list the sums")
    work_out.add_argument(
        "values", nargs="*", metavar="NAME=VALUE", help='as reading="4 5 thou", or reading=@FILE'
    )
    work_out.add_argument("--json", action="store_true", help="the result as JSON")
    work_out.add_argument("--draw", metavar="FILE.svg", help="draw the result into a file")
    replay = commands.add_parser("replay", help="play conversation files and hold them to their =")
    replay.add_argument("files", nargs="*", metavar="FILE", help="default: all conversations")
    replay.add_argument("--write", action="store_true", help="refresh the wording lines")
    _record_commands(commands, with_cases)
    parser.set_defaults(command="chat", engine=None, json=False, phone=False)
    parser.set_defaults(case=None, new=False, no_record=False, keeps=False)
    return parser


def _talk_commands(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    chat = commands.add_parser("chat", help="talk about one engine (the default)")
    chat.add_argument("--phone", action="store_true", help="short questions to read to a caller")
    ask = commands.add_parser("ask", help="one or more turns, then the answer")
    ask.add_argument("texts", nargs="+", metavar="TEXT", help="each TEXT is one turn of one case")
    chat.add_argument("--new", action="store_true", help="begin a new case, keep the open one")
    chat.add_argument("--no-record", action="store_true", help="keep nothing of this talk")
    for field in ("caller", "registration", "job"):
        chat.add_argument(f"--{field}", metavar="TEXT", help=f"note the {field} with the case")
    for command in (chat, ask):
        command.add_argument("--case", type=int, metavar="N", help="go on with this kept case")
        command.add_argument("--engine", metavar="SHEET", help="the engine sheet to judge by")
        command.add_argument("--json", action="store_true", help="one JSON reply a line")


def _record_commands(
    commands: argparse._SubParsersAction[argparse.ArgumentParser], with_cases: bool
) -> None:
    cases = commands.add_parser("cases", help="kept cases: list, show, search, note, close ...")
    if with_cases:  # its many acts are made only when one is wanted
        from diagnose.cli.case_options import add_acts

        add_acts(cases)
    report = commands.add_parser("report", help="one page about a kept case")
    report.add_argument("number", type=int, metavar="CASE")
    form = report.add_mutually_exclusive_group()
    for name in ("html", "markdown", "json", "pdf"):
        form.add_argument(f"--{name}", dest="form", action="store_const", const=name)
    report.add_argument("--paper", choices=("a4", "letter"), help="for this size of paper only")
    report.add_argument("--out", metavar="FILE", help="write it there, not to the screen")


def _batch_command(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    batch = commands.add_parser("batch", help="many cases from a file, one JSON line each")
    batch.add_argument("source", metavar="IN.jsonl")
    batch.add_argument("--out", required=True, metavar="OUT.jsonl")
    batch.add_argument("--jobs", type=int, default=1, metavar="N", help="processes (default 1)")


def _knowledge_command(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    knowledge = commands.add_parser("knowledge", help="check, show or search the rule base")
    acts = knowledge.add_subparsers(dest="act", metavar="ACT", required=True)
    check = acts.add_parser("check", help="report every problem of the rule files")
    check.add_argument("folder", nargs="?", help="another rules folder")
    check.add_argument("--sources", action="store_true", help="show where the signs come from")
    check.add_argument("--systems", action="store_true", help="show how the systems compare")
    check.add_argument("--phrases", action="store_true", help="also try whether phrases are heard")
    show = acts.add_parser("show", help="one cause, finding, check, sheet or source")
    show.add_argument("id", metavar="ID")
    search = acts.add_parser("search", help="find entries by words")
    search.add_argument("words", nargs="+", metavar="WORDS")


if __name__ == "__main__":
    raise SystemExit(main())

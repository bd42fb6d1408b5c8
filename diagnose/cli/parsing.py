"""The command line taken apart; only the options of the command that is wanted are loaded."""

from __future__ import annotations

import argparse
from typing import NoReturn

from diagnose import __version__
from diagnose.cli.output import columns
from diagnose.cli.question import LEFT_OUT
from diagnose.cli.registry import COMMANDS, NAMES, Command, target

_ABOUT = "Tell it what a freshly built pushrod engine does; it asks the next check."
_CODES = "Exit codes: 0 done, 1 your input could not be used, 2 wrong usage."
_OF_ALL = ("-h", "--help", "--version")


class _Help(argparse.RawDescriptionHelpFormatter):
    """Help as wide as the terminal; the width is looked up without a module only help needs."""

    def __init__(self, prog: str) -> None:
        super().__init__(prog, width=columns() - 2)


class Parser(argparse.ArgumentParser):
    """A parser that says what is wrong in one line, and where to read on."""

    def error(self, message: str) -> NoReturn:
        """End with 2."""
        self.exit(2, f"{self.prog}: {' '.join(message.split())}; see: {self.prog} --help\n")


def parse(words: list[str]) -> argparse.Namespace:
    """What was asked for; without a command it is a chat."""
    if not words or (words[0].startswith("-") and words[0] not in _OF_ALL):
        words = ["chat", *words]
    parser = make_parser(words[0])
    if words[0] not in NAMES and words[0] not in _OF_ALL:
        parser.error(_unknown(words[0]))
    return parser.parse_args(words)


def make_parser(wanted: str) -> Parser:
    """The parser with the wanted command alone; without one every command has its name in it."""
    parser = Parser(
        prog="diagnose",
        description=_ABOUT,
        epilog=_epilog(("diagnose", 'diagnose ask "tick at the front cover"', "diagnose demo")),
        formatter_class=_Help,
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"diagnose {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")
    if wanted in NAMES:  # a parser that is not used takes a third of a millisecond
        add_command(commands, NAMES[wanted])
    for command in () if wanted in NAMES else COMMANDS:
        commands.add_parser(command.name, help=command.does, add_help=False)
    parser.set_defaults(**LEFT_OUT)
    return parser


def add_command(
    commands: argparse._SubParsersAction[Parser], command: Command
) -> argparse.ArgumentParser:
    """One command with its options and examples."""
    parser = commands.add_parser(
        command.name,
        help=command.does,
        description=f"{command.does[0].upper()}{command.does[1:]}.",
        epilog=_epilog(command.examples),
        formatter_class=_Help,
        allow_abbrev=False,
    )
    target(command.options)(parser)
    return parser


def _epilog(examples: tuple[str, ...]) -> str:
    return "\n".join(["examples:", *(f"  {line}" for line in examples), "", _CODES])


def _unknown(word: str) -> str:
    """What a word that is no command was probably meant for."""
    if " " in word.strip():
        return f'that is no command; to ask it, write: diagnose ask "{word.strip()[:60]}"'
    import difflib  # only for a mistake

    close = difflib.get_close_matches(word, NAMES, n=1)
    hint = f"did you mean '{close[0]}'?" if close else f"there are: {', '.join(NAMES)}"
    return f"no command is called '{word[:60]}'; {hint}"

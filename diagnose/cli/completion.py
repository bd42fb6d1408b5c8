"""The command `completion`: what a shell offers at its TAB key, made from the registry."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable

from diagnose.cli.output import json_line
from diagnose.cli.parsing import make_parser
from diagnose.cli.registry import NAMES

# Each script hands the words of the line to `diagnose completion SHELL --words ...`.
_SCRIPTS = {
    "bash": """\
_diagnose_offers() {
    local IFS=$'\\n'
    COMPREPLY=($(diagnose completion bash --words "${COMP_WORDS[@]:1:COMP_CWORD}" 2>/dev/null))
}
complete -o default -F _diagnose_offers diagnose""",
    "zsh": """\
_diagnose_offers() {
    local -a offers
    offers=("${(@f)$(diagnose completion zsh --words "${(@)words[2,CURRENT]}" 2>/dev/null)}")
    if [[ -n "${offers[1]}" ]]; then compadd -a offers; else _files; fi
}
compdef _diagnose_offers diagnose""",
    "fish": """\
complete -c diagnose -a \
'(diagnose completion fish --words (commandline -opc)[2..-1] (commandline -ct) 2>/dev/null)'""",
}


def run(given: argparse.Namespace) -> int:
    """Print the script of a shell, or what fits after the words it hands over."""
    if given.words is None:
        script = _SCRIPTS[given.shell]
        if given.json:
            json_line({"shell": given.shell, "script": script})
        else:
            print(script)
        return 0
    offers = fitting(given.words)
    if given.json:
        json_line(offers)
    elif offers:
        print("\n".join(offers))
    return 0


def fitting(words: list[str]) -> list[str]:
    """What may stand in place of the last word, given those before it."""
    *before, begun = words or [""]
    if not before:
        return _beginning(begun, [*NAMES, "--help", "--version"])
    if before[0] not in NAMES:
        return []
    parser, last = _reached(before)
    if last is not None and last.option_strings and last.nargs != 0:
        return _beginning(begun, _values(last))
    return _beginning(begun, _words_of(parser, begun))


def _reached(before: list[str]) -> tuple[argparse.ArgumentParser, argparse.Action | None]:
    """The parser of the command or act that the words lead to, and the option named last."""
    parser: argparse.ArgumentParser = make_parser(before[0])
    for word in before:
        parser = next((acts[word] for acts in _acts(parser) if word in acts), parser)
    options = parser._option_string_actions
    return parser, options.get(before[-1])


def _acts(parser: argparse.ArgumentParser) -> Iterable[dict[str, argparse.ArgumentParser]]:
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            yield action.choices


def _words_of(parser: argparse.ArgumentParser, begun: str) -> list[str]:
    """Options once a dash is typed, else acts and values."""
    if begun.startswith("-"):
        return [name for name in parser._option_string_actions if name.startswith("--")]
    named = [name for acts in _acts(parser) for name in acts]
    for action in parser._actions:
        if not action.option_strings and not isinstance(action, argparse._SubParsersAction):
            named += _values(action)
    return named


def _values(action: argparse.Action) -> list[str]:
    """The values an option or a place takes, where they can be counted."""
    if action.choices:
        return [str(choice) for choice in action.choices]
    return _COUNTED[str(action.metavar)]() if action.metavar in _COUNTED else []


def _sheets() -> list[str]:
    from diagnose.knowledge.load import load_knowledge

    return list(load_knowledge().sheets)


def _ids() -> list[str]:
    from diagnose.cli.knowledge import tables
    from diagnose.knowledge.load import load_knowledge

    return [key for table in tables(load_knowledge()).values() for key in table]


def _sums() -> list[str]:
    from diagnose.measuring.sums import SUMS

    return list(SUMS)


def _cases() -> list[str]:
    from diagnose.cli.keeping import kept_titles

    return [str(number) for number, _ in kept_titles()]


_COUNTED: dict[str, Callable[[], list[str]]] = {
    "SHEET": _sheets,
    "ID": _ids,
    "WHAT": _sums,
    "CASE": _cases,
}


def _beginning(begun: str, offers: Iterable[str]) -> list[str]:
    return [offer for offer in dict.fromkeys(offers) if offer.startswith(begun)]

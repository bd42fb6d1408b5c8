"""The command `diagnose`: reads the command line, calls one command, gives its exit code.

0 done; 1 the person's input could not be used (one line on stderr says why); 2 wrong usage.
"""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

from diagnose.cli.output import fit_streams
from diagnose.cli.question import plain_question
from diagnose.cli.registry import NAMES, target
from diagnose.knowledge.problems import DiagnoseError

if TYPE_CHECKING:
    import argparse

INTERRUPTED = 130  # as a shell counts a program ended by Ctrl-C


def main(arguments: list[str] | None = None) -> int:
    """Run one command; a bug shows its trace.

    The process itself gives no `arguments`. With a plain question it then ends at once: to take the
    rule base apart record by record takes as long as a turn, and nothing else is left to do.
    """
    fit_streams()
    words = sys.argv[1:] if arguments is None else arguments
    plain = plain_question(words)
    given = plain or _parsed(words)
    try:
        code = int(target(NAMES[given.command].run)(given))
        sys.stdout.flush()  # a closed pipe shows here, not at the end of the interpreter
        if plain and arguments is None:
            os._exit(code)
        return code
    except DiagnoseError as fault:
        print(fault, file=sys.stderr)
        return 1
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return INTERRUPTED


def _parsed(words: list[str]) -> argparse.Namespace:
    from diagnose.cli.parsing import parse  # not for a plain question

    return parse(words)


if __name__ == "__main__":
    raise SystemExit(main())

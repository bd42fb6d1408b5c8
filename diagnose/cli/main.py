"""The command `diagnose`: reads the command line, calls one command, gives its exit code.

0 done; 1 the person's input could not be used (one line on stderr says why); 2 wrong usage.
"""

from __future__ import annotations

import os
import sys

from diagnose.cli.output import fit_streams
from diagnose.cli.parsing import parse
from diagnose.cli.registry import NAMES, target
from diagnose.knowledge.problems import DiagnoseError

INTERRUPTED = 130  # as a shell counts a program ended by Ctrl-C


def main(arguments: list[str] | None = None) -> int:
    """Run one command; a bug shows its trace."""
    fit_streams()
    given = parse(sys.argv[1:] if arguments is None else arguments)
    try:
        code = int(target(NAMES[given.command].run)(given))
        sys.stdout.flush()  # a closed pipe shows here, not at the end of the interpreter
        return code
    except DiagnoseError as fault:
        print(fault, file=sys.stderr)
        return 1
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return INTERRUPTED


if __name__ == "__main__":
    raise SystemExit(main())

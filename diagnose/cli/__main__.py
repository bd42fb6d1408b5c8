"""`python -m diagnose.cli`: the same as the command `diagnose`."""

from diagnose.cli.main import main

if __name__ == "__main__":
    raise SystemExit(main())

"""Numbers of tries: the short form while working, the full one with DIAGNOSE_LONG, as in CI."""

import os

LONG = bool(os.environ.get("DIAGNOSE_LONG"))


def tries(full: int, short: int) -> int:
    """How many of something random to try."""
    return full if LONG else short

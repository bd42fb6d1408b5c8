"""Decisions measured against the optimum, and times against each other; see `__main__`."""

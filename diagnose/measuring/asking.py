"""How a sum reads the values it asked for, and proves a value against a band; knows no sum."""

from __future__ import annotations

import math
from collections.abc import Sequence

from diagnose.measuring.worked import CONFORMS, FAILS, UNDECIDED, Input, Refused, Values
from diagnose.named import Named


class Given(Named):
    """The values given for the inputs of one sum; usual ones stand in, faulty ones are refused.

    The only way any sum reads its values, so that each refusal has one wording.
    """

    inputs: tuple[Input, ...]
    values: Values

    def row(self, name: str, least: float = 0.0) -> tuple[float, ...]:
        """All values of an input, () where it may be left out and is."""
        asked = next(each for each in self.inputs if each.name == name)
        found = tuple(self.values.get(name, ()))
        if not found and asked.usual is not None:
            found = (asked.usual,)
        if not found and not asked.optional:
            unit = f"it in {asked.unit}" if asked.unit else "a number"
            raise Refused(f"{name} is missing; give {unit}: {asked.asks}")
        for value in found:
            if not math.isfinite(value) or value < least:
                right = "a number" if math.isinf(least) else f"a number of {least:g} or more"
                raise Refused(f"{name} is {value:g}; it must be {right}")
        if len(found) > 1 and not asked.many:
            raise Refused(f"{name} is given {len(found)} times; give one value")
        return found

    def one(self, name: str, least: float = 0.0) -> float:
        """The value of an input that must be there or has a usual one."""
        return self.row(name, least)[0]

    def perhaps(self, name: str, least: float = 0.0) -> float | None:
        """The value of an input, None where it is left out."""
        return next(iter(self.row(name, least)), None)

    def needed(self, name: str, other: str) -> float:
        """The value of an input that may be left out, but not where `other` asks for it."""
        found = self.perhaps(name)
        if found is None:
            raise Refused(f"{name} is missing; {other} needs it")
        return found


def positive(**values: float) -> None:
    """Raise Refused for the first of the named values that is not a number above zero."""
    for name, value in values.items():
        if not (math.isfinite(value) and value > 0):
            plain = name.replace("_", "-")
            raise Refused(f"{plain} is {value:g}; it must be a number above zero")


def prove(value: float, doubt: float, low: float | None, high: float | None) -> str:
    """Return CONFORMS, FAILS or UNDECIDED for a value right to +- `doubt`; an open side is None.

    The one rule of the bench. `doubt` is the give-or-take that holds the true value in 95 of 100
    cases (U), and the whole of it is the guard band: it is taken off the band before the value may
    conform, and added to it before the value may fail (JCGM 106:2012, 8.3.2, guard band w = U, the
    default of ISO 14253-1; the clause from memory). A guard of 1.645 standard uncertainties would
    hold the risk of one wrong word at 5 % with a normal distribution and a known spread; a few
    readings have neither, and U carries the factor for them. A value called good then lies beyond
    one limit with a chance of 2.5 % at most.

    >>> prove(4.0, 1.4, None, 5.0), prove(7.0, 1.4, None, 5.0)
    ("can't be told", 'does not conform')
    """
    below = -math.inf if low is None else low
    above = math.inf if high is None else high
    if not (math.isfinite(value) and doubt >= 0 and below <= above):
        raise Refused(
            f"{value:g} +- {doubt:g} on limits {below:g} to {above:g} can't be judged; "
            "give a number, a doubt of zero or more, and the lower limit first"
        )
    if below + doubt <= value <= above - doubt:
        return CONFORMS
    return FAILS if value < below - doubt or value > above + doubt else UNDECIDED


def worst_of(verdicts: Sequence[str]) -> str:
    """Return FAILS if one fails, CONFORMS if all conform, else UNDECIDED."""
    if FAILS in verdicts:
        return FAILS
    return CONFORMS if all(v == CONFORMS for v in verdicts) else UNDECIDED


def if_open(verdict: str | None, settles: str) -> str | None:
    """Return what would settle a verdict where it is UNDECIDED, else None."""
    return settles if verdict == UNDECIDED else None

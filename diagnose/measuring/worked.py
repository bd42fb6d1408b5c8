"""What every sum of the bench takes and gives, as data; the words around it are made elsewhere.

A sum is a `Calculation`: the inputs it asks for and a function from their values to a `Worked`.
All values are in the unit that the input or figure names.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from diagnose.measuring.shown import Picture
from diagnose.named import Named

CONFORMS, FAILS, UNDECIDED = "conforms", "does not conform", "can't be told"


class Refused(ValueError):
    """Inputs that give no honest result; the text says which and what would be right."""


class Input(Named):
    """One value a sum asks for.

    `unit` is the unit it is worked in ("" for a plain number); `dimension` what a given unit must
    measure. `many` takes several readings of the same thing; `usual` stands in when it is not
    given, and `source` says where that comes from.
    """

    name: str
    asks: str
    dimension: str
    unit: str
    many: bool = False
    usual: float | None = None
    source: str = ""
    optional: bool = False


class Figure(Named):
    """One figure of a result; `u` is its expanded uncertainty (95 %), where it has one."""

    name: str
    value: float
    unit: str
    u: float | None = None


class Worked(Named):
    """One sum worked out.

    `formula` is in words; `steps` are the figures put in, one line each; `verdict` is one of the
    three above, or another short word, or None where nothing is judged; `says` puts the outcome in
    a sentence; `settles` says what would settle an undecided one. `source` is a title with its
    address, or `common-practice`, or `memory`. `shows` is what can be drawn of it.
    """

    title: str
    formula: str
    steps: tuple[str, ...]
    figures: tuple[Figure, ...]
    verdict: str | None
    says: str
    source: str
    settles: str | None = None
    caution: str | None = None
    shows: tuple[Picture, ...] = ()


Values = Mapping[str, tuple[float, ...]]
"""The values given for each input, at least one each; inputs left out are missing."""


class Calculation(Named):
    """One sum that can be asked for by name."""

    name: str
    title: str
    inputs: tuple[Input, ...]
    work: Callable[[Values], Worked]

"""Units by dimension: reading a spelling, converting a value; guesses nothing.

Factors are exact where the definition is exact. The sources beside them are the tables of the
NIST Special Publication 811 (appendix B) and the SI Brochure (table 8).
"""

from __future__ import annotations

from diagnose.named import Named

_POUND_FORCE = 4.4482216152605  # N, SP 811: 0.45359237 kg x 9.80665 m/s2, exact
_US_PINT = 0.473176473  # L, SP 811: 231/8 cubic inches, exact


class UnitError(ValueError):
    """A unit that is not known, or two units of different dimensions."""


class Unit(Named):
    """One unit: the factor takes a value to the base unit of its dimension."""

    name: str
    dimension: str
    factor: float
    spellings: tuple[str, ...]


# One row a unit: name, dimension, factor to the first unit's base, spellings.
_TABLE = (
    # length, base mm; inch 25.4 mm exact (SP 811)
    Unit("mm", "length", 1.0, ("millimetre", "millimetres", "millimeter", "millimeters", "mms")),
    Unit("cm", "length", 10.0, ("centimetre", "centimetres", "centimeter", "centimeters")),
    Unit("in", "length", 25.4, ("inch", "inches", '"', "''", "ins", "inchs")),
    Unit(
        "thou",
        "length",
        0.0254,
        ("thous", "thousandth", "thousandths", "thousanth", "thousanths", "thousands")
        + ("th", "thou inch", "thousandths of an inch", "thousandth of an inch", "thou of an inch"),
    ),
    Unit("um", "length", 0.001, ("micron", "microns", "micrometre", "micrometres", "µm")),
    # pressure, base kPa; bar 100 kPa (SI Brochure); psi = lbf / in2
    Unit("kPa", "pressure", 1.0, ("kpa", "kilopascal", "kilopascals")),
    Unit("bar", "pressure", 100.0, ("bars",)),
    Unit(
        "psi",
        "pressure",
        _POUND_FORCE / 0.0254**2 / 1000.0,
        ("psy", "p.s.i", "lb/in2", "pounds per square inch", "psig", "lbs/sq in")
        + ("lb per square inch", "pound per square inch"),
    ),
    # conventional inch and millimetre of mercury (SP 811)
    Unit(
        "inHg",
        "pressure",
        3.386389,
        ("in hg", "inches hg", "inch hg", '" hg', "ins hg", "inches of mercury")
        + ("inches of vacuum", "inches of vac", "inches vacuum", "inches vac", "in vac")
        + ("in of vacuum", "inch of vacuum", "inches mercury", '" vacuum', '" of vacuum'),
    ),
    Unit("mmHg", "pressure", 0.1333224, ("mm hg", "mm of mercury", "torr")),
    # torque, base N m; kgf 9.80665 N exact (SP 811)
    Unit("Nm", "torque", 1.0, ("n.m", "n m", "newton metre", "newton metres", "newtons", "nms")),
    Unit(
        "ft-lb",
        "torque",
        _POUND_FORCE * 0.3048,
        ("lbf.ft", "lb-ft", "ft.lb", "ftlb", "ft lb", "lb ft", "ft-lbs", "ft lbs", "ft/lbs")
        + ("ft/lb", "foot pounds", "foot pound", "foot lbs", "foot lb", "lb/ft", "lbs/ft")
        + ("ftlbs", "lbs ft", "pound feet", "pounds feet", "lbf ft", "ft lbf", "pounds foot")
        + ("pound foot", "foot-pounds", "lbft", "ft pounds", "lb-feet", "lb feet"),
    ),
    Unit(
        "in-lb",
        "torque",
        _POUND_FORCE * 0.0254,
        ("lbf.in", "inch pounds", "inch pound", "in lb", "in lbs", "inch lbs", "inch lb")
        + ("in/lbs", "in/lb", "lb in", "lbs in", "lb-in", "in-lbs", "pound inches"),
    ),
    Unit("kgf.m", "torque", 9.80665, ("kgm", "kg m", "kgf m", "kg/m", "mkg", "kg-m")),
    # angle, base degree
    Unit(
        "deg",
        "angle",
        1.0,
        ("degree", "degrees", "°", "degs", "deg_crank", "crank degrees", "degrees of crank")
        + ("crank degree", "deg btdc", "degrees btdc", "° btdc", "btdc"),
    ),
    # time, base hour
    Unit("hours", "time", 1.0, ("h", "hour", "hr", "hrs")),
    Unit("min", "time", 1 / 60, ("minute", "minutes", "mins")),
    Unit("s", "time", 1 / 3600, ("sec", "secs", "second", "seconds")),
    Unit("days", "time", 24.0, ("day", "d")),
    # distance, base km; mile 1.609344 km exact (SP 811)
    Unit("km", "distance", 1.0, ("kms", "kilometre", "kilometres", "kilometer", "kilometers")),
    Unit("miles", "distance", 1.609344, ("mi", "mile", "mls")),
    # flow, base L/h; US gallon 3.785411784 L exact (SP 811)
    Unit("l/h", "flow", 1.0, ("lph", "l/hr", "litres an hour", "litres per hour", "litre/hour")),
    Unit(
        "l/min",
        "flow",
        60.0,
        ("lpm", "litres a minute", "litres per minute", "litre a minute", "liters per minute")
        + ("litre per minute", "liter per minute", "liters a minute", "liter a minute"),
    ),
    Unit("ml/min", "flow", 0.06, ("cc/min", "cc a minute", "cc per minute", "ml per minute")),
    Unit(
        "gph",
        "flow",
        8 * _US_PINT,
        ("gallons an hour", "gallons per hour", "gal/h", "gal/hr", "gallon an hour"),
    ),
    Unit(
        "pt/min",
        "flow",
        60 * _US_PINT,
        ("pint/min", "pints/min", "pint a minute", "pints a minute", "pint per minute")
        + ("pints per minute", "pint a min", "pints a min"),
    ),
    Unit(
        "qt/min",
        "flow",
        120 * _US_PINT,
        ("quart/min", "quart a minute", "quarts a minute", "quart per minute", "quarts/min"),
    ),
    # speed of rotation and share
    Unit("rpm", "speed", 1.0, ("revs", "rpms", "rmp", "r.p.m", "rev/min", "revs a minute")),
    Unit("%", "share", 1.0, ("percent", "per cent", "pct")),
    # force, base N (SP 811)
    Unit("N", "force", 1.0, ("newton", "newtons")),
    Unit("kN", "force", 1000.0, ("kilonewton", "kilonewtons")),
    Unit(
        "lbf",
        "force",
        _POUND_FORCE,
        ("lb", "lbs", "pound", "pounds", "#", "lbs force", "pounds of force", "pounds force"),
    ),
    # a difference of two temperatures, base degC; 1 degF = 5/9 degC of difference (SP 811)
    Unit("degC", "temperature rise", 1.0, ("c", "°c", "deg c", "degrees c", "celsius", "k")),
    Unit(
        "degF",
        "temperature rise",
        5 / 9,
        ("f", "°f", "deg f", "degrees f", "fahrenheit", "degrees fahrenheit"),
    ),
)

# Read only where a sum asks for them: in talk "f", "k" or "pounds" mostly stand for other things.
_ASKED_ONLY = {"force", "temperature rise"}
_UNITS = {unit.name: unit for unit in _TABLE}
_SPELLED = [(s.lower(), unit) for unit in _TABLE for s in (unit.name, *unit.spellings)]
_NAMES = {s: unit.name for s, unit in _SPELLED if unit.dimension not in _ASKED_ONLY}
_ASKED = {(s, u.dimension): u.name for s, u in _SPELLED if u.dimension in _ASKED_ONLY}
# Words that name different units in different trades: the dimension in hand decides.
_BY_DIMENSION = {
    ("lb", "pressure"): "psi",
    ("lb", "torque"): "ft-lb",
    ("in", "pressure"): "inHg",
    ("kg", "torque"): "kgf.m",
    ("ks", "distance"): "km",
}
_LOOSE = {
    "lbs": "lb",
    "lb": "lb",
    "pound": "lb",
    "pounds": "lb",
    "#": "lb",
    "in": "in",
    "inch": "in",
    "inches": "in",
    '"': "in",
    "ins": "in",
    "kg": "kg",
    "kilos": "kg",
    "ks": "ks",
    "kays": "ks",
    "klicks": "ks",
    "clicks": "ks",
    "k": "ks",
}


def units_of_talk() -> list[tuple[str, str]]:
    """The units heard in talk, each with what it measures."""
    return [(u.name, u.dimension) for u in _TABLE if u.dimension not in _ASKED_ONLY]


def read_unit(text: str, dimension: str | None) -> str | None:
    """Return the unit a spelling names, of the given dimension if one is given; else None.

    >>> read_unit("ft/lbs", None), read_unit("lb", "pressure"), read_unit("lb", None)
    ('ft-lb', 'psi', None)
    """
    spelling = " ".join(text.lower().split()).rstrip(".")
    if dimension in _ASKED_ONLY:
        return _ASKED.get((spelling, dimension))
    if dimension is not None:
        by_dimension = _BY_DIMENSION.get((_LOOSE.get(spelling, ""), dimension))
        if by_dimension:
            return by_dimension
    name = _NAMES.get(spelling)
    if name is None or (dimension is not None and _UNITS[name].dimension != dimension):
        return None
    return name


def possible_dimensions(text: str) -> tuple[str, ...]:
    """Every dimension a spelling could belong to, the plain one first."""
    spelling = " ".join(text.lower().split()).rstrip(".")
    name = _NAMES.get(spelling)
    plain = (_UNITS[name].dimension,) if name else ()
    loose = _LOOSE.get(spelling)
    return plain + tuple(d for word, d in _BY_DIMENSION if word == loose and d not in plain)


def dimension_of(unit: str) -> str:
    """Return the dimension of a unit; UnitError if it is not known."""
    return _unit(unit).dimension


def convert(value: float, unit: str, to: str) -> float:
    """Convert a value; UnitError for an unknown unit or two different dimensions.

    >>> round(convert(1, "in", "thou"), 6)
    1000.0
    """
    start, end = _unit(unit), _unit(to)
    if start.dimension != end.dimension:
        raise UnitError(f"{unit!r} is {start.dimension}, {to!r} is {end.dimension}")
    return value if start is end else value * start.factor / end.factor


def units_of(dimension: str) -> tuple[str, ...]:
    """Return the names of the units of one dimension."""
    return tuple(unit.name for unit in _TABLE if unit.dimension == dimension)


def other_system(unit: str) -> str | None:
    """Return the unit a figure is shown in beside this one; None where both systems share it.

    >>> other_system("thou"), other_system("mm"), other_system("rpm")
    ('mm', 'thou', None)
    """
    return _OTHER_SYSTEM.get(unit)


_OTHER_SYSTEM = {
    **{"mm": "thou", "thou": "mm", "in": "mm", "cm": "in"},
    **{"kPa": "psi", "psi": "kPa", "bar": "psi", "inHg": "kPa"},
    **{"N": "lbf", "lbf": "N", "kN": "lbf", "Nm": "ft-lb", "ft-lb": "Nm", "in-lb": "Nm"},
    **{"degC": "degF", "degF": "degC", "ml/min": "gph", "l/h": "gph", "gph": "l/h"},
}


def _unit(text: str) -> Unit:
    if text in _UNITS:
        return _UNITS[text]
    name = _NAMES.get(" ".join(text.lower().split()).rstrip("."))
    if name is None:
        raise UnitError(f"unknown unit {text!r}")
    return _UNITS[name]


def number(value: float) -> str:
    """A figure without trailing noise."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return text if text not in ("", "-0") else "0"


def quantity(value: float, unit: str) -> str:
    """A figure with its unit; small lengths in both systems, the person's own first."""
    plain = f"{number(value)} {unit}"
    if unit in ("thou", "in"):
        return f"{plain} ({number(round(convert(value, unit, 'mm'), 3))} mm)"
    if unit == "mm":
        return f"{plain} ({number(round(convert(value, unit, 'thou'), 1))} thou)"
    return plain

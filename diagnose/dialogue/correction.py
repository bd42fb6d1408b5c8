"""The correction in figures, as data: what the sums of the bench make of the readings of a case.

A cause names its correction; the rule base says which sums work it out and where their values come
from. What nobody measured yet is named instead of being made up.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from diagnose.cases.assess import Assessment, Workbench
from diagnose.cases.state import Judged, limit_of
from diagnose.knowledge.corrections import STANDING, Correction, Filled, Way
from diagnose.knowledge.model import Cause, Knowledge, Size
from diagnose.measuring.endplay import EndPlayCorrection, end_play_correction
from diagnose.measuring.units import convert
from diagnose.measuring.verdict import GUARD
from diagnose.measuring.worked import Input, Refused
from diagnose.named import Named

_TOLD = ("title", "verdict", "says", "formula", "steps", "figures", "settles", "caution", "source")


class _Value(Named):
    """What goes into a sum, in its unit, and where it comes from."""

    values: tuple[float, ...]
    source: str
    size: str | None = None


def worked_out(bench: Workbench, found: Assessment, cause: Cause) -> dict[str, Any]:
    """How far the reading is out, each way to put it right, and what is still to be measured."""
    shown = [cause.confirm.finding, *(s.finding for s in cause.signs)]
    correction = bench.knowledge.corrections.get(cause.work_out or "")
    if correction is None:
        return _to_the_band(found, shown)
    case = _Case(bench, found, correction)
    parts = bench.knowledge.words.sums.get(correction.id)
    out = case.end_play(parts) if parts else _to_the_band(found, [correction.reading, *shown])
    ways = list(case.ways())
    if ways:
        out["ways"] = ways
    if case.needed:
        out["missing"] = [case.reading_missing()]
    return out


class _Case:
    """The readings, the sheet and the usual values that the sums of one correction draw on."""

    def __init__(self, bench: Workbench, found: Assessment, correction: Correction) -> None:
        self.bench, self.found, self.correction = bench, found, correction
        self.finding = bench.knowledge.findings[correction.reading]
        self.read = self._usable(correction.reading)
        self.needed = False

    @property
    def knowledge(self) -> Knowledge:
        return self.bench.knowledge

    def ways(self) -> Iterator[dict[str, Any]]:
        """Each way worked out, or with what it still needs; those about a right reading are out."""
        for way in self.correction.ways:
            if self.read is None and _takes_reading(way, self._asked(way)):
                self.needed = True
            elif not (self._is_right() and _to_target(way, self._asked(way))):
                yield self._worked(way)

    def end_play(self, parts: Any) -> dict[str, Any]:
        """The sum of plate and spacer, where the play was read."""
        play = self.read
        if play is None or play.target is None:
            return {}
        sizes = [self._size_of(parts[part], play) for part in ("plate", "spacer")]
        return _figures(end_play_correction(play.value, play.target, *sizes), play)

    def reading_missing(self) -> dict[str, str]:
        """The reading that everything else is worked out from."""
        return {"finding": self.finding.id, "ask": self.finding.ask}

    def _usable(self, finding: str) -> Judged | None:
        read = self.found.state.usable.get(finding)
        return None if finding in self.found.conclusions.invalid else read

    def _size_of(self, finding: str, play: Judged) -> float | None:
        part = self.found.state.judged.get(finding)
        return convert(part.value, part.unit, play.unit) if part and part.possible else None

    def _is_right(self) -> bool:
        low, high = self._band()
        if self.read is None or (low is None and high is None):
            return False
        value = self.read.value
        return (low is None or value >= low) and (high is None or value <= high)

    def _band(self) -> tuple[float | None, float | None]:
        """The target of the reading in its unit, else its band; of the sheet where none is read."""
        if self.read is not None:
            return self.read.target or (self.read.low, self.read.high)
        limit = limit_of(self.finding, self.bench.sheet)
        target = (getattr(limit, "target_low", None), getattr(limit, "target_high", None))
        if limit is None or None not in target:
            return target
        return limit.low, limit.high

    def _unit(self) -> str:
        if self.read is not None:
            return self.read.unit
        limit = limit_of(self.finding, self.bench.sheet)
        return limit.unit if limit else self.finding.unit or ""

    def _asked(self, way: Way) -> dict[str, Input]:
        from diagnose.measuring.sums import calculation

        return {each.name: each for each in calculation(way.sum).inputs}

    def _worked(self, way: Way) -> dict[str, Any]:
        from diagnose.measuring.sums import as_dict, calculation

        asked = self._asked(way)
        fill = {**{n: f for n, f in STANDING.items() if n in asked}, **way.fill}
        values = {name: self._value(asked[name], each) for name, each in fill.items()}
        values |= self._doubts(asked, fill)
        out: dict[str, Any] = {"title": way.title, "sum": way.sum}
        missing = _missing(fill, values)
        if missing:
            return {**out, "missing": missing}
        given = {name: each for name, each in values.items() if each is not None}
        out["given"] = [_given(asked[name], each) for name, each in given.items()]
        try:
            told: dict[str, Any] = as_dict(
                calculation(way.sum).work({n: v.values for n, v in given.items()})
            )
        except Refused as fault:
            return {**out, "refused": str(fault)}
        told["figures"] = [
            {k: round(v, 6) if isinstance(v, float) else v for k, v in figure.items()}
            for figure in told["figures"]
        ]
        return {**{key: told[key] for key in _TOLD}, **out}

    def _doubts(self, asked: dict[str, Input], fill: dict[str, Filled]) -> dict[str, _Value | None]:
        """How far the other readings may be wrong, where the sum asks for that."""
        out: dict[str, _Value | None] = {}
        for name, each in fill.items():
            doubt = f"{name}-doubt"
            read = self._usable(each.finding) if each.finding else None
            if read is not None and doubt in asked and doubt not in fill:
                out[doubt] = _Value((_in(GUARD * read.u, read.unit, asked[doubt]),), "the case")
        return out

    def _value(self, asked: Input, fill: Filled) -> _Value | None:
        """The first of its places where a value of the sum is known."""
        places = (self._taken(asked, fill), self._read(asked, fill), self._sized(asked, fill))
        usual = Size("", fill.values, fill.source or "", fill.unit) if fill.values else None
        found = next((each for each in places if each is not None), None)
        return found or (_of_size(asked, usual, fill.size) if usual else None)

    def _taken(self, asked: Input, fill: Filled) -> _Value | None:
        low, high = self._band()
        ends = [end for end in (low, high) if end is not None]
        read = self.read
        by_sheet = self.bench.sheet and self.bench.sheet.limit(self.finding.id)
        value = {
            "reading": read.value if read else None,
            "doubt": GUARD * read.u if read and read.u else None,
            "low": low,
            "high": high,
            "sheet_low": low if by_sheet else None,
            "sheet_high": high if by_sheet else None,
            "aim": sum(ends) / len(ends) if ends else None,
        }.get(fill.take or "")
        if value is None:
            return None
        limit = limit_of(self.finding, self.bench.sheet)
        source = "the case" if fill.take in ("reading", "doubt") else limit.source if limit else ""
        told = asked.name if fill.take == "aim" else None
        return _Value((_in(value, self._unit(), asked),), source, told)

    def _read(self, asked: Input, fill: Filled) -> _Value | None:
        read = self._usable(fill.finding) if fill.finding else None
        return _Value((_in(read.value, read.unit, asked),), "the case") if read else None

    def _sized(self, asked: Input, fill: Filled) -> _Value | None:
        sizes = self.bench.sheet.sizes if self.bench.sheet and fill.size else ()
        size = next((each for each in sizes if each.name == fill.size), None)
        return _of_size(asked, size, fill.size) if size else None


def _in(value: float, unit: str, asked: Input) -> float:
    """A value in the unit of the sum; places are cut where a conversion only adds noise."""
    return round(convert(value, unit, asked.unit), 9) if unit and asked.unit else value


def _of_size(asked: Input, size: Size, name: str | None) -> _Value:
    return _Value(tuple(_in(v, size.unit, asked) for v in size.values), size.source, name)


def _takes_reading(way: Way, asked: dict[str, Input]) -> bool:
    standing = "measured" in asked and "measured" not in way.fill
    return standing or any(fill.take == "reading" for fill in way.fill.values())


def _to_target(way: Way, asked: dict[str, Input]) -> bool:
    """Whether a way brings the reading to its own target, and has nothing to say of a right one."""
    ends = way.fill.get("target-low", STANDING["target-low"])
    return "target-low" in asked and ends.take is not None


def _missing(fill: dict[str, Filled], values: dict[str, _Value | None]) -> list[dict[str, str]]:
    """What is to be measured before the sum can be worked out, each question once."""
    asks = {f.ask: name for name, f in fill.items() if f.ask and values[name] is None}
    return [{"input": name, "ask": ask} for ask, name in asks.items()]


def _given(asked: Input, value: _Value) -> dict[str, Any]:
    told = {"input": asked.name, "values": list(value.values), "unit": asked.unit}
    size = {"size": value.size} if value.size else {}
    return {**told, "source": value.source, **size}


def _to_the_band(found: Assessment, shown: Iterable[str]) -> dict[str, Any]:
    """How far the reading that speaks for a cause is out, and the least change that mends it."""
    usable = found.state.usable
    for finding in dict.fromkeys(f for f in shown if f in usable):
        read = usable[finding]
        edge = read.low if read.verdict.state == "low" else read.high
        if finding in found.conclusions.invalid or read.verdict.state == "ok" or edge is None:
            continue
        wanted = sum(read.target) / 2 if read.target else edge
        return _rounded(
            {
                "finding": finding,
                "unit": read.unit,
                "measured": read.value,
                "limit": edge,
                "target": wanted,
                "change": wanted - read.value,
                "give_or_take": GUARD * read.u,
                "source": read.source,
            }
        )
    return {}


def _figures(sum_: EndPlayCorrection, play: Judged) -> dict[str, Any]:
    return _rounded(
        {
            "unit": play.unit,
            "measured": sum_.play,
            "target": sum_.target,
            "change": sum_.change,
            "give_or_take": GUARD * play.u,
            "plate": sum_.plate,
            "spacer": sum_.spacer,
            "expected": sum_.expected,
            "gap": sum_.gap,
            "source": play.source,
        }
    )


def _rounded(figures: dict[str, Any]) -> dict[str, Any]:
    rounded = {k: round(v, 5) if isinstance(v, float) else v for k, v in figures.items()}
    return {k: v for k, v in rounded.items() if v is not None}

"""Expected minutes to a cured engine when repairs are tried one after the other; asks nothing.

Repairs behind the same cover share the minutes of opening it. Handing the engine on (calling for
help) stands for the repair of what is not in the rule base.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from itertools import accumulate

from diagnose.knowledge.model import Knowledge

_HELP = -2  # the place of calling for help among the shares

Step = tuple[float, float, float, float, int]
"""Repairs done in one go: chance per minute, the chance that they cure the engine, their minutes
when none of them does, the expected minutes of these that are not spent because an early one
cured it, and the place of the first. A plain tuple: thousands are made in a turn."""


class Repairs:
    """The repairs of some causes, by place; what is open is fixed, `opened` gives the next one.

    Shares are given by the same places; two more stand last: what only help cures, and the engines
    with nothing wrong, which cost no repair.
    """

    def __init__(
        self,
        repairs: Sequence[tuple[str, float]],
        reach: Mapping[str, float],
        undo: float,
        call_for_help: float,
    ) -> None:
        self.reach, self._repairs = reach, repairs
        self._undo, self._help = undo, call_for_help
        self._next: dict[str, Repairs] = {}
        self._free: list[tuple[int, float]] = []
        shut: dict[str, list[tuple[int, float]]] = {}
        for place, (access, minutes) in enumerate(repairs):
            if reach.get(access):
                shut.setdefault(access, []).append((place, minutes + undo))
            else:
                self._free.append((place, minutes + undo))
        for access in [access for access, inside in shut.items() if len(inside) == 1]:
            place, minutes = shut.pop(access)[0]
            self._free.append((place, minutes + reach[access]))
        self._shut = shut

    def opened(self, access: str) -> Repairs:
        """The same with one more access open."""
        if not self.reach.get(access):
            return self
        if access not in self._next:
            left = {key: minutes for key, minutes in self.reach.items() if key != access}
            self._next[access] = Repairs(self._repairs, left, self._undo, self._help)
        return self._next[access]

    def expected(self, shares: Sequence[float]) -> float:
        """Expected minutes when repairs are tried, and help called, by chance per minute."""
        steps = self._steps(shares)
        left = sum(shares) - shares[-1]
        total = 0.0
        for _, cures, minutes, spared, _ in steps:
            total += minutes * left - spared
            left -= cures
        return total

    def first(self, shares: Sequence[float]) -> tuple[int, float, str]:
        """The repair to begin with: its place, its minutes with its access, and the access."""
        place = next((step[4] for step in self._steps(shares)), _HELP)
        if place == _HELP:
            return _HELP, self._help, ""
        access, minutes = self._repairs[place]
        return place, minutes + self.reach.get(access, 0.0), access

    def after(self, shares: Sequence[float], place: int) -> tuple[float, list[float]]:
        """The expected minutes of taking back a repair that did not help, and what is then left."""
        left = [*shares]
        left[place] = 0.0
        undo = 0.0 if place == _HELP else self._undo
        return undo * (sum(left) - left[-1]), left

    def least(self, shares: Sequence[float]) -> float:
        """Expected minutes if the cause were told for nothing: no look can save more than that."""
        return shares[-2] * self._help + sum(
            share * (minutes + self.reach.get(access, 0.0))
            for share, (access, minutes) in zip(shares, self._repairs, strict=False)
        )

    def _steps(self, shares: Sequence[float]) -> list[Step]:
        undo = self._undo
        steps = [
            (shares[place] / minutes, shares[place], minutes, undo * shares[place], place)
            for place, minutes in self._free
            if shares[place]
        ]
        for access, inside in self._shut.items():
            alone = [
                (shares[p] / m, shares[p], m, undo * shares[p], p) for p, m in inside if shares[p]
            ]
            steps += _behind(self.reach[access], alone) if alone else ()
        if shares[_HELP]:
            steps.append((shares[_HELP] / self._help, shares[_HELP], self._help, 0.0, _HELP))
        steps.sort(reverse=True)
        return steps


def _behind(opening: float, alone: list[Step]) -> list[Step]:
    """The steps behind one cover: the best first ones with the opening, the others alone.

    Each one more is worth taking along while it brings more a minute than those before it do.
    """
    alone.sort(reverse=True)
    spent, cures, rate, paid, spared, number = opening, 0.0, 0.0, 0.0, 0.0, 0
    for each_rate, share, minutes, undone, _ in alone:
        if each_rate <= rate:
            break
        number += 1
        spent += minutes
        cures += share
        paid += share * spent
        spared += undone
        rate = cures / spent
    return [(rate, cures, spent, cures * spent - paid + spared, alone[0][4]), *alone[number:]]


def repairs_of(knowledge: Knowledge, causes: Sequence[str], open_: Collection[str]) -> Repairs:
    """The repairs of some causes, some access being open already."""
    settings = knowledge.words.settings
    each = [knowledge.causes[key].repair for key in causes]
    reach = {key: a.minutes for key, a in knowledge.access.items() if key not in open_}
    return Repairs(
        [(repair.access, repair.minutes) for repair in each],
        reach,
        settings["undo_minutes"],
        settings["call_for_help_minutes"],
    )


def repair_minutes(
    knowledge: Knowledge, causes: Sequence[str], open_: Collection[str]
) -> list[float]:
    """Minutes of trying each repair, access still closed included; the last is calling for help."""
    settings = knowledge.words.settings
    minutes = []
    for key in causes:
        repair = knowledge.causes[key].repair
        reach = 0.0 if repair.access in open_ else knowledge.access[repair.access].minutes
        minutes.append(repair.minutes + reach + settings["undo_minutes"])
    return [*minutes, settings["call_for_help_minutes"]]


def expected_minutes(shares: Sequence[float], minutes: Sequence[float]) -> float:
    """Expected minutes to cured when single repairs are tried by chance per minute.

    `shares` sum to at most 1; what is missing needs no repair.
    """
    rates = [share / each for share, each in zip(shares, minutes, strict=True)]
    order = sorted(range(len(rates)), key=rates.__getitem__, reverse=True)
    spent = accumulate(minutes[i] for i in order)
    return sum(shares[i] * so_far for i, so_far in zip(order, spent, strict=True))

"""The learner's place: starts an exercise or goes on, keeps every word, files the result."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from diagnose.cases.assess import Workbench
from diagnose.cases.faults import StoreError
from diagnose.language.index import LanguageIndex
from diagnose.practice import debrief, wording_kept
from diagnose.practice.drawing import NothingFits, draw
from diagnose.practice.exercise import Exercise, Turn
from diagnose.practice.lessons import find_lesson, from_lesson, read_lesson
from diagnose.practice.record import Book
from diagnose.practice.scenario import Scenario
from diagnose.practice.score import Score, score


class Desk:
    """One exercise in hand. `what` names it: a seed and a level, a lesson, or a file.

    `fault` says why the last text could not be kept; the next one kept holds all before it.
    """

    def __init__(
        self, bench: Workbench, index: LanguageIndex, what: Mapping[str, Any], book: Book
    ) -> None:
        self.what, self.book = dict(what), book
        self.exercise = Exercise(bench, index, scenario_of(bench, what))
        self.texts: list[str] = []  # without those that only leave: they say nothing later
        self.result: Score | None = None
        self.fault: StoreError | None = None

    def go_on(self, texts: Sequence[str]) -> Turn | None:
        """Say again what was said before; the last reply."""
        turn = None
        for text in texts:
            turn = self._say(str(text))
        return turn

    def say(self, text: str) -> Turn:
        """One text; every word is kept until it is over, then the result is."""
        whole = text.encode("utf-8", "replace").decode()  # half of a pair can't be kept
        turn = self._say(whole)
        if self.exercise.done and self.result is None:
            self.result = score(self.exercise)
        self.fault = None
        try:
            self._keep()
        except StoreError as fault:
            self.fault = fault
        if turn.left and self.book.store is None:
            return turn._replace(text=wording_kept.LEFT_UNKEPT)
        return turn

    def _say(self, text: str) -> Turn:
        turn = self.exercise.say(text)
        if text.strip() and not turn.left:
            self.texts.append(text)
        return turn

    def _keep(self) -> None:
        if self.result is None:
            self.book.keep(self.what, self.texts)
        else:
            self.book.file(self.what, self.as_result())

    def debrief(self) -> str:
        """The debrief once it is over."""
        return debrief.text(self.exercise, self.result) if self.result else ""

    def as_result(self) -> dict[str, Any]:
        """The result as it is filed."""
        scenario = self.exercise.scenario
        figures = self.result.as_dict() if self.result else {}
        return {
            "name": self.book.name,
            "key": scenario.key,
            "what": self.what,
            "level": scenario.level.number,
            "system": self.exercise.knowledge.causes[scenario.faults[0]].system,
            **figures,
        }


def scenario_of(bench: Workbench, what: Mapping[str, Any]) -> Scenario:
    """The engine that is named by a seed and a level, a lesson, or a lesson file."""
    if "file" in what:
        return from_lesson(bench, read_lesson(Path(str(what["file"])), bench.knowledge))
    if "lesson" in what:
        return from_lesson(bench, find_lesson(bench.knowledge, str(what["lesson"])))
    if not isinstance(what.get("seed"), int) or not isinstance(what.get("level"), int):
        raise NothingFits(
            f"can't tell which engine is meant by {dict(what)!r:.80}; start with --new"
        )
    return draw(bench, what["seed"], what["level"])

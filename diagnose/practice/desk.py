"""The learner's place: starts an exercise or goes on, keeps every word, files the result."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from diagnose.cases.assess import Workbench
from diagnose.language.index import LanguageIndex
from diagnose.practice import debrief, record
from diagnose.practice.drawing import NothingFits, draw
from diagnose.practice.exercise import Exercise, Turn
from diagnose.practice.lessons import find_lesson, from_lesson, read_lesson
from diagnose.practice.scenario import Scenario
from diagnose.practice.score import Score, score


class Desk:
    """One exercise in hand. `what` names it: a seed and a level, a lesson, or a file."""

    def __init__(
        self, bench: Workbench, index: LanguageIndex, what: Mapping[str, Any], name: str = ""
    ) -> None:
        self.what, self.name = dict(what), name
        self.exercise = Exercise(bench, index, scenario_of(bench, what))
        self.result: Score | None = None

    def go_on(self, texts: list[str]) -> Turn | None:
        """Say again what was said before; the last reply."""
        turn = None
        for text in texts:
            turn = self.exercise.say(str(text))
        return turn

    def say(self, text: str) -> Turn:
        """One text; every word is kept until it is over, then the result is."""
        whole = text.encode("utf-8", "replace").decode()  # half of a pair can't be kept
        turn = self.exercise.say(whole)
        if not self.exercise.done:
            kept = [t for t in self.exercise.texts if t.strip()]
            record.keep_open(self.name, self.what, kept)
        elif self.result is None:
            self.result = score(self.exercise)
            record.keep_open(self.name, self.what, None)
            record.add_result(self.as_result())
        return turn

    def debrief(self) -> str:
        """The debrief once it is over."""
        return debrief.text(self.exercise, self.result) if self.result else ""

    def as_result(self) -> dict[str, Any]:
        """The result as it is filed."""
        scenario = self.exercise.scenario
        figures = self.result.as_dict() if self.result else {}
        return {
            "name": self.name,
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

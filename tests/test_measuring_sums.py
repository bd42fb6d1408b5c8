"""What holds for every sum of the bench alike."""

import pytest

from diagnose.cli.work_out import find
from diagnose.measuring.sums import SUMS
from diagnose.measuring.units import dimension_of
from diagnose.measuring.worked import Calculation

EVERY = [find(name) for name in SUMS]


@pytest.fixture(params=EVERY, ids=SUMS)
def asked(request: pytest.FixtureRequest) -> Calculation:
    calculation = request.param
    assert isinstance(calculation, Calculation)
    return calculation


def test_every_input_has_a_known_unit_that_measures_what_it_says(asked: Calculation) -> None:
    for entry in asked.inputs:
        known = dimension_of(entry.unit) if entry.unit else ""
        assert (entry.name, known) == (entry.name, entry.dimension)


def test_every_usual_value_has_its_source(asked: Calculation) -> None:
    assert [i.name for i in asked.inputs if i.usual is not None and not i.source] == []


def test_names_are_words_with_hyphens_and_asked_once(asked: Calculation) -> None:
    names = [i.name for i in asked.inputs]
    assert len(set(names)) == len(names)
    assert all(word.isalpha() and word.islower() for n in names for word in n.split("-"))

"""Our records do what the library's named tuples do; held to `collections.namedtuple`."""

from __future__ import annotations

import pickle
from collections import namedtuple
from collections.abc import Callable
from typing import Any

import pytest

from diagnose.named import Named


class Gap(Named):
    """A gap somewhere."""

    where: str
    thou: float = 4.0
    seen: tuple[str, ...] = ()

    @property
    def wide(self) -> bool:
        return self.thou > 5


Theirs = namedtuple("Gap", "where thou seen", defaults=(4.0, ()))  # type: ignore[name-match]


@pytest.mark.parametrize(
    "use",
    [
        lambda kind: kind("nose"),
        lambda kind: kind("nose", seen=("a",)),
        lambda kind: kind(where="nose", thou=9.0)._replace(thou=1.0),
        lambda kind: kind("nose")._asdict(),
        lambda kind: kind._make(["nose", 2.0, ()]),
        lambda kind: repr(kind("nose")),
        lambda kind: kind("nose") == ("nose", 4.0, ()),
        lambda kind: [*kind("nose")],
        lambda kind: hash(kind("nose")),
        lambda kind: kind._fields,
        lambda kind: kind._field_defaults,
        lambda kind: kind.__match_args__,
        lambda kind: kind("nose").thou,
    ],
)
def test_a_use_gives_what_the_library_gives(use: Callable[[Any], Any]) -> None:
    assert use(Gap) == use(Theirs)


@pytest.mark.parametrize(
    "misuse",
    [
        lambda kind: kind(),
        lambda kind: kind("nose", 1.0, (), "more"),
        lambda kind: kind("nose", wher="tail"),
        lambda kind: kind._make(["nose"]),
        lambda kind: kind("nose").there,
        lambda kind: setattr(kind("nose"), "thou", 1.0),
        lambda kind: setattr(kind("nose"), "more", 1.0),
        lambda kind: kind("nose")._replace(more=1.0),
    ],
)
def test_a_misuse_is_refused_as_the_library_refuses_it(misuse: Callable[[Any], Any]) -> None:
    with pytest.raises((TypeError, AttributeError, ValueError)) as theirs:
        misuse(Theirs)
    with pytest.raises(theirs.type):
        misuse(Gap)


def test_it_has_its_own_name_words_and_methods_and_comes_back_from_a_pickle() -> None:
    gap = Gap("nose", 9.0)
    assert (Gap.__name__, Gap.__module__, Gap.__doc__) == ("Gap", __name__, "A gap somewhere.")
    assert gap.wide
    back = pickle.loads(pickle.dumps(gap))
    assert back == gap and type(back) is Gap


def test_a_field_without_a_usual_value_after_one_with_it_is_refused() -> None:
    with pytest.raises(TypeError, match="stand last"):

        class Wrong(Named):
            thou: float = 4.0
            where: str

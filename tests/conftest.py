"""No test keeps anything in the user's own folders; the stores and the browser for those that ask.

Where no PostgreSQL or no browser is here, the tests for them are skipped and say so; with
DIAGNOSE_ALL_TESTS (CI sets it) they fail instead. There hypothesis draws the same examples every
time, so that the gate's answer is about the change; at the desk it draws new ones in each run,
and fewer.
"""

import gc
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path

import postgres
import pytest
from hypothesis import settings
from lengths import tries

from diagnose.cases.store import Store, open_store
from diagnose.reports.pdf import browser

ALL = "DIAGNOSE_ALL_TESTS"
_numbers = count(1)
settings.register_profile("gate", derandomize=True)
settings.register_profile("short", max_examples=tries(100, 30))


def pytest_configure(config: pytest.Config) -> None:
    """One cache folder for the whole run; every process of the run shares it."""
    settings.load_profile("gate" if os.environ.get(ALL) else "short")
    if os.environ.get("DIAGNOSE_CACHE"):
        return  # CI names one, and so did the process that began this one
    if config.cache is None:  # -p no:cacheprovider
        folder = tempfile.mkdtemp(prefix="diagnose-cache-")
        config.add_cleanup(lambda: shutil.rmtree(folder, ignore_errors=True))
    else:  # keyed by what it was made from, so the next run may use it
        folder = str(config.cache.mkdir("compiled"))
    os.environ["DIAGNOSE_CACHE"] = folder


def pytest_collection_finish() -> None:
    """Thousands of tests live to the end of the run: the collector need not search them again."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 50, 100)


@pytest.fixture(scope="session")
def data_base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the data folders of the tests are made, if they are."""
    return tmp_path_factory.mktemp("data")


@pytest.fixture(autouse=True)
def own_data(data_base: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder of the test's own, not made yet; no shared database, nobody's name."""
    folder = data_base / str(next(_numbers))
    monkeypatch.setenv("DIAGNOSE_DATA", str(folder))
    for name in ("DIAGNOSE_STORE", "DIAGNOSE_WHO"):
        monkeypatch.delenv(name, raising=False)
    return folder


def missing(what: str) -> None:
    """Skip, or fail where everything must run."""
    if os.environ.get(ALL):
        pytest.fail(f"{what} is not here, and {ALL} is set")
    pytest.skip(f"{what} is not here; this is not tested")


@pytest.fixture(scope="session")
def database() -> Iterator[str]:
    """The address of a PostgreSQL server."""
    if not postgres.is_here():
        missing("PostgreSQL")
    with postgres.server() as address:
        yield address


@pytest.fixture
def shared(database: str) -> str:
    """An empty database on it; one database is emptied, for each new one is many files."""
    from sqlalchemy import create_engine, make_url, text

    engine = create_engine(make_url(database).set(drivername="postgresql+psycopg"))
    with engine.begin() as db:
        db.execute(text("DROP SCHEMA public CASCADE"))
        db.execute(text("CREATE SCHEMA public"))
    engine.dispose()
    return database


@pytest.fixture(params=["file", pytest.param("shared", marks=pytest.mark.postgres)])
def address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The address of an empty store, of each kind in turn."""
    if request.param == "shared":
        found: str = request.getfixturevalue("shared")
        return found
    return f"sqlite:///{tmp_path}/cases.db"


@pytest.fixture
def opened() -> Iterator[Callable[[str], Store]]:
    """Opens stores, and closes them after the test."""
    stores: list[Store] = []

    def open_one(address: str) -> Store:
        stores.append(open_store(address))
        return stores[-1]

    yield open_one
    for one in stores:
        one.close()


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file with an empty store, to be copied: making one takes ten times as long."""
    path = tmp_path_factory.mktemp("empty") / "cases.db"
    open_store(f"sqlite:///{path}").close()
    return path


@pytest.fixture
def store(address: str, opened: Callable[[str], Store], empty_file: Path) -> Store:
    """An empty store of each kind."""
    if address.startswith("sqlite"):
        shutil.copy(empty_file, address.removeprefix("sqlite:///"))
    return opened(address)


@pytest.fixture
def chromium() -> str:
    """A real browser."""
    found = browser()
    if found is None:
        missing("a browser")
    return str(found)

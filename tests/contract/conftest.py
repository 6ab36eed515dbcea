"""What the contract tests share: a place for a store of each kind, and the store there."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import postgresql
import pytest

from strandwright.planning.ports import Store
from strandwright.store.open import open_store

KINDS = ("memory", "sqlite", "postgresql")


@pytest.fixture(scope="session")
def server() -> Iterator[postgresql.Server]:
    """Run a PostgreSQL server; skipped where none is installed, unless the run requires all."""
    programs = postgresql.programs()
    if programs is None:
        if os.environ.get("STRANDWRIGHT_REQUIRE_ALL") == "1":
            pytest.fail("the programs of PostgreSQL are not installed and this run requires them")
        pytest.skip("the programs of PostgreSQL are not installed")
    with postgresql.running(programs) as server:
        yield server


def place_of(kind: str, request: pytest.FixtureRequest) -> str:
    """Give a new place for a store of a kind."""
    if kind == "memory":
        return "memory:"
    if kind == "sqlite":
        folder: Path = request.getfixturevalue("tmp_path")
        return str(folder / "store.sqlite3")
    return request.getfixturevalue("server").database()


@pytest.fixture(params=KINDS)
def place(request: pytest.FixtureRequest) -> str:
    """Give a new place for a store of each kind."""
    return place_of(request.param, request)


@pytest.fixture(params=KINDS[1:])
def lasting_place(request: pytest.FixtureRequest) -> str:
    """Give a new place for a store of each kind that outlasts the program."""
    return place_of(request.param, request)


@pytest.fixture(params=KINDS[1:])
def empty_place(request: pytest.FixtureRequest) -> str:
    """Give a place of each kind that outlasts the program, where no store was opened yet."""
    if request.param == "sqlite":
        return place_of("sqlite", request)
    return request.getfixturevalue("server").empty_database()


@pytest.fixture
def store(place: str) -> Iterator[Store]:
    """Open an empty store of each kind."""
    opened = open_store(place)
    yield opened
    opened.close()


@pytest.fixture
def lasting_store(lasting_place: str) -> Iterator[Store]:
    """Open an empty store of each kind that outlasts the program."""
    opened = open_store(lasting_place)
    yield opened
    opened.close()

"""The first answer of every screen of a large shop, beside that of the same app with one job.

Prints the median and the slowest of each route on SQLite and on PostgreSQL, and the plan of each
query whose table is large; asserts that none reads a large table from end to end. Set
``STRANDWRIGHT_LARGE`` to a folder to keep the filled SQLite store between runs.
"""

from __future__ import annotations

import importlib
import os
import re
import statistics
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import large_shop
import pytest
from fastapi.testclient import TestClient
from sqlalchemy import event

from strandwright.planning.desk.builds import Desk
from strandwright.sheets import sheet_data
from strandwright.store.open import open_store
from strandwright.store.sql import SqlStore
from strandwright.web.app import make_api

pytestmark = pytest.mark.benchmark
#: No first answer may take longer [s]
FIRST_ANSWER = 0.1
RUNS = 7
LARGE = ("event", "document", "listing", "log")
#: Lists and pages as the screens ask for them first; what a plan says is asked for afterwards.
SCREENS = {
    "jobs": "/api/jobs",
    "jobs, searched": "/api/jobs?words=alder%20string",
    "jobs done, two pages on": "/api/jobs?state=done&limit=150",
    "builds": "/api/builds",
    "builds, searched": "/api/builds?words=j-49",
    "sets": "/api/sets",
    "benches": "/api/benches",
    "bows known": "/api/bows",
    "shop": "/api/shop",
    "orders": "/api/orders",
    "customers": "/api/customers",
    "customers, searched": "/api/customers?words=heron%20gorse",
    "stock": "/api/stock",
}


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def store(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[SqlStore]:
    """Fill a store of each kind, or open the one that was kept."""
    if request.param == "postgresql":
        sys.path.insert(0, str(Path(__file__).parent.parent / "contract"))
        postgresql = importlib.import_module("postgresql")

        programs = postgresql.programs()
        if programs is None:
            pytest.skip("the programs of PostgreSQL are not installed")
        with postgresql.running(programs) as server:
            yield from _filled(server.database())
        return
    folder = Path(os.environ.get("STRANDWRIGHT_LARGE") or tmp_path_factory.mktemp("large"))
    yield from _filled(str(folder / "large.sqlite3"))


def _filled(place: str) -> Iterator[SqlStore]:
    started = time.perf_counter()
    opened = open_store(place)
    assert isinstance(opened, SqlStore)
    if opened.mark() == 0:
        large_shop.fill(opened)
        sys.stdout.write(f"\nfilled {place} in {time.perf_counter() - started:.0f} s\n")
    else:
        sys.stdout.write(f"\nopened {place} in {time.perf_counter() - started:.1f} s\n")
    large_shop.check(opened)
    yield opened
    opened.close()


def _times(client: TestClient, path: str) -> list[float]:
    spent: list[float] = []
    for _ in range(RUNS):
        start = time.perf_counter()
        answer = client.get(path)
        spent.append(time.perf_counter() - start)
        assert 200 == answer.status_code, (path, answer.text[:300])
    return spent


def test_every_first_answer_is_quick_and_reads_by_an_index(store: SqlStore) -> None:
    """The very first of a fresh app is printed beside the median; no large table is scanned."""
    small = open_store("memory:")
    beside = TestClient(make_api(Desk(small, sheet=sheet_data), "memory:"))
    beside.post("/api/jobs", json={"example": "RIDGE-1"})
    queries: dict[str, Any] = {}

    def heard(_connection, _cursor, statement, parameters, _context, _many) -> None:
        if statement.lstrip().upper().startswith("SELECT"):
            queries.setdefault(re.sub(r"\s+", " ", statement), parameters)

    desk = Desk(store, sheet=sheet_data)
    start = time.perf_counter()
    # What the shop has learned is read in the background when the app starts.
    _ = desk.memory.pool
    sys.stdout.write(f"\nlessons read in {time.perf_counter() - start:.2f} s\n")
    client = TestClient(make_api(desk, "here"))
    client.get("/api/hello")
    slow: list[str] = []
    event.listen(store._engine, "before_cursor_execute", heard)
    for name, path in SCREENS.items():
        spent, peer = _times(client, path), _times(beside, path)
        median = statistics.median(spent)
        sys.stdout.write(
            f"{name:28} first {1e3 * spent[0]:7.1f} ms  median {1e3 * median:7.1f} ms"
            f"  x{median / statistics.median(peer):.1f} of one job in memory\n"
        )
        if spent[0] > FIRST_ANSWER:
            slow.append(f"{name}: {1e3 * spent[0]:.0f} ms")
    event.remove(store._engine, "before_cursor_execute", heard)
    scans = _scans(store, queries)
    assert [] == scans
    assert [] == slow


def _scans(store: SqlStore, queries: dict[str, Any]) -> list[str]:
    """Print the plan of each query, and give those that read a large table from end to end."""
    found: list[str] = []
    with store._engine.begin() as connection:
        lite = connection.dialect.name == "sqlite"
        for statement, parameters in queries.items():
            asked = f"{'EXPLAIN QUERY PLAN' if lite else 'EXPLAIN'} {statement}"
            plan = [str(row[-1]) for row in connection.exec_driver_sql(asked, parameters)]
            sys.stdout.write(f"\n{statement[:150]}\n" + "".join(f"    {line}\n" for line in plan))
            sign = r"SCAN (\w+)$" if lite else r"Seq Scan on (\w+)"
            read = {m.group(1) for line in plan if (m := re.search(sign, line))}
            found += [f"{table}: {statement[:200]}" for table in read & set(LARGE)]
    return found

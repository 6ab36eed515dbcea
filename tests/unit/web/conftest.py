"""A client of the app in memory, guarded as it is when it is served."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from behind_door import Shop
from starlette.testclient import TestClient

from strandwright.planning.desk.builds import Desk
from strandwright.planning.planner import Planner
from strandwright.sheets import sheet_data
from strandwright.store.memory import MemoryStore
from strandwright.web.app import make_app

#: Shared: the same jobs are planned by many tests.
PLANNER = Planner(2000)


@pytest.fixture
def desk() -> Desk:
    """Give a desk over an empty store."""
    return Desk(MemoryStore(), sheet=sheet_data, planner=PLANNER)


@pytest.fixture
def client(desk: Desk) -> Iterator[TestClient]:
    """Give a client that speaks as the app's own page does."""
    app = make_app(desk, "memory")
    with TestClient(app, base_url="http://127.0.0.1:8471") as found:
        yield found


@pytest.fixture
def ridge(client: TestClient) -> str:
    """Give the id of the ridge string's job, kept."""
    return client.post("/api/jobs", json={"example": "RIDGE-1"}).json()["id"]


@pytest.fixture
def shop() -> Shop:
    """Give a shop with a door."""
    return Shop()

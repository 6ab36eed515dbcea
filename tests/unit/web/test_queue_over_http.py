"""The queue over HTTP: laid out, set, held to a start, told why late, printed."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from starlette.testclient import TestClient

from strandwright.planning.desk.builds import Desk
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.examples import examples
from strandwright.planning.planner import Planner
from strandwright.planning.queue.gathering import local_now
from strandwright.sheets import sheet_data
from strandwright.store.memory import MemoryStore
from strandwright.web.app import make_app

PLANNER = Planner()
NOON = datetime(2026, 11, 30, 12, tzinfo=UTC)


@pytest.fixture
def shop():
    """A client of a shop with two lines to build, on one bench."""
    desk = Desk(MemoryStore(), clock=lambda: NOON, sheet=sheet_data, planner=PLANNER)
    for name in ("RIDGE-1", "RIDGE-2"):
        desk.add_job(tables_of(examples()[name]))
    app = make_app(desk, "memory")
    client = TestClient(
        app, base_url="http://localhost:8765", headers={"origin": "http://localhost:8765"}
    )
    settings = {"hours": [{"day": d, "opens": "00:00", "closes": "24:00"} for d in DAYS]}
    answer = client.put("/api/queue", json={"revision": 0, "queue": settings | DUE})
    assert 200 == answer.status_code, answer.text
    return client, desk


DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
DUE = {"due": [{"job": "RIDGE-1", "day": "2026-12-02"}], "hands": ["Ada"]}


def test_the_queue_is_laid_out(shop):
    """Both lines are in it, by Ada, in time and proved to be."""
    client, _ = shop
    told = client.get("/api/queue").json()
    assert ["RIDGE-1", "RIDGE-2"] == [job["job"] for job in told["jobs"]]
    assert {"Ada"} == {task["hand"] for task in told["tasks"] if task["hands_min"]}
    assert 0 == told["jobs"][0]["late_min"]
    assert 1 == told["revision"]


def test_a_held_start_is_kept_and_let_go(shop):
    """Held, it begins then; a stale revision is a conflict; let go, nothing is held."""
    client, desk = shop
    start = local_now(desk).replace(hour=20).isoformat(timespec="minutes")
    pin = {"revision": 1, "job": "RIDGE-2", "start": start}
    told = client.post("/api/queue/pin", json=pin).json()
    first = next(task for task in told["tasks"] if task["job"] == "RIDGE-2")
    assert (start, True) == (first["start"], first["pinned"])
    assert (
        409
        == client.post(
            "/api/queue/pin", json=pin | {"start": None, "before": "RIDGE-1"}
        ).status_code
    )
    told = client.post("/api/queue/unpin", json={"revision": 2, "job": "RIDGE-2"}).json()
    assert [] == told["pins"]


def test_a_start_held_by_job_alone_is_let_go_by_its_step(shop):
    """Whatever name it was held by, one task has one start."""
    client, _ = shop
    pin = {"revision": 1, "job": "RIDGE-2", "start": "2026-12-01T09:00"}
    assert 200 == client.post("/api/queue/pin", json=pin).status_code
    again = {**pin, "revision": 2, "step": "wind", "start": "2026-12-01T10:00"}
    told = client.post("/api/queue/pin", json=again).json()
    assert ["2026-12-01T10:00"] == [one["start"] for one in told["pins"]]
    free = {"revision": 3, "job": "RIDGE-2", "step": "wind"}
    assert [] == client.post("/api/queue/unpin", json=free).json()["pins"]


def test_a_start_that_cannot_be_is_refused_and_not_kept(shop):
    """With the reason at its field and what would do."""
    client, _ = shop
    pin = {"revision": 1, "job": "RIDGE-2", "start": "2026-11-01T09:00"}
    answer = client.post("/api/queue/pin", json=pin)
    assert 422 == answer.status_code
    assert "has gone by" in answer.json()["said"]
    assert 1 == client.get("/api/queue").json()["revision"]
    other = client.post("/api/queue/pin", json=pin | {"job": "NONE", "start": "2026-12-01T09:00"})
    assert 422 == other.status_code


def test_why_a_job_is_late_is_told_with_what_mends_it(shop):
    """Held to next week it is late; letting it go is tried and cures it."""
    client, _ = shop
    pin = {"revision": 1, "job": "RIDGE-1", "start": "2026-12-04T09:00"}
    told = client.post("/api/queue/pin", json=pin).json()
    assert 0 < told["jobs"][0]["late_min"]
    assert "it was set to begin then" in told["jobs"][0]["why"][-1]
    mended = client.get("/api/queue/late/RIDGE-1").json()["mends"]
    assert mended[0]["cures"] and mended[0]["what"] == "unpin RIDGE-1"


def test_settings_that_cannot_be_used_are_refused_at_their_field(shop):
    """Hours that end before they begin, a bench that stands twice."""
    client, _ = shop
    for queue, field in (
        ({"hours": [{"day": "mon", "opens": "17:00", "closes": "09:00"}]}, "hours[1].closes"),
        ({"benches": [{"name": "a"}, {"name": "a"}]}, "benches[2]"),
        ({"closed": ["2026-02-30"]}, "closed[1]"),
        ({"pins": [{"job": "RIDGE-1"}]}, "pins[1]"),
    ):
        answer = client.put("/api/queue", json={"revision": 1, "queue": queue})
        assert 422 == answer.status_code
        assert [field] == [error["field"] for error in answer.json()["errors"]]


def test_a_finished_line_and_a_job_put_away_wait_no_more(shop):
    """Put away, it is no longer in the queue."""
    client, desk = shop
    desk.put_job_away("RIDGE-2", 1) if hasattr(desk, "put_job_away") else client.post(
        "/api/jobs/RIDGE-2/away", json={"revision": 1}
    )
    assert ["RIDGE-1"] == [job["job"] for job in client.get("/api/queue").json()["jobs"]]


def test_the_day_is_printed_on_one_page(shop):
    """The same bytes twice, a PDF of one page that names the jobs of the day."""
    import io

    from pypdf import PdfReader

    client, _ = shop
    one = client.get("/api/queue/day.pdf?on=2026-11-30")
    assert one.content == client.get("/api/queue/day.pdf?on=2026-11-30").content
    reader = PdfReader(io.BytesIO(one.content))
    assert 1 == len(reader.pages)
    text = " ".join(reader.pages[0].extract_text().split())
    assert "Mon 30 Nov" in text and "RIDGE-1" in text and "let down at" in text

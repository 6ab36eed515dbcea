"""Bows that a further line can be made for: of jobs and kept by themselves, newest first."""

from __future__ import annotations

import itertools
from datetime import UTC, datetime, timedelta

import pytest

from strandwright.planning.desk.builds import Desk
from strandwright.planning.planner import Planner
from strandwright.store.memory import MemoryStore


@pytest.fixture
def desk() -> Desk:
    """Give a desk whose clock goes on by a minute each time it is looked at."""
    start, count = datetime(2026, 11, 28, 8, tzinfo=UTC), itertools.count()
    return Desk(
        MemoryStore(), clock=lambda: start + timedelta(minutes=next(count)), planner=Planner(2000)
    )


def known(client):
    """Give the bows that are known."""
    return client.get("/api/bows").json()["known"]


def test_two_cables_of_one_bow_offer_it_once(client):
    """With both jobs; the string's job tells more of the bow, and is offered by itself."""
    for id in ("CRAG-1", "CRAG-2", "CRAG-3"):
        client.post("/api/jobs", json={"example": id})
    assert [(one["source"], one["jobs"]) for one in known(client)] == [
        ("CRAG-3", ["CRAG-3", "CRAG-2"]),
        ("CRAG-1", ["CRAG-1"]),
    ]
    assert "nock" in known(client)[1]["bow"]
    assert known(client)[0]["customer"] == "the smith at Upper Thorne"


def test_what_was_read_with_one_line_on_is_no_part_of_the_bow(client):
    """Figures with the new line on and trials stay with their job; what is wanted goes along."""
    client.post("/api/jobs", json={"example": "SCREE-1"})
    (one,) = known(client)
    of_job = client.get("/api/jobs/SCREE-1").json()["job"]["bow"]
    assert {"now", "trials", "wanted"} <= set(of_job)
    assert one["bow"] == {k: v for k, v in of_job.items() if k not in ("now", "trials")}


def test_a_bow_kept_by_itself_stands_among_them(client):
    """By when it was changed; a job changed later comes before it."""
    client.post("/api/jobs", json={"example": "RIDGE-1"})
    bow = {"kind": "longbow", "name": "heron bow", "draw_weight": "40 lbf"}
    client.put("/api/bows/HERON", json={"revision": 0, "bow": bow})
    assert [one["source"] for one in known(client)] == ["HERON", "RIDGE-1"]
    (first, _) = known(client)
    assert (first["of"], first["customer"], first["jobs"]) == ("heron bow", "", [])
    assert first["bow"] == bow
    change = [{"field": "customer", "value": "the miller"}]
    client.post("/api/jobs/RIDGE-1/change", json={"revision": 1, "changes": change})
    assert [one["source"] for one in known(client)] == ["RIDGE-1", "HERON"]

"""Remakes over HTTP: offered, opened once, counted on the shop's page."""

from __future__ import annotations

from datetime import timedelta

import pytest
from starlette.testclient import TestClient

from bench_work import Work
from finished_line import FITTED, Life, finish
from strandwright.web.app import make_app

ORDER = "2b" * 16
RANGER = "the ranger at Harrowdene"


@pytest.fixture
def work() -> Work:
    """Give a finished ridge string, half a year after its fitting."""
    found = finish(Work())
    found.now = FITTED + timedelta(days=180)
    return found


@pytest.fixture
def page(work):
    """Give a client of an app with the customer's order of today."""
    app = make_app(work.desk, "memory")
    with TestClient(app, base_url="http://127.0.0.1:8471") as found:
        found.put("/api/customers/C1", json={"customer": {"name": RANGER}})
        body = {"customer": "C1", "bow": {"kind": "recurve"}, "lines": 0}
        event = {"id": "9" * 32, "type": "order-opened", "at": work.desk.now(), "body": body}
        assert 200 == found.put(f"/api/orders/{ORDER}", json={"event": event}).status_code
        yield found


def sent(work: Work, **told: str) -> dict:
    """Give a remake as the page sends it."""
    head = {"event": "8" * 32, "at": work.desk.now(), "by": "counter", "build": work.build}
    why = {"cause": "went on creeping", "whose": "shop", "job": "RIDGE-2", "name": "again"}
    return head | why | told


def test_a_line_is_offered_opened_once_and_counted(page, work):
    """Within its warranty by the terms, from the day it was put on its bow."""
    page.put("/api/terms", json={"revision": 0, "terms": {"warranty_days": 365}})
    page.post(f"/api/builds/{work.build}/service", json=Life()("on-bow"))
    (line,) = page.get(f"/api/orders/{ORDER}/came-back").json()["lines"]
    assert (work.build, True) == (line["build"], line["warranty"]["within"])
    for _ in range(2):
        answer = page.post(f"/api/orders/{ORDER}/remakes", json=sent(work))
        assert (200, "RIDGE-2") == (answer.status_code, answer.json()["id"])
    order = page.get(f"/api/orders/{ORDER}").json()
    assert ["RIDGE-2"] == [job["id"] for job in order["jobs"]]
    told = page.get("/api/shop").json()["remakes"]
    assert (1, 1) == (told["rate"]["count"], told["rate"]["of"])
    assert [("went on creeping", "shop")] == [(r["cause"], r["whose"]) for r in told["causes"]]


@pytest.mark.parametrize(
    ("told", "status"), [({"cause": "bad luck"}, 422), ({"build": "7" * 32}, 404)]
)
def test_what_cannot_be_is_refused(page, work, told, status):
    """At its field, and nothing is kept of it."""
    answer = page.post(f"/api/orders/{ORDER}/remakes", json=sent(work, **told))
    assert status == answer.status_code
    assert [] == page.get(f"/api/orders/{ORDER}").json()["jobs"]


def test_a_job_s_id_that_is_taken_is_told_of_the_job(page, work):
    """So that the page tries the next."""
    answer = page.post(f"/api/orders/{ORDER}/remakes", json=sent(work, job="RIDGE-1"))
    assert (409, "job") == (answer.status_code, answer.json()["errors"][0]["field"])

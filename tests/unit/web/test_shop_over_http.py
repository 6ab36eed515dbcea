"""The shop over HTTP: its page, and builds left out and taken in again."""

from __future__ import annotations

import pytest

from bench_work import PLANNER, Work
from strandwright.planning.desk.builds import Desk


@pytest.fixture
def desk() -> Desk:
    """Give a desk with one finished build; the number of its identity is 1."""
    work = Work()
    work.wound()
    work.read("bare")
    work.did("step-done", step="loops")
    work.did("turned", turns=work.advice.act.step.turns)
    work.read("half")
    work.did("turned", turns=work.advice.plan.twist.turns)
    work.did("step-done", step="stretch-twisted")
    work.read("twisted")
    work.did("step-done", step="serve")
    plan = work.advice.plan
    work.read("proof", plan.target.length.value - plan.stage("proof").length.value)
    work.did("locked", turns=work.advice.state.turns, hand="Z")
    return Desk(work.desk.store, planner=PLANNER)


def aside(client, build, **body):
    """Leave a build out or take it in."""
    return client.post(f"/api/shop/builds/{build}/aside", json=body)


def test_a_build_goes_out_and_comes_in_again(client):
    """The page says so each time, with the reason."""
    build = client.get("/api/builds").json()["builds"][0]["id"]
    answer = aside(client, build, left_out=True, because="wrong thread")
    assert answer.json() == {"build": build, "left_out": True}
    page = client.get("/api/shop").json()
    assert [(o["build"], o["because"]) for o in page["left_out"]] == [(build, "wrong thread")]
    assert (page["builds"], page["teaching"]) == (1, 0)
    assert aside(client, build, left_out=False).status_code == 200
    page = client.get("/api/shop?units=mm").json()
    assert (page["left_out"], page["teaching"]) == ([], 1)


def test_without_a_reason_it_is_refused(client):
    """Field, rule and remedy."""
    build = client.get("/api/builds").json()["builds"][0]["id"]
    answer = aside(client, build, left_out=True)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["field"] == "because"


def test_a_build_nobody_finished_is_not_found(client):
    """Neither out nor in."""
    for left_out in (True, False):
        answer = aside(client, "0" * 31 + "f", left_out=left_out, because="odd")
        assert answer.status_code == 404

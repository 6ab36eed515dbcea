"""Builds over HTTP: begun once, told what happened, acknowledged, advised."""

from __future__ import annotations

import itertools

import pytest

NUMBERS = itertools.count(1)
AT = "2026-03-02T09:00:00.000Z"


def fresh():
    """Give an identity that was not used."""
    return f"{next(NUMBERS):032x}"


@pytest.fixture
def build(client, ridge):
    """Give a build of the ridge string, begun."""
    made = fresh()
    body = {"build": made, "event": fresh(), "at": AT, "by": "bench one"}
    assert 200 == client.post(f"/api/jobs/{ridge}/builds", json=body).status_code
    return made


def event(type, /, id=None, at=AT, **body):
    """Give an event as a browser sends it."""
    return {"id": id or fresh(), "type": type, "version": 1, "at": at, "by": "b", "body": body}


def tell(client, build, *events):
    """Send events."""
    return client.post(f"/api/builds/{build}/events", json={"events": list(events)})


def test_begun_twice_it_is_one(client, ridge):
    """A repeat of the start is harmless, as after a lost answer."""
    body = {"build": fresh(), "event": fresh(), "at": AT}
    one = client.post(f"/api/jobs/{ridge}/builds", json=body).json()
    two = client.post(f"/api/jobs/{ridge}/builds", json=body).json()
    assert one == two
    assert 1 == len(client.get("/api/builds").json()["builds"])


def test_events_are_acknowledged_with_their_places(client, build):
    """Sent again they have the same places, and the count stays."""
    sent = [event("posts-set", outside="57 19/32"), event("rounds-laid", run=0, halves=2)]
    one = tell(client, build, *sent).json()
    two = tell(client, build, *sent).json()
    assert [2, 3] == [a["seq"] for a in one["acknowledged"]]
    assert one["acknowledged"] == two["acknowledged"]
    assert 2 == two["advice"]["winding"]["runs"][0]["laid"]


def test_one_bad_event_keeps_the_whole_batch_out(client, build):
    """All or none: the good one in front is not kept either."""
    good, bad = event("posts-set", outside="57 19/32 in"), event("rounds-laid", run=9, halves=2)
    answer = tell(client, build, good, bad)
    assert 422 == answer.status_code
    assert 1 == client.get(f"/api/builds/{build}").json()["seq"]


def test_the_same_id_with_other_content_is_a_conflict(client, build):
    """An identity stands for one event."""
    id = fresh()
    tell(client, build, event("noted", id=id, text="one"))
    assert 409 == tell(client, build, event("noted", id=id, text="two")).status_code


@pytest.mark.parametrize(
    "broken",
    [
        {"type": "moon"}, {"id": "short"}, {"at": "yesterday"}, {"at": "2026-03-02T09:00:00"},
        {"version": 2}, {"version": True}, {"body": 7}, {"body": {"text": ""}}, {"by": 7},
        {"body": {"text": "x", "more": 1}},
    ],
)  # fmt: skip
def test_a_broken_event_is_refused_in_words(client, build, broken):
    """Field, rule and remedy, whatever is wrong with it."""
    answer = tell(client, build, event("noted", text="x") | broken)
    assert 422 == answer.status_code
    assert all(e["rule"] and e["remedy"] for e in answer.json()["errors"])


def test_the_log_is_whole(client, build):
    """Plan, head and every event, in order."""
    tell(client, build, event("posts-set", outside="57 19/32 in"), event("noted", text="<b>"))
    log = client.get(f"/api/builds/{build}/log.json").json()
    assert ["started", "posts-set", "noted"] == [e["type"] for e in log["events"]]
    assert "RIDGE-1" == log["plan"]["job_id"]
    assert build == log["build"]["id"]


def test_an_old_sheet_prints_again_unchanged(client, ridge, build):
    """The sheet of a build is that of its plan, whatever became of the job since."""
    before = client.get(f"/api/builds/{build}/sheet.pdf").content
    body = {"revision": 1, "changes": [{"field": "line.finished", "value": "57 1/2 in"}]}
    assert 200 == client.post(f"/api/jobs/{ridge}/change", json=body).status_code
    assert before == client.get(f"/api/builds/{build}/sheet.pdf").content
    assert before.startswith(b"%PDF")


def test_a_tag_can_be_printed_at_any_time(client, build):
    """Before the end it says that the line is not finished."""
    assert client.get(f"/api/builds/{build}/tag.pdf").content.startswith(b"%PDF")


def test_the_list_of_jobs_leads_to_the_next_act(client, build):
    """A job on the jig comes with its build and what is next there."""
    row = client.get("/api/jobs").json()["jobs"][0]
    assert ("building", build) == (row["state"], row["build"])
    told = client.get("/api/jobs/-/next-acts", params={"job": row["id"]}).json()["jobs"]
    assert "Set the posts" == told[row["id"]]["next"]["title"]
    counts = client.get("/api/builds").json()["counts"]
    assert {"building": 1, "logged": 0, "put aside": 0} == counts
    answer = client.get("/api/builds/-/outcomes", params={"build": build}).json()
    made = answer["builds"][build]
    assert ("Set the posts", "") == (made["next"]["title"], made["read_text"])

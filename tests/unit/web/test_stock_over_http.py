"""Stock over HTTP: received, weighed, promised, listed, chosen from."""

from __future__ import annotations

from typing import Any

import pytest

from stock_work import BLEND, ORDER, PEEP, happening, identity

SPOOL = identity("spool")


def sent(client, log, type, minute=0.0, **body):
    """Send one event."""
    event = happening(type, minute, **body).table()
    return client.post(f"/api/stock/{log}/events", json={"event": event})


@pytest.fixture
def spool(client):
    """Give a spool on the shelf."""
    body: dict[str, Any] = {"ware": BLEND, "lot": "L7", "mass": "1/4 lb", "price": "36.00"}
    assert 200 == sent(client, SPOOL, "received", **body).status_code
    return SPOOL


def test_an_empty_shelf(client):
    """Nothing is there, and nothing is to be ordered."""
    answer = client.get("/api/stock").json()
    assert {"wares": [], "spools": 0, "to_order": [], "worth_text": ""} == answer


def test_received_and_listed(client, spool):
    """It stands on the shelf with its amount in feet and grams."""
    ware = client.get("/api/stock").json()["wares"][0]
    assert "strand hmpe-lcp #2F6B57" == ware["key"]
    row = ware["spools"][0]
    assert (spool, "#2F6B57", "L7") == (row["id"], row["colour"], row["lot"])
    assert row["left_text"].endswith(" ft")
    assert row["mass_text"].endswith(" g")


def test_sent_twice_it_is_one(client, spool):
    """As after a lost answer."""
    one = sent(client, spool, "used", 1, length="116 ft", job="RIDGE-1").json()
    two = sent(client, spool, "used", 1, length="116 ft", job="RIDGE-1").json()
    assert one == two
    assert 2 == len(client.get(f"/api/stock/{spool}").json()["entries"])


def test_a_promise_beyond_what_is_free_is_refused_at_its_field(client, spool):
    """Field, given, rule and remedy, as every refusal has them."""
    answer = sent(client, spool, "reserved", 1, order=ORDER, job="J", length="600 m")
    assert 422 == answer.status_code
    error = answer.json()["errors"][0]
    assert ("stock-reserved.length", "600 m") == (error["field"], error["given"])
    assert "no more than is free" in error["rule"]
    kept = sent(client, spool, "reserved", 1, order=ORDER, job="J", length="100 m").json()
    assert "328 ft" == kept["reserved_text"]


def test_what_is_not_of_stock_is_refused(client, spool):
    """Another kind of event, another kind of body, a spool nobody has."""
    event = happening("used", length="1 m").table() | {"type": "strands-counted"}
    event["body"] = {"strands": 24}
    answer = client.post(f"/api/stock/{spool}/events", json={"event": event})
    assert (422, "event.type") == (answer.status_code, answer.json()["errors"][0]["field"])
    assert 404 == sent(client, identity("nobody's"), "used", length="1 m").status_code
    assert 404 == client.get(f"/api/stock/{identity('nobody')}").status_code
    again = sent(client, spool, "received", 5, ware=BLEND, mass="1/4 lb")
    assert 409 == again.status_code


def test_small_parts(client):
    """Counted, not weighed."""
    parts = identity("parts")
    assert 200 == sent(client, parts, "received", ware=PEEP, count=20).status_code
    row = sent(client, parts, "counted", 1, count=18).json()
    assert ("18 pieces", "", True) == (row["left_text"], row["mass_text"], row["counted"])
    assert 422 == sent(client, parts, "weighed", 1, gross="20 g").status_code


def test_spools_for_a_job(client, ridge, need_library):
    """Both colours of the ridge string: what is missing is told, then it is all there."""
    need_library("ortools")
    answer = client.get(f"/api/stock/-/spools?job={ridge}").json()
    colours = {one["name"]: one for one in answer["lines"] if one["ware"]["kind"] == "strand"}
    assert all(one["missing"] == one["rounds"] > 0 for one in colours.values())
    assert "order what is missing" in answer["said"]
    for one in answer["lines"]:
        body: dict[str, Any] = {"ware": one["ware"], "lot": "L1", "length": "600 m +- 2"}
        log = identity(f"{one['ware']}")
        assert 200 == sent(client, log, "received", **body).status_code
    answer = client.get(f"/api/stock/-/spools?job={ridge}").json()
    assert [] == [one for one in answer["lines"] if one["missing"] or len(one["pieces"]) != 1]
    assert answer["proved"]
    assert "no other choice is better" in answer["said"]
    assert all(goal["bound"] == goal["value"] for goal in answer["goals"])


def test_spools_promised_to_these_jobs_are_theirs(client, ridge, need_library):
    """What is promised to a job is not taken from it by its own promise."""
    need_library("ortools")
    first = client.get(f"/api/stock/-/spools?job={ridge}").json()["lines"][0]
    log = identity("own")
    body: dict[str, Any] = {"ware": first["ware"], "lot": "L1", "length": "60 m +- 0.1"}
    sent(client, log, "received", **body)
    sent(client, log, "reserved", 1, order=ORDER, job="SOMEBODY", length="55 m")
    missing = client.get(f"/api/stock/-/spools?job={ridge}").json()["lines"][0]["missing"]
    sent(client, log, "freed", 2, order=ORDER, job="SOMEBODY")
    sent(client, log, "reserved", 3, order=ORDER, job=ridge, length="55 m")
    assert 0 == client.get(f"/api/stock/-/spools?job={ridge}").json()["lines"][0]["missing"]
    assert missing > 0

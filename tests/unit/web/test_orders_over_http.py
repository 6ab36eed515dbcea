"""The counter over HTTP: a customer, an order, its events, its lines, its photos, its label."""

from __future__ import annotations

import hashlib
import io

import pytest
from PIL import Image

from order_events import event, measured, opened, sound
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.examples import example

ORDER = "12345678" + "0" * 24
PATH = f"/api/orders/{ORDER}"
ADA = {"name": "Ada Reed", "reach": [{"by": "e-mail", "at": "ada@example.org"}]}
RIDGE = tables_of(example("RIDGE-1"))
LINE = {
    "id": "CRAG-1",
    "name": "String for the crag bow",
    "shorthand": "57 1/4: 0-17, 26 3/4-30 1/2, 17-0",
    "strand": RIDGE["makeup"]["strand"],
    "strands": 24,
    "thread": "braid-018",
    "loop": "7/8 in",
    "bench": RIDGE["bench"],
}


def picture(kind: str = "JPEG") -> bytes:
    """Give a small photo."""
    out = io.BytesIO()
    Image.new("RGB", (8, 6), "#9A6200").save(out, kind)
    return out.getvalue()


def put_photo(client, content: bytes, kind: str = "image/jpeg", name: str = ""):
    """Send a photo under its digest, or under another."""
    name = name or hashlib.sha256(content).hexdigest()
    return client.put(f"/api/photos/{name}", content=content, headers={"content-type": kind})


@pytest.fixture
def counter(client):
    """Give a client at whose counter one order stands open."""
    client.put("/api/customers/C1", json={"revision": 0, "customer": ADA})
    answer = client.put(PATH, json={"event": opened().table()})
    assert 200 == answer.status_code, answer.text
    return client


def record(client, *events):
    """Record events of the order."""
    return client.post(f"{PATH}/events", json={"events": [one.table() for one in events]})


def test_a_customer_is_kept_found_and_changed(client):
    """By a part of their name or address, in whatever case; put away they are out of the list."""
    body = {"revision": 0, "customer": ADA}
    assert {"id": "C1", "revision": 1} == client.put("/api/customers/C1", json=body).json()
    for words in ("reed", "ADA", "example.org", ""):
        found = client.get("/api/customers", params={"words": words}).json()
        assert ["Ada Reed"] == [one["name"] for one in found["customers"]]
    assert [] == client.get("/api/customers?words=thorn").json()["customers"]
    stale = client.put("/api/customers/C1", json={"revision": 0, "customer": {"name": "B"}})
    assert 409 == stale.status_code
    client.put("/api/customers/C1", json={"revision": 1, "customer": ADA, "put_away": True})
    assert [] == client.get("/api/customers").json()["customers"]
    assert client.get("/api/customers/C1").json()["put_away"]


def test_an_order_goes_from_the_counter_to_ready_to_measure(counter):
    """Each answer is the whole page with the one next act."""
    page = counter.get(PATH).json()
    assert ("28T5CY", "look", "Ada Reed") == (
        page["number"], page["next"]["key"], page["customer"]["name"],
    )  # fmt: skip
    assert "measure bow" == record(counter, sound()).json()["next"]["key"]
    content = picture()
    name = hashlib.sha256(content).hexdigest()
    put_photo(counter, content)
    look = measured().table()
    look["body"]["photos"] = [name]
    answer = counter.post(f"{PATH}/events", json={"events": [look]}).json()
    assert "take off" == answer["next"]["key"]
    assert "ready to measure" in answer["next"]["said"]
    assert [{"id": look["id"], "seq": 3}] == answer["acknowledged"]
    assert {**answer, "acknowledged": 0} == {**counter.get(PATH).json(), "acknowledged": 0}


def test_bare_figures_take_the_units_that_are_sent(counter):
    """Millimetres on a metric page."""
    look = event(3, "bow-looked-at").table() | {"body": {"baseline": {"brace_height": "175"}}}
    answer = counter.post(f"{PATH}/events", json={"events": [look], "units": "mm"}).json()
    texts = {figure["name"]: figure["text"] for figure in answer["figures"]}
    assert "175 mm" == texts["brace_height"]


def test_a_slip_is_told_at_its_field_and_nothing_is_recorded(counter):
    """422 with field, rule and remedy; none of what was sent with it is recorded."""
    odd = event(3, "bow-looked-at", baseline={"brace_height": "68 7/8 in"})
    answer = record(counter, sound(), odd)
    assert 422 == answer.status_code
    (error,) = answer.json()["errors"]
    assert "bow-looked-at.baseline.brace_height" == error["field"]
    assert error["remedy"]
    assert 1 == len(counter.get(f"{PATH}/log.json").json()["events"])


def test_an_event_sent_twice_is_one(counter):
    """As after a lost answer; another content under its identity is a conflict."""
    first, again = record(counter, sound()), record(counter, sound())
    assert first.json() == again.json()
    assert 409 == record(counter, event(2, "noted", text="another")).status_code


def test_a_line_of_an_order_is_a_job_with_its_customer_and_bow(counter):
    """And stands on the order's page."""
    record(counter, sound(), event(5, "bow-looked-at", baseline={"brace_height": "6 7/8 in"}))
    body = {"event": "5" * 32, "at": "2026-11-28T11:00:00Z", "line": LINE}
    assert {"id": "CRAG-1", "order": ORDER} == counter.post(f"{PATH}/jobs", json=body).json()
    assert 200 == counter.post(f"{PATH}/jobs", json=body).status_code
    job = counter.get("/api/jobs/CRAG-1").json()["job"]
    assert ("Ada Reed", "crag bow", "6 7/8 in") == (
        job["customer"], job["bow"]["name"], job["bow"]["brace_height"],
    )  # fmt: skip
    assert ["CRAG-1"] == [one["id"] for one in counter.get(PATH).json()["jobs"]]
    lost = body | {"line": LINE | {"bench": "none"}}
    assert 422 == counter.post(f"{PATH}/jobs", json=lost).status_code


def test_orders_are_listed_by_how_they_stand_and_found_by_what_people_say(counter):
    """By number, misread too; by bow, by customer; by status with how many there are of each."""
    other = "f" * 32
    counter.put("/api/customers/C2", json={"customer": {"name": "Ben Thorn"}})
    told = opened(40, customer="C2", bow={"kind": "longbow", "name": "heath bow"}).table()
    counter.put(f"/api/orders/{other}", json={"event": told})
    record(counter, sound())
    both = counter.get("/api/orders").json()
    assert [other, ORDER] == [one["id"] for one in both["orders"]]
    assert {"opened": 1, "looked at": 1} == both["counts"]
    for words, id in (
        ("28t5-cy", ORDER), ("crag", ORDER), ("reed", ORDER), ("ADA reed", ORDER),
        ("zzzzzz", other), ("heath", other), ("longbow", other), ("thorn", other),
        ("two-cam", ORDER), ("TWO cam", ORDER),
    ):  # fmt: skip
        found = counter.get("/api/orders", params={"words": words}).json()["orders"]
        assert [id] == [one["id"] for one in found], words
    assert [] == counter.get("/api/orders?words=nobody").json()["orders"]
    (row,) = counter.get("/api/orders", params={"status": "looked at"}).json()["orders"]
    assert ("Ada Reed", "crag bow", 3) == (row["name"], row["bow"], row["lines"])
    assert ORDER == counter.get("/api/orders/28t5cy").json()["id"]
    assert [ORDER] == [one["id"] for one in counter.get("/api/customers/C1").json()["orders"]]


def test_what_forbids_the_work_stands_in_the_list(counter):
    """Before anybody refused it; one thing alone leaves the bow to be looked over."""
    crack = {"finding": "cracked limb", "decision": "refuse"}
    record(counter, event(3, "bow-looked-at", findings=[crack]))
    (row,) = counter.get("/api/orders", params={"status": "opened"}).json()["orders"]
    assert ("cracked limb", "") == (row["forbids"], row["refused"])
    record(counter, event(4, "order-refused", why="A limb is cracked."))
    (row,) = counter.get("/api/orders", params={"status": "refused"}).json()["orders"]
    assert "A limb is cracked." == row["refused"]


def test_a_long_list_is_read_on_page_by_page(counter):
    """None is missed and none comes twice."""
    for n in range(120):
        id = f"{n:08x}" + "1" * 24
        assert (
            200
            == counter.put(f"/api/orders/{id}", json={"event": opened(500 + n).table()}).status_code
        )
    seen: list[str] = []
    behind: dict[str, str] = {}
    while True:
        page = counter.get("/api/orders", params={"status": "opened"} | behind).json()
        seen += [one["id"] for one in page["orders"]]
        if page["more"] == {}:
            break
        behind = dict(zip(("at", "id"), page["more"]["opened"], strict=True))
    assert 121 == len(seen) == len(set(seen))


def test_what_is_closed_does_not_stand_in_the_way_of_what_is_open(counter):
    """However many were closed since; it is found by words and by its status."""
    for n in range(60):
        id = f"{n:08x}" + "2" * 24
        bow = {"kind": "recurve", "name": "done bow"}
        counter.put(f"/api/orders/{id}", json={"event": opened(700 + n, bow=bow).table()})
        closing = {"events": [event(900 + n, "order-closed").table()]}
        assert 200 == counter.post(f"/api/orders/{id}/events", json=closing).status_code
    first = counter.get("/api/orders").json()
    assert [ORDER] == [one["id"] for one in first["orders"]]
    assert {"opened": 1, "closed": 60} == first["counts"]
    closed = counter.get("/api/orders", params={"status": "closed"}).json()
    assert (50, ["closed"]) == (len(closed["orders"]), list(closed["more"]))
    assert 50 == len(counter.get("/api/orders", params={"words": "done bow"}).json()["orders"])


@pytest.mark.parametrize(("kind", "media"), [("JPEG", "image/jpeg"), ("PNG", "image/png")])
def test_a_photo_is_kept_and_given_back(client, kind, media):
    """The same bytes, said to be what they are, kept by the browser for good."""
    content = picture(kind)
    answer = put_photo(client, content, media)
    assert {"id": hashlib.sha256(content).hexdigest()} == answer.json()
    assert 200 == put_photo(client, content, media).status_code
    found = client.get(f"/api/photos/{answer.json()['id']}")
    assert (content, media) == (found.content, found.headers["content-type"])
    assert "immutable" in found.headers["cache-control"]
    assert "nosniff" == found.headers["x-content-type-options"]


def test_what_is_no_photo_is_refused(client):
    """By its bytes, by its digest, by its size, by how it is sent; a page of text is none."""
    page = b"<html><script>alert(1)</script></html>"
    answer = put_photo(client, page)
    assert (422, "photo") == (answer.status_code, answer.json()["errors"][0]["field"])
    assert 422 == put_photo(client, picture(), name="0" * 64).status_code
    assert 415 == put_photo(client, picture(), "image/svg+xml").status_code
    assert 415 == put_photo(client, picture(), "application/json").status_code
    assert 413 == put_photo(client, picture() + b"\0" * 3_100_000).status_code
    assert 404 == client.get(f"/api/photos/{'0' * 64}").status_code
    assert 422 == client.get("/api/photos/passwd").status_code


def test_a_photo_is_sent_to_its_own_place_only(client):
    """Elsewhere the body must be JSON as ever."""
    headers = {"content-type": "image/jpeg"}
    assert 415 == client.put(PATH, content=picture(), headers=headers).status_code


def test_the_label_of_an_order_is_a_small_pdf(counter):
    """Found by the number that is printed on it."""
    answer = counter.get("/api/orders/28T5CY/label.pdf")
    assert (200, "application/pdf") == (answer.status_code, answer.headers["content-type"])
    assert answer.content.startswith(b"%PDF")
    assert '"28T5CY.pdf"' in answer.headers["content-disposition"].replace("=", "")
    assert 404 == counter.get("/api/orders/000000/label.pdf").status_code


def test_what_is_not_kept_is_not_found(client):
    """404 for a number nobody has, 422 for what is none."""
    assert 404 == client.get(PATH).status_code
    assert 404 == client.get("/api/orders/28T5CY").status_code
    assert 422 == client.get("/api/orders/28T5CU").status_code
    assert 404 == client.get("/api/customers/C9").status_code
    assert 404 == record(client, sound()).status_code

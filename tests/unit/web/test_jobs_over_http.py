"""Jobs over HTTP: kept, changed, tried, undone, printed, and refused in words."""

from __future__ import annotations

import tomllib

import pytest


def change(client, id, revision, field, value, **more):
    """Send one change."""
    body = {"revision": revision, "changes": [{"field": field, "value": value}], **more}
    return client.post(f"/api/jobs/{id}/change", json=body)


def test_an_empty_store_has_no_jobs(client):
    """The first answer is an empty list."""
    assert {"jobs": [], "counts": {}, "more": []} == client.get("/api/jobs").json()


def test_an_example_is_kept_once(client, ridge):
    """A second one of the same id is a conflict, told with the id."""
    answer = client.post("/api/jobs", json={"example": "RIDGE-1"})
    assert ridge == "RIDGE-1"
    # The very same content again is no change: it is answered with what is kept.
    assert answer.status_code in (200, 409)
    other = client.get("/api/jobs/RIDGE-1").json()["job"] | {"name": "another"}
    refused = client.post("/api/jobs", json={"job": other})
    assert 409 == refused.status_code
    assert "RIDGE-1" in refused.json()["said"]
    assert "another id" in refused.json()["errors"][0]["remedy"]


def test_a_job_has_its_plan_strip_and_handles(client, ridge):
    """Everything the strip's screen shows comes in one answer."""
    found = client.get(f"/api/jobs/{ridge}?width=800").json()
    strip = found["view"]["strip"]
    assert strip["svg"].startswith("<svg")
    assert strip["width"] == 800
    fields = [h["field"] for h in strip["handles"]]
    assert "line.servings[3].start" in fields
    assert "line.marks[1].at" in fields
    assert "line.finished" == fields[-1]
    assert all(0 <= h["x"] <= 800 for h in strip["handles"])
    assert found["view"]["plan"]["twist"]["turns"] == 28.0
    assert abs(sum(b["share"] for b in found["view"]["budget"])) <= 1.0 + 1e-9


def test_a_try_follows_and_keeps_nothing(client, ridge):
    """A dragged edge comes back snapped, with its number, under the number it was sent by."""
    body = {"seq": 7, "changes": [{"field": "line.servings[3].start", "at_m": 0.6741}]}
    tried = client.post(f"/api/jobs/{ridge}/try", json=body).json()
    assert 7 == tried["seq"]
    assert "26 9/16 in" == tried["job"]["line"]["servings"][2]["start"]
    assert 1 == client.get(f"/api/jobs/{ridge}").json()["revision"]


def test_a_change_is_kept_and_undone(client, ridge):
    """A change makes revision 2; going back makes revision 3 with the content of 1."""
    kept = change(client, ridge, 1, "line.servings[3].start", "26 1/2").json()
    assert 2 == kept["revision"]
    first = client.post(f"/api/jobs/{ridge}/revert", json={"revision": 2, "to": 1}).json()
    assert 3 == first["revision"]
    assert "start" not in first["job"]["line"]["servings"][2]
    numbers = client.get(f"/api/jobs/{ridge}/revisions").json()["revisions"]
    assert [1, 2, 3] == [r["revision"] for r in numbers]


def test_a_change_on_an_old_revision_is_a_conflict(client, ridge):
    """Two tabs: the second is told the newest revision and nothing is lost."""
    change(client, ridge, 1, "name", "one")
    answer = change(client, ridge, 1, "name", "two")
    assert 409 == answer.status_code
    assert 2 == answer.json()["revision"]
    assert "one" == client.get(f"/api/jobs/{ridge}").json()["job"]["name"]


@pytest.mark.parametrize(
    ("field", "value", "rule"),
    [
        ("line.servings[3].start", "76 1/2", "must start before it stops"),
        ("line.servings[3].start", "seven", ""),
        ("line.finished", "5000 in", ""),
        ("makeup.strands", 23, "must add up"),
        ("bench.longest", "40 in", "must reach"),
        ("makeup.strand", "spider silk", ""),
        ("line.zero_end.size", "1/64 in", ""),
    ],
)
def test_what_cannot_be_is_told_at_the_field_and_not_kept(client, ridge, field, value, rule):
    """Field, value, rule and remedy; the job stays at its revision."""
    answer = change(client, ridge, 1, field, value, seq=3)
    assert 422 == answer.status_code
    body = answer.json()
    assert 3 == body["seq"]
    error = body["errors"][0]
    assert field == error["field"]
    assert rule in error["rule"]
    assert error["remedy"]
    assert 1 == client.get(f"/api/jobs/{ridge}").json()["revision"]


def test_a_job_that_cannot_be_planned_can_be_mended_step_by_step(client, ridge):
    """Where no plan is possible any change is kept, so that two can mend it."""
    table = client.get(f"/api/jobs/{ridge}").json()["job"]
    table["makeup"]["strands"] = 23
    kept = client.put(f"/api/jobs/{ridge}", json={"revision": 1, "job": table}).json()
    assert kept["view"] is None
    assert kept["errors"]
    assert "to start" == client.get("/api/jobs").json()["jobs"][0]["state"]
    told = client.get("/api/jobs/-/next-acts", params={"job": [ridge, "NONE"]}).json()["jobs"]
    assert {ridge: "cannot be planned"} == {id: row["state"] for id, row in told.items()}
    assert "must add up to makeup.strands, 23" in told[ridge]["said"]
    assert 200 == change(client, ridge, 2, "name", "still odd").status_code
    mended = change(client, ridge, 3, "makeup.strands", 24).json()
    assert mended["view"] is not None


def test_a_line_from_shorthand(client):
    """A name, the shorthand and what cannot be guessed make a job that plans."""
    client.put(
        "/api/benches/beam",
        json={"revision": 0, "bench": {"zero_post": "1/2 in", "longest": "120 in"}},
    )
    body = {
        "id": "NEW-1",
        "name": "Harrow string",
        "shorthand": "58 1/2: 0-17, 20-22, 27-31, 17-0",
        "kind": "string",
        "bow": {"kind": "two-cam", "draw_weight": "60 lbf"},
        "strand": "hmpe-lcp",
        "colours": [{"name": "peat", "colour": "#5B4A32", "strands": 24}],
        "thread": "braid-018",
        "centre_thread": "braid-021",
        "loop": "7/8 in",
        "bench": "beam",
    }
    made = client.post("/api/jobs/from-shorthand", json=body)
    assert 200 == made.status_code, made.json()
    found = client.get("/api/jobs/NEW-1").json()
    assert found["view"] is not None, found["errors"]
    uses = [s.get("use", "end") for s in found["job"]["line"]["servings"]]
    assert ["end", "free", "centre", "end"] == uses


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"shorthand": ""}, "line.shorthand"),
        ({"shorthand": "58 1/2: 0-99"}, "line.shorthand"),
        ({"bench": "nowhere"}, "bench"),
        ({"bench": None}, "bench"),
        ({"loop": "wide"}, "line.zero_end.size"),
        ({"loop": "20 in"}, "line.zero_end.size"),
        ({"bow": {"kind": "recurve", "bow_length": "3 in"}}, "bow.bow_length"),
        ({"tolerance": "9 in"}, "line.tolerance"),
        ({"id": "a b"}, "id"),
        ({"bow": 7}, "bow"),
        ({"colours": [{"name": "x", "colour": "red", "strands": 24}]}, "makeup.colours[1].colour"),
    ],
)
def test_a_bad_entry_names_its_field(client, changes, field):
    """Whatever was typed wrong is named, and no job is kept."""
    bench = {"zero_post": "1/2 in", "longest": "120 in"}
    body = {
        "id": "NEW-1", "name": "n", "shorthand": "58 1/2: 0-17, 17-0", "bow": {"kind": "recurve"},
        "strand": "hmpe", "strands": 16, "loop": "3 in", "bench": bench,
    } | changes  # fmt: skip
    answer = client.post("/api/jobs/from-shorthand", json=body)
    assert answer.status_code in (404, 422)
    assert field in [e["field"] for e in answer.json()["errors"]]
    assert [] == client.get("/api/jobs").json()["jobs"]


def test_papers_of_a_job(client, ridge):
    """The sheet is a PDF, the file reads back, the strip is a drawing."""
    assert client.get(f"/api/jobs/{ridge}/sheet.pdf").content.startswith(b"%PDF")
    text = client.get(f"/api/jobs/{ridge}/job.toml").text
    assert "RIDGE-1" == tomllib.loads(text)["id"]
    assert client.get(f"/api/jobs/{ridge}/strip.svg?width=390&theme=dark").text.startswith("<svg")


def test_a_matched_spare(client, ridge):
    """The same line under another id, not built yet."""
    answer = client.post(f"/api/jobs/{ridge}/again", json={"id": "RIDGE-9", "name": "spare"})
    assert {"id": "RIDGE-9", "revision": 1} == answer.json()
    one, two = (client.get(f"/api/jobs/{i}").json()["job"] for i in (ridge, "RIDGE-9"))
    assert one["line"] == two["line"]


def test_a_job_is_put_away_and_brought_back(client, ridge):
    """Out of use is a further revision; nothing is deleted."""
    body = {"revision": 1, "put_away": True}
    assert 2 == client.post(f"/api/jobs/{ridge}/away", json=body).json()["revision"]
    assert client.get("/api/jobs").json()["jobs"][0]["put_away"]
    body = {"revision": 2, "put_away": False}
    client.post(f"/api/jobs/{ridge}/away", json=body)
    assert not client.get("/api/jobs").json()["jobs"][0]["put_away"]


def test_a_bench_gives_its_change_to_the_jobs_not_begun(client, ridge):
    """A post measured anew reaches the jobs on that bench; one being built keeps its plan."""
    bench = client.get(f"/api/jobs/{ridge}").json()["job"]["bench"]
    client.put("/api/benches/long-beam", json={"revision": 0, "bench": bench})
    new = bench | {"zero_post": "5/8 in"}
    kept = client.put("/api/benches/long-beam", json={"revision": 1, "bench": new}).json()
    assert [ridge] == kept["changed_jobs"]
    found = client.get(f"/api/jobs/{ridge}").json()
    assert "5/8 in" == found["job"]["bench"]["zero_post"]
    assert [ridge] == client.get("/api/benches").json()["benches"][0]["jobs"]


@pytest.mark.parametrize(
    "bench",
    [
        {},
        {"zero_post": "x", "longest": "9 in"},
        {"moon": 1},
        {"zero_post": "99 in", "longest": "120 in"},
        {"zero_post": "1/2 in", "longest": "120 in", "tape_reads": "3 in"},
        {"zero_post": "1/2 in", "longest": "120 in", "tape_reads": "0.0001 in"},
        {"zero_post": "1/2 in", "longest": "120 in", "temperature": "666 degF"},
        {"zero_post": "1/2 in", "longest": "120 in", "rating": "-5 lbf"},
    ],
)
def test_a_bad_bench_names_its_field(client, bench):
    """Fields of a bench are told as bench.something."""
    answer = client.put("/api/benches/b", json={"revision": 0, "bench": bench})
    assert 422 == answer.status_code
    assert all(e["field"].startswith("bench.") for e in answer.json()["errors"])
    assert [] == client.get("/api/benches").json()["benches"]


@pytest.mark.parametrize("address", ["/api/jobs/NO", "/api/builds/" + "0" * 32, "/api/nothing"])
def test_what_is_not_kept_is_told(client, address):
    """Not found, in words."""
    answer = client.get(address)
    assert 404 == answer.status_code
    assert answer.json()["said"]


#: Turns what follows round where it is shown.
TURNED = "ridge\u202egnirts"


def test_a_new_text_with_an_unseen_character_is_refused_at_every_door(client, ridge):
    """What could be kept but never planned is told at its field, and nothing is kept."""
    job = client.get(f"/api/jobs/{ridge}").json()["job"]
    bench = job["bench"] | {"name": TURNED}
    doors = [
        client.post("/api/jobs", json={"job": job | {"id": "RIDGE-9", "name": TURNED}}),
        client.put(f"/api/jobs/{ridge}", json={"revision": 1, "job": job | {"name": TURNED}}),
        client.post(f"/api/jobs/{ridge}/again", json={"id": "RIDGE-9", "name": TURNED}),
        change(client, ridge, 1, "name", TURNED),
        change(client, ridge, 1, "customer", TURNED),
        client.put("/api/benches/B-1", json={"revision": 0, "bench": bench}),
        client.put("/api/bows/W-1", json={"revision": 0, "bow": job["bow"] | {"name": TURNED}}),
    ]
    fields = [answer.json()["errors"][0]["field"] for answer in doors]
    assert [422] * len(doors) == [answer.status_code for answer in doors]
    assert ["name", "name", "name", "name", "customer", "bench.name", "bow.name"] == fields
    assert all("U+202E" in answer.json()["errors"][0]["rule"] for answer in doors)
    assert all(answer.json()["errors"][0]["remedy"] for answer in doors)
    assert 1 == client.get(f"/api/jobs/{ridge}").json()["revision"]
    assert [ridge] == [kept["id"] for kept in client.get("/api/jobs").json()["jobs"]]
    assert [] == client.get("/api/bows").json()["bows"]


def test_an_older_name_with_an_unseen_character_does_not_stand_in_the_way(client, desk, ridge):
    """What is kept already can be put away, and mended field by field."""
    document = desk.store.document("job", ridge)
    table = document.table | {"name": TURNED}
    desk.store.save("job", ridge, table, at=desk.now(), expected=document.revision)
    away = client.post(f"/api/jobs/{ridge}/away", json={"revision": 2, "put_away": True})
    assert 200 == away.status_code
    assert 200 == change(client, ridge, 3, "customer", "the ranger").status_code
    mended = change(client, ridge, 4, "name", "ridge string")
    assert mended.json()["view"] is not None


def test_a_long_list_is_shown_in_part_and_searched_whole(client, ridge):
    """So many of each state, the latest first; words find what is not shown."""
    for n in range(7):
        again = {"id": f"SPARE-{n}", "name": f"spare {n}"}
        assert 200 == client.post(f"/api/jobs/{ridge}/again", json=again).status_code
    client.post("/api/jobs/SPARE-1/away", json={"revision": 1, "put_away": True})
    found = client.get("/api/jobs", params={"limit": 3}).json()
    shown = [job["id"] for job in found["jobs"] if not job["put_away"]]
    assert ["SPARE-6", "SPARE-5", "SPARE-4"] == shown
    assert ["to start"] == found["more"]
    assert {"to start": 7, "put away": 1} == found["counts"]
    words = client.get("/api/jobs", params={"limit": 3, "words": "SPARE 0"}).json()
    assert ["SPARE-0"] == [job["id"] for job in words["jobs"]]
    away = client.get("/api/jobs", params={"state": "put away"}).json()
    assert ["SPARE-1"] == [job["id"] for job in away["jobs"]]
    assert 422 == client.get("/api/jobs", params={"limit": 0}).status_code

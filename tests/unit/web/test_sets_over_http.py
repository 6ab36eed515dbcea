"""Sets over HTTP: kept, planned, printed, refused; and the matched spare of a build."""

from __future__ import annotations

from io import BytesIO

import pytest
from pypdf import PdfReader
from starlette.testclient import TestClient

from bench_work import Work
from finished_line import finish
from strandwright.web.app import make_app
from strandwright.workshop.line_set import read_set

JOBS = ("RIDGE-1", "RIDGE-2", "RIDGE-3")


def table(*jobs, **changes):
    """Give the tables of a set."""
    lines = [{"job": job} for job in jobs or JOBS]
    return {"id": "RIDGE", "name": "lines of the ridge bow", "lines": lines} | changes


@pytest.fixture
def ridge_set(client):
    """Keep the jobs of the ridge bow and the set of them."""
    for job in JOBS:
        client.post("/api/jobs", json={"example": job})
    answer = client.post("/api/sets", json={"set": table()})
    assert {"id": "RIDGE", "revision": 1} == answer.json()
    return client


def test_a_set_is_planned_with_its_strips_and_states(ridge_set):
    """Everything the screen shows, each line to one scale, to be started."""
    told = ridge_set.get("/api/sets/RIDGE?width=900&theme=dark").json()
    assert list(JOBS) == [line["job"] for line in told["lines"]]
    assert {"to start"} == {line["state"] for line in told["lines"]}
    scales = [line["strip"]["px_per_m"] for line in told["lines"]]
    assert scales[0] == pytest.approx(scales[1]) == pytest.approx(scales[2])
    assert all("<svg" in line["strip"]["svg"] for line in told["lines"])
    for key in ("cut", "orders", "fits", "schedule", "checks", "pairs", "chance"):
        assert key in told


def test_a_line_on_the_jig_is_told_of(ridge_set):
    """Its build and its state, in the list as on the screen."""
    body = {"build": "a" * 32, "event": "b" * 32, "at": "2026-03-02T09:00:00Z"}
    ridge_set.post("/api/jobs/RIDGE-2/builds", json=body)
    (row,) = ridge_set.get("/api/sets").json()["sets"]
    states = [(line["job"], line["name"], line["state"]) for line in row["lines"]]
    assert ("RIDGE-2", "upper cable", "building") == states[1]
    line = ridge_set.get("/api/sets/RIDGE").json()["lines"][1]
    assert ("building", "a" * 32) == (line["state"], line["build"])


def test_a_set_is_changed_put_away_and_brought_back(ridge_set):
    """Each a further revision; an older one is not written over."""
    pairs = [{"one": "RIDGE-2", "other": "RIDGE-3"}]
    changed = ridge_set.put("/api/sets/RIDGE", json={"revision": 1, "set": table(pairs=pairs)})
    assert 2 == changed.json()["revision"]
    assert 1 == len(ridge_set.get("/api/sets/RIDGE").json()["pairs"])
    late = ridge_set.put("/api/sets/RIDGE", json={"revision": 1, "set": table(name="other")})
    assert (409, 2) == (late.status_code, late.json()["revision"])
    away = ridge_set.post("/api/sets/RIDGE/away", json={"revision": 2, "put_away": True})
    assert 3 == away.json()["revision"]
    assert ridge_set.get("/api/sets/RIDGE").json()["put_away"]


def test_a_line_that_cannot_be_planned_leaves_the_others(ridge_set):
    """It is told of, and the rest is answered."""
    job = ridge_set.get("/api/jobs/RIDGE-3").json()
    broken = job["job"] | {"bench": job["job"]["bench"] | {"longest": "30 in", "shortest": "10 in"}}
    put = ridge_set.put("/api/jobs/RIDGE-3", json={"revision": 1, "job": broken})
    assert 200 == put.status_code
    told = ridge_set.get("/api/sets/RIDGE").json()
    assert ["RIDGE-1", "RIDGE-2"] == [line["job"] for line in told["lines"]]
    (gone,) = told["unplanned"]
    assert "RIDGE-3" == gone["job"]
    assert "bench.longest" in gone["said"]


def test_the_papers_of_a_set(ridge_set):
    """One PDF with a cover and the sheets, and the set's file."""
    pdf = ridge_set.get("/api/sets/RIDGE/sheet.pdf")
    assert "application/pdf" == pdf.headers["content-type"]
    assert len(PdfReader(BytesIO(pdf.content)).pages) > 6
    text = ridge_set.get("/api/sets/RIDGE/set.toml").text
    assert JOBS == read_set(text).jobs


@pytest.mark.parametrize(
    ("changes", "status", "field"),
    [
        ({"lines": [{"job": "NONE"}]}, 422, "lines[1].job"),
        ({"lines": []}, 422, "lines"),
        ({"id": "a b"}, 422, "id"),
        ({"name": "a\u202eb"}, 422, "name"),
        ({"pairs": [{"one": "RIDGE-1", "other": "NONE"}]}, 422, "pairs[1].other"),
        ({"name": "other"}, 409, "set"),
    ],
)
def test_what_cannot_be_kept_is_refused(ridge_set, changes, status, field):
    """With field, value, rule and remedy; nothing is kept."""
    answer = ridge_set.post("/api/sets", json={"set": table(**changes)})
    assert status == answer.status_code
    (error,) = answer.json()["errors"]
    assert field == error["field"]
    assert error["rule"]
    assert error["remedy"]
    assert 1 == len(ridge_set.get("/api/sets").json()["sets"])


def test_a_set_keeps_its_id(ridge_set):
    """Another id is another set."""
    body = {"revision": 1, "set": table(id="OTHER")}
    answer = ridge_set.put("/api/sets/RIDGE", json=body)
    assert (422, "id") == (answer.status_code, answer.json()["errors"][0]["field"])
    assert 404 == ridge_set.get("/api/sets/OTHER").status_code


@pytest.fixture(scope="module")
def work():
    """Give a finished ridge string."""
    return finish(Work())


@pytest.fixture
def page(work):
    """Give a client at its desk."""
    with TestClient(make_app(work.desk, "memory"), base_url="http://127.0.0.1:8471") as found:
        yield found


def test_a_matched_spare_is_looked_at_then_kept(page, work):
    """To look keeps nothing; the job that is kept asks for the length that was proved."""
    path = f"/api/builds/{work.build}/spare"
    body = {"id": "RIDGE-1.2", "name": "spare"}
    looked = page.post(path, json=body | {"look": True}).json()
    assert 0 == looked["revision"]
    assert 404 == page.get("/api/jobs/RIDGE-1.2").status_code
    made = page.post(path, json=body).json()
    assert 1 == made["revision"]
    assert looked | {"revision": 1} == made
    job = page.get("/api/jobs/RIDGE-1.2").json()["job"]
    assert made["turns"] == job["makeup"]["turns"]
    assert 409 == page.post(path, json=body | {"lot": "9"}).status_code


def test_a_line_on_the_jig_is_planned_by_its_build(page):
    """Where it stands, what is left of it, and no place in the order of winding once wound."""
    page.post("/api/jobs", json={"example": "RIDGE-2"})
    page.post("/api/sets", json={"set": table("RIDGE-1", "RIDGE-2")})
    before = page.get("/api/sets/RIDGE").json()
    body = {"build": "d" * 32, "event": "e" * 32, "at": "2026-03-02T09:00:00Z"}
    page.post("/api/jobs/RIDGE-2/builds", json=body)
    acts = [("posts-set", {"outside": "37 3/16 in"})]
    acts += [("rounds-laid", {"run": run, "halves": 12}) for run in (0, 1)]
    events = [
        {"id": f"f{n:031x}", "type": kind, "version": 1, "at": "2026-03-02T09:10:00Z",
         "by": "test", "body": body}
        for n, (kind, body) in enumerate(acts, 1)
    ]  # fmt: skip
    page.post(f"/api/builds/{'d' * 32}/events", json={"events": events})
    told = page.get("/api/sets/RIDGE").json()
    built, going = told["lines"]
    assert ("logged", "proved", None) == (built["state"], built["verdict"], built["next"])
    assert built["built_text"].startswith("read ")
    assert built["built_text"].endswith("Z turns")
    assert ("building", "Even out the strands") == (going["state"], going["next"]["title"])
    assert 4 == going["next"]["number"] < going["next"]["of"]
    assert [1, 0] == [len(of["orders"]) for of in (before, told)]
    assert told["schedule"]["hands_s"] == pytest.approx(before["schedule"]["hands_s"] - 1140.0)


def test_a_build_under_way_has_no_spare(page, work):
    """It says what to do first."""
    body = {"build": "a" * 32, "event": "b" * 32, "at": "2026-03-05T09:00:00Z"}
    page.post("/api/jobs/RIDGE-1/builds", json=body)
    answer = page.post(f"/api/builds/{'a' * 32}/spare", json={"id": "X", "name": "x"})
    assert 409 == answer.status_code
    assert "was never locked" in answer.json()["said"]
    assert (
        404 == page.post(f"/api/builds/{'c' * 32}/spare", json={"id": "X", "name": "x"}).status_code
    )

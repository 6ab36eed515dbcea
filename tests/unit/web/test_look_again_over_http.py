"""The register over HTTP: due, soon, later; what each source says; what is on which bow."""

from __future__ import annotations

from datetime import timedelta

import pytest
from starlette.testclient import TestClient

from bench_work import Work
from finished_line import FITTED, Life, finish, settling_life
from strandwright.web.app import make_app


@pytest.fixture
def work() -> Work:
    """Give a finished ridge string, a month after its fitting."""
    found = finish(Work())
    found.now = FITTED + timedelta(days=30)
    return found


@pytest.fixture
def page(work):
    """Give a client that speaks as the app's own page does."""
    app = make_app(work.desk, "memory")
    with TestClient(app, base_url="http://127.0.0.1:8471") as found:
        yield found


def test_an_empty_register_says_so(page):
    """Nothing is on a bow."""
    told = page.get("/api/look-again").json()
    assert {"due": 0, "soon": 0, "later": 0} == told["counts"]
    assert ([], [], 0) == (told["bows"], told["retired"], told["to_come"])


def test_a_line_is_told_with_whose_it_is_and_why(page, work):
    """Due once the dry fire is written; each source with its own days."""
    life = Life()
    for row in (*settling_life(life, *["57 1/4 in"] * 4), life("dry-fired", 25, 420)):
        assert 200 == page.post(f"/api/builds/{work.build}/service", json=row).status_code
    told = page.get("/api/look-again").json()
    (row,) = told["due"]
    assert ("the ranger at Harrowdene", "ridge bow", 420) == (
        row["customer"],
        row["bow"],
        row["shots"],
    )
    assert row["why"].startswith("do not draw it")
    ages = next(group for group in row["groups"] if group["about"] == "age")["intervals"]
    assert 7 == len({one["said"] for one in ages})
    assert all(one["source"] and one["first"] and one["last"] for one in ages)
    (bow,) = told["bows"]
    assert ("ridge bow", work.build) == (bow["bow"], bow["lines"][0]["build"])


def test_a_retired_line_is_closed_and_its_bow_s_next_line_starts_from_it(page, work):
    """The next job asks for the length that the last line came to."""
    life, path = Life(), f"/api/builds/{work.build}"
    for row in (life("on-bow"), life("retired", 9, 300, why="peep serving worn")):
        page.post(f"{path}/service", json=row)
    told = page.get("/api/look-again").json()
    assert [(work.build, "peep serving worn")] == [
        (row["build"], row["why"]) for row in told["retired"]
    ]
    spare = page.post(f"{path}/spare", json={"id": "RIDGE-2", "name": "next"})
    assert 200 == spare.status_code
    assert work.build == spare.json()["of"]


def test_words_and_a_limit_hold(page, work):
    """Words that fit nothing give nothing; a limit of none is refused."""
    page.post(f"/api/builds/{work.build}/service", json=Life()("on-bow"))
    assert 0 == sum(page.get("/api/look-again?words=tarn").json()["counts"].values())
    assert 1 == sum(page.get("/api/look-again?words=ridge").json()["counts"].values())
    assert 422 == page.get("/api/look-again?limit=0").status_code

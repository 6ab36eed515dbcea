"""Service over HTTP: what is written of a finished line is kept, answered, and taken back."""

from __future__ import annotations

from datetime import timedelta

import pytest
from starlette.testclient import TestClient

from bench_work import Work
from finished_line import FITTED, Life, finish
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


@pytest.fixture
def path(work) -> str:
    """Give the address of the line's service."""
    return f"/api/builds/{work.build}/service"


def test_a_line_is_followed_from_its_fitting_to_done(page, path):
    """Every entry is answered with the whole, chart and words and wear."""
    life = Life()
    assert "not on a bow" == page.get(path).json()["act"]
    page.post(path, json=life("on-bow"))
    for day, shots in ((0, 0), (3, 60), (6, 120), (12, 250)):
        answer = page.post(path, json=life("length-off", day, shots, length="57 1/4"))
        assert 200 == answer.status_code
    told = answer.json()
    assert ("done", 5, 4) == (told["act"], len(told["entries"]), len(told["readings"]))
    assert {"light", "dark", "sun"} == set(told["svg"])
    assert told["next_look"]["is_due"] is False
    assert told == page.get(path).json()
    titles = [group["title"] for group in told["wear"]["groups"]]
    assert "when to replace it, by age" in titles


def test_a_slip_is_told_at_its_field_and_not_kept(page, path):
    """422, with field, rule and remedy."""
    life = Life()
    page.post(path, json=life("on-bow"))
    answer = page.post(path, json=life("length-off", 1, 20, length="5 ft"))
    assert 422 == answer.status_code
    (error,) = answer.json()["errors"]
    assert "length-off.length" == error["field"]
    assert error["rule"]
    assert error["remedy"]
    assert 1 == len(page.get(path).json()["entries"])


def test_an_entry_sent_twice_is_one(page, path):
    """As after a lost answer; other content under its identity is a conflict."""
    life = Life()
    row = life("on-bow")
    assert page.post(path, json=row).json() == page.post(path, json=row).json()
    assert 409 == page.post(path, json=row | {"at": "2026-03-05T12:00:00Z"}).status_code


def test_an_entry_is_taken_back(page, path):
    """It stays in the list, struck out, and counts no more."""
    life = Life()
    page.post(path, json=life("on-bow"))
    slip = life("looked-over", 1, 20, seen=["cut strand"])
    assert "do not draw" == page.post(path, json=slip).json()["act"]
    told = page.post(path, json=life("taken-back", 1, 20, entry=slip["id"])).json()
    assert "still moving" == told["act"]
    assert [False, True] == [entry["taken_back"] for entry in told["entries"]]


def test_a_build_at_the_jig_has_no_service(page, work):
    """409 where the line is not finished, 404 where there is none."""
    other = Work()
    with TestClient(make_app(other.desk, "memory"), base_url="http://127.0.0.1:8471") as found:
        assert 409 == found.get(f"/api/builds/{other.build}/service").status_code
    assert 404 == page.get(f"/api/builds/{'f' * 32}/service").status_code


@pytest.mark.parametrize("shots", ["zz", "", -5, 10**8, 1.5])
def test_shots_that_are_none_are_refused_in_words(page, path, shots):
    """Typed as people do, they are told what to write, and not how the interface is made."""
    life = Life()
    page.post(path, json=life("on-bow"))
    answer = page.post(path, json=life("waxed", 1, 20) | {"shots": shots})
    assert 422 == answer.status_code
    (error,) = answer.json()["errors"]
    assert "service.shots" == error["field"]
    assert "count" in error["remedy"]
    assert 1 == len(page.get(path).json()["entries"])

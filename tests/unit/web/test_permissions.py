"""Permissions: every route of the app stands in the table, and each role gets what it says."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from behind_door import Shop
from fastapi.routing import iter_route_contexts

from strandwright.web.permissions import TABLE, Row, needed, rows_for
from strandwright.workshop.account import ROLES, may, role_of

ADD = """{request} stands in no row. Add it to a group of rows in web/permissions.py, with the role
it needs at least: {roles}, or ANYONE where nobody need have signed in. Ask who would do
this at a shop's counter or jig, and take the stricter where you doubt."""


def _routes() -> list[tuple[str, str]]:
    """Give the method and path of every route of the whole app."""
    app: Any = Shop().app.app
    found: list[tuple[str, str]] = []
    for route in iter_route_contexts(app.routes):
        path = str(route.path_format)
        if path.startswith("/static"):
            found.append(("GET", path))
        found += [(m, path) for m in route.methods or () if m != "HEAD"]
    return sorted(set(found))


ROUTES = _routes()


def _sample(path: str) -> str:
    """Fill a path's parts in."""
    return re.sub(r"\{[a-z_]+(:path)?\}", "0" * 32, path)


async def reached(scope, receive, send):
    """Stand for the app behind the door: whoever gets here was let in."""
    del scope, receive
    await send({"type": "http.response.start", "status": 204, "headers": []})
    await send({"type": "http.response.body", "body": b""})


@pytest.fixture(scope="module")
def shop() -> Shop:
    """Give a door before nothing."""
    return Shop(inner=reached)


@pytest.fixture(scope="module")
def clients(shop: Shop):
    """Give a browser for nobody, each role and a phone."""
    return {
        "nobody": shop.client(),
        "phone": shop.phone(),
        **{role: shop.client(role) for role in ROLES},
    }


def _as_sent(method: str, path: str) -> dict[str, str]:
    """Say what a request of the page itself brings, so that nothing else refuses it."""
    kind = "application/json"
    if path.endswith("/hear"):
        kind = "audio/wav"
    elif path.startswith("/api/photos/") and method == "PUT":
        kind = "image/jpeg"
    return {"content-type": kind}


@pytest.mark.parametrize(("method", "path"), ROUTES)
def test_every_route_stands_in_a_row(method, path):
    """A route that somebody adds and forgets here is refused to all, and told of by this test."""
    row = needed(method, _sample(path))
    assert row is not None, ADD.format(request=f"{method} {path}", roles=", ".join(ROLES))


@pytest.mark.parametrize(("method", "path"), ROUTES)
def test_no_row_shadows_another(method, path):
    """The row of a request is the row of the very route that answers it."""
    found = {row.path for row in rows_for(method, _sample(path))}
    assert found == {path} or all(p.endswith("/**") for p in found)


def test_every_row_of_one_path_has_its_route():
    """No row stands for a route that is no more."""
    there = set(ROUTES)
    rows = [(r.method, r.path) for r in TABLE if not r.is_for_all_below]
    assert [] == [row for row in rows if row not in there]
    assert len(rows) == len(set(rows))


@pytest.mark.parametrize(("method", "path"), ROUTES)
def test_each_role_gets_what_the_table_says_and_no_more(clients, method, path):
    """Route by route: nobody is asked to sign in, the wrong role is refused, the right one in."""
    row = needed(method, _sample(path))
    assert row is not None
    for who, client in clients.items():
        body = None if method == "GET" else b"{}"
        answer = client.request(method, _sample(path), content=body, headers=_as_sent(method, path))
        assert _expected(row, who) == answer.status_code, (who, method, path)


def _expected(row: Row, who: str) -> int:
    if row.least is None:
        return 204
    if who == "nobody":
        return 401
    if who == "phone":
        return 204 if row.phone else 403
    return 204 if may(role_of(who), row.least) else 403


def _requests_without_row() -> Iterator[tuple[str, str]]:
    yield from (("GET", "/api/nowhere"), ("DELETE", "/api/jobs/RIDGE-1"), ("PATCH", "/api/jobs"))
    yield from (("OPTIONS", "/api/jobs"), ("GET", "/api/jobs/RIDGE-1/bow/nowhere"))
    yield from (("GET", "/api/people/"), ("GET", "/api/jobs/a/b"), ("POST", "/"))
    yield from (("GET", "//api/jobs"), ("GET", "/API/jobs"), ("GET", "/static"))


@pytest.mark.parametrize(("method", "path"), list(_requests_without_row())[:-1])
def test_what_stands_in_no_row_is_refused_to_the_owner_too(clients, method, path):
    """Nobody may do what nobody thought of."""
    answer = clients["owner"].request(method, path, content=b"{}" if method != "GET" else None,
                                      headers={"content-type": "application/json"})  # fmt: skip
    assert 403 == answer.status_code
    assert 401 == clients["nobody"].request(
        method, path, headers={"content-type": "application/json"}
    ).status_code  # fmt: skip


def test_the_head_of_an_answer_needs_what_the_answer_needs(clients):
    """HEAD is no way round GET."""
    assert 401 == clients["nobody"].head("/api/jobs").status_code
    assert 403 == clients["counter"].head("/api/people").status_code


def test_the_strictest_of_several_rows_counts():
    """A path that two rows fit is judged by the stricter, so a slip errs to the safe side."""
    assert "POST /api/jobs/{id}/builds" in {f"{r.method} {r.path}" for r in TABLE}
    row = needed("POST", "/api/jobs/from-shorthand")
    assert row is not None
    assert "technician" == row.least


@pytest.mark.parametrize(
    ("path", "least"),
    [("/api/people", "owner"), ("/api/pairings", "technician"), ("/api/jobs", "looker-on"),
     ("/api/customers", "counter"), ("/api/customers/7/orders", "counter")],
)  # fmt: skip
def test_what_is_private_is_not_for_everybody(path, least):
    """Held here beside the table, so that one change of it alone does not open these."""
    row = needed("GET", path)
    assert row is not None
    assert least == row.least
    assert not row.phone

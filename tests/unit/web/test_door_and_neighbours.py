"""The door and the world: foreign pages, streams, and bodies before anybody is known."""

from __future__ import annotations

import asyncio
import json
from typing import Any

import pytest
from behind_door import HOST, ORIGIN, PASSWORD, Shop

from own_loop import in_own_loop
from strandwright.web.door import COOKIE
from strandwright.web.sessions import IDLE

JSON = {"content-type": "application/json"}


def _cookie(answer: Any) -> str:
    return answer.headers["set-cookie"]


# ------------------------------------------------------------------------- the neighbour's page


@pytest.mark.parametrize(
    "origin",
    ["https://evil.example", f"http://{HOST}", "https://bench.home.arpa", "null",
     "https://bench.home.arpa:9", "https://bench.home.arpa:8471.evil.example"],
)  # fmt: skip
def test_a_foreign_page_changes_nothing_even_with_the_cookie(shop, origin):
    """Origin must be this very app over TLS, read or write."""
    client = shop.client("owner")
    for answer in (
        client.post("/api/session/end", json={}, headers={"origin": origin}),
        client.get("/api/people", headers={"origin": origin}),
        client.post(
            "/api/session",
            json={"name": "tess", "password": PASSWORD},
            headers={"origin": origin},
        ),
    ):
        assert 403 == answer.status_code
    assert 200 == client.get("/api/people").status_code


def test_a_change_without_an_origin_is_refused(shop):
    """A browser always sends it with what changes something; who leaves it out is no page."""
    client = shop.client("owner")
    del client.headers["origin"]
    assert 403 == client.post("/api/session/end", json={}).status_code
    assert 200 == client.get("/api/jobs").status_code


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_the_browsers_own_word_counts(shop, site):
    """A neighbour on the same domain is a foreigner too."""
    client = shop.client("owner")
    assert 403 == client.get("/api/jobs", headers={"sec-fetch-site": site}).status_code


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", ""])
def test_a_form_signs_nobody_in(shop, kind):
    """What a form of another site can send is not taken, so nobody is signed in behind his back."""
    body = json.dumps({"name": "tess", "password": PASSWORD}).encode()
    headers = {"content-type": kind} if kind else {}
    assert 415 == shop.client().post("/api/session", content=body, headers=headers).status_code


@pytest.mark.parametrize(
    "host",
    ["evil.example", "127.0.0.1:8471", "localhost", "bench.home.arpa.evil.example", "10.0.0.50",
     "bench.home.arpa@evil.example", "", "a.b.shop.home.arpa", "shop.home.arpa", "10.0.0.5:x"],
)  # fmt: skip
def test_a_name_that_is_not_the_certificates_is_not_answered(shop, host):
    """A foreign name that resolves here by somebody else's doing does not even get the page."""
    for path in ("/", "/api/session", "/api/jobs"):
        assert 421 == shop.client("owner").get(path, headers={"host": host}).status_code


@pytest.mark.parametrize(
    "host",
    ["bench.home.arpa", "BENCH.home.arpa:443", "10.0.0.5:8471", "[fd00::5]:8471",
     "[fd00:0::5]", "jig.shop.home.arpa"],
)  # fmt: skip
def test_every_name_of_the_certificate_is_answered(shop, host):
    """Names, addresses in whatever form, and a star for one part."""
    headers = {"host": host, "origin": f"https://{host}"}
    assert 200 == shop.client().get("/api/session", headers=headers).status_code


def test_a_header_that_names_another_host_is_not_believed(shop):
    """The address in the code for a phone is that of the request itself."""
    client = shop.client("technician")
    spoof = {"x-forwarded-host": "evil.example", "x-forwarded-proto": "http", "forwarded": "host=e"}
    address = client.post("/api/pairings", json={}, headers=spoof).json()["address"]
    assert address.startswith(f"{ORIGIN}/#/pair/")


# --------------------------------------------------------------- before and after being there


def test_the_shell_of_the_pages_holds_nothing_of_anybody(shop):
    """It is the same for all; it asks who is there before it loads anything else."""
    client = shop.client()
    page = client.get("/").text
    assert "/static/door.js" in page
    assert "/static/app.js" not in page
    for path in ("/sw.js", "/favicon.ico", "/static/door.js", "/static/css/door.css"):
        assert 200 == client.get(path).status_code, path


def test_nothing_of_the_shop_is_kept_by_a_cache(shop):
    """No answer under /api/ may be kept; the worker of the pages keeps the shell alone."""
    client = shop.client("technician")
    for path in ("/api/jobs", "/api/session", "/api/builds", "/api/nowhere"):
        assert "no-store" in client.get(path).headers["cache-control"]
    worker = client.get("/sw.js").text
    assert 'pathname === "/" || pathname.startsWith("/static/")' in worker


def test_a_browser_is_told_to_ask_over_tls_only(shop):
    """With every answer, refusals too."""
    for answer in (shop.client().get("/"), shop.client().get("/api/jobs")):
        assert answer.headers["strict-transport-security"].startswith("max-age=")


async def _exchange(app: Any, scope: dict[str, Any], receive: Any) -> list[dict[str, Any]]:
    sent: list[dict[str, Any]] = []

    async def send(message: Any) -> None:
        sent.append(dict(message))

    await app(scope, receive, send)
    return sent


def _scope(method: str, path: str, *headers: tuple[bytes, bytes]) -> dict[str, Any]:
    own = [(b"host", HOST.encode()), (b"origin", ORIGIN.encode()), *headers]
    return {"type": "http", "method": method, "path": path, "headers": own, "query_string": b"",
            "client": ("10.0.0.9", 1), "scheme": "https"}  # fmt: skip


def test_not_a_byte_of_a_body_is_read_before_somebody_is_known():
    """A stranger cannot fill the memory: the answer comes before the body is asked for."""

    async def read() -> Any:
        raise AssertionError("the body was read")

    shop = Shop()
    scope = _scope("POST", "/api/jobs", (b"content-type", b"application/json"))
    sent = in_own_loop(_exchange(shop.app, scope, read))
    assert 401 == sent[0]["status"]


def test_a_name_and_a_password_are_not_long(shop):
    """What comes before sign-in is cut short."""
    body = {"name": "tess", "password": "a" * 5000}
    assert 413 == shop.client().post("/api/session", json=body).status_code
    refused = shop.client().post("/api/session", json={"name": "tess", "password": "a" * 500})
    assert 422 == refused.status_code


def test_who_sends_a_password_byte_by_byte_is_not_waited_for(monkeypatch):
    """A stranger holds a connection for seconds at most."""
    monkeypatch.setattr("strandwright.web.security._UNSIGNED_PATIENCE", 0.05)

    async def slowly() -> Any:
        await asyncio.sleep(0.04)
        return {"type": "http.request", "body": b"{", "more_body": True}

    scope = _scope("POST", "/api/session", (b"content-type", b"application/json"))
    sent = in_own_loop(_exchange(Shop().app, scope, slowly))
    assert 408 == sent[0]["status"]


@pytest.mark.parametrize("how", ["sign out", "put away", "idle"])
def test_a_stream_ends_when_who_listens_is_let_in_no_more(monkeypatch, how):
    """Signed out, put away at another bench, or just long away: nothing more is told."""
    monkeypatch.setattr("strandwright.web.security._LOOK", 0.02)
    told: list[int] = []

    async def endless(scope: Any, receive: Any, send: Any) -> None:
        del scope, receive
        await send({"type": "http.response.start", "status": 200, "headers": []})
        while True:
            told.append(1)
            await send({"type": "http.response.body", "body": b"data: 1\n\n", "more_body": True})
            await asyncio.sleep(0.01)

    shop = Shop(inner=endless)
    token = shop.door.sessions.begin("tess", 1, "10.0.0.9")

    async def forever() -> Any:
        await asyncio.sleep(60)

    async def watch() -> list[dict[str, Any]]:
        cookie = f"{COOKIE}=s.{token}".encode()
        scope = _scope("GET", "/api/live", (b"cookie", cookie))
        work = asyncio.create_task(_exchange(shop.app, scope, forever))
        async with asyncio.timeout(10.0):
            while len(told) < 3 and not work.done():
                await asyncio.sleep(0.01)
        assert not work.done()
        assert told
        if how == "sign out":
            shop.door.sessions.end(shop.door.sessions.all()[0].id)
        elif how == "put away":
            shop.people.put_away("tess", True, by="another bench")
        else:
            shop.clock.now += IDLE + 1
        return await asyncio.wait_for(work, 5.0)

    sent = in_own_loop(watch())
    assert {"type": "http.response.body", "body": b"", "more_body": False} == sent[-1]


def test_an_open_stream_is_nobody_being_there(shop):
    """A browser left open with its stream does not keep a session for ever."""
    token = shop.door.sessions.begin("tess", 1, "10.0.0.9")
    answers: list[object] = []
    for _ in range(3):
        shop.clock.now += IDLE / 2
        answers.append(in_own_loop(shop.door.admit("GET", "/api/live", f"s.{token}")))
    assert (401, "sign in first") == answers[-1]
    assert (401, "sign in first") != answers[0]


def test_a_socket_is_refused():
    """No path of the app is one; it ends before anything is said."""
    scope = {"type": "websocket", "path": "/api/live", "headers": []}

    async def nothing() -> Any:
        raise AssertionError("it was listened to")

    sent = in_own_loop(_exchange(Shop().app, scope, nothing))
    assert [{"type": "websocket.close", "code": 1008}] == sent

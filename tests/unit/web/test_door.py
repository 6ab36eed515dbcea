"""The door: sign-in, sessions, waits, and what a hostile neighbour might try, over HTTP."""

from __future__ import annotations

import asyncio
import hashlib
import inspect
import json
from datetime import UTC, datetime
from typing import Any

import pytest
from behind_door import HOST, NAMES, ORIGIN, PASSWORD, Shop, sign_in

from own_loop import in_own_loop
from strandwright.planning.people.accounts import People
from strandwright.planning.people.passwords import Passwords
from strandwright.planning.ports import Store
from strandwright.web.certificates import make
from strandwright.web.door import COOKIE
from strandwright.web.listening import read_certificate, tls_context
from strandwright.web.serve import _config
from strandwright.web.sessions import DAY, IDLE
from strandwright.web.signed_store import SignedStore, signed

JSON = {"content-type": "application/json"}


@pytest.fixture
def shop() -> Shop:
    """Give a shop with a door."""
    return Shop()


def _cookie(answer: Any) -> str:
    return answer.headers["set-cookie"]


# ------------------------------------------------------------------------------------- sign-in


@pytest.mark.parametrize("typed", ["tess", " Tess "])
def test_who_signs_in_comes_in(shop, typed):
    """By name and password; the answer says who, in which role and at which bench."""
    client = shop.client()
    assert 401 == client.get("/api/jobs").status_code
    answer = sign_in(client, typed)
    assert {"name": "tess", "role": "technician", "phone": False, "bench": "front"} == answer.json()
    assert 200 == client.get("/api/jobs").status_code
    assert "tess" == client.get("/api/session").json()["name"]


def test_the_cookie_is_for_this_host_over_tls_and_out_of_reach_of_scripts(shop):
    """Not readable, not sent over plain HTTP, not sent from elsewhere, for no other host."""
    said = _cookie(sign_in(shop.client(), "tess")).lower()
    assert said.startswith("__host-strandwright=s.")
    assert {"secure", "httponly", "samesite=strict", "path=/"} <= set(said.split("; "))
    assert "domain" not in said
    assert "max-age" not in said


def test_a_token_that_a_browser_brought_is_never_taken_over(shop):
    """Whoever plants a cookie of their own knows nothing of the session that begins."""
    client = shop.client()
    client.cookies.set(COOKIE, "s." + "a" * 43)
    sign_in(client, "tess")
    planted = shop.client()
    planted.cookies.set(COOKIE, "s." + "a" * 43)
    assert 401 == planted.get("/api/jobs").status_code


def test_signing_in_anew_ends_the_session_of_before(shop):
    """Two people at one browser never have one session."""
    client = shop.client()
    sign_in(client, "tess")
    old = client.cookies[COOKIE]
    sign_in(client, "olga")
    assert old != client.cookies[COOKIE]
    assert {"olga"} == {session.name for session in shop.door.sessions.all()}


@pytest.mark.parametrize(("name", "password"), [("tess", "wrong"), ("nobody", PASSWORD)])
def test_a_refusal_does_not_say_which_was_wrong(shop, name, password):
    """A wrong password and a name nobody has are told in the same words."""
    answer = sign_in(shop.client(), name, password)
    assert 401 == answer.status_code
    assert "set-cookie" not in answer.headers
    told = "name and password do not belong together; type both again"
    assert told == answer.json()["said"]


def test_a_name_nobody_has_costs_the_same_work(shop, monkeypatch):
    """One hash is worked out whoever is named, or the time would tell the names."""
    from argon2 import PasswordHasher

    done: list[str] = []
    verify = PasswordHasher.verify

    def counted(self: PasswordHasher, hash: str, password: str) -> bool:
        done.append(hash.rsplit("$", 2)[0])
        return verify(self, hash, password)

    monkeypatch.setattr(PasswordHasher, "verify", counted)
    people = People(shop.store, passwords=Passwords(1, 8, 1))
    for name in ("tess", "nobody", "no/name", "phone.0123456789abcdef"):
        assert people.check(name, "wrong") is None
    assert ["$argon2id$v=19$m=8,t=1,p=1"] * 4 == done


def test_who_is_put_away_is_refused_like_anybody_unknown(shop):
    """And the password is looked at all the same."""
    shop.people.put_away("tess", True, by="test")
    assert 401 == sign_in(shop.client(), "tess").status_code
    shop.people.put_away("tess", False, by="test")
    assert 200 == sign_in(shop.client(), "tess").status_code


# ------------------------------------------------------------------------------- waits


def test_wrong_passwords_make_one_wait_longer_each_time_but_never_for_good(shop):
    """Five are free; then 2 s, 4 s, ... 15 min; after the wait the right one comes in."""
    client = shop.client()
    for _ in range(5):
        assert 401 == sign_in(client, "tess", "wrong").status_code
    for wait in (2, 4, 8, 16):
        refused = sign_in(client, "tess")
        assert 429 == refused.status_code
        assert wait + 1 >= int(refused.headers["retry-after"]) >= wait
        shop.clock.now += wait
        assert 401 == sign_in(client, "tess", "wrong").status_code
    shop.clock.now += 32
    assert 200 == sign_in(client, "tess").status_code


def test_a_right_password_that_comes_too_soon_is_not_looked_at(shop):
    """Else who guesses would learn of it through the wait."""
    client = shop.client()
    for _ in range(5):
        sign_in(client, "tess", "wrong")
    assert 429 == sign_in(client, "tess", PASSWORD).status_code
    assert 401 == client.get("/api/jobs").status_code


def test_another_bench_may_sign_in_while_one_waits(shop):
    """Who guesses from one address keeps nobody else out."""
    guesser = shop.client(address="10.0.0.66")
    for _ in range(12):
        sign_in(guesser, "tess", "wrong")
    assert 200 == sign_in(shop.client(address="10.0.0.7"), "tess").status_code


def test_guesses_at_many_names_from_one_address_wait_too(shop):
    """A list of names is no way round."""
    client = shop.client()
    said = [sign_in(client, f"name{n}", "wrong").status_code for n in range(12)]
    assert [401] * 10 + [429] * 2 == said


def test_guesses_at_one_name_from_many_addresses_wait_a_little(shop):
    """A swarm is slowed, and its victim is kept out for a minute at most."""
    said = [
        sign_in(shop.client(address=f"10.0.1.{n}"), "tess", "wrong").status_code for n in range(22)
    ]
    assert [401] * 20 == said[:20]
    assert 429 in said[20:]
    shop.clock.now += 61
    assert 200 == sign_in(shop.client(), "tess").status_code


def test_an_account_of_ones_own_buys_no_guesses_at_another(shop):
    """Signing in between the guesses does not let the address begin anew."""
    client = shop.client()
    said: list[int] = []
    for n in range(16):
        if n % 3 == 2:
            sign_in(client, "lou")
        said.append(sign_in(client, f"name{n}", "wrong").status_code)
    assert 429 in said


@pytest.mark.parametrize("header", ["x-forwarded-for", "forwarded", "x-real-ip", "true-client-ip"])
def test_what_a_header_says_of_the_address_is_not_believed(shop, header):
    """Another address in each request is still one address."""
    client = shop.client()
    said = [
        client.post(
            "/api/session",
            json={"name": "tess", "password": "wrong"},
            headers={header: f"for=192.0.2.{n}" if header == "forwarded" else f"192.0.2.{n}"},
        ).status_code
        for n in range(6)
    ]
    assert [401] * 5 + [429] == said
    assert {"10.0.0.9"} == {b["address"] for t, b in shop.audit() if t == "sign-in-refused"}


# ------------------------------------------------------------------------------------ sessions


def test_a_session_ends_when_nothing_was_asked_for_a_while(shop):
    """What was asked in between keeps it."""
    client = shop.client("technician")
    shop.clock.now += IDLE - 1
    assert 200 == client.get("/api/jobs").status_code
    shop.clock.now += IDLE - 1
    assert 200 == client.get("/api/jobs").status_code
    shop.clock.now += IDLE + 1
    assert 401 == client.get("/api/jobs").status_code


def test_a_session_ends_after_a_working_day_whatever_is_asked(shop):
    """However busy it was."""
    client = shop.client("technician")
    for _ in range(int(DAY / 3600)):
        shop.clock.now += 3600 - 1
        assert 200 == client.get("/api/jobs").status_code
    shop.clock.now += 60
    assert 401 == client.get("/api/jobs").status_code


def test_signing_out_ends_it_at_once_and_the_browser_forgets(shop):
    """The cookie goes, and what the browser kept; a copy of the cookie is worthless."""
    client = shop.client()
    sign_in(client, "tess")
    token = client.cookies[COOKIE]
    answer = client.post("/api/session/end", json={})
    assert '"cache", "storage"' == answer.headers["clear-site-data"]
    assert "max-age=0" in _cookie(answer).lower()
    thief = shop.client()
    thief.cookies.set(COOKIE, token)
    assert 401 == thief.get("/api/jobs").status_code


@pytest.mark.parametrize("how", ["everywhere", "password", "put away"])
def test_every_session_of_an_account_ends_at_every_bench(shop, how):
    """Another bench's app sees it by the account's era, without being told."""
    other = Shop(store=shop.store, bench="back")
    here, there = shop.client(), other.client()
    sign_in(here, "tess")
    sign_in(there, "tess")
    olga = other.client("owner")
    if how == "everywhere":
        here.post("/api/session/everywhere", json={})
    elif how == "password":
        change = {"proof": PASSWORD, "password": "another heron and gravel"}
        assert 200 == olga.post("/api/people/tess/password", json=change).status_code
    else:
        away = {"proof": PASSWORD, "put_away": True}
        assert 200 == olga.post("/api/people/tess/away", json=away).status_code
    assert 401 == here.get("/api/jobs").status_code
    assert 401 == there.get("/api/jobs").status_code
    assert 200 == olga.get("/api/jobs").status_code


def test_a_role_that_is_taken_away_is_gone_with_the_next_request(shop):
    """The role is that of the account now, not that of when one signed in."""
    client = shop.client("technician")
    assert 200 == client.get("/api/pairings").status_code
    shop.people.change_role("tess", "counter", by="test")
    assert 403 == client.get("/api/pairings").status_code


def test_one_changes_ones_own_password_by_typing_the_old_one(shop):
    """An unattended bench gives nobody an account; the browser one does it in stays signed in."""
    client, elsewhere = shop.client(), shop.client("technician")
    sign_in(client, "tess")
    new = "another heron and gravel"
    refused = client.post("/api/session/password", json={"old": "wrong", "new": new})
    assert (422, "old") == (refused.status_code, refused.json()["errors"][0]["field"])
    assert 422 == client.post(
        "/api/session/password", json={"old": PASSWORD, "new": "short"}
    ).status_code  # fmt: skip
    assert 200 == client.post(
        "/api/session/password", json={"old": PASSWORD, "new": new}
    ).status_code  # fmt: skip
    assert 200 == client.get("/api/jobs").status_code
    assert 401 == elsewhere.get("/api/jobs").status_code
    assert 401 == sign_in(shop.client(), "tess", PASSWORD).status_code
    assert 200 == sign_in(shop.client(), "tess", new).status_code


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
        await asyncio.sleep(0.2)
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


# ---------------------------------------------------------------------------------- the records


def _begun(shop: Shop) -> str:
    shop.desk.add_job(_ridge())
    build, client = "a" * 32, shop.client("technician")
    start = {"build": build, "event": "b" * 32, "at": "2026-03-02T09:00:00Z", "by": "somebody else"}
    assert 200 == client.post("/api/jobs/RIDGE-1/builds", json=start).status_code
    return build


def _ridge() -> dict[str, Any]:
    from strandwright.planning.entries.editing import tables_of
    from strandwright.planning.examples import example

    return tables_of(example("RIDGE-1"))


def _event(id: str, type: str, body: dict[str, Any], by: str = "somebody else") -> dict[str, Any]:
    return {"id": id, "type": type, "at": "2026-03-02T09:01:00Z", "by": by, "body": body}


def _posts_set(shop: Shop, build: str) -> None:
    event = _event("c" * 32, "posts-set", {"outside": "57 19/32 in"})
    answer = shop.client("technician").post(f"/api/builds/{build}/events", json={"events": [event]})
    assert 200 == answer.status_code


def test_who_wrote_an_event_is_who_has_signed_in_whatever_is_sent(shop):
    """Nobody writes under another's name."""
    build = _begun(shop)
    _posts_set(shop, build)
    assert {"tess at front"} == {s.event.by for s in shop.store.events(build)}


def test_an_event_sent_again_under_another_name_is_still_one(shop):
    """An answer was lost, and somebody else has signed in since: it stays as it was."""
    build = _begun(shop)
    _posts_set(shop, build)
    event = _event("c" * 32, "posts-set", {"outside": "57 19/32 in"}, by="yet another")
    answer = shop.client("owner").post(f"/api/builds/{build}/events", json={"events": [event]})
    assert 200 == answer.status_code
    assert ["tess at front"] * 2 == [s.event.by for s in shop.store.events(build)]
    other = _event("c" * 32, "posts-set", {"outside": "57 in"})
    refused = shop.client("owner").post(f"/api/builds/{build}/events", json={"events": [other]})
    assert 409 == refused.status_code


def test_a_phone_counts_and_takes_counts_back_and_nothing_else(shop):
    """Whatever path it takes: it is refused where it is written."""
    build = _begun(shop)
    _posts_set(shop, build)
    phone = shop.phone()
    assert 200 == phone.get(f"/api/builds/{build}").status_code

    def send(*events: dict[str, Any]) -> int:
        return phone.post(f"/api/builds/{build}/events", json={"events": list(events)}).status_code

    assert 200 == send(_event("d" * 32, "rounds-laid", {"run": 0, "halves": 2}))
    assert 200 == send(_event("e" * 32, "withdrawn", {"event": "d" * 32}))
    assert 422 == send(_event("1" * 32, "withdrawn", {"event": "c" * 32}))
    assert 422 == send(_event("2" * 32, "withdrawn", {"event": "f" * 32}))
    assert 422 == send(_event("3" * 32, "put-aside", {"why": "a prank"}))
    mixed = [_event("4" * 32, "rounds-laid", {"run": 0, "halves": 2}),
             _event("5" * 32, "noted", {"text": "hello"})]  # fmt: skip
    assert 422 == send(*mixed)
    assert ["started", "posts-set", "rounds-laid", "withdrawn"] == [
        s.event.type for s in shop.store.events(build)
    ]
    assert "phone tess's phone at front" == shop.store.events(build)[-1].event.by


def test_without_sign_in_events_keep_the_name_they_came_with(shop):
    """On loopback nothing changes."""
    from strandwright.web.visitor import VISITOR

    assert VISITOR.get() is None
    build = _begun(shop)
    desk = type(shop.desk)(signed(shop.store), planner=shop.desk.planner)
    event = desk.event(build, _event("6" * 32, "posts-set", {"outside": "57 19/32 in"}))
    desk.record(build, [event])
    assert "somebody else" == shop.store.events(build)[-1].event.by


# --------------------------------------------------------------------------- people and audit


def test_only_an_owner_who_types_his_own_password_changes_accounts(shop):
    """A bench left alone makes nobody owner."""
    owner = shop.client("owner")
    new = {"name": "nina", "role": "counter", "password": "violet anchor seven moths"}
    assert 422 == owner.post("/api/people", json={**new, "proof": "wrong"}).status_code
    assert 200 == owner.post("/api/people", json={**new, "proof": PASSWORD}).status_code
    assert 409 == owner.post("/api/people", json={**new, "proof": PASSWORD}).status_code
    assert 200 == sign_in(shop.client(), "nina", new["password"]).status_code
    role = {"role": "owner", "proof": PASSWORD}
    for client in (shop.client("technician"), shop.client("counter"), shop.phone()):
        assert 403 == client.post("/api/people/nina/role", json=role).status_code


def test_the_last_owner_stays_owner(shop):
    """A shop cannot lock itself out by the screen."""
    owner = shop.client("owner")
    for path, body in (("role", {"role": "counter"}), ("away", {"put_away": True})):
        answer = owner.post(f"/api/people/olga/{path}", json={**body, "proof": PASSWORD})
        assert 422 == answer.status_code
        assert "it is the last one" in answer.json()["said"]


def test_no_hash_and_no_token_leaves_the_app(shop):
    """Not on the owner's screen either."""
    client = shop.client("owner")
    shop.phone()
    for path in ("/api/people", "/api/pairings", "/api/session"):
        text = client.get(path).text
        assert "argon2" not in text
        assert shop.door.sessions.all()[0].id not in text


def test_the_audit_log_tells_who_came_and_who_was_refused(shop):
    """In order, with the address; a name nobody has is not kept: it may have been a password."""
    client = shop.client()
    sign_in(client, "tess", "wrong")
    sign_in(client, "my secret password", "wrong")
    sign_in(client, "tess")
    client.post("/api/session/end", json={})
    told = shop.audit()[len(NAMES) :]
    assert [
        ("sign-in-refused", {"name": "tess", "address": "10.0.0.9"}),
        ("sign-in-refused", {"name": "", "address": "10.0.0.9"}),
        ("signed-in", {"name": "tess", "address": "10.0.0.9"}),
        ("signed-out", {"name": "tess", "everywhere": False}),
    ] == told


def test_no_password_and_no_token_is_anywhere_in_the_store(shop):
    """What is backed up lets nobody in."""
    client = shop.client()
    sign_in(client, "tess")
    sign_in(client, "tess", "a wrong one that I typed")
    phone = shop.phone()
    everything = json.dumps(list(shop.store.contents()))
    for secret in (PASSWORD, "a wrong one", client.cookies[COOKIE], phone.cookies[COOKIE]):
        assert secret.removeprefix("s.").removeprefix("p.") not in everything


# ----------------------------------------------------------------------------------- phones


def _code(shop: Shop) -> str:
    return shop.client("technician").post("/api/pairings", json={}).json()["address"][-32:]


def _pair(shop: Shop, code: str) -> Any:
    client = shop.client()
    return client, client.post("/api/pair", json={"code": code, "label": "tess's phone"})


def test_a_code_lets_one_phone_in_once(shop):
    """The second to read it is refused; the first may count at this bench."""
    code = _code(shop)
    phone, answer = _pair(shop, code)
    assert 200 == answer.status_code
    assert answer.json()["phone"]
    assert "max-age=34560000" in _cookie(answer).lower()
    assert 200 == phone.get("/api/builds").status_code
    assert 401 == _pair(shop, code)[1].status_code
    assert [("paired", "tess's phone")] == [(t, b["label"]) for t, b in shop.audit()[-1:]]


def test_a_code_is_good_for_two_minutes(shop):
    """Read from a photo of the screen later it is worthless."""
    code = _code(shop)
    shop.clock.now += 121
    assert 401 == _pair(shop, code)[1].status_code


def test_codes_cannot_be_guessed_at(shop):
    """After five one waits."""
    said = [_pair(shop, f"{n:032x}")[1].status_code for n in range(6)]
    assert [401] * 5 + [429] == said


def test_a_phone_that_is_sent_off_is_out_at_once(shop):
    """And stands in the list no more; it may send itself off too."""
    phone, _ = _pair(shop, _code(shop))
    client = shop.client("technician")
    [row] = client.get("/api/pairings").json()["phones"]
    assert "tess at front" == row["by"]
    assert 200 == client.post(f"/api/pairings/{row['id']}/end", json={}).status_code
    assert 401 == phone.get("/api/builds").status_code
    assert [] == client.get("/api/pairings").json()["phones"]
    second, _ = _pair(shop, _code(shop))
    assert 200 == second.post("/api/session/end", json={}).status_code
    assert 401 == second.get("/api/builds").status_code


def test_a_phone_counts_at_the_bench_it_was_paired_with_only(shop):
    """Another bench on the same records does not know it."""
    phone, _ = _pair(shop, _code(shop))
    elsewhere = Shop(store=shop.store, bench="back").client()
    elsewhere.cookies.set(COOKIE, phone.cookies[COOKIE])
    assert 401 == elsewhere.get("/api/builds").status_code


def test_a_paired_phone_outlasts_the_app(shop):
    """The bench is switched off at night; the phone is paired until it is sent off."""
    phone, _ = _pair(shop, _code(shop))
    tomorrow = Shop(store=shop.store).client()
    tomorrow.cookies.set(COOKIE, phone.cookies[COOKIE])
    assert 200 == tomorrow.get("/api/builds").status_code


def test_a_phones_photo_is_offered_to_the_counter_and_nobody_below(shop):
    """Kept under its digest, once, with the phone's name; a phone sees no list and no photo."""
    phone, _ = _pair(shop, _code(shop))
    picture = b"\xff\xd8\xff" + b"a small picture"
    id = hashlib.sha256(picture).hexdigest()
    for _ in range(2):
        jpeg = {"content-type": "image/jpeg"}
        kept = phone.put(f"/api/photos/{id}", content=picture, headers=jpeg)
        assert 200 == kept.status_code
    offered = shop.client("counter").get("/api/pairings/photos").json()["photos"]
    assert [(id, "tess's phone")] == [(row["id"], row["label"]) for row in offered]
    assert picture == shop.client("counter").get(f"/api/photos/{id}").content
    assert 403 == shop.client("looker-on").get("/api/pairings/photos").status_code
    assert 403 == phone.get("/api/pairings/photos").status_code
    assert 403 == phone.get(f"/api/photos/{id}").status_code


def test_a_photo_is_kept_by_no_cache_beyond_loopback(shop):
    """On one's own computer it may be kept for good; here the next at the browser finds none."""
    picture = b"\x89PNG\r\n\x1a\n" + b"a small picture"
    id = hashlib.sha256(picture).hexdigest()
    client = shop.client("counter")
    client.put(f"/api/photos/{id}", content=picture, headers={"content-type": "image/png"})
    assert "no-store" == client.get(f"/api/photos/{id}").headers["cache-control"]


# ---------------------------------------------------------------------------------- serving


def test_no_way_of_writing_goes_past_the_name_of_who_signed_in():
    """A verb that a store gains later and that writes must be told of here too."""
    writing = [
        name
        for name, verb in vars(Store).items()
        if callable(verb) and "self.write(" in inspect.getsource(verb)
    ]
    assert {"save", "begin", "append", "keep_plan", "keep_blob"} <= set(writing)
    assert [] == [name for name in (*writing, "write") if name not in vars(SignedStore)]


def test_nobody_is_believed_to_stand_between(tmp_path):
    """The server takes the peer's own address, and shows the certificate that was read."""
    make(("bench.home.arpa",), tmp_path, datetime.now(UTC))
    files = (str(tmp_path / "bench.crt"), str(tmp_path / "bench.key"))
    context = tls_context(read_certificate(*files, datetime.now(UTC)))
    config = _config(Shop().app, context)
    assert not config.proxy_headers
    assert context is config.ssl
    assert config.limit_concurrency
    assert not _config(Shop().app).proxy_headers


def test_a_socket_is_refused():
    """No path of the app is one; it ends before anything is said."""
    scope = {"type": "websocket", "path": "/api/live", "headers": []}

    async def nothing() -> Any:
        raise AssertionError("it was listened to")

    sent = in_own_loop(_exchange(Shop().app, scope, nothing))
    assert [{"type": "websocket.close", "code": 1008}] == sent

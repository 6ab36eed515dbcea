"""The door: sign-in, waits and sessions, over HTTP."""

from __future__ import annotations

from typing import Any

import pytest
from behind_door import PASSWORD, Shop, sign_in

from strandwright.planning.people.accounts import People
from strandwright.planning.people.passwords import Passwords
from strandwright.web.door import COOKIE
from strandwright.web.sessions import DAY, IDLE

JSON = {"content-type": "application/json"}


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

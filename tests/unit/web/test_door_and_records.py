"""The door and the records: who wrote what, people, phones, and how it is served."""

from __future__ import annotations

import hashlib
import inspect
import json
from datetime import UTC, datetime
from typing import Any

from behind_door import NAMES, PASSWORD, Shop, sign_in

from strandwright.planning.ports import Store
from strandwright.web.certificates import make
from strandwright.web.door import COOKIE
from strandwright.web.listening import read_certificate, tls_context
from strandwright.web.serve import _config
from strandwright.web.signed_store import SignedStore, signed

JSON = {"content-type": "application/json"}


def _cookie(answer: Any) -> str:
    return answer.headers["set-cookie"]


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

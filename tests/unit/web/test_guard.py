"""The guard: who may speak to the app, what its pages may do, how much may be sent."""

from __future__ import annotations

import re

import pytest

from strandwright.web.security import LARGEST_BODY, LARGEST_SOUND, policy_for

#: Of a build that is not kept: what the guard lets through comes to the app, which knows of none.
HEAR = f"/api/builds/{'0' * 32}/hear"


@pytest.mark.parametrize(
    "host",
    ["127.0.0.1:8471", "localhost:8471", "[::1]:8471", "127.0.0.1", "localhost"],
)
def test_loopback_names_are_answered(client, host):
    """Whatever name the loopback address goes by."""
    assert 200 == client.get("/api/hello", headers={"host": host}).status_code


@pytest.mark.parametrize(
    "host",
    ["strandwright.example", "127.0.0.1.example", "localhost.example:8471", "10.0.0.1", "",
     "127.0.0.1:8471@x", "0.0.0.0:8471", "127.0.0.1:"],
)  # fmt: skip
def test_other_names_are_refused(client, host):
    """A name that resolves to loopback by somebody else's doing is not answered."""
    assert 421 == client.get("/api/hello", headers={"host": host}).status_code


@pytest.mark.parametrize(
    "origin",
    ["http://strandwright.example", "https://127.0.0.1:8471", "http://127.0.0.1:9", "null",
     "http://localhost:8471"],
)  # fmt: skip
def test_foreign_origins_are_refused(client, origin):
    """A page from elsewhere may neither read nor write."""
    for answer in (
        client.get("/api/jobs", headers={"origin": origin}),
        client.post("/api/jobs", json={"example": "RIDGE-1"}, headers={"origin": origin}),
    ):
        assert 403 == answer.status_code
    assert [] == client.get("/api/jobs").json()["jobs"]


def test_the_own_origin_is_let_in(client):
    """The app's own page sends its origin with what it writes."""
    origin = {"origin": "http://127.0.0.1:8471"}
    answer = client.post("/api/jobs", json={"example": "RIDGE-1"}, headers=origin)
    assert 200 == answer.status_code


def test_a_cross_site_fetch_is_refused(client):
    """The browser's own word about a request counts too."""
    answer = client.get("/api/jobs", headers={"sec-fetch-site": "cross-site"})
    assert 403 == answer.status_code


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", ""])
def test_only_json_changes_anything(client, kind):
    """What a form of another site can send is not taken."""
    headers = {"content-type": kind} if kind else {}
    answer = client.post("/api/jobs", content=b'{"example":"RIDGE-1"}', headers=headers)
    assert 415 == answer.status_code


def test_too_large_a_body_is_refused(client):
    """Nothing of a body over the limit is read into a job."""
    body = b'{"toml":"' + b"a" * LARGEST_BODY + b'"}'
    headers = {"content-type": "application/json"}
    assert 413 == client.post("/api/jobs", content=body, headers=headers).status_code


@pytest.mark.parametrize("kind", ["audio/wav", "audio/flac"])
def test_a_sound_is_taken_where_it_is_heard_and_nowhere_else(client, kind):
    """The guard lets it through to the one path, and to no other that changes something."""
    headers = {"content-type": kind}
    assert 415 != client.post(f"{HEAR}?step=even", content=b"RIFF", headers=headers).status_code
    for address in (f"{HEAR}/together", "/api/jobs", "/api/jobs/hear.", HEAR.removesuffix("/hear")):
        assert 415 == client.post(address, content=b"RIFF", headers=headers).status_code
    assert 415 == client.put(HEAR, content=b"RIFF", headers=headers).status_code


@pytest.mark.parametrize(
    "kind", ["application/json", "text/plain", "multipart/form-data", "audio/mpeg", ""]
)
def test_only_a_sound_is_heard(client, kind):
    """What a form of another site can send is not taken there either."""
    headers = {"content-type": kind} if kind else {}
    answer = client.post(f"{HEAR}?step=even", content=b"{}", headers=headers)
    assert 415 == answer.status_code
    assert "audio/wav" in answer.json()["said"]


def test_a_sound_from_elsewhere_is_refused(client):
    """A foreign origin is refused before its sound is read."""
    headers = {"content-type": "audio/wav", "origin": "http://strandwright.example"}
    assert 403 == client.post(f"{HEAR}?step=even", content=b"RIFF", headers=headers).status_code


def test_a_foreign_page_gets_no_leave_to_send_a_sound(client):
    """The question a browser asks before such a request is not answered with leave."""
    asks = {
        "origin": "http://strandwright.example",
        "access-control-request-method": "POST",
        "access-control-request-headers": "content-type",
    }
    answer = client.options(HEAR, headers=asks)
    assert 403 == answer.status_code
    assert not [name for name in answer.headers if name.startswith("access-control-")]


def test_a_sound_may_be_larger_than_a_job(client):
    """It has a limit of its own, which it may not pass."""
    headers = {"content-type": "audio/wav"}
    larger = client.post(f"{HEAR}?step=even", content=bytes(LARGEST_BODY + 1), headers=headers)
    assert 413 != larger.status_code
    too_large = client.post(f"{HEAR}?step=even", content=bytes(LARGEST_SOUND + 1), headers=headers)
    assert 413 == too_large.status_code
    assert str(LARGEST_SOUND) in too_large.json()["said"]


def test_only_the_own_pages_may_use_the_microphone(client):
    """No camera and no place; the microphone for the page itself, and for nothing framed in it."""
    policy = client.get("/").headers["permissions-policy"]
    assert {"camera=()", "geolocation=()", "microphone=(self)"} == set(policy.split(", "))


@pytest.mark.parametrize("address", ["/", "/api/jobs", "/static/app.js", "/sw.js", "/nowhere"])
def test_every_answer_carries_the_policy(client, address):
    """No inline style, no foreign script, no frame; types are not guessed."""
    headers = client.get(address).headers
    policy = headers["content-security-policy"]
    assert "unsafe" not in policy
    assert "default-src 'self'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "nosniff" == headers["x-content-type-options"]


def test_a_refusal_carries_the_policy_too(client):
    """The answers of the guard itself are no way round it."""
    answer = client.get("/api/hello", headers={"host": "strandwright.example"})
    assert "default-src 'self'" in answer.headers["content-security-policy"]


def test_the_import_map_is_the_one_script_in_the_page(client):
    """The page holds no other script and no style of its own; the map is let in by its hash."""
    page = client.get("/").content
    inline = re.findall(rb"<script(?![^>]*src=)[^>]*>", page)
    assert all(b"importmap" in tag for tag in inline)
    assert b"<style" not in page
    assert re.search(rb'\sstyle="', page) is None
    assert "sha256-" in policy_for(page)


def test_files_outside_the_pages_are_not_served(client):
    """A path that climbs out of the folder finds nothing."""
    for path in ("/static/../app.py", "/static/%2e%2e/app.py", "/static/..%2fapp.py"):
        assert 404 == client.get(path).status_code

"""The ear over HTTP: what to expect, a recorded pluck answered, several taken together."""

from __future__ import annotations

import io
import itertools

import numpy as np
import pytest

soundfile = pytest.importorskip("soundfile")

NUMBERS = itertools.count(9000)
AT = "2026-03-02T09:00:00.000Z"


@pytest.fixture
def build(client, ridge):
    """Give a build of the ridge string, begun."""
    made = f"{next(NUMBERS):032x}"
    body = {"build": made, "event": f"{next(NUMBERS):032x}", "at": AT}
    assert 200 == client.post(f"/api/jobs/{ridge}/builds", json=body).status_code
    return made


def sound_of(frequencies, rate=24000, seconds=1.4):
    """A pluck as the bytes of a WAV file."""
    t = np.arange(int(seconds * rate)) / rate - 0.1
    x = sum(
        (t > 0) * np.exp(-3.0 * np.maximum(t, 0)) * np.sin(6.2831853 * f * t) / (i + 1)
        for i, f in enumerate(frequencies[:8])
    )
    x = 0.2 * x + 1e-3 * np.random.default_rng(0).standard_normal(len(t))
    file = io.BytesIO()
    soundfile.write(file, x, rate, format="WAV", subtype="FLOAT")
    return file.getvalue()


def hear(client, build, content, step="read-bare", kind="audio/wav"):
    """Send a sound."""
    return client.post(
        f"/api/builds/{build}/hear", params={"step": step}, content=content,
        headers={"content-type": kind},
    )  # fmt: skip


def test_what_it_promises_it_hears(client, build):
    """The partials it tells of, played back, are the load asked."""
    told = client.get(f"/api/builds/{build}/hear", params={"step": "read-bare"}).json()
    answer = hear(client, build, sound_of(told["partials_hz"]))
    assert answer.status_code == 200, answer.text
    heard = answer.json()
    assert heard["heard"]
    assert heard["load"] == pytest.approx(told["target_n"], rel=3e-3)
    assert heard["verdict"] == "at"
    assert heard["pitch"] == pytest.approx(told["expected_hz"], rel=1e-3)


def test_three_plucks_together_show_their_scatter(client, build):
    """Each answer's own pluck is sent back as it came."""
    told = client.get(f"/api/builds/{build}/hear", params={"step": "read-bare"}).json()
    plucks = [
        hear(client, build, sound_of([k * f for f in told["partials_hz"]])).json()["pluck"]
        for k in (0.998, 1.0, 1.002)
    ]
    body = {"step": "read-bare", "plucks": plucks}
    whole = client.post(f"/api/builds/{build}/hear/together", json=body).json()
    assert whole["scatter_text"].startswith("three plucks within 0.8 %")
    assert whole["load"] == pytest.approx(told["target_n"], rel=5e-3)
    assert "lbf +- " in whole["load_entry"]


def test_a_heard_load_goes_into_the_reading(client, build):
    """The load of an answer, as it is written, is what a length-read event takes."""
    told = client.get(f"/api/builds/{build}/hear", params={"step": "read-bare"}).json()
    entry = hear(client, build, sound_of(told["partials_hz"])).json()["load_entry"]
    events = [
        ("posts-set", {"outside": "57 19/32 in"}),
        ("length-read", {"stage": "bare", "length": "57 3/4 in", "load": entry, "heard": True}),
    ]
    for type, body in events:
        event = {"id": f"{next(NUMBERS):032x}", "type": type, "at": AT, "by": "b", "body": body}
        answer = client.post(f"/api/builds/{build}/events", json={"events": [event]})
        assert answer.status_code == 200, answer.text
    parameters = client.get(f"/api/builds/{build}").json()
    assert parameters["readings"][-1]["kind"] == "length"


def test_bad_sounds_and_steps_are_refused_in_words(client, build):
    """Nothing breaks: field, rule and remedy each time."""
    wrong = hear(client, build, b"no sound")
    assert wrong.status_code == 422
    assert wrong.json()["errors"][0]["field"] == "sound"
    posts = client.get(f"/api/builds/{build}/hear", params={"step": "posts"})
    assert posts.status_code == 422
    assert "under load" in posts.json()["errors"][0]["rule"]
    silent = io.BytesIO()
    soundfile.write(silent, np.zeros(20000), 20000, format="FLAC")
    told = hear(client, build, silent.getvalue(), kind="audio/flac").json()
    assert not told["heard"]
    assert told["why_not"]
    assert hear(client, build, b"{}", kind="application/json").status_code == 415
    gone = client.get(f"/api/builds/{'f' * 32}/hear", params={"step": "posts"})
    assert gone.status_code == 404

"""A build whose every length is read at a load that was heard, and a string of hidden load."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from at_the_ear import EarAtTheJig, read_entry
from at_the_jig import Jig, build_at, go_on
from bench_server import BenchServer
from complaints import OpenPage
from playwright.sync_api import expect

from plucked_line import LBF, recorded, thrown
from strandwright.planning.examples import example
from strandwright.vibration.sound import Sound

soundfile = pytest.importorskip("soundfile")


def kept(path: Path, sound: Sound) -> Path:
    """Keep a sound as a file."""
    soundfile.write(path, sound.samples, int(sound.rate))
    return path


def rung(partials: list[float], off: float, seed: int) -> Sound:
    """Partials of a line whose load is off by a factor from where it should sound like this."""
    t = np.arange(36_000) / 24_000.0 - 0.1
    x = sum(
        (t > 0) * np.exp(-3.0 * np.maximum(t, 0)) * np.sin(6.2831853 * f * off**0.5 * t) / (i + 1)
        for i, f in enumerate(partials[:8])
    )
    hiss = np.random.default_rng(seed).standard_normal(len(t))
    return Sound(0.2 * np.asarray(x) + 1e-3 * hiss, 24_000.0)


def at_the_reading(open_page: OpenPage, bench: BenchServer, build: str) -> EarAtTheJig:
    """Open the ear where a length is to be read."""
    jig = Jig(open_page(bench.url)).open(bench, build)
    jig.read_the_news()
    return EarAtTheJig(jig).open()


def test_a_finished_string_of_hidden_load_is_read_within_its_range(
    standing: BenchServer, open_page: OpenPage, tmp_path: Path
) -> None:
    """Served, 57 in long, its load in its generator alone: a recording brought at the proof."""
    hidden = thrown(53)
    build = build_at(standing, "proof")
    ear = at_the_reading(open_page, standing, build)
    ear.bring(kept(tmp_path / "proof.wav", recorded([hidden], seed=9, hum=0.01)[0]))
    ear.hears(1)
    load, spread = ear.shows_load()
    assert abs(load - hidden.load / LBF) <= spread
    assert spread < 0.2 * load
    ear.page.locator(".ear-facts summary").first.click()
    expect(ear.page.locator(".ear-facts").first).to_contain_text("mass of the strands")


def test_a_known_load_beside_the_heard_one_is_kept_with_the_bench(
    standing: BenchServer, open_page: OpenPage, tmp_path: Path
) -> None:
    """Checked once, what is heard on this line is several times surer, and centred anew."""
    build = build_at(standing, "proof")
    ear = at_the_reading(open_page, standing, build)
    told = standing.get(f"/api/builds/{build}/hear?step=read-proof")
    ear.bring(kept(tmp_path / "check.wav", rung(told["partials_hz"], 1.0, 1)))
    ear.hears(1)
    _, before = ear.shows_load()
    ear.page.get_by_text("Check against a known load").click()
    ear.page.get_by_role("button", name="Keep this check").click()
    expect(ear.page.locator("#ear-known-said")).to_contain_text("Type the known load")
    ear.page.get_by_label("The known load").fill("96 lbf +- 1")
    ear.page.get_by_role("button", name="Keep this check").click()
    ear.jig.until(lambda: bool(standing.events(build, "ear-checked")), "no check was recorded")
    ear.page.reload()
    ear.jig.read_the_news()
    ear.open()
    ear.bring(tmp_path / "check.wav")
    ear.hears(1)
    load, after = ear.shows_load()
    assert after < 0.4 * before
    assert abs(load - 96.0) <= 2.0


def test_every_length_of_a_build_is_read_at_a_heard_load_and_the_budget_says_so(
    standing: BenchServer, open_page: OpenPage, tmp_path: Path
) -> None:
    """A bench without any gauge: the strap a little off each time, the ear says by how much."""
    job = example("RIDGE-1")
    table = job.model_dump(mode="json", exclude_defaults=True)
    table |= {"id": "EAR-1", "bench": table["bench"] | {"gauge": "none"}}
    build = build_at(standing, "read", {"job": table})
    jig = Jig(open_page(standing.url)).open(standing, build)
    for number, off in enumerate((0.94, 1.05, 0.97, 1.02)):
        act = standing.get(f"/api/builds/{build}")["act"]
        told = standing.get(f"/api/builds/{build}/hear?step={act['step']}")
        jig.page.reload()
        jig.read_the_news()
        ear = EarAtTheJig(jig).open()
        ear.bring(kept(tmp_path / f"{number}.wav", rung(told["partials_hz"], off, number)))
        ear.hears(1)
        ear.page.get_by_role("button", name="Use this load").click()
        load, spread = read_entry(ear.field().input_value())
        assert load == pytest.approx(100.0 * off, abs=1.5)
        assert 0.0 < spread < 20.0
        jig.type("The tape reads", act["ask"]["expected_text"].split(" \u00b1")[0])
        jig.do("This is what it reads")
        jig.until(
            lambda n=number: len(standing.events(build, "length-read")) == n + 1, "not recorded"
        )
        if number < 3:
            go_on(standing, build, "proof" if number == 2 else "read")
    bodies = [e["body"] for e in standing.events(build, "length-read")]
    assert [b["heard"] for b in bodies] == [True] * 4
    landing = standing.get(f"/api/builds/{build}")["landing"]
    assert landing["finished_text"]
    labels = [row["label"] for row in landing["budget"]]
    assert "load heard in the pluck" in labels, labels
    assert re.search(r"9\d %|over 99 %", landing["chance_text"])

"""Where the ear finds that a line was plucked, in sounds written down sample by sample."""

from __future__ import annotations

import pytest
from bench_server import BenchServer
from complaints import OpenPage

#: Gives the moments [s] at which plucks are found in a sound, a function of time, of some length.
_FOUND = """async ({ sound, seconds }) => {
  const { Ring } = await import("/static/models/ear_ring.js");
  const [rate, size, at] = [48000, 1024, window.sounds[sound]];
  const ring = new Ring(rate);
  const found = [];
  for (let done = 0; done < seconds * rate; done += size) {
    const onset = ring.take(Float32Array.from({ length: size }, (_, i) => at((done + i) / rate)));
    if (onset !== null) found.push(onset / rate);
  }
  return found;
}"""
#: Every pluck begins half a second after the turn of a period of 3 s.
_SOUNDS = """() => {
  const turn = 2 * Math.PI;
  const hiss = (much) => much * (Math.random() - 0.5);
  const plucked = (t, f) => {
    const u = (t % 3) - 0.5;
    return u > 0 ? f(u) * Math.exp(-0.8 * u) : 0;
  };
  const swing = (hz) => (u) => Math.sin(turn * hz * u);
  const beat = (apart) => (u) => 0.1 * (swing(60)(u) + swing(60 + apart)(u));
  window.sounds = {
    low: (t) => hiss(1e-3) + plucked(t, (u) => 0.2 * swing(30)(u)),
    "soft beside a fan": (t) =>
      hiss(8e-3) + 3e-3 * swing(50)(t) + plucked(t, (u) => 0.03 * swing(60)(u)),
    "two slow beats": (t) => hiss(1e-3) + plucked(t, beat(1)),
    "beats in a row": (t) => hiss(1e-3) + plucked(t, beat(2.5)),
    "quick beats": (t) => hiss(1e-3) + plucked(t, beat(8)),
    "a fan": (t) => hiss(0.03) + 0.02 * swing(50)(t),
    stillness: () => 0,
  };
}"""
PLUCKED = ("low", "soft beside a fan", "two slow beats", "beats in a row", "quick beats")


@pytest.mark.parametrize("sound", PLUCKED)
def test_a_pluck_is_found_once(sound: str, standing: BenchServer, open_page: OpenPage) -> None:
    """Near its moment, and never again where two swings beat against each other."""
    page = open_page(standing.url)
    page.evaluate(_SOUNDS)
    found = page.evaluate(_FOUND, {"sound": sound, "seconds": 8.9})
    assert found == pytest.approx([0.5, 3.5, 6.5], abs=0.05)


@pytest.mark.parametrize("sound", ["a fan", "stillness"])
def test_what_goes_on_is_no_pluck(sound: str, standing: BenchServer, open_page: OpenPage) -> None:
    """Nothing is found where nothing begins."""
    page = open_page(standing.url)
    page.evaluate(_SOUNDS)
    assert [] == page.evaluate(_FOUND, {"sound": sound, "seconds": 6.0})

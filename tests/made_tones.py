"""Tones made of decaying partials with known numbers, and what a shop adds to them."""

from __future__ import annotations

import numpy as np

from strandwright.vibration.sound import Sound

Floats = np.ndarray


def tone(
    pitch: float = 52.3,
    *,
    rate: float = 48000.0,
    duration: float = 2.0,
    onset: float = 0.1,
    modes: int = 10,
    stiffness: float = 0.0,
    decay: float = 1.5,
    drift: float = 0.0,
    pick: float = 0.23,
    hiss: float = 0.0,
    size: float = 0.3,
    seed: int = 0,
) -> Sound:
    """A pluck of partials n f sqrt(1 + B n^2), all of them drifting by c exp(-2 d t)."""
    rng = np.random.default_rng(seed)
    t = np.arange(int(rate * duration)) / rate - onset
    since = t[t >= 0.0]
    n = np.arange(1.0, modes + 1.0)
    frequency = pitch * n * np.sqrt((1.0 + stiffness * n**2) / (1.0 + stiffness))
    decays = decay * (1.0 + 0.02 * n**2)
    added = drift * (1.0 - np.exp(-2.0 * decays[0] * since)) / (2.0 * decays[0])
    x = np.zeros_like(t)
    for k in range(modes):
        if frequency[k] < 0.45 * rate:
            phase = 2.0 * np.pi * frequency[k] * (since + added) + rng.uniform(0.0, 6.28)
            swing = np.sin(np.pi * n[k] * pick) / n[k] * np.exp(-decays[k] * since)
            x[t >= 0.0] += size * swing * np.cos(phase)
    return Sound(x + hiss * rng.standard_normal(len(x)), rate)


def together(*sounds: Sound) -> Sound:
    """Several at once, all of one length."""
    return Sound(np.sum([s.samples for s in sounds], axis=0), sounds[0].rate)


def hum(like: Sound, frequency: float = 50.0, size: float = 0.05, seed: int = 1) -> Sound:
    """A hum of five harmonics, as long as another sound."""
    rng = np.random.default_rng(seed)
    t = np.arange(len(like.samples)) / like.rate
    parts = [
        size / k * np.cos(2.0 * np.pi * frequency * k * t + rng.uniform(0.0, 6.28))
        for k in range(1, 6)
    ]
    return Sound(np.sum(parts, axis=0), like.rate)


def bang(like: Sound, at: float, size: float = 0.2, seed: int = 2) -> Sound:
    """A short burst of noise, as long as another sound."""
    rng = np.random.default_rng(seed)
    t = np.arange(len(like.samples)) / like.rate - at
    fading = np.exp(-np.maximum(t, 0.0) / 0.02) * (t > 0.0)
    return Sound(size * fading * rng.standard_normal(len(t)), like.rate)


def cents(heard: float, true: float) -> float:
    """How much too high, in hundredths of a semitone."""
    return 1200.0 * float(np.log2(heard / true))

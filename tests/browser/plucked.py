"""A line of our own that is plucked, for microphones and phones: swings written down from physics.

A bare skein is one uniform string between its posts. Nothing here knows how the program hears.
"""

from __future__ import annotations

import wave
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile  # pyright: ignore[reportMissingTypeStubs]
from numpy.typing import NDArray

Floats = NDArray[np.float64]
RATE = 48_000
POUND_FORCE = 4.4482216152605
INCH = 0.0254
#: Of one strand of the lot on the spools here: the example's, and a fifteenth of wax [kg/m]
STRAND = 0.192e-3 * (1.0 + 1.0 / 15.0)
#: Time from one pluck to the next, and before the first [s]
APART, STILL = 3.0, 0.7


@dataclass(frozen=True)
class Skein:
    """A skein under load between two posts.

    Attributes
    ----------
    load : float
        What it is held by [lbf].
    between : float
        From the axis of one post to the other's [in].
    strands : int
        In both its legs together [-].
    """

    load: float
    between: float
    strands: int = 24

    @property
    def pitch(self) -> float:
        """Its first swing [Hz]."""
        speed = np.sqrt(self.load * POUND_FORCE / (self.strands * STRAND))
        return float(speed / (2.0 * self.between * INCH))


def plucks(skein: Skein, scatter: tuple[float, ...] = (0.0, 0.001, -0.001)) -> Floats:
    """Give the sound of plucks one after the other, each a share higher or lower [-].

    Plucked a quarter of its length from an end, so that every fourth partial is silent.
    """
    time = np.arange(int(APART * RATE)) / RATE
    sound = [np.zeros(int(STILL * RATE))]
    for share in scatter:
        swings = np.zeros_like(time)
        for mode in range(1, 11):
            loud = np.sin(np.pi * mode / 4.0) / mode
            fades = np.exp(-(0.8 + 0.2 * mode) * time)
            swings += loud * fades * np.sin(2 * np.pi * mode * skein.pitch * (1.0 + share) * time)
        sound.append(swings)
    told = np.concatenate(sound)
    hiss = np.random.default_rng(20).normal(size=told.size)
    return 0.4 * told / np.abs(told).max() + 2e-4 * hiss


def knocks() -> Floats:
    """Give the sound of a bench that is knocked on: nothing in it rings."""
    time = np.arange(int(APART * RATE)) / RATE
    knock = np.random.default_rng(21).normal(size=time.size) * np.exp(-60.0 * time)
    quiet = 1e-4 * np.random.default_rng(22).normal(size=int(STILL * RATE) + 2 * time.size)
    quiet[int(STILL * RATE) :] += np.tile(0.2 * knock, 2)
    return quiet


def write_wav(path: Path, sound: Floats) -> Path:
    """Write a sound as a recorder does, 16 bits on one channel."""
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(np.round(32767 * np.clip(sound, -1, 1)).astype("<i2").tobytes())
    return path


def write_flac(path: Path, sound: Floats) -> Path:
    """Write a sound as a phone does that packs it without loss."""
    soundfile.write(path, sound, RATE, subtype="PCM_16", format="FLAC")
    return path

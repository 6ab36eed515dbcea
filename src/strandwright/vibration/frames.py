r"""Frames: how strongly each partial sounds, and at which phase, from short stretch to stretch.

A stretch is weighed by :math:`w` and each partial is turned back by its frequency,

.. math:: X_{nj} = \sum_t w(t - t_j)\, x(t)\, e^{-i\omega_n t} \Big/ \sum_t w(t),

so that a partial that dies away steadily is a straight line in :math:`\log X_{nj}`. Stretches lie
wholly within the sound: its ends leave no trace. What one partial leaves in another's frames is
known as soon as it is, and is taken off.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.sound import PIECE, Sound

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
#: Stretches last so many periods of mode 1: a neighbour then falls on a zero of the window.
_PERIODS = 4.0
_SHORTEST, _LONGEST_SHARE = 0.06, 0.4
#: Stretches begin this share of their length after one another.
_PARTS = 4


@dataclass(frozen=True)
class Leaks:
    """What partials leave in each other's frames.

    Attributes
    ----------
    direct, mirror : ndarray, shape (partials, partials)
        Share of the second, and of its mirror at the negative frequency, in the first [-].
    turned : ndarray, shape (partials, frames)
        What each is turned back by [-].
    """

    direct: Complexes
    mirror: Complexes
    turned: Complexes

    def of(self, swing: Complexes) -> Complexes:
        """Give what is left in each partial's frames.

        Parameters
        ----------
        swing : ndarray, shape (partials, frames)
            Of each partial alone [full scale]

        Returns
        -------
        ndarray, shape (partials, frames)
            Sum over the others, and over each one's own mirror [full scale].
        """
        sound = swing * self.turned
        return (self.direct @ sound + self.mirror @ np.conj(sound)) * np.conj(self.turned)


@dataclass(frozen=True)
class Frames:
    """Complex swing of each partial in each stretch.

    Attributes
    ----------
    time : ndarray, shape (frames,)
        Middle of each stretch, from the sound's beginning [s].
    frequency : ndarray, shape (partials,)
        By which each partial is turned back [Hz].
    swing : ndarray, shape (partials, frames)
        Half its size, with its phase [full scale].
    window : ndarray, shape (samples,)
        Weight of a stretch's samples, adding up to one [-].
    rate : float
        Samples each second [Hz].
    """

    time: Floats
    frequency: Floats
    swing: Complexes
    window: Floats
    rate: float

    @property
    def noise(self) -> float:
        """Mean square of a swing for white noise of mean square 1 in a sample [-]."""
        return float(np.sum(self.window**2))

    @property
    def overlap(self) -> float:
        """How many frames tell as much as one would, of noise alone [-]."""
        hop = len(self.window) // _PARTS
        noise = self.noise
        total = 1.0
        for k in range(1, _PARTS):
            lag = k * hop
            total += 2.0 * float(np.dot(self.window[lag:], self.window[:-lag])) / noise
        return total

    def leaks(self, frequency: Floats, decay: Floats) -> Leaks:
        """Find how much of each partial is seen in the frames of the others.

        Parameters
        ----------
        frequency : ndarray, shape (partials,)
            Of each [Hz]
        decay : ndarray, shape (partials,)
            Of each [1/s]

        Returns
        -------
        Leaks
            Of each in each.
        """
        there = 2.0j * np.pi * frequency - decay
        here = 2.0j * np.pi * self.frequency[:, None]
        # Of partial m in the frames of n, and of its mirror at the negative frequency.
        aside = np.stack([there - here, np.conj(there) - here]).astype(np.complex128)
        both = self.passed(aside)
        np.fill_diagonal(both[0], 0.0)
        return Leaks(both[0], both[1], np.exp(here * self.time))

    def passed(self, rate: Complexes) -> Complexes:
        """Give how much of a swing that turns and dies away is left in a frame.

        Parameters
        ----------
        rate : ndarray
            Turning less decay, beside what the frame is turned back by [1/s]

        Returns
        -------
        ndarray
            Over its size in the frame's middle [-].
        """
        count = len(self.window)
        half = 0.5 * rate / self.rate
        turn = 1j * np.pi / count
        total = 2.0 * _sum(half, count) + _sum(half + turn, count) + _sum(half - turn, count)
        return total / (2.0 * count)


def _sum(half: Complexes, count: int) -> Complexes:
    """Sum of exp(2 half t) over as many whole steps about the middle."""
    near = np.abs(half) < 1e-12
    safe = np.where(near, 1e-12, half)
    return np.where(near, count, np.sinh(count * safe) / np.sinh(safe))


def cut(sound: Sound, frequency: Floats, pitch: float) -> Frames | None:
    """Part a sound into frames of its partials.

    Parameters
    ----------
    sound : Sound
        Ringing.
    frequency : ndarray, shape (partials,)
        Of its partials, roughly [Hz]
    pitch : float
        Frequency of mode 1, roughly [Hz]

    Returns
    -------
    Frames or None
        None where the sound is too short for it.
    """
    count = len(sound.samples)
    span = max(_PERIODS / pitch, _SHORTEST)
    span = min(span, _LONGEST_SHARE * count / sound.rate)
    hop = int(span * sound.rate) // _PARTS
    length = hop * _PARTS
    if hop < 2 or span < 2.4 / pitch:
        return None
    window = np.sin(np.pi * (np.arange(length) + 0.5) / length) ** 2
    window = window / np.sum(window)
    rows = np.ascontiguousarray(
        np.lib.stride_tricks.sliding_window_view(sound.samples, length)[::hop]
    )
    at = (np.arange(length) - 0.5 * (length - 1)) / sound.rate
    first = 0.5 * (length - 1) / sound.rate
    time = first + np.arange(len(rows), dtype=np.float64) * (hop / sound.rate)
    phase = 2.0 * np.pi * at[:, None] * frequency
    turned = np.concatenate([np.cos(phase), -np.sin(phase)], axis=1) * window[:, None]
    piece = max(1, PIECE // turned.size)
    pieces = [rows[i : i + piece] @ turned for i in range(0, len(rows), piece)]
    parts = np.concatenate(pieces)
    swing = (parts[:, : len(frequency)] + 1j * parts[:, len(frequency) :]).T
    swing = swing * np.exp(-2.0j * np.pi * frequency[:, None] * time)
    return Frames(time, frequency, swing, window, sound.rate)

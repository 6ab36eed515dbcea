r"""Ringing: how the partials of a plucked line swing in time, by numbers that can be fitted.

Each partial swings as

.. math:: M_n(t) = \exp\bigl(a_n - \delta_n t + i\theta_n
    + 2\pi i f_n [t + (c + e_n) G(t)]\bigr), \qquad G = \int_0^t E,

where the line, stretched by its swing, sounds higher by the share :math:`c E(t)`. The swing's
square dies away by twice the decays of the modes, :math:`E = \sum_n q_n e^{-2\kappa d_n t}`,
:math:`q_n \propto n^{-2}`, with decays :math:`d_n` that rise evenly with :math:`n^2`.
:math:`f_n` is the frequency at small swings. A second way of swinging adds
:math:`b_n e^{2\pi i \epsilon f_n t}` to 1, hum a tone that stays.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.frames import Frames

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
#: Modes whose swing stretches the line, and the weight of each.
_MODES = np.arange(1.0, 9.0)
_WEIGHTS = _MODES**-2 / np.sum(_MODES**-2)
#: A decay is taken to be at least this, for how fast the drift dies away [1/s].
_LEAST_DECAY = 0.05


@dataclass(frozen=True)
class Ringing:
    """Partials that ring together.

    Attributes
    ----------
    frames : Frames
        What they are fitted to.
    order : ndarray, shape (partials,)
        Number of each one's mode [-].
    log_size, decay, phase, frequency, own : ndarray, shape (partials,)
        Logarithm of half the size at time 0 [-], decay [1/s], phase [rad], frequency at small
        swings [Hz], and drift beside the common one [-].
    drift : float
        Share by which all sounded higher at time 0 [-].
    rate : float
        How fast that dies away, beside twice the decay of the modes [-].
    fall : (float, float)
        Decay of the modes: of all, and times the square of each one's number [1/s].
    hum : ndarray, shape (partials,)
        Tone that stays, complex [full scale].
    hum_at : ndarray, shape (partials,)
        Its frequency; nan where none is looked for [Hz].
    other : ndarray, shape (partials,)
        Second way of swinging beside the first, complex [-].
    split : float
        How much higher the second sounds, as a share; nan where none is looked for [-].
    noise : ndarray, shape (partials,)
        Mean square of the noise in a frame [full scale^2].
    covariance : ndarray, shape (partials + 1, partials + 1)
        Of the logarithms of the frequencies, then of the split [-].
    """

    frames: Frames
    order: Floats
    log_size: Floats
    decay: Floats
    phase: Floats
    frequency: Floats
    own: Floats
    drift: float
    rate: float
    fall: tuple[float, float]
    hum: Complexes
    hum_at: Floats
    other: Complexes
    split: float
    noise: Floats
    covariance: Floats

    @property
    def doubled(self) -> bool:
        """Whether a second way of swinging is fitted."""
        return self.split == self.split

    @property
    def hums(self) -> bool:
        """Whether hum is looked for anywhere."""
        return bool(np.any(np.isfinite(self.hum_at)))

    def rising(self) -> tuple[Floats, Floats]:
        """Give how far the drift has added up, and how that changes with its rate's logarithm.

        Returns
        -------
        G, slope : ndarray, shape (frames,)
            At each frame [s].
        """
        base, growth = self.fall
        speed = 2.0 * self.rate * (base + growth * _MODES**2)
        gone = np.exp(-speed[:, None] * self.frames.time)
        added = (_WEIGHTS / speed) @ (1.0 - gone)
        return added, self.frames.time * (_WEIGHTS @ gone) - added

    def falling(self) -> tuple[float, float]:
        """How the decays of the partials go with their number, each weighed by its loudness.

        Returns
        -------
        base, growth : float
            Of all, and times the square of each one's number [1/s].
        """
        loud = np.log1p(np.exp(np.minimum(2.0 * self.log_size - np.log(self.noise), 60.0)))
        weight = loud / self.order
        weight = weight / np.sum(weight)
        n2 = self.order**2
        decay = np.clip(self.decay, 0.0, 5.0 * np.median(np.abs(self.decay)) + _LEAST_DECAY)
        away = n2 - weight @ n2
        growth = max(0.0, float(weight @ (away * decay) / (weight @ away**2 + 1.0)))
        mean = float(weight @ decay)
        base = mean - growth * float(weight @ n2)
        least = max(0.2 * mean, _LEAST_DECAY)
        if base < least:
            base, growth = least, max(0.0, (mean - least) / float(weight @ n2))
        return base, growth

    def first(self, rising: Floats) -> Complexes:
        """Swing of each partial without hum or second.

        Parameters
        ----------
        rising : ndarray, shape (frames,)
            How far the drift has added up [s]

        Returns
        -------
        ndarray, shape (partials, frames)
            [full scale]
        """
        t, f = self.frames.time, self.frequency
        turned = (2.0 * np.pi * (f - self.frames.frequency))[:, None] * t
        turned += (2.0 * np.pi * f * (self.drift + self.own))[:, None] * rising
        turned += self.phase[:, None]
        size = np.maximum(self.log_size[:, None] - self.decay[:, None] * t, -300.0)
        return np.exp(size + 1j * turned)

    def wave(self) -> Complexes:
        """Second way of swinging over the first, at unit size, (partials, frames) [-]."""
        turned = (2.0 * np.pi * self.split * self.frequency)[:, None] * self.frames.time
        return np.exp(1j * turned)

    def tone(self) -> Complexes:
        """Hum at unit size as each partial's frames show it, (partials, frames) [-]."""
        away = np.nan_to_num(self.hum_at - self.frames.frequency)
        turned = np.exp(2.0j * np.pi * away[:, None] * self.frames.time)
        turning = (2.0j * np.pi * away).astype(np.complex128)
        seen = np.where(np.isfinite(self.hum_at), self.frames.passed(turning).real, 0.0)
        return seen[:, None] * turned

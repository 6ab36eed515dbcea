r"""Fitting: frequency, decay and size of all partials together, with the drift they share.

Each partial swings as

.. math:: M_n(t) = \exp\bigl(a_n - \delta_n t + i\theta_n
    + 2\pi i f_n [t + (c + e_n) G(t)]\bigr), \qquad G = \int_0^t E,

where the line, stretched by its swing, sounds higher by the share :math:`c E(t)`. The swing's
square dies away by twice the decays of the modes, :math:`E = \sum_n q_n e^{-2\kappa\delta_n t}`,
the low ones first in weight. :math:`f_n` is the frequency at small swings. A second way of
swinging adds :math:`b_n e^{2\pi i \epsilon f_n t}` to 1, hum a tone that stays.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.frames import Frames

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
_STEPS = 14
#: Standard uncertainties beforehand: of the drift, of its rate (as a logarithm), and of how much
#: one partial's drift differs from all others', as a share.
_DRIFT, _RATE, _OWN = 0.03, 0.35, 0.2
_LEAST_OWN = 2e-5
_BASE = 5


@dataclass(frozen=True)
class Fit:
    """Partials that were fitted together.

    Attributes
    ----------
    frames : Frames
        What they were fitted to.
    order : ndarray, shape (partials,)
        Number of each one's mode [-].
    log_size, decay, phase, frequency, own : ndarray, shape (partials,)
        Logarithm of half the size at time 0 [-], decay [1/s], phase [rad], frequency at small
        swings [Hz], and drift beside the common one [-].
    drift : float
        Share by which all sounded higher at time 0 [-].
    rate : float
        How fast that dies away, beside twice the decay of the partials [-].
    hum : ndarray, shape (partials,)
        Tone that stays, complex [full scale].
    hum_at : ndarray, shape (partials,)
        Its frequency; nan where none is looked for [Hz].
    other : ndarray, shape (partials,)
        Second way of swinging beside the first, complex [-].
    split : float
        How much higher the second sounds, as a share; nan where none is looked for [-].
    noise : ndarray, shape (partials,)
        Mean square of what is left of a frame [full scale^2].
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
    hum: Complexes
    hum_at: Floats
    other: Complexes
    split: float
    noise: Floats
    covariance: Floats

    @property
    def doubled(self) -> bool:
        """Whether a second way of swinging is fitted."""
        return bool(np.isfinite(self.split))

    def rising(self) -> tuple[Floats, Floats]:
        """Give how far the drift has added up, and how that changes with its rate's logarithm.

        Returns
        -------
        G, slope : ndarray, shape (frames,)
            At each frame [s].
        """
        share = 1.0 / self.order**2
        share = share / np.sum(share)
        speed = 2.0 * self.rate * np.maximum(self.decay, 0.05)
        gone = np.exp(-speed[:, None] * self.frames.time)
        added = (1.0 - gone) / speed[:, None]
        return share @ added, share @ (self.frames.time * gone - added)

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
        t, f = self.frames.time, self.frequency[:, None]
        drift = (self.drift + self.own)[:, None]
        turned = (f - self.frames.frequency[:, None]) * t + f * drift * rising
        size = np.maximum(self.log_size[:, None] - self.decay[:, None] * t, -300.0)
        return np.exp(size + 1j * (self.phase[:, None] + 2.0 * np.pi * turned))

    def beats(self) -> Complexes:
        """What the second way of swinging makes of the first, (partials, frames) [-]."""
        if not self.doubled:
            return np.ones(self.frames.swing.shape, dtype=np.complex128)
        return 1.0 + self.other[:, None] * self.wave()

    def wave(self) -> Complexes:
        """Second way of swinging over the first, at unit size, (partials, frames) [-]."""
        turned = self.split * self.frequency[:, None] * self.frames.time
        return np.exp(2.0j * np.pi * turned)

    def tone(self) -> Complexes:
        """Hum at unit size as each partial's frames show it, (partials, frames) [-]."""
        away = np.nan_to_num(self.hum_at - self.frames.frequency)
        turned = np.exp(2.0j * np.pi * away[:, None] * self.frames.time)
        width = len(self.frames.window)
        at = (np.arange(width) - 0.5 * (width - 1)) / self.frames.rate
        seen = np.cos(2.0 * np.pi * away[:, None] * at) @ self.frames.window
        return np.where(np.isfinite(self.hum_at), seen, 0.0)[:, None] * turned


def begin(frames: Frames, order: Floats, noise: Floats, hum_at: Floats) -> Fit:
    """Start from sizes, and from how phases go on from frame to frame.

    Parameters
    ----------
    frames : Frames
        Of the partials.
    order : ndarray, shape (partials,)
        Number of each one's mode [-]
    noise : ndarray, shape (partials,)
        Mean square of the noise in a frame [full scale^2]
    hum_at : ndarray, shape (partials,)
        Frequency of hum that may lie in a partial's frames; nan for none [Hz]

    Returns
    -------
    Fit
        Near enough for :func:`fitted`.
    """
    swing, t = frames.swing, frames.time
    power = np.abs(swing) ** 2 + 1e-300
    weight = power * np.clip(1.0 - noise[:, None] / power, 1e-3, 1.0)
    decay, log_size = _line(-0.5 * np.log(power), t, weight)
    decay = np.clip(decay, 0.02, 400.0)
    zero = np.zeros(len(order))
    fit = Fit(
        frames, order, -log_size, decay, zero, frames.frequency.copy(), zero, 0.0, 1.0,
        zero.astype(np.complex128), hum_at, zero.astype(np.complex128), np.nan, noise,
        np.zeros((len(order) + 1,) * 2),
    )  # fmt: skip
    fit = _best_rate(fit)
    return _aligned(fit)


def _line(value: Floats, t: Floats, weight: Floats) -> tuple[Floats, Floats]:
    """Slope and start of straight lines, (partials,)."""
    total = np.sum(weight, axis=1)
    mean = weight @ t / total
    middle = np.sum(weight * value, axis=1) / total
    away = t - mean[:, None]
    spread = np.sum(weight * away**2, axis=1) + 1e-30 * total
    slope = np.sum(weight * away * value, axis=1) / spread
    return slope, middle - slope * mean


def _best_rate(fit: Fit) -> Fit:
    """Find drift and frequencies from how the phases go on, for the rate that fits best."""
    swing, t = fit.frames.swing, fit.frames.time
    on = swing[:, 1:] * np.conj(swing[:, :-1])
    step = t[1] - t[0]
    off = np.angle(on) / (2.0 * np.pi * step * fit.frames.frequency[:, None])
    weight = np.abs(on) * (fit.frames.frequency**2 / fit.noise)[:, None]
    total = np.sum(weight, axis=1, keepdims=True)
    best, least = fit, np.inf
    off0 = off - np.sum(weight * off, axis=1, keepdims=True) / total
    for rate in (0.6, 1.0, 1.7):
        trial = replace(fit, rate=rate)
        rising, _ = trial.rising()
        here = np.diff(rising) / step
        away = here - (weight @ here)[:, None] / total
        drift = float(np.sum(weight * away * off0) / (np.sum(weight * away**2) + 1e-30))
        drift = float(np.clip(drift, -0.02, 0.08))
        left = float(np.sum(weight * (off0 - drift * away) ** 2))
        if left < least:
            steady = np.sum(weight * (off - drift * here), axis=1) / total[:, 0]
            frequency = fit.frames.frequency * (1.0 + steady)
            best, least = replace(trial, drift=drift, frequency=frequency), left
    return best


def _aligned(fit: Fit) -> Fit:
    """Move each frequency to where its phases agree best over all frames, and set the phase."""
    rising, _ = fit.rising()
    model = fit.first(rising)
    times = 4 * len(fit.frames.time)
    turned = np.fft.fft(fit.frames.swing * np.conj(model), times, axis=1)
    best = np.argmax(np.abs(turned), axis=1)
    step = fit.frames.time[1] - fit.frames.time[0]
    shift = np.fft.fftfreq(times, step)[best]
    fit = replace(fit, frequency=fit.frequency + shift)
    model = fit.first(rising)
    phase = np.angle(np.sum(fit.frames.swing * np.conj(model), axis=1))
    return replace(fit, phase=phase)


def fitted(fit: Fit) -> Fit:
    """Fit all partials together by Gauss and Newton's method, with what they leave in each other.

    Parameters
    ----------
    fit : Fit
        Where to start.

    Returns
    -------
    Fit
        With noise and covariance from what is left.
    """
    damping = 1e-6
    leak = _leak(fit)
    cost = _cost(fit, leak)
    for _ in range(_STEPS):
        trial, _ = _step(fit, leak, damping)
        after = _cost(trial, leak)
        if after < cost * (1.0 + 1e-12):
            small = cost - after < 1e-4 * (1.0 + 1e-6 * cost)
            fit, damping = trial, max(1e-9, 0.1 * damping)
            fresh = _leak(fit)
            moved = float(np.max(np.abs(fresh - leak) ** 2 / fit.noise[:, None]))
            leak = fresh
            cost = _cost(fit, leak)
            if small and moved < 1e-3:
                break
        else:
            damping = 30.0 * damping + 1e-5
            if damping > 1e4:
                break
    return fit


def settled(fit: Fit) -> Fit:
    """Take the noise about each partial from what is left, fit again, and say how sure it is.

    Parameters
    ----------
    fit : Fit
        Fitted with noise from the spectrum.

    Returns
    -------
    Fit
        With noise and covariance.
    """
    for _ in range(2):
        left = np.abs(_residual(fit, _leak(fit))) ** 2
        count = len(fit.frames.time) / fit.frames.overlap
        used = 3.0 + np.isfinite(fit.hum_at) + fit.doubled
        mean = np.mean(left, axis=1) * count / np.maximum(count - used, 0.3 * count)
        floor = 1e-24 * np.exp(2.0 * fit.log_size)
        fit = fitted(replace(fit, noise=np.maximum(mean, floor)))
    _, covariance = _step(fit, _leak(fit), 0.0)
    return replace(fit, covariance=covariance * fit.frames.overlap)


def _leak(fit: Fit) -> Complexes:
    rising, _ = fit.rising()
    swing = fit.first(rising) * fit.beats()
    return fit.frames.leaked(swing, fit.frequency, fit.decay)


def _residual(fit: Fit, leak: Complexes) -> Complexes:
    rising, _ = fit.rising()
    model = fit.first(rising) * fit.beats() + fit.hum[:, None] * fit.tone()
    return fit.frames.swing - leak - model


def _cost(fit: Fit, leak: Complexes) -> float:
    left = np.sum(np.abs(_residual(fit, leak)) ** 2, axis=1) / fit.noise
    own = fit.own / max(_OWN * abs(fit.drift), _LEAST_OWN)
    prior = np.sum(own**2) + (fit.drift / _DRIFT) ** 2 + (np.log(fit.rate) / _RATE) ** 2
    return float(2.0 * np.sum(left) + prior) if np.all(np.isfinite(left)) else np.inf


def _columns(fit: Fit) -> tuple[Complexes, Complexes]:
    """Change of each frame by each partial's own numbers, and by those in common."""
    rising, slope = fit.rising()
    t, f = fit.frames.time, fit.frequency[:, None]
    first, second = fit.first(rising), fit.wave() if fit.doubled else None
    whole = first * fit.beats()
    drift = (fit.drift + fit.own)[:, None]
    turn = 2.0j * np.pi * f * whole
    raised = turn * rising
    # A frequency counts by its logarithm, so that all columns are of a size.
    own = [whole, 1j * whole, -t * whole, turn * (t + drift * rising), raised]
    if np.any(np.isfinite(fit.hum_at)):
        tone = fit.tone()
        own += [tone, 1j * tone]
    common = [raised, turn * drift * slope]
    if second is not None:
        pair = first * second
        own[3] = own[3] + 2.0j * np.pi * f * t * fit.split * fit.other[:, None] * pair
        own += [pair, 1j * pair]
        common.append(2.0j * np.pi * f * t * fit.other[:, None] * pair)
    return np.stack(own, axis=1), np.stack(common, axis=1)


def _step(fit: Fit, leak: Complexes, damping: float) -> tuple[Fit, Floats]:
    """One step, and the covariance of log frequencies and split where it starts."""
    own, common = _columns(fit)
    scale = np.sqrt(2.0 / fit.noise)[:, None]
    left = _residual(fit, leak) * scale
    partials, count = own.shape[:2]
    real = np.concatenate([own.real, own.imag], axis=2) * scale[..., None]
    shared = np.concatenate([common.real, common.imag], axis=2) * scale[..., None]
    right = np.concatenate([left.real, left.imag], axis=1)
    mine = real @ np.swapaxes(real, 1, 2)
    cross = real @ np.swapaxes(shared, 1, 2)
    all_ = np.sum(shared @ np.swapaxes(shared, 1, 2), axis=0)
    pull, pull_all = (
        (real @ right[..., None])[..., 0],
        np.sum(shared @ right[..., None], axis=0)[:, 0],
    )
    sure = 1.0 / max(_OWN * abs(fit.drift), _LEAST_OWN) ** 2
    mine[:, 4, 4] += sure
    pull[:, 4] -= sure * fit.own
    prior = np.array([1.0 / _DRIFT**2, 1.0 / _RATE**2, 1.0])[: len(all_)]
    at = np.array([fit.drift, np.log(fit.rate), 0.0])[: len(all_)]
    all_[np.diag_indices(len(all_))] += prior
    pull_all -= prior * at
    diagonal = np.einsum("nii->ni", mine)
    diagonal *= 1.0 + damping + 1e-12
    diagonal += 1e-12 * np.max(diagonal, axis=1, keepdims=True) + 1e-200
    every = np.diagonal(all_).copy()
    all_[np.diag_indices(len(all_))] += damping * every
    # The common numbers first, each partial's own put aside; then those.
    solved = np.linalg.solve(mine, np.concatenate([cross, pull[..., None]], axis=2))
    back, alone = solved[..., :-1], solved[..., -1]
    core = all_ - np.einsum("nki,nkj->ij", cross, back)
    core_inverse = np.linalg.inv(core)
    move_all = core_inverse @ (pull_all - np.einsum("nki,nk->i", cross, alone))
    move = alone - back @ move_all
    covariance = _covariance(mine, back, core_inverse, partials)
    return _moved(fit, move, move_all, count), covariance


def _covariance(mine: Floats, back: Floats, core: Floats, partials: int) -> Floats:
    """Of log frequencies, then of the split."""
    single = np.linalg.inv(mine)[:, 3, 3]
    lean = back[:, 3, :]
    total = np.zeros((partials + 1, partials + 1))
    total[:partials, :partials] = np.diag(single) + lean @ core @ lean.T
    if len(core) > 2:
        total[partials, partials] = core[2, 2]
        total[:partials, partials] = total[partials, :partials] = -lean @ core[:, 2]
    return total


def _moved(fit: Fit, move: Floats, common: Floats, count: int) -> Fit:
    limit = np.maximum(1.0, np.max(np.abs(move[:, :2]), axis=1))
    move = move / limit[:, None]
    at = _BASE
    hum, other, split = fit.hum, fit.other, fit.split
    if np.any(np.isfinite(fit.hum_at)):
        hum = hum + np.where(np.isfinite(fit.hum_at), move[:, at] + 1j * move[:, at + 1], 0.0)
        at += 2
    if fit.doubled:
        other = other + move[:, at] + 1j * move[:, at + 1]
        split = split + float(np.clip(common[2], -0.005, 0.005))
    return replace(
        fit,
        log_size=fit.log_size + move[:, 0],
        phase=fit.phase + move[:, 1],
        decay=np.clip(fit.decay + move[:, 2], -5.0, 1000.0),
        frequency=fit.frequency * np.exp(np.clip(move[:, 3], -0.02, 0.02)),
        own=fit.own + move[:, 4],
        drift=float(np.clip(fit.drift + common[0], -0.03, 0.12)),
        rate=float(fit.rate * np.exp(np.clip(common[1], -0.5, 0.5))),
        hum=hum,
        other=other,
        split=split,
    )

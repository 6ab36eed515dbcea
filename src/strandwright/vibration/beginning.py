"""Beginning: where the fit of a pluck's partials starts from."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.frames import Frames
from strandwright.vibration.ringing import Ringing

Floats = NDArray[np.float64]
#: A drift less than this is none [-].
_DRIFTS = 2e-4


def begin(frames: Frames, order: Floats, noise: Floats, hum_at: Floats) -> Ringing:
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
    Ringing
        Near enough for :func:`~strandwright.vibration.fitting.fitted`.
    """
    swing, t = frames.swing, frames.time
    power = np.abs(swing) ** 2 + 1e-300
    weight = power * np.clip(1.0 - noise[:, None] / power, 1e-3, 1.0)
    decay, log_size = _line(-0.5 * np.log(power), t, weight)
    decay = np.clip(decay, 0.02, 400.0)
    zero = np.zeros(len(order))
    fit = Ringing(
        frames, order, -log_size, decay, zero, frames.frequency.copy(), zero, 0.0, 1.0, (1.0, 0.0),
        zero.astype(np.complex128), hum_at, zero.astype(np.complex128), np.nan, noise,
        np.zeros((len(order) + 1,) * 2),
    )  # fmt: skip
    if fit.hums:
        fit = replace(fit, frames=_without_hum(fit))
    fit = replace(fit, fall=fit.falling())
    # Hum and beats look like drift at first: no drift at all may be the better start.
    starts = [_best_rate(fit)]
    if abs(starts[0].drift) > _DRIFTS:
        starts.append(_steady(fit))
    return replace(min(map(_aligned, starts), key=_left), frames=frames)


def _without_hum(fit: Ringing) -> Frames:
    """Frames without what stays in them at the frequency of hum, to start from."""
    tone, swing = fit.tone(), fit.frames.swing
    power = np.sum(np.abs(tone) ** 2, axis=1) + 1e-300
    size = np.sum(np.conj(tone) * swing, axis=1) / power
    return replace(fit.frames, swing=swing - size[:, None] * tone)


def _steady(fit: Ringing) -> Ringing:
    """Find frequencies from how the phases go on, of partials that do not drift."""
    swing, t = fit.frames.swing, fit.frames.time
    on = np.sum(swing[:, 1:] * np.conj(swing[:, :-1]), axis=1)
    return replace(fit, frequency=fit.frequency + np.angle(on) / (2.0 * np.pi * (t[1] - t[0])))


def _left(fit: Ringing) -> float:
    """What a start leaves of the frames, over their noise."""
    rising, _ = fit.rising()
    left = np.abs(fit.frames.swing - fit.first(rising)) ** 2
    return float(np.sum(np.sum(left, axis=1) / fit.noise))


def _line(value: Floats, t: Floats, weight: Floats) -> tuple[Floats, Floats]:
    """Slope and start of straight lines, (partials,)."""
    total = np.sum(weight, axis=1)
    mean = weight @ t / total
    middle = np.sum(weight * value, axis=1) / total
    away = t - mean[:, None]
    spread = np.sum(weight * away**2, axis=1) + 1e-30 * total
    slope = np.sum(weight * away * value, axis=1) / spread
    return slope, middle - slope * mean


def _best_rate(fit: Ringing) -> Ringing:
    """Find drift and frequencies from how the phases go on, for the rate that fits best."""
    swing, t = fit.frames.swing, fit.frames.time
    on = swing[:, 1:] * np.conj(swing[:, :-1])
    step = t[1] - t[0]
    off = np.angle(on) / (2.0 * np.pi * step * fit.frames.frequency[:, None])
    weight = np.abs(on) * (fit.frames.frequency**2 / fit.noise)[:, None]
    total = np.sum(weight, axis=1, keepdims=True)
    best, least = fit, np.inf
    off0 = off - np.sum(weight * off, axis=1, keepdims=True) / total
    for rate in (0.5, 0.75, 1.0, 1.4, 2.0):
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


def _aligned(fit: Ringing) -> Ringing:
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

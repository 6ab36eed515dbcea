r"""Twofold: a second pitch close to the first, of the line's other way of swinging or other leg.

Every partial then is two, apart by the same share :math:`\epsilon`. One is fitted first; what is
left is searched for what all partials share, and both are fitted together.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.fitting import Fit, fitted, settled
from strandwright.vibration.heard import SecondPitch
from strandwright.vibration.joining import Joined

Floats = NDArray[np.float64]
#: A second is looked for where so much of the power is left over, and more than noise makes.
_LEFT_OVER, _OVER_NOISE = 0.001, 2.0
#: It is believed when the logarithm of likelihood rises this much, for each partial too.
_RISES, _EACH = 15.0, 4.0
#: Furthest apart, as a share, and how finely that is searched over the sound's length.
_FURTHEST, _FINE = 0.06, 8
#: Two that are nearer than this many beats in the sound are not told apart [-].
_BEATS = 0.7


def apart(one: Fit, level: Floats) -> Fit:
    """Fit a second pitch if the first leaves too much.

    Parameters
    ----------
    one : Fit
        Fitted with one.
    level : ndarray, shape (partials,)
        Mean square of the noise in a frame, from the spectrum [full scale^2]

    Returns
    -------
    Fit
        With the second, or as it was.
    """
    power = np.mean(np.abs(one.frames.swing) ** 2, axis=1)
    over = (one.noise > _LEFT_OVER * power) & (one.noise > _OVER_NOISE * level)
    if not np.any(over & (power > 0.003 * np.max(power))):
        return one
    split = _search(one)
    if not np.isfinite(split):
        return one
    best = one
    for sign in (1.0, -1.0):
        two = _fit_two(one, sign * split)
        gain = _gain(best, two)
        if gain > (_RISES + _EACH * len(one.order) if not best.doubled else 0.0):
            best = two
    return best


def _fit_two(one: Fit, split: float) -> Fit:
    start = replace(one, split=split, other=np.zeros(len(one.order), dtype=np.complex128))
    rising, _ = start.rising()
    first = start.first(rising)
    wave = first * start.wave()
    left = one.frames.swing
    # Both sizes at once, linearly, before anything is moved.
    a11, a22 = np.sum(np.abs(first) ** 2, axis=1), np.sum(np.abs(wave) ** 2, axis=1)
    a12 = np.sum(np.conj(first) * wave, axis=1)
    b1, b2 = np.sum(np.conj(first) * left, axis=1), np.sum(np.conj(wave) * left, axis=1)
    det = a11 * a22 - np.abs(a12) ** 2 + 1e-6 * a11 * a22
    c1, c2 = (a22 * b1 - a12 * b2) / det, (a11 * b2 - np.conj(a12) * b1) / det
    small = np.abs(c1) < 0.05 * np.abs(c2)
    c1 = np.where(small, 0.05 * np.abs(c2), c1)
    start = replace(
        start,
        log_size=start.log_size + np.log(np.abs(c1) + 1e-300),
        phase=start.phase + np.angle(c1),
        other=c2 / c1,
    )
    return settled(fitted(start))


def _gain(one: Fit, two: Fit) -> float:
    count = len(one.frames.time) / one.frames.overlap
    return float(count * np.sum(np.log(one.noise / two.noise)))


def _search(one: Fit) -> float:
    """Share by which a second tone beside each partial explains most of what is left."""
    rising, _ = one.rising()
    first = one.first(rising)
    left = one.frames.swing - first
    size = np.abs(first)
    turned = left * np.conj(first)
    t = one.frames.time
    span, step = t[-1] - t[0], t[1] - t[0]
    highest = np.max(one.frequency)
    count = int(_FURTHEST * highest * span * _FINE / 2) + 8
    split = np.linspace(-_FURTHEST, _FURTHEST, 2 * min(count, 2000) + 1)
    times = _FINE * len(t)
    power = np.abs(np.fft.fft(turned, times, axis=1)) ** 2
    power = power / (np.sum(size**2, axis=1) * one.noise)[:, None]
    total = np.zeros(len(split))
    used = np.zeros(len(split))
    for n in range(len(one.order)):
        at = split * one.frequency[n]
        inside = np.abs(at) < 0.45 / step
        index = np.round(at * step * times).astype(np.intp) % times
        clear = np.abs(at) * span > 0.5
        value = power[n][index]
        total += np.where(inside & clear, value, 0.0)
        used += inside & clear
    total = np.where(used > 0, total, -1.0)
    best = int(np.argmax(total))
    return float(split[best]) if total[best] > 0.0 else np.nan


def stronger(fit: Fit) -> Fit:
    """Make the stronger of two pitches the first.

    Parameters
    ----------
    fit : Fit
        With two, or one.

    Returns
    -------
    Fit
        With the stronger first.
    """
    if not fit.doubled:
        return fit
    first = np.exp(2.0 * fit.log_size) / fit.noise
    second = first * np.abs(fit.other) ** 2
    if np.sum(np.log1p(first)) >= np.sum(np.log1p(second)):
        return fit
    factor = 1.0 + fit.split
    partials = len(fit.order)
    turn = np.eye(partials + 1)
    turn[:partials, -1] = 1.0 / factor
    turn[-1, -1] = -1.0 / factor**2
    other = np.where(np.abs(fit.other) > 1e-9, fit.other, 1e-9)
    return replace(
        fit,
        frequency=fit.frequency * factor,
        log_size=fit.log_size + np.log(np.abs(other)),
        phase=fit.phase + np.angle(other),
        other=1.0 / other,
        split=1.0 / factor - 1.0,
        covariance=turn @ fit.covariance @ turn.T,
    )


def second_pitch(fit: Fit, joined: Joined) -> tuple[SecondPitch | None, bool]:
    """Give the second pitch, and whether the two are too near to be told apart.

    Parameters
    ----------
    fit : Fit
        With the stronger first.
    joined : Joined
        Its pitch.

    Returns
    -------
    SecondPitch or None
        The second.
    bool
        Whether they run into each other.
    """
    if not fit.doubled:
        return None, False
    weight = np.exp(2.0 * fit.log_size) / fit.noise
    weight = weight / np.sum(weight)
    level = 10.0 * np.log10(float(weight @ np.abs(fit.other) ** 2) + 1e-12)
    u_split = float(np.sqrt(max(fit.covariance[-1, -1], 0.0)))
    span = fit.frames.time[-1] - fit.frames.time[0]
    beats = abs(fit.split) * float(np.max(fit.frequency[weight > 0.02])) * span
    blurred = (beats < _BEATS or abs(fit.split) < 3.0 * u_split) and level > -20.0
    pitch = float(np.exp(joined.log_pitch)) * (1.0 + fit.split)
    u = pitch * float(np.hypot(np.sqrt(joined.covariance[0, 0]), u_split))
    return SecondPitch(pitch, u, level), blurred

r"""Twofold: a second pitch close to the first, of the line's other way of swinging or other leg.

Every partial then is two, apart by the same share :math:`\epsilon`. One is fitted first; what is
left is searched for what all partials share, and both are fitted together.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.fitting import fitted, settled
from strandwright.vibration.heard import SecondPitch
from strandwright.vibration.joining import Joined
from strandwright.vibration.leftover import gained, left_over
from strandwright.vibration.ringing import Ringing

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
#: It is believed when the logarithm of likelihood rises this much, for each partial too.
_RISES, _EACH = 15.0, 4.0
#: So much less is left of a partial that truly is two.
_BETTER = 0.6
#: A pitch this near hum, as a share, is hum.
_HUM_NEAR = 0.004
#: Furthest apart, as a share, and how finely that is searched over the sound's length.
_FURTHEST, _FINE = 0.06, 8
#: Two that are nearer than this many beats in the sound are not told apart [-].
_BEATS = 0.7


def apart(one: Ringing, level: Floats) -> Ringing:
    """Ringing a second pitch if the first leaves too much.

    Parameters
    ----------
    one : Ringing
        Fitted with one.
    level : ndarray, shape (partials,)
        Mean square of the noise in a frame, from the spectrum [full scale^2]

    Returns
    -------
    Ringing
        With the second, or as it was.
    """
    over = left_over(one, level)
    if not np.any(over):
        return one
    split = _search(one)
    if not np.isfinite(split) or _is_hum(one, split):
        return one
    two = _fit_two(one, split)
    # Hum or another string beside some partials is no second pitch of all of them.
    better = two.noise < _BETTER * one.noise
    most = np.count_nonzero(better) >= 0.6 * np.count_nonzero(over | better)
    enough = np.count_nonzero(better) >= 0.6 * len(one.order)
    return two if most and enough and gained(one, two) > _RISES + _EACH * len(one.order) else one


def _is_hum(one: Ringing, split: float) -> bool:
    """Whether a second pitch would be that of the mains, where they hum."""
    hums = np.isfinite(one.hum_at)
    if not np.any(hums):
        return False
    ratio = one.hum_at[hums] / one.frequency[hums]
    away = np.abs(np.maximum(ratio, 1.0 / ratio) - 1.0 - split)
    return bool(np.median(away) < _HUM_NEAR)


def _fit_two(one: Ringing, split: float) -> Ringing:
    """Fit two from one, which is the lower of the two here and the higher there."""
    lower = replace(one, split=split)
    higher = replace(lower, frequency=one.frequency / (1.0 + split))
    sizes, left = zip(*(_sizes(start) for start in (lower, higher)), strict=True)
    up = left[1] < left[0]
    c1, c2 = np.where(up, sizes[1], sizes[0])
    c1 = np.where(np.abs(c1) < 0.05 * np.abs(c2), 0.05 * np.abs(c2), c1)
    start = replace(
        lower,
        frequency=np.where(up, higher.frequency, lower.frequency),
        log_size=one.log_size + np.log(np.abs(c1) + 1e-300),
        phase=one.phase + np.angle(c1),
        other=c2 / c1,
        own=np.zeros(len(up)),
    )
    return settled(fitted(start))


def _sizes(start: Ringing) -> tuple[Complexes, Floats]:
    """Sizes of both at once, linearly, over that of one; and the square of what is left."""
    rising, _ = start.rising()
    first = start.first(rising)
    wave = first * start.wave()
    swing = start.frames.swing
    a11, a22 = np.sum(np.abs(first) ** 2, axis=1), np.sum(np.abs(wave) ** 2, axis=1)
    a12 = np.sum(np.conj(first) * wave, axis=1)
    b1, b2 = np.sum(np.conj(first) * swing, axis=1), np.sum(np.conj(wave) * swing, axis=1)
    det = a11 * a22 - np.abs(a12) ** 2 + 1e-6 * a11 * a22
    c1, c2 = (a22 * b1 - a12 * b2) / det, (a11 * b2 - np.conj(a12) * b1) / det
    left = np.sum(np.abs(swing - c1[:, None] * first - c2[:, None] * wave) ** 2, axis=1)
    return np.stack([c1, c2]), left


def _search(one: Ringing) -> float:
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
    split = np.linspace(0.0, _FURTHEST, min(count, 2000) + 1)
    times = _FINE * len(t)
    power = np.abs(np.fft.fft(turned, times, axis=1)) ** 2
    power = power / (np.sum(size**2, axis=1) * one.noise)[:, None]
    total, used = np.zeros(len(split)), np.zeros(len(split), dtype=bool)
    for n in range(len(one.order)):
        away = split * one.frequency[n]
        clear = (away < 0.45 / step) & (away * span > 0.5)
        up = np.round(away * step * times).astype(np.intp)
        down = np.round(away / (1.0 + split) * step * times).astype(np.intp)
        value = np.maximum(power[n][up % times], power[n][-down % times])
        total += np.where(clear, value, 0.0)
        used |= clear
    total = np.where(used, total, -1.0)
    best = int(np.argmax(total))
    return float(split[best]) if total[best] > 0.0 else np.nan


def stronger(fit: Ringing) -> Ringing:
    """Make the stronger of two pitches the first.

    Parameters
    ----------
    fit : Ringing
        With two, or one.

    Returns
    -------
    Ringing
        With the stronger first.
    """
    if not fit.doubled:
        return fit
    if _level(fit) <= 0.0:
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


def _level(fit: Ringing) -> float:
    """How loud the second is beside the first [dB]."""
    power = np.exp(2.0 * (fit.log_size - np.max(fit.log_size)))
    ratio = float(power @ np.abs(fit.other) ** 2) / float(np.sum(power))
    return float(10.0 * np.log10(ratio + 1e-12))


def second_pitch(fit: Ringing, joined: Joined) -> tuple[SecondPitch | None, bool]:
    """Give the second pitch, and whether the two are too near to be told apart.

    Parameters
    ----------
    fit : Ringing
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
    weight = np.exp(2.0 * fit.log_size) * np.minimum(1.0, np.abs(fit.other)) ** 2
    weight = weight / np.sum(weight)
    level = _level(fit)
    u_split = float(np.sqrt(max(fit.covariance[-1, -1], 0.0)))
    span = fit.frames.time[-1] - fit.frames.time[0]
    beats = abs(fit.split) * float(weight @ fit.frequency) * span
    blurred = (beats < _BEATS or abs(fit.split) < 3.0 * u_split) and level > -20.0
    pitch = float(np.exp(joined.log_pitch)) * (1.0 + fit.split)
    u = pitch * float(np.hypot(np.sqrt(joined.covariance[0, 0]), u_split))
    return SecondPitch(pitch, u, level), blurred

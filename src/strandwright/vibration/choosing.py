r"""Choosing: which peaks of a spectrum are which modes of the line.

Each strong peak is taken for each mode in turn. The first mode that follows, and the shapes, are
fitted to the peaks that lie near; what the series does not explain, what it promises and nobody
hears, and how far the peaks lie off, all tell against it. The likeliest series is chosen.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.heard import OtherOctave
from strandwright.vibration.peaks import Peaks
from strandwright.vibration.series import Series

Floats = NDArray[np.float64]
Rows = NDArray[np.intp]
#: A peak left unexplained tells against a series by its height over the noise, at most this much,
#: and up to as much again the louder it is, over so many powers of ten.
_UNEXPLAINED, _LOUD = 5.0, 4.0
#: Peaks of a pluck stand out of the noise at least so much together, as a logarithm.
_STANDS_OUT = 6.0
#: A mode that is missed between others that are heard tells this much against it.
_MISSED = 2.0
#: Below this a small microphone hears less and less [Hz].
_ROLL_OFF = 120.0
#: How far a peak may lie off its mode, as a share: a hard pluck smears its peaks.
_OFF = 0.004
#: Peaks that are taken for each mode in turn.
_ANCHORS = 6


@dataclass(frozen=True)
class Choice:
    """The likeliest series.

    Attributes
    ----------
    pitch : float
        Frequency of mode 1, roughly [Hz].
    mode : ndarray of int, shape (partials,)
        Modes that are heard, 1 for the lowest [-].
    frequency : ndarray, shape (partials,)
        Of their peaks [Hz].
    peak : ndarray of int, shape (partials,)
        Which peaks they are [-].
    score : float
        Logarithm of how likely it is [-].
    other : OtherOctave or None
        The next best reading.
    """

    pitch: float
    mode: Rows
    frequency: Floats
    peak: Rows
    score: float
    other: OtherOctave | None


def choose(peaks: Peaks, series: Series, top: float) -> Choice | None:
    """Choose the series that explains the peaks best.

    Parameters
    ----------
    peaks : Peaks
        What stands out of the sound.
    series : Series
        What the line promises.
    top : float
        Highest frequency that was looked at [Hz]

    Returns
    -------
    Choice or None
        None where no peak fits any series.
    """
    start = _candidates(peaks, series)
    if len(start) == 0:
        return None
    log_pitch, peak = _fitted(peaks, series, np.log(start), top)
    score = _scores(peaks, series, log_pitch, peak)
    inside = (log_pitch > np.log(series.lowest) - 0.02) & (
        log_pitch < np.log(series.highest) + 0.02
    )
    score = np.where(inside & np.any(peak >= 0, axis=1), score, -np.inf)
    best = int(np.argmax(score))
    if not np.isfinite(score[best]):
        return None
    apart = np.abs(log_pitch - log_pitch[best]) > 0.03
    rest = np.where(apart, score, -np.inf)
    next_ = int(np.argmax(rest))
    other = None
    if np.isfinite(rest[next_]):
        other = OtherOctave(float(np.exp(log_pitch[next_])), float(score[best] - rest[next_]))
    mode = np.flatnonzero(peak[best] >= 0)
    chosen = peak[best][mode]
    if float(np.sum(np.log(peaks.power[chosen] / (8.0 * peaks.floor[chosen])))) < _STANDS_OUT:
        return None
    pitch = float(np.exp(log_pitch[best]))
    return Choice(pitch, mode + 1, peaks.frequency[chosen], chosen, float(score[best]), other)


def _candidates(peaks: Peaks, series: Series) -> Floats:
    """First modes that follow when a strong peak is taken for some mode."""
    if len(peaks) == 0:
        return np.zeros(0)
    clear = np.argsort(peaks.power / peaks.floor)[-_ANCHORS:]
    loud = np.argsort(peaks.power)[-_ANCHORS:]
    anchors = np.unique(np.concatenate([clear, loud]))
    first = (peaks.frequency[anchors, None] / series.ratio).ravel()
    first = np.sort(first[(first >= 0.98 * series.lowest) & (first <= 1.02 * series.highest)])
    if len(first) == 0:
        return first
    # Near ones run into each other when they are fitted.
    fresh = np.concatenate([[True], np.diff(np.log(first)) > 0.003])
    return first[fresh]


def _fitted(peaks: Peaks, series: Series, start: Floats, top: float) -> tuple[Floats, Rows]:
    """Fit first mode and shapes of every candidate to the peaks near it."""
    log_ratio, shaping = np.log(series.ratio), series.shaping
    log_peak = np.log(peaks.frequency)
    cases, shapes = len(start), series.shapes
    mean = np.concatenate([start[:, None], np.zeros((cases, shapes))], axis=1)
    design = np.concatenate([np.ones((series.modes, 1)), shaping], axis=1)
    loose = np.hypot(0.015, 1.5 * np.sqrt(np.sum(shaping**2, axis=1)))
    peak = np.full((cases, series.modes), -1)
    near = np.zeros((cases, series.modes), dtype=np.intp)
    for turn in range(3):
        aim = mean @ design.T + log_ratio
        near = _nearest(log_peak, aim)
        gap = np.full(series.modes, 1.0)
        gap[1:] = np.diff(log_ratio)
        gap = np.minimum(gap, np.append(gap[1:], gap[-1]))
        blur = peaks.width * np.exp(-aim)
        reach = np.hypot(np.minimum(loose if turn == 0 else 0.012, 0.3 * gap), blur)
        reach = np.minimum(reach, 0.4 * gap)
        off = log_peak[near] - aim
        fits = (np.abs(off) < reach) & (aim < np.log(top))
        sd2 = _OFF**2 + (0.15 * blur) ** 2
        weight = np.where(fits, 1.0 / sd2, 0.0)
        normal = np.einsum("cm,mi,mj->cij", weight, design, design)
        right = np.einsum("cm,mi,cm->ci", weight, design, off + mean[:, 1:] @ shaping.T)
        normal[:, 0, 0] += 1.0
        normal[:, 1:, 1:] += np.eye(shapes)
        move = np.linalg.solve(normal, right[..., None])[..., 0]
        mean = np.concatenate([mean[:, :1] + move[:, :1], move[:, 1:]], axis=1)
        peak = np.where(fits, near, -1)
    return mean[:, 0], _once(peak, log_peak, mean @ design.T + log_ratio)


def _nearest(log_peak: Floats, aim: Floats) -> Rows:
    right = np.clip(np.searchsorted(log_peak, aim), 0, len(log_peak) - 1)
    left = np.maximum(right - 1, 0)
    return np.where(np.abs(log_peak[left] - aim) < np.abs(log_peak[right] - aim), left, right)


def _once(peak: Rows, log_peak: Floats, aim: Floats) -> Rows:
    """Let no peak be two modes: the nearer keeps it."""
    off = np.where(peak >= 0, np.abs(log_peak[peak] - aim), np.inf)
    same = (peak[:, 1:] == peak[:, :-1]) & (peak[:, 1:] >= 0)
    first = same & (off[:, 1:] < off[:, :-1])
    peak = peak.copy()
    peak[:, :-1][first] = -1
    peak[:, 1:][same & ~first] = -1
    return peak


def _scores(peaks: Peaks, series: Series, log_pitch: Floats, peak: Rows) -> Floats:
    height = np.log(peaks.power / (8.0 * peaks.floor))
    loud = np.log10(peaks.power / np.max(peaks.power)) / _LOUD
    salience = np.clip(height, 0.0, _UNEXPLAINED) * (1.0 + np.clip(1.0 + loud, 0.0, 1.0))
    cases, modes = peak.shape
    taken = np.zeros((cases, len(peaks) + 1), dtype=bool)
    np.put_along_axis(taken, np.where(peak >= 0, peak, len(peaks)), True, axis=1)
    unexplained = np.sum(np.where(taken[:, :-1], 0.0, salience), axis=1)
    order = np.arange(modes)
    last = np.max(np.where(peak >= 0, order, -1), axis=1)
    expected = np.exp(log_pitch)[:, None] * series.ratio
    heard_here = np.clip(expected / _ROLL_OFF, 0.25, 1.0)
    missed = (peak < 0) & (order < last[:, None])
    lost = np.sum(np.where(missed, _MISSED * heard_here, 0.0), axis=1)
    blur = peaks.width / expected
    sd = np.hypot(_OFF, 0.15 * blur)
    off = np.log(peaks.frequency)[np.maximum(peak, 0)] - np.log(expected)
    square = np.where(peak >= 0, (off / sd) ** 2, 0.0)
    # Shapes are let off here: how much they bend is weighed when the partials are fitted.
    bend = np.sqrt(np.sum(series.shaping**2, axis=1))
    square = np.where(peak >= 0, off**2 / (sd**2 + bend**2), square)
    score = -unexplained - lost - 0.5 * np.sum(np.minimum(square, 9.0), axis=1)
    if np.isfinite(series.expected) and np.isfinite(series.expected_spread):
        away = (log_pitch - np.log(series.expected)) / series.expected_spread
        score = score - 0.5 * away**2
    return score

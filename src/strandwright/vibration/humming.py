"""Humming: tones of the mains that lie so near the partials that no peak of their own is seen."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.fitting import fitted, settled
from strandwright.vibration.leftover import gained
from strandwright.vibration.peaks import MAINS
from strandwright.vibration.ringing import Ringing

Floats = NDArray[np.float64]

#: It is believed when the logarithm of likelihood rises this much, and for each partial too.
_RISES, _EACH = 15.0, 4.0
#: Turns in the sound by which two tones show two peaks [-], and how far the mains wander [Hz].
_UNSEEN, _WANDERS = 2.0, 0.1


def hummed(one: Ringing, reach: float, level: Floats) -> Ringing:
    """Fit hum beside partials that lie too near the mains for it to show a peak of its own.

    Parameters
    ----------
    one : Ringing
        Fitted without.
    reach : float
        How far off a tone is seen in a partial's frames [Hz]
    level : ndarray, shape (partials,)
        Mean square of the noise in a frame, from the spectrum [full scale^2]

    Returns
    -------
    Ringing
        With hum, or as it was.
    """
    if one.hums:
        return one
    unseen = _UNSEEN / (one.frames.time[-1] - one.frames.time[0]) + _WANDERS
    best, most = one, _RISES + _EACH * len(one.order)
    for base in MAINS:
        near = base * np.maximum(1.0, np.round(one.frequency / base))
        apart = np.abs(near - one.frequency)
        if not np.any(apart < unseen):
            continue
        close = apart < reach
        # More than down to the noise of the spectrum no tone can better a partial.
        if _hope(one, close, level) < most:
            continue
        trial = settled(fitted(replace(one, hum_at=np.where(close, near, np.nan))))
        gain = gained(one, trial)
        if gain > most:
            best, most = trial, gain
    return best


def _hope(one: Ringing, close: NDArray[np.bool_], level: Floats) -> float:
    """Most that hum could gain on some partials, as a logarithm of likelihood."""
    count = len(one.frames.time) / one.frames.overlap
    # Hum stands in the spectrum beside a partial too: that is no worse than beside the others.
    level = np.minimum(level, np.median(level))
    over = np.log(np.maximum(one.noise / np.maximum(level, 1e-300), 1.0))
    return float(count * np.sum(over[close]))


def tones(ringing: Ringing) -> tuple[float, ...]:
    """Give the hum that was found beside partials.

    Parameters
    ----------
    ringing : Ringing
        Fitted with hum.

    Returns
    -------
    tuple of float
        Frequencies of what stands out of the noise [Hz].
    """
    loud = np.abs(ringing.hum) ** 2 * len(ringing.frames.time) / ringing.frames.overlap
    found = np.isfinite(ringing.hum_at) & (loud > 25.0 * ringing.noise)
    return tuple(float(f) for f in ringing.hum_at[found])

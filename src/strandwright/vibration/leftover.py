"""Leftover: what a fit of a pluck's partials leaves, and what a fuller one gains."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.ringing import Ringing

Floats = NDArray[np.float64]
#: More is left than one way of swinging and noise make, where it is so much of a partial's power
#: and so many times the noise, and the partial is so loud beside the loudest.
_LEFT_OVER, _OVER_NOISE, _LOUD = 0.001, 2.0, 0.003


def left_over(ringing: Ringing, level: Floats) -> NDArray[np.bool_]:
    """Find partials of which a fit leaves more than noise.

    Parameters
    ----------
    ringing : Ringing
        Fitted.
    level : ndarray, shape (partials,)
        Mean square of the noise in a frame, from the spectrum [full scale^2]

    Returns
    -------
    ndarray of bool, shape (partials,)
        Which [-].
    """
    power = np.mean(np.abs(ringing.frames.swing) ** 2, axis=1)
    over = (ringing.noise > _LEFT_OVER * power) & (ringing.noise > _OVER_NOISE * level)
    return over & (power > _LOUD * np.max(power))


def gained(before: Ringing, after: Ringing) -> float:
    """Give how much likelier a fuller fit makes what was heard.

    Parameters
    ----------
    before, after : Ringing
        The same frames, fitted with less and with more.

    Returns
    -------
    float
        As a logarithm [-].
    """
    count = len(before.frames.time) / before.frames.overlap
    return float(count * np.sum(np.log(before.noise / after.noise)))

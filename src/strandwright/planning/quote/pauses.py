"""Pauses: how likely it is that the time of an act holds nothing but the act.

Between two entries of a log lies the work, and sometimes a customer, lunch or the evening. A time
is taken as that of the work alone, log-normal, or with chance :math:`\\epsilon` as the work and a
pause on top whose logarithm is anywhere between the shortest and the longest [1]_:

.. math:: w = \\frac{(1-\\epsilon) N(y; m, v)}{(1-\\epsilon) N(y; m, v) + \\epsilon g(y)}, \\qquad
          g(y) = \\frac{t}{(t - c) \\ln(p_{max}/p_{min})}

with :math:`y = \\ln t` and :math:`c = e^m` the usual time. A pause only ever makes a time
longer. One that is much too short, ticked before the work was over, counts for less as an error
with Student's t would.

References
----------
.. [1] McLachlan, G. J. and Peel, D., Finite Mixture Models, Wiley (2000), ch. 2: the weight of a
   reading is the chance that it came from the component (from memory).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.reference import practice
from strandwright.statistics.robust_noise import DEGREES

#: What is left of the weight of a time that is all pause [-]
LEAST = 1e-6


def weight_of(logs: ArrayLike, means: ArrayLike, variances: ArrayLike) -> NDArray[np.float64]:
    """Tell how far each time is to be believed as that of its act alone.

    Parameters
    ----------
    logs : array_like, shape (n,)
        Logarithms of the times in seconds [-]
    means : array_like, shape (n,)
        Logarithms that were to be expected [-]
    variances : array_like, shape (n,)
        Variances of a logarithm about that, what is open before with it, > 0 [-]

    Returns
    -------
    ndarray, shape (n,)
        From next to nothing to 1 [-]
    """
    y, m = np.asarray(logs, dtype=np.float64), np.asarray(means, dtype=np.float64)
    v = np.asarray(variances, dtype=np.float64)
    square = (y - m) ** 2 / v
    chance = practice("minutes.paused").value
    first, last = (practice(f"minutes.pause.{end}").value for end in ("shortest", "longest"))
    clean = (1.0 - chance) * np.exp(-0.5 * square) / np.sqrt(2.0 * math.pi * v)
    over = np.exp(y) - np.exp(m)
    is_pause = (over >= first) & (over <= last)
    density = np.exp(y) / (np.maximum(over, first) * math.log(last / first))
    paused = np.where(is_pause, chance * density, 0.0)
    weight = np.where(over > last, 0.0, clean / np.maximum(clean + paused, 1e-300))
    short = np.minimum(1.0, (DEGREES + 1.0) / (DEGREES + square))
    return np.maximum(np.where(y < m, short, weight), LEAST)

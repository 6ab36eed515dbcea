"""Law: how a line on the bow gets longer over shots and time.

.. math::

    \\varepsilon(n, t) = \\varepsilon_0 + A\\left(1 - e^{-(n/N)^b}\\right)
                        + C \\log_{10}(1 + t/t_1) + S t

The first term is bedding-in by shots, which comes to an end; the second creep that slows down,
the same for each tenfold of the time; the last creep that does not. All but the offset lengthen
only, so they are carried as logarithms.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

#: The unknowns of the law in their order; all but the first as logarithms.
NAMES = ("offset", "amplitude", "shots_scale", "shape", "creep", "steady")


@dataclass(frozen=True, eq=False)
class Prior:
    """What is known of a line's settling before its first reading on the bow.

    Attributes
    ----------
    offset, offset_u : float
        Elongation just after fitting, over the length asked for, and its uncertainty [-].
    amplitude, amplitude_u : float
        What bedding-in comes to in the end, > 0 [-], and its relative uncertainty.
    shots_scale, shots_scale_u : float
        Shots in which 1 - 1/e of it comes, > 0 [-], and its relative uncertainty.
    shape, shape_u : float
        Exponent of the shots, > 0: 1 is an exponential, less begins faster and ends slower [-],
        and its relative uncertainty.
    creep, creep_u : float
        Creep in a tenfold of the time, > 0 [-], and its relative uncertainty.
    steady, steady_u : float
        Creep that does not slow down, > 0 [1/s], and its relative uncertainty.
    start : float
        Time from which the logarithm counts, > 0 [s].
    law : float
        How far the law itself may be out in what it foretells, as a relative standard uncertainty
        of that, >= 0 [-].
    """

    offset: float
    offset_u: float
    amplitude: float
    amplitude_u: float
    shots_scale: float
    shots_scale_u: float
    shape: float
    shape_u: float
    creep: float
    creep_u: float
    steady: float
    steady_u: float
    start: float
    law: float = 0.0

    @property
    def mean(self) -> Floats:
        """Means of the law's unknowns in working coordinates, shape (6,) [working units]."""
        values = (self.amplitude, self.shots_scale, self.shape, self.creep, self.steady)
        return np.array([self.offset, *np.log(values)])

    @property
    def u(self) -> Floats:
        """Their standard uncertainties, shape (6,) [working units]."""
        return np.array(
            [
                self.offset_u, self.amplitude_u, self.shots_scale_u, self.shape_u, self.creep_u,
                self.steady_u,
            ]
        )  # fmt: skip


def elongation(points: Floats, shots: ArrayLike, time: ArrayLike, start: float) -> Floats:
    """Elongation by the law at several moments for several sets of unknowns.

    Parameters
    ----------
    points : ndarray, shape (k, >= 6)
        Unknowns in working coordinates; further columns are not looked at [working units].
    shots : array_like, shape (m,)
        Shots since fitting, >= 0 [-].
    time : array_like, shape (m,)
        Time since fitting, >= 0 [s].
    start : float
        Time from which the logarithm counts, > 0 [s].

    Returns
    -------
    ndarray, shape (k, m)
        Elongation over the length asked for [-].
    """
    n, t = np.asarray(shots, dtype=np.float64), np.asarray(time, dtype=np.float64)
    amplitude, scale, shape, creep, steady = np.exp(points[:, 1:6].T)[..., None]
    reached = -np.expm1(-((n / scale) ** shape))
    slow = creep * np.log10(1.0 + t / start) + steady * t
    return points[:, :1] + amplitude * reached + slow


def with_slopes(point: Floats, shots: Floats, time: Floats, start: float) -> tuple[Floats, Floats]:
    """Elongation by the law at one set of unknowns, with its slopes.

    Parameters
    ----------
    point : ndarray, shape (>= 6,)
        Unknowns in working coordinates [working units].
    shots : ndarray, shape (n,)
        Shots since fitting, >= 0 [-].
    time : ndarray, shape (n,)
        Time since fitting, >= 0 [s].
    start : float
        Time from which the logarithm counts, > 0 [s].

    Returns
    -------
    value : ndarray, shape (n,)
        Elongation [-].
    slopes : ndarray, shape (n, 6)
        By each unknown [1/working unit].
    """
    amplitude, scale, shape, creep, steady = np.exp(point[1:6])
    ratio = shots / scale
    power = ratio**shape
    left = np.exp(-power)
    bedded = amplitude * -np.expm1(-power)
    slowing = creep * np.log10(1.0 + time / start)
    flowing = steady * time
    inner = amplitude * left * power * shape
    # x^b log x is 0 where no shot was fired.
    logs = np.log(np.where(ratio > 0.0, ratio, 1.0))
    slopes = np.stack([np.ones_like(shots), bedded, -inner, inner * logs, slowing, flowing], axis=1)
    return point[0] + bedded + slowing + flowing, slopes

"""The tension-only law of one strand: load against strain, softening towards break.

A strand carries :math:`T(\\varepsilon) = E_0\\varepsilon - (E_0 - E_s)\\,\\varepsilon^2/
\\varepsilon_b` when it is stretched and nothing when it is slack.
:math:`E_s` is the secant stiffness to break (what a tensile test report gives),
:math:`E_0 = k E_s` the slope at zero; the law passes through zero and through the break point
whatever the softening ratio *k* is. Past the break strain the law goes on along its tangent there,
:math:`(2 - k) E_s`: no strand carries that load, but a solver on its way to a smaller one never
meets a falling branch.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]


def strand_tension(
    strain: ArrayLike, stiffness: ArrayLike, softening: ArrayLike, break_strain: ArrayLike
) -> FloatArray:
    """Tension of a strand at a strain.

    Parameters
    ----------
    strain : array_like
        Extension over natural length; negative means slack [-]
    stiffness : array_like
        Secant stiffness to break, EA, > 0 [N]
    softening : array_like
        Slope at zero over the secant, in [1, 2) so that the curve never falls [-]
    break_strain : array_like
        Strain at break, > 0 [-]

    Returns
    -------
    ndarray
        Tension, >= 0 [N]

    Notes
    -----
    Valid to the break strain, along the tangent past it; ignores rate and temperature.
    """
    e = np.maximum(strain, 0.0)
    excess = np.asarray(softening) - 1.0
    over = np.maximum(e / np.asarray(break_strain) - 1.0, 0.0)
    bent = e * (1.0 + excess * (1.0 - e / np.asarray(break_strain)))
    return np.asarray(stiffness) * (bent + excess * np.asarray(break_strain) * over**2)


def strand_slope(
    strain: ArrayLike, stiffness: ArrayLike, softening: ArrayLike, break_strain: ArrayLike
) -> FloatArray:
    """Slope of :func:`strand_tension` with strain; zero for a slack strand.

    Parameters
    ----------
    strain : array_like
        Extension over natural length; negative means slack [-]
    stiffness : array_like
        Secant stiffness to break [N]
    softening : array_like
        Slope at zero over the secant, in [1, 2) [-]
    break_strain : array_like
        Strain at break [-]

    Returns
    -------
    ndarray
        Tangent stiffness [N]
    """
    e = np.clip(strain, 0.0, break_strain)
    excess = np.asarray(softening) - 1.0
    slope = np.asarray(stiffness) * (1.0 + excess * (1.0 - 2.0 * e / np.asarray(break_strain)))
    return np.where(np.asarray(strain) > 0.0, slope, 0.0)


def strand_strain(
    tension: ArrayLike, stiffness: ArrayLike, softening: ArrayLike, break_strain: ArrayLike
) -> FloatArray:
    """Strain at a tension: the inverse of :func:`strand_tension` on its rising branch.

    Parameters
    ----------
    tension : array_like
        Tension, >= 0 and below the top of the curve [N]
    stiffness : array_like
        Secant stiffness to break [N]
    softening : array_like
        Slope at zero over the secant, in [1, 2) [-]
    break_strain : array_like
        Strain at break [-]

    Returns
    -------
    ndarray
        Strain, >= 0; NaN above the top of the curve [-]

    Notes
    -----
    The root is written so that it does not cancel where softening approaches 1. Between the
    breaking load and the top of the curve it stays on the curve, not on its tangent.
    """
    stiff, excess = np.asarray(stiffness), np.asarray(softening) - 1.0
    initial = stiff + stiff * excess
    quadratic = stiff * excess / np.asarray(break_strain)
    under = np.asarray(initial * initial - 4.0 * quadratic * np.asarray(tension))
    root = np.sqrt(under if under.min() >= 0.0 else np.where(under >= 0.0, under, np.nan))
    return 2.0 * np.asarray(tension) / (initial + root)

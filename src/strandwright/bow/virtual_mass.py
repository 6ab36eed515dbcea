"""Virtual mass: what of a bow moves with its arrow, and how well that is known.

.. math:: K = K_0 + k_1 m_a

is the mass that, moving at the arrow's speed, would carry the energy the bow keeps. Here it is
what is left after string, things on it and wheels have been counted by themselves; where they are
not given it holds them too.

References
----------
.. [1] Klopsteg, P. E., American Journal of Physics 11 (1943) 175: virtual mass (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from strandwright.bow.entered import FloatArray, not_negative


@dataclass(frozen=True, eq=False)
class VirtualMass:
    """Virtual mass and energy scale of a bow, jointly normal.

    Attributes
    ----------
    reference : float
        Virtual mass K at the reference arrow [kg]
    slope : float
        k1, more virtual mass per mass of arrow [-]
    arrow : float
        Mass of the reference arrow, >= 0 [kg]
    energy_scale : float
        True stored energy over the stated one, 1 before any reading [-]
    covariance : ndarray, shape (3, 3)
        Of reference, slope and energy scale [product of units]
    """

    reference: float
    slope: float
    arrow: float
    energy_scale: float
    covariance: FloatArray

    @property
    def constant(self) -> float:
        """K0, the virtual mass that an arrow without mass would leave [kg]."""
        return self.reference - self.slope * self.arrow

    def of(self, arrow_mass: ArrayLike) -> FloatArray:
        """Virtual mass with an arrow.

        Parameters
        ----------
        arrow_mass : array_like
            Arrow, >= 0 [kg]

        Returns
        -------
        ndarray
            K = K0 + k1 m_a [kg]
        """
        return self.reference + self.slope * (np.asarray(arrow_mass, np.float64) - self.arrow)

    @cached_property
    def deviations(self) -> FloatArray:
        """Standard uncertainties of reference [kg], slope [-] and energy scale [-]."""
        return np.sqrt(np.diagonal(self.covariance))

    @property
    def constant_u(self) -> float:
        """Standard uncertainty of K0 [kg]."""
        slopes = np.array([1.0, -self.arrow, 0.0])
        return float(np.sqrt(slopes @ self.covariance @ slopes))


def virtual_mass(
    constant: float,
    slope: float,
    *,
    constant_u: float = 0.0,
    slope_u: float = 0.0,
    energy_u: float = 0.0,
    arrow: float = 0.0,
) -> VirtualMass:
    """State what is known of a bow's virtual mass before it is shot.

    Parameters
    ----------
    constant : float
        K0, >= 0 [kg]
    slope : float
        k1, >= 0 [-]
    constant_u : float
        Standard uncertainty of the virtual mass at the reference arrow, >= 0 [kg]
    slope_u : float
        Of k1, >= 0 [-]
    energy_u : float
        Relative standard uncertainty of the stored energy, >= 0 [-]
    arrow : float
        Reference arrow: the mass at which the virtual mass and k1 are taken as independent; the
        usual arrow of the bow, >= 0 [kg]

    Returns
    -------
    VirtualMass
        The prior.

    Raises
    ------
    SpecError
        If a number is negative.
    """
    remedy = "give zero or more"
    for field, given in (
        ("constant", constant),
        ("slope", slope),
        ("constant_u", constant_u),
        ("slope_u", slope_u),
        ("energy_u", energy_u),
        ("arrow", arrow),
    ):
        not_negative(f"virtual_mass.{field}", given, remedy)
    covariance = np.diag([constant_u**2, slope_u**2, energy_u**2])
    return VirtualMass(constant + slope * arrow, slope, arrow, 1.0, covariance)

"""Virtual mass: what of a bow moves with its arrow, from a prior and from a chronograph.

.. math:: K = K_0 + k_1 m_a

is the mass that, moving at the arrow's speed, would carry the energy the bow keeps. Here it is
what is left after string, things on it and wheels have been counted by themselves; where they are
not given it holds them too.

References
----------
.. [1] Klopsteg, P. E., American Journal of Physics 11 (1943) 175: virtual mass (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from strandwright.bow.entered import FloatArray, not_negative, positive, share
from strandwright.errors import SpecError


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


@dataclass(frozen=True)
class SpeedReading:
    """An arrow through a chronograph.

    Attributes
    ----------
    arrow_mass : float
        Arrow, > 0 [kg]
    speed : float
        Read, the mean of the shots, > 0 [m/s]
    speed_u : float
        Its standard uncertainty, > 0 [m/s]
    energy : float
        Stored energy of that draw, as stated, > 0 [J]
    string_mass : float
        Effective mass of string and items at the nocking point, >= 0 [kg]
    wheel_mass : float
        Effective mass of the wheels at the nocking point, >= 0 [kg]
    hysteresis : float
        Share of the energy lost to it, 0 to 1 [-]
    """

    arrow_mass: float
    speed: float
    speed_u: float
    energy: float
    string_mass: float = 0.0
    wheel_mass: float = 0.0
    hysteresis: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a reading that cannot be one."""
        positive("reading.arrow_mass", self.arrow_mass, "weigh the arrow")
        positive("reading.speed", self.speed, "read the chronograph again")
        positive("reading.speed_u", self.speed_u, "give the scatter of several shots")
        positive("reading.energy", self.energy, "give the area under the force-draw curve")
        not_negative("reading.string_mass", self.string_mass, "give zero if it is left in K")
        not_negative("reading.wheel_mass", self.wheel_mass, "give zero if it is left in K")
        share("reading.hysteresis", self.hysteresis, "give zero if it is not known")

    @property
    def mass_per_scale(self) -> float:
        """Moving mass that the speed stands for if the stated energy is right [kg]."""
        return 2.0 * (1.0 - self.hysteresis) * self.energy / self.speed**2


@dataclass(frozen=True, eq=False)
class FittedMass:
    """Virtual mass after readings, and how the readings agree with what was known.

    Attributes
    ----------
    virtual : VirtualMass
        The posterior.
    innovation : ndarray, shape (n,)
        Speed read less speed expected before any of the readings [m/s]
    normalised : ndarray, shape (n,)
        Innovation over its own standard deviation; beyond 3 the reading, the energy or the
        prior is in doubt [-]
    residual : ndarray, shape (n,)
        Speed read less speed expected after them [m/s]
    """

    virtual: VirtualMass
    innovation: FloatArray
    normalised: FloatArray
    residual: FloatArray


def fit_virtual_mass(prior: VirtualMass, readings: Sequence[SpeedReading]) -> FittedMass:
    """Learn the virtual mass of a bow from chronograph readings.

    Each reading says c 2 E (1 - h) / v^2 = m_a + K(m_a) + string + wheels, linear in K at the
    reference arrow, in k1 and in the energy scale c: the normal update is the least-squares fit
    weighted by the readings' own +- and by the prior.

    Parameters
    ----------
    prior : VirtualMass
        What was known before.
    readings : sequence of SpeedReading
        One or more, all of one bow; their +- independent.

    Returns
    -------
    FittedMass
        Posterior and agreement.

    Raises
    ------
    SpecError
        If there is no reading.

    Notes
    -----
    The stated energies share one unknown scale, so its +- does not spoil what the bow is then
    predicted to do with another arrow. One reading cannot tell k1: taken with the prior's reference
    arrow it leaves k1 exactly as it was. The +- of a speed is carried into mass at the speed
    read; that is first order. Errors of the string's mass are the same in every reading and end
    up in K.
    """
    if not readings:
        raise SpecError("readings", 0, "must hold at least one", "shoot over a chronograph")
    arrow = np.array([r.arrow_mass for r in readings])
    per_scale = np.array([r.mass_per_scale for r in readings])
    known = arrow + np.array([r.string_mass + r.wheel_mass for r in readings])
    speed = np.array([r.speed for r in readings])
    noise = 2.0 * per_scale * np.array([r.speed_u for r in readings]) / speed
    rows = np.stack([-np.ones_like(arrow), prior.arrow - arrow, per_scale], axis=-1)
    mean = np.array([prior.reference, prior.slope, prior.energy_scale])
    misfit = known - rows @ mean
    total = rows @ prior.covariance @ rows.T + np.diag(noise**2)
    gain = np.linalg.solve(total, rows @ prior.covariance).T
    after = mean + gain @ misfit
    kept = np.eye(3) - gain @ rows
    covariance = kept @ prior.covariance @ kept.T + (gain * noise**2) @ gain.T
    virtual = VirtualMass(
        float(after[0]), float(after[1]), prior.arrow, float(after[2]), covariance
    )
    return FittedMass(
        virtual,
        innovation=speed - _expected_speed(prior, readings),
        normalised=misfit / np.sqrt(np.diagonal(total)),
        residual=speed - _expected_speed(virtual, readings),
    )


def _expected_speed(virtual: VirtualMass, readings: Sequence[SpeedReading]) -> FloatArray:
    """Speeds that a virtual mass gives for the arrows of the readings."""
    ratio = [
        virtual.energy_scale
        * r.mass_per_scale
        / (r.arrow_mass + r.string_mass + r.wheel_mass + virtual.of(r.arrow_mass))
        for r in readings
    ]
    return np.array([r.speed for r in readings]) * np.sqrt(ratio)

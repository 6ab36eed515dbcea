"""Speed reading: what a chronograph teaches of a bow's virtual mass and stored energy.

One speed cannot part the two, so they are learned together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strandwright.bow.entered import FloatArray, not_negative, positive, share
from strandwright.bow.virtual_mass import VirtualMass
from strandwright.errors import SpecError


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
        Innovation over its own standard deviation; beyond 3 the reading, its unit, the energy or
        the prior is in doubt [-]
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
    series = _Series.of(readings)
    virtual = series.teach(prior)
    expected, deviation = series.forecast(prior)
    return FittedMass(
        virtual,
        innovation=series.speed - expected,
        normalised=(series.speed - expected) / np.hypot(series.speed_u, deviation),
        residual=series.speed - series.forecast(virtual)[0],
    )


@dataclass(frozen=True, eq=False)
class _Series:
    """Readings as arrays of shape (n,), with the mass that is known to move."""

    arrow: FloatArray
    speed: FloatArray
    speed_u: FloatArray
    energy: FloatArray
    known: FloatArray

    @staticmethod
    def of(readings: Sequence[SpeedReading]) -> _Series:
        """Line the readings up."""
        rows = [
            (
                r.arrow_mass,
                r.speed,
                r.speed_u,
                (1.0 - r.hysteresis) * r.energy,
                r.arrow_mass + r.string_mass + r.wheel_mass,
            )
            for r in readings
        ]
        return _Series(*np.array(rows).T)

    def rows(self, prior: VirtualMass, speed: FloatArray) -> FloatArray:
        """Slopes of c 2 E (1 - h) / v^2 - K by reference, slope and energy scale."""
        ones = np.ones_like(self.arrow)
        return np.stack([-ones, prior.arrow - self.arrow, 2.0 * self.energy / speed**2], axis=-1)

    def teach(self, prior: VirtualMass) -> VirtualMass:
        """Give the posterior."""
        rows = self.rows(prior, self.speed)
        noise = (2.0 * rows[:, 2] * self.speed_u / self.speed) ** 2
        mean = np.array([prior.reference, prior.slope, prior.energy_scale])
        total = rows @ prior.covariance @ rows.T + np.diag(noise)
        gain = np.linalg.solve(total, rows @ prior.covariance).T
        after = mean + gain @ (self.known - rows @ mean)
        kept = np.eye(3) - gain @ rows
        covariance = kept @ prior.covariance @ kept.T + (gain * noise) @ gain.T
        return VirtualMass(
            float(after[0]), float(after[1]), prior.arrow, float(after[2]), covariance
        )

    def forecast(self, virtual: VirtualMass) -> tuple[FloatArray, FloatArray]:
        """Speeds to expect, and their standard uncertainties before any noise of reading."""
        moving = positive(
            "virtual_mass",
            self.known + virtual.of(self.arrow),
            "leave out the reading that made it negative: it cannot be right",
        )
        speed = np.sqrt(2.0 * virtual.energy_scale * self.energy / moving)
        rows = self.rows(virtual, speed)
        variance = np.einsum("ni,ij,nj->n", rows, virtual.covariance, rows)
        return speed, speed / (2.0 * moving) * np.sqrt(np.maximum(variance, 0.0))

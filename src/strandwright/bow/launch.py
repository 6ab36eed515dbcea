"""Launch: arrow speed from stored energy and all that moves.

.. math:: \\tfrac12 (m_a + K + s + w) v^2 = (1 - h)\\, c E - L

with the arrow m_a, the virtual mass K of the bow (:mod:`~strandwright.bow.virtual_mass`), string
and what is on it s (:mod:`~strandwright.bow.string_mass`) and the wheels w, all as masses at the
nocking point; hysteresis h of the stored energy E with its scale c, and any other loss L.

Energy alone: nothing is said of when it passes to the arrow. That the string leaves the bow
stretched at release, drags in air or rings afterwards is in K and L or nowhere.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from strandwright.bow.entered import FloatArray, not_negative, positive, share
from strandwright.bow.virtual_mass import VirtualMass


@dataclass(frozen=True, eq=False)
class Shot:
    """One shot, or a batch of them: every number may be an array, batch axis first.

    Attributes
    ----------
    energy : array_like
        Stored between brace and full draw, as stated, > 0 [J]
    arrow_mass : array_like
        Arrow, >= 0 [kg]
    virtual : VirtualMass
        Virtual mass and energy scale of the bow.
    string_mass : array_like
        Effective mass of string and items at the nocking point, >= 0 [kg]
    wheel_mass : array_like
        Effective mass of the wheels at the nocking point, >= 0 [kg]
    hysteresis : array_like
        Share of the stored energy that a slow let-down does not give back, 0 to 1 [-]
    other_loss : array_like
        Energy lost in other ways, >= 0 [J]
    """

    energy: ArrayLike
    arrow_mass: ArrayLike
    virtual: VirtualMass
    string_mass: ArrayLike = 0.0
    wheel_mass: ArrayLike = 0.0
    hysteresis: ArrayLike = 0.0
    other_loss: ArrayLike = 0.0

    def __post_init__(self) -> None:
        """Refuse what cannot be shot."""
        positive("shot.energy", self.energy, "give the area under the force-draw curve")
        not_negative("shot.arrow_mass", self.arrow_mass, "weigh the arrow")
        not_negative("shot.string_mass", self.string_mass, "add up the string by its weights")
        not_negative("shot.wheel_mass", self.wheel_mass, "give zero for a bow without wheels")
        share("shot.hysteresis", self.hysteresis, "give zero if it is not known")
        not_negative("shot.other_loss", self.other_loss, "give zero if there is none")
        self._check_that_something_is_left()

    def _check_that_something_is_left(self) -> None:
        """Refuse losses that eat the energy, and a shot in which nothing moves."""
        positive(
            "shot.available_energy",
            self.available_energy,
            "give losses that leave some of the stored energy",
        )
        positive(
            "shot.moving_mass",
            self.moving_mass,
            "give the arrow, the string or the virtual mass: together they are nothing",
        )

    @property
    def returned_share(self) -> FloatArray:
        """Share of the stated energy that the bow gives back: (1 - h) c [-]."""
        return (1.0 - np.asarray(self.hysteresis, np.float64)) * self.virtual.energy_scale

    @property
    def available_energy(self) -> FloatArray:
        """Energy that sets arrow and bow moving [J]."""
        return self.returned_share * np.asarray(self.energy) - np.asarray(self.other_loss)

    @property
    def moving_mass(self) -> FloatArray:
        """Everything that moves, as one mass at the arrow's speed [kg]."""
        arrow = np.asarray(self.arrow_mass, np.float64)
        on_string = np.asarray(self.string_mass) + np.asarray(self.wheel_mass)
        return arrow + self.virtual.of(arrow) + on_string


@dataclass(frozen=True, eq=False)
class ShotSpread:
    """Standard uncertainties of a shot's numbers, independent of each other.

    That of the virtual mass and of the energy scale stand in :class:`VirtualMass`; ``energy`` here
    is what comes on top, such as how well a change of the stored energy was predicted.

    Attributes
    ----------
    energy : array_like
        Of the stored energy beside that of its scale, >= 0 [J]
    arrow_mass : array_like
        Of the arrow, >= 0 [kg]
    string_mass : array_like
        Of the effective string mass, >= 0 [kg]
    wheel_mass : array_like
        Of the effective mass of the wheels, >= 0 [kg]
    hysteresis : array_like
        Of the hysteresis, >= 0 [-]
    other_loss : array_like
        Of the other loss, >= 0 [J]
    """

    energy: ArrayLike = 0.0
    arrow_mass: ArrayLike = 0.0
    string_mass: ArrayLike = 0.0
    wheel_mass: ArrayLike = 0.0
    hysteresis: ArrayLike = 0.0
    other_loss: ArrayLike = 0.0

    def __post_init__(self) -> None:
        """Refuse negative uncertainties."""
        remedy = "give 0 for what is known exactly"
        for field in self.__dataclass_fields__:
            not_negative(f"spread.{field}", getattr(self, field), remedy)


def arrow_speed(shot: Shot) -> FloatArray:
    """Speed of the arrow as it leaves the string.

    Parameters
    ----------
    shot : Shot
        Energy and all that moves.

    Returns
    -------
    ndarray
        v [m/s]

    Notes
    -----
    Without an arrow the speed is that of the nocking point in a dry fire: a limit of the formula,
    and never to be tried. All energy then stays in the bow, which can break it and hurt people.
    Hickman's and Klopsteg's balance; a beam model of the limbs was found about 2 % too high in
    efficiency against measurement, and a virtual mass from another bow is no better than that.
    """
    return np.sqrt(2.0 * shot.available_energy / shot.moving_mass)


def efficiency(shot: Shot) -> FloatArray:
    """Efficiency: energy of the arrow over energy stored.

    Parameters
    ----------
    shot : Shot
        Energy and all that moves.

    Returns
    -------
    ndarray
        0 without an arrow, under 1 with any [-]
    """
    carried = 0.5 * np.asarray(shot.arrow_mass) * arrow_speed(shot) ** 2
    return carried / (shot.virtual.energy_scale * np.asarray(shot.energy))


def speed_uncertainty(shot: Shot, spread: ShotSpread | None = None) -> FloatArray:
    """Uncertainty of the arrow's speed, to first order.

    Parameters
    ----------
    shot : Shot
        Energy and all that moves.
    spread : ShotSpread or None
        Uncertainties of its numbers; that of the virtual mass is in the shot.

    Returns
    -------
    ndarray
        Standard uncertainty [m/s]
    """
    speed = arrow_speed(shot)
    by_mass = -speed / (2.0 * shot.moving_mass)
    return propagated(shot, spread, by_mass, speed / (2.0 * shot.available_energy))


def propagated(
    shot: Shot, spread: ShotSpread | None, by_mass: FloatArray, by_energy: FloatArray
) -> FloatArray:
    """Uncertainty of anything that follows from moving mass and available energy.

    Parameters
    ----------
    shot : Shot
        Energy and all that moves.
    spread : ShotSpread or None
        Uncertainties of its numbers.
    by_mass : ndarray
        Slope of the thing by the moving mass [unit per kg]
    by_energy : ndarray
        Slope of the thing by the available energy [unit per J]

    Returns
    -------
    ndarray
        Standard uncertainty, first order [unit]
    """
    wide = spread or ShotSpread()
    virtual, stored = shot.virtual, np.asarray(shot.energy, np.float64)
    kept = 1.0 - np.asarray(shot.hysteresis)
    beyond = np.asarray(shot.arrow_mass) - virtual.arrow
    slopes = np.stack(
        np.broadcast_arrays(by_mass, by_mass * beyond, by_energy * kept * stored), axis=-1
    )
    known = np.einsum("...i,ij,...j->...", slopes, virtual.covariance, slopes)
    parts = (
        by_energy * shot.returned_share * np.asarray(wide.energy),
        by_energy * virtual.energy_scale * stored * np.asarray(wide.hysteresis),
        by_energy * np.asarray(wide.other_loss),
        by_mass * (1.0 + virtual.slope) * np.asarray(wide.arrow_mass),
        by_mass * np.asarray(wide.string_mass),
        by_mass * np.asarray(wide.wheel_mass),
    )
    return np.sqrt(np.maximum(known, 0.0) + sum(part**2 for part in parts))

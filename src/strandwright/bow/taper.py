"""How a quantity runs along a limb: a function of the fraction of the length from the root.

Relative bending stiffness is such a function, and so is the curvature a limb has unstrained.
Any callable will do; here are the usual tapers, and values measured at stations.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import InputError

Floats = NDArray[np.float64]
Profile = Callable[[Floats], Floats]


@dataclass(frozen=True)
class Stations:
    """Values at stations, straight lines between them.

    Attributes
    ----------
    fractions : array_like, shape (stations,)
        Fractions of the length, rising from 0 at the root to 1 at the tip [-]
    values : array_like, shape (stations,)
        What stands there; the unit is that of the profile [unit]

    Raises
    ------
    InputError
        If the fractions do not rise from 0 to 1, or the two do not match.
    """

    fractions: ArrayLike
    values: ArrayLike

    def __post_init__(self) -> None:
        at, values = (np.array(v, dtype=np.float64) for v in (self.fractions, self.values))
        if at.ndim != 1 or at.size < 2 or at[0] != 0.0 or at[-1] != 1.0 or np.any(np.diff(at) <= 0):
            rule = "must rise from 0 at the root to 1 at the tip"
            raise InputError("stations.fractions", self.fractions, rule, "measure root and tip too")
        if values.shape != at.shape or not np.all(np.isfinite(values)):
            rule = f"must be {at.size} finite numbers, one for each station"
            raise InputError("stations.values", self.values, rule, "give one for each station")
        for name, value in (("fractions", at), ("values", values)):
            value.setflags(write=False)
            object.__setattr__(self, name, value)

    def __call__(self, fractions: Floats) -> Floats:
        """Read between the stations.

        Parameters
        ----------
        fractions : ndarray
            Where, 0 to 1 [-]

        Returns
        -------
        ndarray
            The value there, in the profile's unit [unit]
        """
        return np.interp(fractions, np.asarray(self.fractions), np.asarray(self.values))


def uniform(value: float = 1.0) -> Profile:
    """Make a profile that is the same everywhere.

    Parameters
    ----------
    value : float
        Its value, in the profile's unit [unit]

    Returns
    -------
    callable
        Of the fraction of the length.
    """
    return lambda fractions: np.full_like(fractions, value)


def width_taper(tip: float = 0.0) -> Profile:
    """Make the relative stiffness of a limb of even thickness that narrows in a straight line.

    Parameters
    ----------
    tip : float
        Width at the tip over width at the root; 0 for a limb that runs out to a point, which
        bends in an arc under a small force at its tip, >= 0 [-]

    Returns
    -------
    callable
        Stiffness over that at the root, of the fraction of the length.

    Raises
    ------
    InputError
        If the tip is negative.
    """
    return power_taper(1.0, tip)


def power_taper(exponent: float, tip: float = 0.0) -> Profile:
    """Make the relative stiffness (1 - (1 - tip) x)^exponent of the fraction x.

    Parameters
    ----------
    exponent : float
        1 where the width tapers, 3 where the thickness does, 0 for a uniform limb, >= 0 [-]
    tip : float
        Size at the tip over size at the root, >= 0; over 0 where the exponent is over 1 [-]

    Returns
    -------
    callable
        Stiffness over that at the root, of the fraction of the length.

    Raises
    ------
    InputError
        If the limb could not carry a force at its tip: one whose stiffness vanishes there faster
        than the moment curls up without bound.
    """
    if not (np.isfinite(exponent) and exponent >= 0.0):
        raise InputError("taper.exponent", exponent, "must be 0 or more", "1 is a taper in width")
    if not (np.isfinite(tip) and tip >= 0.0) or (tip == 0.0 and exponent > 1.0):
        rule = "must be 0 or more, and over 0 where the exponent is over 1"
        raise InputError("taper.tip", tip, rule, "give the tip the size it has")
    return lambda fractions: (1.0 - (1.0 - tip) * fractions) ** exponent

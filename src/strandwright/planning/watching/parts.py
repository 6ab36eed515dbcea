"""Watch parts: looks at a standing line, what is known of it, and what they say of it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from strandwright.planning.estimate import Estimate
from strandwright.statistics.log_time import LogTimeFit

Floats = NDArray[np.float64]


class Settled(StrEnum):
    """What the looks say of the line."""

    FEW = "too few looks"
    JOINT = "bench and line together"
    SETTLED = "settled"
    MOVING = "still moving"
    UNSURE = "cannot be told yet"


@dataclass(frozen=True)
class Look:
    """One look at the standing line.

    Attributes
    ----------
    event : str
        The event it came by.
    at : float
        Time since the load came on [s]
    load : float
        Load [N]
    own : float
        Standard uncertainty of the load that is this look's own, over the load [-]
    common : float
        The same of what all loads told that way have in common, beside the gauge [-]
    heard : bool
        True when the load was heard.
    posts : float or None
        Outside to outside of the posts by the tape [m]
    posts_u : float
        Its standard uncertainty [m]
    temperature : float or None
        Temperature [K]
    temperature_u : float
        Its standard uncertainty [K]
    """

    event: str
    at: float
    load: float
    own: float
    common: float = 0.0
    heard: bool = False
    posts: float | None = None
    posts_u: float = 0.0
    temperature: float | None = None
    temperature_u: float = 0.0


@dataclass(frozen=True, eq=False)
class Standing:
    """What is known of line and bench while it stands.

    Attributes
    ----------
    load : float
        The one load that lengths are brought to [N]
    length : float
        Length of the line at it [m]
    stretch : ndarray, shape (n,)
        Elastic length at each look's load, less that at the one load [m]
    stretch_covariance : ndarray, shape (n, n)
        Of those: what is unsure of the line's stiffness and of the gauge's scale [m^2]
    per_load : ndarray, shape (n,)
        Length over the logarithm of load at each look [m]
    line, tape, beam : tuple of float
        Thermal expansion and its standard uncertainty [1/K]
    room : float
        Standard change of the temperature while it stands, where nobody reads it [K]
    """

    load: float
    length: float
    stretch: Floats
    stretch_covariance: Floats
    per_load: Floats
    line: tuple[float, float]
    tape: tuple[float, float]
    beam: tuple[float, float]
    room: float


@dataclass(frozen=True, eq=False)
class Watch:
    """What a line does while it stands, as far as the looks tell it.

    Attributes
    ----------
    looks : tuple of Look
        Every look in order of time.
    used : tuple of int
        Which of them the curve rests on, from 0 [-]
    lengths : ndarray, shape (used,)
        Length at one load less where the fitted line begins; with a bench that was not read, what
        line and bench gave together [m]
    spreads : ndarray, shape (used,)
        Standard uncertainty of each by itself [m]
    fit : LogTimeFit or None
        The settling; None from too few looks.
    verdict : Settled
        What they say.
    is_joint : bool
        True where the curve is that of line and bench together: the posts were not read.
    rate : Estimate or None
        Settling in a decade of time [m]
    soon : Estimate or None
        What ten more minutes would give [m]
    to_come : Estimate or None
        What is still to come under load until the proof [m]
    limit : float
        What matters of it [m]
    bench_share : Estimate or None
        Share of the fall of the load that the bench made; None where it cannot be told [1]
    room_part : float
        Standard uncertainty of the rate by a temperature that was not read; 0 where it was [m]
    budget : tuple of (str, float)
        What makes the rate's +- and its share of the variance, largest first [-]
    pulled_up : bool
        True when the load was pulled up between the looks.
    """

    looks: tuple[Look, ...]
    used: tuple[int, ...]
    lengths: Floats
    spreads: Floats
    fit: LogTimeFit | None
    verdict: Settled
    is_joint: bool
    rate: Estimate | None = None
    soon: Estimate | None = None
    to_come: Estimate | None = None
    limit: float = math.inf
    bench_share: Estimate | None = None
    room_part: float = 0.0
    budget: tuple[tuple[str, float], ...] = ()
    pulled_up: bool = False

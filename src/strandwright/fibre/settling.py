"""What a bundle does once or slowly: bedding-in, creep, delayed recovery.

Signs: bedding-in and creep lengthen. Bedding-in happens once per arrangement of the strands and
depends on the highest load; twist put in later opens a new share of it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from strandwright.fibre.strand_law import FloatArray

#: Load per strand at which a bedding-in strain is stated: 12.5 lbf [N]
REFERENCE_LOAD = 55.602770190756
#: Time after which creep is counted: one minute [s]
CREEP_START = 60.0
#: The two time constants of delayed recovery and the weight of the first [s, s, -]
RECOVERY_TIMES = (1200.0, 14400.0)
RECOVERY_WEIGHT = 0.75
_GAS = 8.314462618
_BOLTZMANN = 1.380649e-23


def bedding_progress(strand_load: ArrayLike, load_scale: ArrayLike) -> FloatArray:
    """How far bedding-in has gone after a highest load, 1 at the reference load.

    .. math:: h(T) = \\frac{1 - e^{-T/T_c}}{1 - e^{-T_r/T_c}}

    Parameters
    ----------
    strand_load : array_like
        Highest load so far on one strand, >= 0 [N]
    load_scale : array_like
        Load over which bedding-in saturates, > 0 [N]

    Returns
    -------
    ndarray
        Share of the bedding-in strain stated for the reference load of 12.5 lbf [-]

    Notes
    -----
    Form after rope practice (bedding-in cycles before an elongation is measured, ISO 2307); the
    exponential is an assumption that a shop's own log replaces.
    """
    full = 1.0 - np.exp(-REFERENCE_LOAD / np.asarray(load_scale))
    return (1.0 - np.exp(-np.asarray(strand_load) / np.asarray(load_scale))) / full


def creep_strain(
    load_share: ArrayLike, dwell: ArrayLike, rate_per_decade: ArrayLike
) -> FloatArray:
    """Logarithmic creep strain of a dwell at a load, never recovered.

    Parameters
    ----------
    load_share : array_like
        Load over breaking load, in [0, 1) [-]
    dwell : array_like
        Time at the load, >= 0 [s]
    rate_per_decade : array_like
        Creep strain per decade of time and per unit of load share [-]

    Returns
    -------
    ndarray
        Strain, >= 0 [-]

    Notes
    -----
    Primary creep only: valid for minutes to weeks well under half of break.
    """
    decades = np.log10(1.0 + np.asarray(dwell) / CREEP_START)
    return np.asarray(rate_per_decade) * np.asarray(load_share) * decades


def delayed_left(dwell: ArrayLike, rest: ArrayLike) -> FloatArray:
    """Share of the delayed strain of a load that is still to come back.

    Parameters
    ----------
    dwell : array_like
        How long the load acted, >= 0; infinite brings all of the delayed strain about [s]
    rest : array_like
        Time since it was let down, >= 0 [s]

    Returns
    -------
    ndarray
        Share, 1 just after a load that acted for ever, falling to 0 [-]

    Notes
    -----
    Two Kelvin elements, 20 min and 4 h, after a printed observation on heat-set braid (most of
    the rest in 30 to 45 min, the last in about 12 h). Each fills while the load acts and empties
    while it does not; loads add up.
    """
    dwell, rest = np.asarray(dwell, dtype=float), np.asarray(rest, dtype=float)
    fast, slow = (-np.expm1(-dwell / t) * np.exp(-rest / t) for t in RECOVERY_TIMES)
    return RECOVERY_WEIGHT * fast + (1.0 - RECOVERY_WEIGHT) * slow


def steady_creep_rate(
    stress: ArrayLike,
    temperature: ArrayLike,
    *,
    reference_rate: float,
    reference_stress: float,
    reference_temperature: float,
    activation_energy: float,
    activation_volume: float,
) -> FloatArray:
    """Steady (secondary) creep rate by Eyring's law, scaled from one reference point.

    .. math:: \\dot\\varepsilon \\propto e^{-\\Delta U/RT}\\sinh(\\sigma V^*/kT)

    Parameters
    ----------
    stress : array_like
        Fibre stress [Pa]
    temperature : array_like
        Temperature [K]
    reference_rate : float
        Rate at the reference stress and temperature [1/s]
    reference_stress : float
        Stress of the reference point [Pa]
    reference_temperature : float
        Temperature of the reference point [K]
    activation_energy : float
        Apparent activation energy [J/mol]
    activation_volume : float
        Activation volume, 1e-28 to 1e-27 [m^3]

    Returns
    -------
    ndarray
        Creep rate [1/s]

    Notes
    -----
    Order of magnitude only: the reference rates known to us are of early HMPE yarns.
    """
    kelvin = np.asarray(temperature, dtype=float)
    arrhenius = np.exp(-activation_energy / _GAS * (1.0 / kelvin - 1.0 / reference_temperature))
    drive = np.sinh(np.asarray(stress) * activation_volume / (_BOLTZMANN * kelvin))
    base = np.sinh(reference_stress * activation_volume / (_BOLTZMANN * reference_temperature))
    return reference_rate * arrhenius * drive / base

"""The units a reference row may be written in, and the way from each to SI."""

from __future__ import annotations

import math
from typing import Final

from strandwright.errors import UnitError
from strandwright.units import GRAM_FORCE_PER_DENIER, INCH, LBF, PSI, TEX, YARD

# Unit of the row: (SI unit of the datum, factor, offset added before the factor).
_ROW_UNITS: Final[dict[str, tuple[str, float, float]]] = {
    "1": ("1", 1.0, 0.0),
    "%": ("1", 0.01, 0.0),
    "in": ("m", INCH, 0.0),
    "mm": ("m", 1e-3, 0.0),
    "yd": ("m", YARD, 0.0),
    "1/in": ("1/m", 1.0 / INCH, 0.0),
    "m3": ("m3", 1.0, 0.0),
    "g": ("kg", 1e-3, 0.0),
    "g/m": ("kg/m", 1e-3, 0.0),
    "kg/m3": ("kg/m3", 1.0, 0.0),
    "g/cm3": ("kg/m3", 1e3, 0.0),
    "N": ("N", 1.0, 0.0),
    "lbf": ("N", LBF, 0.0),
    "N/mm": ("N/m", 1e3, 0.0),
    "psi": ("Pa", PSI, 0.0),
    "N/tex": ("N m/kg", 1.0 / TEX, 0.0),
    "cN/dtex": ("N m/kg", 0.1 / TEX, 0.0),
    "g/den": ("N m/kg", GRAM_FORCE_PER_DENIER, 0.0),
    "1/K": ("1/K", 1.0, 0.0),
    "degC": ("K", 1.0, 273.15),
    "K": ("K", 1.0, 0.0),
    "kJ/mol": ("J/mol", 1e3, 0.0),
    "s": ("s", 1.0, 0.0),
    "min": ("s", 60.0, 0.0),
    "d": ("s", 86400.0, 0.0),
    "%/h": ("1/s", 0.01 / 3600.0, 0.0),
    "%/d": ("1/s", 0.01 / 86400.0, 0.0),
    "MPa": ("Pa", 1e6, 0.0),
    "deg": ("rad", math.pi / 180.0, 0.0),
    "N m/rad": ("N m/rad", 1.0, 0.0),
}

ROW_UNITS: Final = tuple(sorted(_ROW_UNITS))


def si_unit(unit: str) -> str:
    """Name the SI unit that a row's unit becomes.

    Parameters
    ----------
    unit : str
        One of ``ROW_UNITS``.

    Returns
    -------
    str
        The SI unit; ``1`` for a pure number.

    Raises
    ------
    UnitError
        If the unit is not one a row may use.
    """
    return _find(unit)[0]


def to_si(number: float, unit: str) -> float:
    """Convert a row's number into SI.

    Parameters
    ----------
    number : float
        The number as written in the row [unit].
    unit : str
        One of ``ROW_UNITS``.

    Returns
    -------
    float
        The value [SI].

    Raises
    ------
    UnitError
        If the unit is not one a row may use.
    """
    _, factor, offset = _find(unit)
    return (number + offset) * factor


def spread_to_si(number: float, unit: str) -> float:
    """Convert a difference or a standard uncertainty into SI; no offset is added.

    Parameters
    ----------
    number : float
        The difference as written in the row [unit].
    unit : str
        One of ``ROW_UNITS``.

    Returns
    -------
    float
        The difference [SI].

    Raises
    ------
    UnitError
        If the unit is not one a row may use.
    """
    return number * _find(unit)[1]


def _find(unit: str) -> tuple[str, float, float]:
    """Look a unit up, or say which there are."""
    if unit not in _ROW_UNITS:
        rule = f"a reference row is written in one of {', '.join(ROW_UNITS)}"
        raise UnitError("unit", unit, rule, "write the row in one of these")
    return _ROW_UNITS[unit]

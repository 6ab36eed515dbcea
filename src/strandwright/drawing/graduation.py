"""Graduations of a tape: which ticks, which numbers, and how a position is written."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from strandwright.drawing.lettering import FRACTION_SLASH
from strandwright.errors import SpecError

_METRES: Final = {"in": 0.0254, "mm": 0.001}
# In units of the tape; all are exact in binary, so that remainders below are exact too.
_INCH_STEPS: Final = (0.0625, 0.125, 0.25, 0.5)
_TEN_STEPS: Final = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0)


@dataclass(frozen=True)
class Graduation:
    """The steps of a tape, in its own unit.

    Attributes
    ----------
    fine : float
        Between the shortest ticks [m].
    middle : float
        Between the middling ticks, a multiple of ``fine`` [m].
    numbered : float
        Between the numbers, a multiple of ``middle`` [m].
    """

    fine: float
    middle: float
    numbered: float


def metres_per_unit(units: str) -> float:
    """Give the length of a tape's unit.

    Parameters
    ----------
    units : str
        ``in`` or ``mm``.

    Returns
    -------
    float
        One unit [m].

    Raises
    ------
    SpecError
        If it is another unit.
    """
    try:
        return _METRES[units]
    except KeyError:
        raise SpecError("units", units, "a tape reads in or mm", "choose one of these") from None


def position_text(position: float, units: str, fraction: int) -> str:
    """Write a position as the tape would read it.

    Parameters
    ----------
    position : float
        From the zero end [m].
    units : str
        ``in`` or ``mm``.
    fraction : int
        Parts of a unit to round to, >= 1: 16 is 1/16 in, 2 is half a millimetre [-].

    Returns
    -------
    str
        The number without its unit; inches with a fraction set by U+2044, millimetres with
        a decimal point.
    """
    parts = round(position / metres_per_unit(units) * fraction)
    if units == "mm":
        decimals = 0 if fraction == 1 else 1 if 10 % fraction == 0 else 2
        return f"{parts / fraction:.{decimals}f}"
    sign = "\u2212" if parts < 0 else ""
    whole, rest = divmod(abs(parts), fraction)
    if rest == 0:
        return f"{sign}{whole}"
    common = math.gcd(rest, fraction)
    small = f"{rest // common}{FRACTION_SLASH}{fraction // common}"
    return f"{sign}{whole} {small}" if whole else f"{sign}{small}"


def graduation_for(units: str, pixels_per_metre: float, number_width: float) -> Graduation:
    """Choose steps that can be told apart and numbers that do not touch.

    Parameters
    ----------
    units : str
        ``in`` or ``mm``.
    pixels_per_metre : float
        Horizontal scale, > 0 [px/m].
    number_width : float
        Width of the widest number [px].

    Returns
    -------
    Graduation
        With at least 4.5 px between ticks and 14 px between numbers.
    """
    unit = metres_per_unit(units)
    pixels = pixels_per_metre * unit
    steps = (*_INCH_STEPS, *_TEN_STEPS) if units == "in" else _TEN_STEPS
    fine = next((s for s in steps if s * pixels >= 4.5), steps[-1])
    numbered = next(
        (s for s in _TEN_STEPS if s % fine == 0 and s * pixels >= number_width + 14.0),
        _TEN_STEPS[-1],
    )
    between = [s for s in steps if s % fine == 0 and numbered % s == 0 and fine < s < numbered]
    middle = min(between, key=lambda s: abs(s * s / (fine * numbered) - 1.0), default=fine)
    return Graduation(fine * unit, middle * unit, numbered * unit)

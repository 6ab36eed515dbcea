"""Display: how lengths, their +- and other quantities are written back for people.

Whatever is written here, :func:`strandwright.units.parse` reads again.
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from strandwright.errors import UnitError
from strandwright.units.catalogue import INCH_EXACT, Dimension, find_unit, to_unit

System = Literal["in", "mm"]
Number = float | Fraction
#: An exact number as numerator and denominator > 0, not reduced: quicker than a Fraction is.
_Ratio = tuple[int, int]

_SIZES = {"in": INCH_EXACT, "mm": Fraction(1, 1000)}
_MM_PARTS = 10
_FINEST_FRACTION = 64
# (below this many inches, round up to one part in so many): coarser as the size grows.
_STEPS = (((1, 16), 64), ((1, 8), 32), ((1, 2), 16), ((2, 1), 8), ((8, 1), 4))
# A float of a metre is not exactly a sixteenth: snap to the step within this part of it.
_SNAP = 10**8
# What a float of a metre added is taken off by rounding to so many parts of a unit or of a step.
_FINE = 10**10


def format_length(metres: Number, *, system: System, fraction: int = 16, unit: bool = True) -> str:
    """Write a length in the user's units, rounded half to even.

    Parameters
    ----------
    metres : float or Fraction
        The length, of either sign [m].
    system : {"in", "mm"}
        Inches with a reduced fraction, or millimetres with one decimal.
    fraction : int
        Finest fraction of an inch to show, >= 1 [1/in].
    unit : bool
        Whether to write the unit.

    Returns
    -------
    str
        ``57 1/4 in`` or ``1454.2 mm``.

    Raises
    ------
    UnitError
        If the length is not finite, or the system or the fraction is unknown.

    Examples
    --------
    >>> format_length(1.45415, system="in")
    '57 1/4 in'
    >>> format_length(1.45415, system="mm")
    '1454.2 mm'
    """
    text = _rounded_text(metres, system, fraction)
    return f"{text} {system}" if unit else text


# A plan says the same numbers in several places, and most of them again while it is dragged.
@lru_cache(maxsize=8192)
def _rounded_text(metres: Number, system: System, fraction: int) -> str:
    """Write a length that is rounded to what is shown of it, without its unit."""
    return _length_text(_count_parts(_exact(metres), system, fraction), system, fraction)


def format_length_decimal(
    metres: Number, system: System = "in", digits: int = 3, unit: bool = True
) -> str:
    """Write a small length, such as a diameter, with decimals.

    Parameters
    ----------
    metres : float or Fraction
        The length [m].
    system : {"in", "mm"}
        The unit.
    digits : int
        Decimals, >= 0 [-].
    unit : bool
        Whether to write the unit.

    Returns
    -------
    str
        ``0.122 in``.

    Raises
    ------
    UnitError
        If the length is not finite or the system is unknown.
    """
    top, bottom = _in_system(_exact(metres), system)
    text = _decimal_text(top / bottom, digits)
    return f"{text} {system}" if unit else text


def format_plus_minus(
    half_range_metres: Number, system: System, fraction: int = _FINEST_FRACTION
) -> str:
    """Write a half-range, rounded up to a readable size.

    Rounding up makes the written range hold the computed one; it less than doubles.

    Parameters
    ----------
    half_range_metres : float or Fraction
        The half-range, >= 0 [m].
    system : {"in", "mm"}
        The unit, which is not written.
    fraction : int
        Finest fraction of an inch to use; a smaller half-range is written with decimals [1/in].

    Returns
    -------
    str
        ``1/32``, ``3/64``, ``1 1/8``, ``0.005``; in millimetres ``0.4``, ``12``.

    Raises
    ------
    UnitError
        If the half-range is negative or not finite, or the system or the fraction is unknown.
    """
    size = _in_system(_exact(half_range_metres), system)
    _refuse_fraction(fraction)
    return _half_text(size, system, fraction)


def format_estimate(
    metres: Number, u95: Number, system: System, fraction: int = 16, pretty: bool = False
) -> str:
    """Write a length with its 95 % half-range.

    The rounding of the length is added to the half-range before that is rounded up, so that
    the written range always holds the computed one.

    Parameters
    ----------
    metres : float or Fraction
        The length [m].
    u95 : float or Fraction
        Its 95 % half-range, >= 0 [m].
    system : {"in", "mm"}
        The unit.
    fraction : int
        Finest fraction of an inch for the length [1/in].
    pretty : bool
        Whether to write ± instead of +-.

    Returns
    -------
    str
        ``57 1/4 +- 1/32 in``; without +- if it is zero and the length is written exactly.

    Raises
    ------
    UnitError
        If a number is not finite, the half-range negative, the system or fraction unknown.

    Examples
    --------
    >>> format_estimate(1.45415, 0.0007, "in", pretty=True)
    '57 1/4 ± 1/32 in'
    """
    text, half = _estimate_texts(metres, u95, system, fraction)
    sign = "\u00b1" if pretty else "+-"
    return f"{text} {system}" if half == "0" else f"{text} {sign} {half} {system}"


@lru_cache(maxsize=8192)
def _estimate_texts(
    metres: Number, u95: Number, system: System, fraction: int
) -> tuple[str, str]:
    """Write a length and its half-range, without sign and unit."""
    exact = _exact(metres)
    count = _count_parts(exact, system, fraction)
    parts = fraction if system == "in" else _MM_PARTS
    top, bottom = _in_system(exact, system)
    rounding = _nearest(abs(count * bottom - top * parts) * _FINE, parts * bottom)
    half, under = _in_system(_exact(u95), system)
    text = _length_text(count, system, fraction)
    widened = (half * _FINE + rounding * under, under * _FINE)
    return text, _half_text(widened, system, _FINEST_FRACTION)


def format_quantity(
    dimension: Dimension, si: float, unit: str, digits: int, pretty: bool = False
) -> str:
    """Write a quantity of any kind in a named unit.

    Parameters
    ----------
    dimension : Dimension
        The kind of quantity.
    si : float
        The value [SI].
    unit : str
        Any name of a unit of that kind; the canonical one is written.
    digits : int
        Decimals, >= 0 [-].
    pretty : bool
        Whether to write °F, °C and ° instead of degF, degC and deg.

    Returns
    -------
    str
        ``100.0 lbf``, ``0.50 per in``, ``68 degF``.

    Raises
    ------
    UnitError
        If the unit is not one of that kind, or the value is not finite.
    """

    def fail(rule: str, remedy: str) -> UnitError:
        return UnitError(dimension.value, unit, rule, remedy)

    name = find_unit(dimension, unit, fail).name
    top, bottom = _exact(to_unit(dimension, si, name))
    text = _decimal_text(top / bottom, digits)
    if pretty:
        name = name.replace("deg", "°")
        return f"{text}°" if name == "°" else f"{text} {name}".rstrip()
    return f"{text} {name}".rstrip()


def _exact(value: Number) -> _Ratio:
    """Give the value exactly; refuse what no drawing or sheet could show."""
    if not math.isfinite(value):
        raise UnitError("value", str(value), "must be a finite number", "check what it came from")
    return value.as_integer_ratio()


def _in_system(metres: _Ratio, system: str) -> _Ratio:
    """Exact number of the system's units."""
    if system not in _SIZES:
        raise UnitError("system", system, "must be in or mm", "give one of the two")
    size = _SIZES[system]
    return metres[0] * size.denominator, metres[1] * size.numerator


def _refuse_fraction(fraction: int) -> None:
    """Hold a finest fraction to a whole number of parts of an inch."""
    if fraction < 1:
        raise UnitError("fraction", fraction, "must be 1 or more", "give one such as 16 or 32")


def _nearest(top: int, bottom: int) -> int:
    """Round a ratio to the nearest whole number, half to even."""
    whole, rest = divmod(top, bottom)
    return whole + (2 * rest > bottom or (2 * rest == bottom and whole % 2 == 1))


def _count_parts(metres: _Ratio, system: str, fraction: int) -> int:
    """Give the length as it will be shown, in fractions of an inch or tenths of a millimetre."""
    _refuse_fraction(fraction)
    top, bottom = _in_system(metres, system)
    if system == "mm":
        return _nearest(_nearest(top * _FINE, bottom), _FINE // _MM_PARTS)
    return _nearest(_nearest(top * fraction * _FINE, bottom), _FINE)


def _up(top: int, bottom: int) -> int:
    """Round a ratio up to a whole number, but not for the last bit of a float."""
    return -(-_nearest(top * _SNAP, bottom) // _SNAP)


def _decimal_up(size: _Ratio) -> _Ratio:
    """Round up to one digit, or to two where the first is a 1 or a 2."""
    top, bottom = size
    if top == 0:
        return size
    place = math.floor(math.log10(top / bottom))
    above, below = 10 ** max(place, 0), 10 ** max(-place, 0)
    if top * below < 3 * bottom * above:
        below *= 10
    return _up(top * below, bottom * above) * above, below


def _half_text(size: _Ratio, system: System, fraction: int) -> str:
    """Write a half-range that is given in the system's units."""
    top, bottom = size
    if top < 0:
        given = f"{top / bottom:g} {system}"
        raise UnitError("half_range", given, "must not be negative", "give its size")
    if system == "mm" or top * fraction * _SNAP < bottom * (_SNAP - 1):
        decimal, below = _decimal_up(size)
        if system == "mm" or decimal * fraction <= below:
            return _decimal_text(decimal / below, 12, trim=True)
    steps = (parts for (most, of), parts in _STEPS if top * of < most * bottom)
    parts = min(next(steps, 1), fraction)
    return _fraction_text(_up(top * parts, bottom), parts)


def _length_text(count: int, system: str, fraction: int) -> str:
    """Write a length counted in the parts it is shown in."""
    if system == "in":
        return _fraction_text(count, fraction)
    return f"{count / _MM_PARTS:.1f}"


def _fraction_text(count: int, parts: int) -> str:
    """Write ``-57 1/4``."""
    sign = "-" if count < 0 else ""
    whole, top = divmod(abs(count), parts)
    if top == 0:
        return f"{sign}{whole}"
    shared = math.gcd(top, parts)
    part = f"{top // shared}/{parts // shared}"
    return f"{sign}{whole} {part}" if whole else f"{sign}{part}"


def _decimal_text(number: float, digits: int, trim: bool = False) -> str:
    """Write decimals without a minus before zero; trimmed of zeros at the end if asked."""
    text = f"{number:.{digits}f}"
    if trim and "." in text:
        text = text.rstrip("0").rstrip(".")
    return text.removeprefix("-") if float(text) == 0 else text

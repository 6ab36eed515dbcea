"""Display: how lengths, their +- and other quantities are written back for people.

Whatever is written here, :func:`strandwright.units.parse` reads again.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Literal

from strandwright.errors import UnitError
from strandwright.units.catalogue import INCH_EXACT, Dimension, find_unit, to_unit

System = Literal["in", "mm"]
Number = float | Fraction

_SIZES = {"in": INCH_EXACT, "mm": Fraction(1, 1000)}
_MM_DIGITS = 1
_FINEST_FRACTION = 64
# (below this many inches, round up to this step): coarser as the size grows.
_STEPS = (
    (Fraction(1, 16), Fraction(1, 64)),
    (Fraction(1, 8), Fraction(1, 32)),
    (Fraction(1, 2), Fraction(1, 16)),
    (Fraction(2), Fraction(1, 8)),
    (Fraction(8), Fraction(1, 4)),
)
# A float of a metre is not exactly a sixteenth: snap to the step within this part of it.
_SNAP_DIGITS = 8


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
    shown = _rounded(metres, system, fraction)
    text = _fraction_text(shown) if system == "in" else f"{float(shown):.{_MM_DIGITS}f}"
    return f"{text} {system}" if unit else text


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
    text = _decimal_text(float(_in_system(metres, system)), digits)
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
    size = _in_system(half_range_metres, system)
    _refuse_fraction(fraction)
    if size < 0:
        raise UnitError(
            "half_range", str(half_range_metres), "must not be negative", "give its size"
        )
    finest = Fraction(1, fraction)
    if system == "mm" or size < finest * (1 - Fraction(1, 10**_SNAP_DIGITS)):
        decimal = _decimal_up(size)
        if system == "mm" or decimal <= finest:
            return _decimal_text(float(decimal), 12, trim=True)
    step = next((step for below, step in _STEPS if size < below), Fraction(1))
    return _fraction_text(_up(size, max(step, finest)))


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
    shown = _rounded(metres, system, fraction) * _SIZES[system]
    rounding = _snapped(abs(shown - _exact(metres)) / _SIZES[system]) * _SIZES[system]
    text = format_length(metres, system=system, fraction=fraction, unit=False)
    half = format_plus_minus(_exact(u95) + rounding, system)
    sign = "\u00b1" if pretty else "+-"
    return f"{text} {system}" if half == "0" else f"{text} {sign} {half} {system}"


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
    text = _decimal_text(float(_exact(to_unit(dimension, si, name))), digits)
    if pretty:
        name = name.replace("deg", "°")
        return f"{text}°" if name == "°" else f"{text} {name}".rstrip()
    return f"{text} {name}".rstrip()


def _exact(value: Number) -> Fraction:
    """Give the value as a fraction; refuse what no drawing or sheet could show."""
    if not math.isfinite(value):
        raise UnitError("value", str(value), "must be a finite number", "check what it came from")
    return Fraction(value)


def _in_system(metres: Number, system: str) -> Fraction:
    """Exact number of the system's units."""
    if system not in _SIZES:
        raise UnitError("system", system, "must be in or mm", "give one of the two")
    return _exact(metres) / _SIZES[system]


def _refuse_fraction(fraction: int) -> None:
    """Hold a finest fraction to a whole number of parts of an inch."""
    if fraction < 1:
        raise UnitError("fraction", fraction, "must be 1 or more", "give one such as 16 or 32")


def _snapped(number: Fraction) -> Fraction:
    """Take off what the float of a metre added."""
    return round(number, _SNAP_DIGITS + 2)


def _rounded(metres: Number, system: str, fraction: int) -> Fraction:
    """Give the length as it will be shown, in the system's units."""
    _refuse_fraction(fraction)
    number = _in_system(metres, system)
    if system == "mm":
        return round(_snapped(number), _MM_DIGITS)
    return Fraction(round(_snapped(number * fraction)), fraction)


def _up(size: Fraction, step: Fraction) -> Fraction:
    """Round up to a multiple of the step, but not for the last bit of a float."""
    return math.ceil(round(size / step, _SNAP_DIGITS)) * step


def _decimal_up(size: Fraction) -> Fraction:
    """Round up to one digit, or to two where the first is a 1 or a 2."""
    if size == 0:
        return size
    place = Fraction(10) ** math.floor(math.log10(size))
    return _up(size, place if size >= 3 * place else place / 10)


def _fraction_text(number: Fraction) -> str:
    """Write ``-57 1/4``."""
    sign = "-" if number < 0 else ""
    whole, top = divmod(abs(number.numerator), number.denominator)
    if top == 0:
        return f"{sign}{whole}"
    part = f"{top}/{number.denominator}"
    return f"{sign}{whole} {part}" if whole else f"{sign}{part}"


def _decimal_text(number: float, digits: int, trim: bool = False) -> str:
    """Write decimals without a minus before zero; trimmed of zeros at the end if asked."""
    text = f"{number:.{digits}f}"
    if trim and "." in text:
        text = text.rstrip("0").rstrip(".")
    return text.removeprefix("-") if float(text) == 0 else text

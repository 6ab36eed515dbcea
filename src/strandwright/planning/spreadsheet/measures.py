"""Measures: a quantity as a plain number in a named unit, so that a spreadsheet can add it."""

from __future__ import annotations

import re
from decimal import Decimal

from strandwright.errors import UnitError
from strandwright.units import Dimension, System, from_unit, parse, to_unit, units_of

#: The unit of the number beside a quantity, in inches and in millimetres.
UNITS: dict[Dimension, tuple[str, str]] = {
    Dimension.LENGTH: ("in", "mm"),
    Dimension.FORCE: ("lbf", "N"),
    Dimension.MASS: ("gr", "g"),
    Dimension.TEMPERATURE: ("degF", "degC"),
    Dimension.DURATION: ("min", "min"),
    Dimension.LINEAR_DENSITY: ("g/m", "g/m"),
    Dimension.STIFFNESS: ("lbf/in", "N/mm"),
    Dimension.TURNS_PER_LENGTH: ("per in", "per m"),
    Dimension.WRAPS_PER_LENGTH: ("per in", "per mm"),
    Dimension.ENERGY: ("ft lbf", "J"),
    Dimension.SPEED: ("ft/s", "m/s"),
    Dimension.RATIO: ("%", "%"),
}
#: The same of stock: nobody counts a spool in inches or in grains.
STOCK: dict[Dimension, tuple[str, str]] = {
    Dimension.LENGTH: ("ft", "m"),
    Dimension.MASS: ("g", "g"),
}
#: Two numbers nearer than this are one, written with other digits [-]
SAME = 1e-8


def unit_for(dimension: Dimension, system: System, *, stock: bool = False) -> str:
    """Give the unit of the number beside a quantity.

    Parameters
    ----------
    dimension : Dimension
        What kind of quantity.
    system : str
        ``in`` or ``mm``.
    stock : bool
        Whether it is told of stock.

    Returns
    -------
    str
        The unit's name.
    """
    both = (STOCK if stock else {}).get(dimension) or UNITS[dimension]
    return both[0 if system == "in" else 1]


def slug(unit: str) -> str:
    """Give a unit's name as the end of a column's name.

    Parameters
    ----------
    unit : str
        The unit's name.

    Returns
    -------
    str
        Letters, digits and underscores.
    """
    spelt = unit.replace("%", "percent").replace("/", "_per_")
    return re.sub(r"[^A-Za-z0-9]+", "_", spelt).strip("_")


def unit_of_slug(dimension: Dimension, end: str) -> str | None:
    """Find the unit that the end of a column's name means.

    Parameters
    ----------
    dimension : Dimension
        What kind of quantity the column holds.
    end : str
        As :func:`slug` writes it.

    Returns
    -------
    str or None
        None where there is no such unit.
    """
    return next((unit for unit in units_of(dimension) if unit and slug(unit) == end), None)


def plain_number(number: float) -> str:
    """Write a number with ten digits, never with an exponent.

    Parameters
    ----------
    number : float
        The number [unit]

    Returns
    -------
    str
        Without zeros that say nothing.
    """
    text = format(number, ".10g")
    if "e" not in text:
        return text
    return format(Decimal(text), "f")


def number_in(dimension: Dimension, text: str, unit: str) -> str:
    """Give a quantity as somebody typed it as a number in a unit.

    Parameters
    ----------
    dimension : Dimension
        What kind of quantity.
    text : str
        As it was typed.
    unit : str
        The unit wanted.

    Returns
    -------
    str
        The number; empty where words stand there, such as *unknown*.
    """
    try:
        entered = parse(dimension, text, field=dimension.value, signed=True)
    except UnitError:
        return ""
    return plain_number(to_unit(dimension, entered.si, unit))


def agrees(dimension: Dimension, text: str, number: float, unit: str) -> bool:
    """Whether a quantity as it was typed is the number that stands beside it.

    Parameters
    ----------
    dimension : Dimension
        What kind of quantity.
    text : str
        As it was typed.
    number : float
        What stands beside it [unit]
    unit : str
        The unit of that.

    Returns
    -------
    bool
        True where both say the same, or the text is in words.
    """
    try:
        typed = parse(dimension, text, field=dimension.value, signed=True).si
    except UnitError:
        return True
    beside = from_unit(dimension, number, unit)
    return abs(typed - beside) <= SAME * max(abs(typed), abs(beside), 1e-6)

"""Catalogue of units: kinds of quantity, exact factors, and conversion between them."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from enum import StrEnum
from fractions import Fraction
from functools import cache, lru_cache, partial
from typing import NamedTuple

from strandwright.errors import UnitError

# Exact by definition: the international inch and pound of 1959, standard gravity of 1901.
INCH_EXACT = Fraction("0.0254")
_POUND = Fraction("0.45359237")
_GRAVITY = Fraction("9.80665")
_LBF = _POUND * _GRAVITY
_TEX = Fraction(1, 10**6)
_ABSOLUTE_ZERO_C = Fraction("273.15")
_ABSOLUTE_ZERO_F = Fraction("459.67")

INCH = float(INCH_EXACT)
FOOT = float(12 * INCH_EXACT)
YARD = float(36 * INCH_EXACT)
POUND = float(_POUND)
OUNCE = float(_POUND / 16)
GRAIN = float(_POUND / 7000)
KGF = float(_GRAVITY)
LBF = float(_LBF)
PSI = float(_LBF / INCH_EXACT**2)
FOOT_POUND = float(12 * INCH_EXACT * _LBF)
LBF_PER_INCH = float(_LBF / INCH_EXACT)
TEX = float(_TEX)
DTEX = float(_TEX / 10)
DENIER = float(_TEX / 9)
GRAIN_PER_INCH = float(_POUND / 7000 / INCH_EXACT)
GRAM_FORCE_PER_DENIER = float(_GRAVITY / 1000 / (_TEX / 9))
DEGREE = math.pi / 180


class Dimension(StrEnum):
    """Kinds of quantity that can be typed; the comment is the SI unit inside."""

    LENGTH = "length"  # m
    FORCE = "force"  # N
    MASS = "mass"  # kg
    TEMPERATURE = "temperature"  # K
    DURATION = "duration"  # s
    LINEAR_DENSITY = "linear_density"  # kg/m
    STIFFNESS = "stiffness"  # N/m
    TURNS_PER_LENGTH = "turns_per_length"  # turns/m
    WRAPS_PER_LENGTH = "wraps_per_length"  # wraps/m
    ENERGY = "energy"  # J
    SPEED = "speed"  # m/s
    RATIO = "ratio"  # -
    ANGLE = "angle"  # rad
    PRESSURE = "pressure"  # Pa
    DENSITY = "density"  # kg/m3
    TENACITY = "tenacity"  # N/(kg/m)
    FREQUENCY = "frequency"  # Hz


class Unit(NamedTuple):
    """A unit: SI value = (number + offset) * factor.

    Attributes
    ----------
    name : str
        Canonical name.
    factor : Fraction
        Size of one unit, exact [SI].
    offset : Fraction
        Number to add first; not zero for degF and degC only [unit].
    """

    name: str
    factor: Fraction
    offset: Fraction = Fraction(0)


Refusal = Callable[[str, str], UnitError]

_PER_LENGTH: dict[str, Fraction] = {
    'per in|/in|/inch|/"': 1 / INCH_EXACT,
    "per ft|/ft|/foot": 1 / (12 * INCH_EXACT),
    "per mm|/mm": Fraction(1000),
    "per cm|/cm": Fraction(100),
    "per m|/m|/metre|/meter": Fraction(1),
}


def _counted(noun: str, short: str) -> dict[str, Fraction]:
    """Add ``turns/in``, ``turn/in`` and ``tpi`` to the bare ``/in``."""
    rows: dict[str, Fraction] = {}
    for names, factor in _PER_LENGTH.items():
        bare = names.split("|")[1:]
        nouns = [f"{noun}{plural}{name}" for name in bare for plural in ("", "s")]
        rows["|".join([names, *nouns, *([short] if "/in" in bare else [])])] = factor
    return rows


# First name of a row is canonical; the first row of a dimension is not special.
_ROWS: dict[Dimension, dict[str, Fraction]] = {
    Dimension.LENGTH: {
        'in|inch|inches|"': INCH_EXACT,
        "ft|foot|feet|'": 12 * INCH_EXACT,
        "yd|yard|yards": 36 * INCH_EXACT,
        "mm|millimetre|millimetres|millimeter|millimeters": Fraction(1, 1000),
        "cm|centimetre|centimetres|centimeter|centimeters": Fraction(1, 100),
        "m|metre|metres|meter|meters": Fraction(1),
    },
    Dimension.FORCE: {
        "lbf|lb|lbs|pound|pounds|#": _LBF,
        "N|newton|newtons": Fraction(1),
        "daN": Fraction(10),
        "kN": Fraction(1000),
        "kgf": _GRAVITY,
        "gf": _GRAVITY / 1000,
        "ozf|oz|ounce|ounces": _LBF / 16,
    },
    Dimension.MASS: {
        "gr|grain|grains": _POUND / 7000,
        "mg": Fraction(1, 10**6),
        "g|gram|grams|gramme|grammes": Fraction(1, 1000),
        "kg|kilogram|kilograms": Fraction(1),
        "oz|ounce|ounces": _POUND / 16,
        "lb|lbs|pound|pounds": _POUND,
    },
    Dimension.TEMPERATURE: {"K|kelvin": Fraction(1)},
    Dimension.DURATION: {
        "s|sec|secs|second|seconds": Fraction(1),
        "min|mins|minute|minutes": Fraction(60),
        "h|hr|hrs|hour|hours": Fraction(3600),
        "d|day|days": Fraction(86400),
        "wk|week|weeks": Fraction(7 * 86400),
    },
    Dimension.LINEAR_DENSITY: {
        "g/m": Fraction(1, 1000),
        "kg/m": Fraction(1),
        "tex|g/km|mg/m": _TEX,
        "dtex": _TEX / 10,
        "den|denier": _TEX / 9,
        "gr/in|grain/in|grains/in|grains/inch": _POUND / 7000 / INCH_EXACT,
    },
    Dimension.STIFFNESS: {
        "lbf/in|lb/in|lbs/in|lbf/inch": _LBF / INCH_EXACT,
        "N/m": Fraction(1),
        "N/mm|kN/m": Fraction(1000),
    },
    Dimension.TURNS_PER_LENGTH: _counted("turn", "tpi"),
    Dimension.WRAPS_PER_LENGTH: _counted("wrap", "wpi"),
    Dimension.ENERGY: {
        "ft lbf|ft lb|ft lbs|ftlb|ftlbs|ftlbf|foot pound|foot pounds": 12 * INCH_EXACT * _LBF,
        "J|joule|joules|N m": Fraction(1),
    },
    Dimension.SPEED: {"ft/s|fps|ft/sec": 12 * INCH_EXACT, "m/s": Fraction(1)},
    Dimension.RATIO: {"": Fraction(1), "%|percent": Fraction(1, 100)},
    # A radian is not a rational number of degrees: exact to the double nearest to pi.
    Dimension.ANGLE: {"deg|°|degree|degrees": Fraction(math.pi) / 180, "rad": Fraction(1)},
    Dimension.PRESSURE: {
        "psi": _LBF / INCH_EXACT**2,
        "Pa": Fraction(1),
        "kPa": Fraction(10**3),
        "MPa|N/mm2|N/mm²": Fraction(10**6),
        "GPa": Fraction(10**9),
    },
    Dimension.DENSITY: {"g/cm3|g/cm³|g/cc": Fraction(1000), "kg/m3|kg/m³": Fraction(1)},
    Dimension.TENACITY: {
        "N/tex": 1 / _TEX,
        "cN/tex": 1 / (100 * _TEX),
        "cN/dtex": 1 / (10 * _TEX),
        "g/den|gf/den|g/denier": _GRAVITY / 1000 / (_TEX / 9),
    },
    Dimension.FREQUENCY: {"Hz": Fraction(1), "kHz": Fraction(1000)},
}
_OFFSET_UNITS = {
    "degF|°F|F|deg F|fahrenheit": Unit("degF", Fraction(5, 9), _ABSOLUTE_ZERO_F),
    "degC|°C|C|deg C|celsius": Unit("degC", Fraction(1), _ABSOLUTE_ZERO_C),
}
EXAMPLES = {
    Dimension.LENGTH: "57 1/4 in",
    Dimension.FORCE: "100 lbf",
    Dimension.MASS: "105 gr",
    Dimension.TEMPERATURE: "68 degF",
    Dimension.DURATION: "20 s",
    Dimension.LINEAR_DENSITY: "180 tex",
    Dimension.STIFFNESS: "40 lbf/in",
    Dimension.TURNS_PER_LENGTH: "0.5 per in",
    Dimension.WRAPS_PER_LENGTH: "50 per in",
    Dimension.ENERGY: "80 ft lbf",
    Dimension.SPEED: "290 ft/s",
    Dimension.RATIO: "12 %",
    Dimension.ANGLE: "8 deg",
    Dimension.PRESSURE: "110 GPa",
    Dimension.DENSITY: "0.97 g/cm3",
    Dimension.TENACITY: "3.4 N/tex",
    Dimension.FREQUENCY: "196 Hz",
}


@lru_cache(maxsize=1024)
def _key(dimension: Dimension, name: str) -> str:
    """Reduce a unit's name to the form the table is indexed by."""
    name = re.sub(r"(?<=\w) ?[ ·*-] ?(?=\w)", " ", name).strip()
    name = re.sub(r"(?:^| )per ", "/", name, flags=re.IGNORECASE)
    name = re.sub(" ?/ ?", "/", name).removesuffix(".")
    # Megapascal and millipascal differ by nothing but case, so case counts there.
    return name if dimension is Dimension.PRESSURE else name.casefold()


@cache
def _names(dimension: Dimension) -> dict[str, Unit]:
    """Index a dimension's units by every name they may be typed under."""
    rows = [(names, Unit(names.split("|")[0], f)) for names, f in _ROWS[dimension].items()]
    if dimension is Dimension.TEMPERATURE:
        rows += _OFFSET_UNITS.items()
    return {_key(dimension, name): unit for names, unit in rows for name in names.split("|")}


def find_unit(dimension: Dimension, unit_name: str, fail: Refusal) -> Unit:
    """Look a unit up, or say what is wrong with it.

    Parameters
    ----------
    dimension : Dimension
        The kind of quantity wanted.
    unit_name : str
        The unit as typed, maybe empty.
    fail : callable
        Makes the error out of a rule and a remedy.

    Returns
    -------
    Unit
        The unit.

    Raises
    ------
    UnitError
        If no unit of that kind has that name.
    """
    unit = _names(dimension).get(_key(dimension, unit_name))
    if unit is not None:
        return unit
    kind, example = dimension.replace("_", " "), EXAMPLES[dimension]
    if not unit_name:
        raise fail(f"a {kind} needs a unit", f"type a unit, such as {example}")
    if dimension is Dimension.FORCE and _key(dimension, unit_name) in {"kg", "g"}:
        raise fail(
            f"{unit_name} is a unit of mass, and a force is wanted",
            f"type {unit_name}f for the weight of that mass, or N, or lbf",
        )
    others = [other for other in Dimension if _key(other, unit_name) in _names(other)]
    if others:
        rule = f"{unit_name} is a unit of {others[0].replace('_', ' ')}, and a {kind} is wanted"
    else:
        rule = f"'{unit_name}' is not a unit of {kind}"
    known = ", ".join(name or "none" for name in units_of(dimension))
    raise fail(rule, f"type a unit, such as {example} (known: {known})")


def units_of(dimension: Dimension) -> tuple[str, ...]:
    """Canonical names of the units a kind of quantity may be typed in.

    Parameters
    ----------
    dimension : Dimension
        The kind of quantity.

    Returns
    -------
    tuple of str
        Names, e.g. ``("in", "ft", "yd", "mm", "cm", "m")``; a bare number is ``""``.
    """
    return tuple(dict.fromkeys(unit.name for unit in _names(dimension).values()))


def to_unit(dimension: Dimension, si: float, unit: str) -> float:
    """Convert an SI value into a named unit.

    Parameters
    ----------
    dimension : Dimension
        The kind of quantity.
    si : float
        The value [SI].
    unit : str
        Any name of a unit of that kind.

    Returns
    -------
    float
        The number to stand before that unit [unit].

    Raises
    ------
    UnitError
        If the unit is not one of that kind.
    """
    found = find_unit(dimension, unit, partial(UnitError, dimension.value, unit))
    return si / float(found.factor) - float(found.offset)


def from_unit(dimension: Dimension, number: float, unit: str) -> float:
    """Convert a number in a named unit into SI; the inverse of :func:`to_unit`.

    Parameters
    ----------
    dimension : Dimension
        The kind of quantity.
    number : float
        The number that stands before the unit [unit].
    unit : str
        Any name of a unit of that kind.

    Returns
    -------
    float
        The value [SI].

    Raises
    ------
    UnitError
        If the unit is not one of that kind.
    """
    found = find_unit(dimension, unit, partial(UnitError, dimension.value, unit))
    return (number + float(found.offset)) * float(found.factor)


def degF(number: float) -> float:
    """Convert a Fahrenheit temperature.

    Parameters
    ----------
    number : float
        Temperature [degF].

    Returns
    -------
    float
        Temperature [K].
    """
    return from_unit(Dimension.TEMPERATURE, number, "degF")


def degC(number: float) -> float:
    """Convert a Celsius temperature.

    Parameters
    ----------
    number : float
        Temperature [degC].

    Returns
    -------
    float
        Temperature [K].
    """
    return from_unit(Dimension.TEMPERATURE, number, "degC")

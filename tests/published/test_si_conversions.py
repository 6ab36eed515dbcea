"""Units against NIST Special Publication 811 and the textile unit identities.

Source: A. Thompson, B. N. Taylor, *Guide for the Use of the International System of Units (SI)*,
NIST Special Publication 811 (2008), appendix B.8, factors for units listed alphabetically.

The printed digits are from memory: exact factors (bold in the guide) are compared as exact,
others to half of the last of the seven digits the guide prints.

Misprint recorded: one textile table gives 1 lbf = 4.44528 N and 1 g/den = 8.838 cN/tex;
both are wrong in the third or fourth digit.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from strandwright import units
from strandwright.units import Dimension, parse, to_unit

HALF = "half the last digit"
TEXTILE = "Textile identities"

# Unit, its dimension, and the factor to SI that appendix B.8 marks as exact.
EXACT = [
    (Dimension.LENGTH, "in", "2.54e-02"),
    (Dimension.LENGTH, "ft", "3.048e-01"),
    (Dimension.LENGTH, "yd", "9.144e-01"),
    (Dimension.FORCE, "kgf", "9.80665"),
    (Dimension.MASS, "gr", "6.479891e-05"),
    (Dimension.LINEAR_DENSITY, "tex", "1.0e-06"),
    (Dimension.DURATION, "h", "3600"),
    (Dimension.DURATION, "d", "86400"),
    (Dimension.SPEED, "ft/s", "3.048e-01"),
]
# Unit, its dimension, and the factor that appendix B.8 prints rounded to seven digits.
ROUNDED = [
    (Dimension.FORCE, "lbf", "4.448222"),
    (Dimension.FORCE, "ozf", "2.780139e-01"),
    (Dimension.MASS, "oz", "2.834952e-02"),
    (Dimension.MASS, "lb", "4.535924e-01"),
    (Dimension.PRESSURE, "psi", "6.894757e+03"),
    (Dimension.ENERGY, "ft lbf", "1.355818"),
    (Dimension.STIFFNESS, "lbf/in", "1.751268e+02"),
    (Dimension.LINEAR_DENSITY, "den", "1.111111e-07"),
    (Dimension.ANGLE, "deg", "1.745329e-02"),
]


@pytest.mark.parametrize(("dimension", "unit", "printed"), EXACT)
def test_exact_factors(record, dimension: Dimension, unit: str, printed: str) -> None:
    """A factor that is exact in the guide is exact here."""
    value = parse(dimension, f"1 {unit}", field="unit").value
    assert value == Fraction(printed)
    record("NIST SP 811, exact factors", f"1 {unit}", printed, float(value), 0.0,
           "exact in the guide", "SI")  # fmt: skip


@pytest.mark.parametrize(("dimension", "unit", "printed"), ROUNDED)
def test_rounded_factors(record, dimension: Dimension, unit: str, printed: str) -> None:
    """A rounded factor agrees to half of its last printed digit."""
    mantissa, _, exponent = printed.partition("e")
    half_digit = 0.5 * 10.0 ** (int(exponent or 0) - len(mantissa.partition(".")[2]))
    record("NIST SP 811, rounded factors", f"1 {unit}", printed,
           units.from_unit(dimension, 1.0, unit), half_digit, HALF, "SI")  # fmt: skip


@pytest.mark.parametrize(
    ("name", "constant", "definition", "unit"),
    [
        ("inch", units.INCH, "0.0254", "m"),
        ("pound", units.POUND, "0.45359237", "kg"),
        ("ounce", units.OUNCE, "0.028349523125", "kg"),
        ("grain", units.GRAIN, "64.79891e-6", "kg"),
        ("kilogram-force", units.KGF, "9.80665", "N"),
        ("pound-force", units.LBF, "4.4482216152605", "N"),
        ("tex", units.TEX, "1e-6", "kg/m"),
        ("decitex", units.DTEX, "1e-7", "kg/m"),
    ],
)
def test_constants_are_the_nearest_doubles(
    record, name: str, constant: float, definition: str, unit: str
) -> None:
    """The constants are the doubles nearest to their definitions: no rounding has crept in."""
    record("Definitions", name, definition, constant, 0.0, "the nearest double", unit)


def test_temperature_scales(record) -> None:
    """T/K = t/degC + 273.15 and T/K = (t/degF + 459.67)/1.8, exact in the guide."""
    zero = parse(Dimension.TEMPERATURE, "0 degC", field="t").value
    assert zero == Fraction("273.15")
    record("NIST SP 811, exact factors", "0 degC", "273.15", float(zero), 0.0,
           "exact in the guide", "K")  # fmt: skip
    assert parse(Dimension.TEMPERATURE, "0 degF", field="t").value == Fraction("459.67") / Fraction(
        "1.8"
    )
    assert units.degF(212.0) == pytest.approx(units.degC(100.0), abs=1e-12)


def test_derived_constants_agree_with_their_parts() -> None:
    """psi, ft lbf, lbf/in, gr/in and den follow from the definitions."""
    inch, pound_force = Fraction("0.0254"), Fraction("4.4482216152605")
    assert float(pound_force / inch**2) == units.PSI
    assert float(pound_force * inch * 12) == units.FOOT_POUND
    assert float(pound_force / inch) == units.LBF_PER_INCH
    assert float(Fraction("64.79891e-6") / inch) == units.GRAIN_PER_INCH
    assert float(Fraction(1, 9_000_000)) == units.DENIER


def test_textile_identities(record) -> None:
    """Printed: gr/in = 2.551138189 g/m, g/den = 0.08825985 N/tex, cN/dtex = 0.1 N/tex."""
    grain_per_inch = to_unit(Dimension.LINEAR_DENSITY, units.GRAIN_PER_INCH, "g/m")
    record(TEXTILE, "1 gr/in", "2.551138189", grain_per_inch, 5e-10, HALF, "g/m")
    gram_per_denier = to_unit(Dimension.TENACITY, units.GRAM_FORCE_PER_DENIER, "N/tex")
    record(TEXTILE, "1 g/den", "0.08825985", gram_per_denier, 5e-9, HALF, "N/tex")
    one = parse(Dimension.TENACITY, "1 cN/dtex", field="tenacity").value
    assert one == parse(Dimension.TENACITY, "0.1 N/tex", field="tenacity").value
    record(TEXTILE, "1 cN/dtex", "0.1", to_unit(Dimension.TENACITY, float(one), "N/tex"), 1e-16,
           "exact: floating point alone", "N/tex")  # fmt: skip
    density = parse(Dimension.DENSITY, "0.97 g/cm3", field="density").value
    strength = parse(Dimension.TENACITY, "3.4 N/tex", field="tenacity").value * density
    assert strength == parse(Dimension.PRESSURE, "3.298 GPa", field="strength").value
    record(TEXTILE, "3.4 N/tex at 0.97 g/cm3", "3.298", float(strength) / 1e9, 1e-15,
           "exact: floating point alone", "GPa")  # fmt: skip


def test_yarn_sizes_in_two_units(record) -> None:
    """An HMPE data sheet of 2010 offers 55 to 2640 dtex as 50 to 2400 den: 1 % apart."""
    for dtex, den in ((55, 50), (110, 100), (440, 400), (1760, 1600), (2640, 2400)):
        tex = parse(Dimension.LINEAR_DENSITY, f"{dtex} dtex", field="size").si
        record("HMPE data sheet, 2010: yarn sizes", f"{dtex} dtex", str(den),
               to_unit(Dimension.LINEAR_DENSITY, tex, "den"), 0.0101 * den,
               "the sheet counts a denier as 1.1 dtex: 1 %", "den")  # fmt: skip


def test_misprinted_textile_table_is_not_followed(record) -> None:
    """The table's 4.44528 N and 8.838 cN/tex lie far outside of rounding from the definitions."""
    assert abs(units.LBF - 4.44528) > 0.002
    record(TEXTILE, "1 lbf", "4.44822", units.LBF, 5e-6, HALF, "N")
    gram_per_denier = to_unit(Dimension.TENACITY, units.GRAM_FORCE_PER_DENIER, "cN/tex")
    assert abs(gram_per_denier - 8.838) > 0.01
    record(TEXTILE, "1 g/den", "8.826", gram_per_denier, 5e-4, HALF, "cN/tex")

"""Units against NIST Special Publication 811 and the textile unit identities.

@techreport{NIST811, author={Thompson, Ambler and Taylor, Barry N.}, title={Guide for the Use of
the International System of Units (SI)}, institution={NIST}, number={Special Publication 811},
year={2008}, note={Appendix B.8, factors for units listed alphabetically}}

The printed digits are from memory: exact factors (bold in the guide) are compared as exact,
others to half of the last of the seven digits the guide prints.

Misprint recorded: a stored textile table gives 1 lbf = 4.44528 N and 1 g/den = 8.838 cN/tex;
both are wrong in the third or fourth digit.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from strandwright import units
from strandwright.units import Dimension, parse, to_unit

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
def test_exact_factors(dimension: Dimension, unit: str, printed: str) -> None:
    """A factor that is exact in the guide is exact here."""
    assert parse(dimension, f"1 {unit}", field="unit").value == Fraction(printed)


@pytest.mark.parametrize(("dimension", "unit", "printed"), ROUNDED)
def test_rounded_factors(dimension: Dimension, unit: str, printed: str) -> None:
    """A rounded factor agrees to half of its last printed digit."""
    mantissa, _, exponent = printed.partition("e")
    half_digit = 0.5 * 10.0 ** (int(exponent or 0) - len(mantissa.partition(".")[2]))
    assert units.from_unit(dimension, 1.0, unit) == pytest.approx(float(printed), abs=half_digit)


@pytest.mark.parametrize(
    ("constant", "definition"),
    [
        (units.INCH, "0.0254"),
        (units.POUND, "0.45359237"),
        (units.OUNCE, "0.028349523125"),
        (units.GRAIN, "64.79891e-6"),
        (units.KGF, "9.80665"),
        (units.LBF, "4.4482216152605"),
        (units.TEX, "1e-6"),
        (units.DTEX, "1e-7"),
    ],
)
def test_constants_are_the_nearest_doubles(constant: float, definition: str) -> None:
    """The constants are the doubles nearest to their definitions: no rounding has crept in."""
    assert constant == float(definition)


def test_temperature_scales() -> None:
    """T/K = t/degC + 273.15 and T/K = (t/degF + 459.67)/1.8, exact in the guide."""
    assert parse(Dimension.TEMPERATURE, "0 degC", field="t").value == Fraction("273.15")
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


def test_textile_identities() -> None:
    """Printed: gr/in = 2.551138189 g/m, g/den = 0.08825985 N/tex, cN/dtex = 0.1 N/tex."""
    grain_per_inch = to_unit(Dimension.LINEAR_DENSITY, units.GRAIN_PER_INCH, "g/m")
    assert grain_per_inch == pytest.approx(2.551138189, abs=5e-10)
    gram_per_denier = to_unit(Dimension.TENACITY, units.GRAM_FORCE_PER_DENIER, "N/tex")
    assert gram_per_denier == pytest.approx(0.08825985, abs=5e-9)
    one = parse(Dimension.TENACITY, "1 cN/dtex", field="tenacity").value
    assert one == parse(Dimension.TENACITY, "0.1 N/tex", field="tenacity").value
    density = parse(Dimension.DENSITY, "0.97 g/cm3", field="density").value
    strength = parse(Dimension.TENACITY, "3.4 N/tex", field="tenacity").value * density
    assert strength == parse(Dimension.PRESSURE, "3.298 GPa", field="strength").value


def test_yarn_sizes_in_two_units() -> None:
    """An HMPE data sheet of 2010 offers 55 to 2640 dtex as 50 to 2400 den: 1 % apart."""
    for dtex, den in ((55, 50), (110, 100), (440, 400), (1760, 1600), (2640, 2400)):
        tex = parse(Dimension.LINEAR_DENSITY, f"{dtex} dtex", field="size").si
        assert to_unit(Dimension.LINEAR_DENSITY, tex, "den") == pytest.approx(den, rel=0.0101)


def test_misprinted_textile_table_is_not_followed() -> None:
    """The table's 4.44528 N and 8.838 cN/tex lie far outside of rounding from the definitions."""
    assert abs(units.LBF - 4.44528) > 0.002
    assert units.LBF == pytest.approx(4.44822, abs=5e-6)
    gram_per_denier = to_unit(Dimension.TENACITY, units.GRAM_FORCE_PER_DENIER, "cN/tex")
    assert abs(gram_per_denier - 8.838) > 0.01
    assert gram_per_denier == pytest.approx(8.826, abs=5e-4)

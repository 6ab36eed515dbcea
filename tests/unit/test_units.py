"""Units: what is read from people's typing, what is refused and how, what is written back."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction

import pytest

from strandwright import units
from strandwright.errors import UnitError
from strandwright.units import INCH, LBF, Dimension, parse

INCHES = Fraction("0.0254")
POUND_FORCE = Fraction("4.4482216152605")


def inches(text: str) -> Fraction:
    """Read a length and give it in inches, exact."""
    return parse(Dimension.LENGTH, text, field="line.length").value / INCHES


@pytest.mark.parametrize(
    "text",
    [
        "57 1/4 in",
        "57-1/4 in",
        "57-1/4in",
        "57.25in",
        "57.25 in.",
        "57 1/4 inches",
        '57 1/4"',
        "57 1/4''",
        "57¼ in",
        "57 ¼ IN",
        "57¼″",
        "57 1\u20444 in",
        "57\u00a01/4 in",
        "57\u20111/4 in",
        " 57  1 / 4  in ",
        "4 ft 9 1/4 in",
        "4' 9 1/4\"",
        "4'-9 1/4\"",
        "4′ 9¼″",
        "4 ft 9.25 in",
        "1454.15 mm",
        "145.415 cm",
        "1.45415 m",
    ],
)
def test_every_way_to_type_one_length(text: str) -> None:
    """Typography, hyphen, marks, feet and metric all read as the same exact length."""
    assert inches(text) == Fraction(229, 4)


@pytest.mark.parametrize(
    ("text", "expected"),
    [("1/16 in", Fraction(1, 16)), ("0.5 in", Fraction(1, 2)), (".5 in", Fraction(1, 2)),
     ("5. in", Fraction(5)), ("57¾″", Fraction(231, 4)), ("2 ft", Fraction(24)),
     ("4'", Fraction(48)), ("0 in", Fraction(0)), ("2 yd", Fraction(72))],
)  # fmt: skip
def test_short_lengths(text: str, expected: Fraction) -> None:
    """A fraction alone, a bare point and feet alone are numbers too."""
    assert inches(text) == expected


@pytest.mark.parametrize(
    ("dimension", "text", "expected"),
    [
        (Dimension.FORCE, "100 lb", 100 * POUND_FORCE),
        (Dimension.FORCE, "60#", 60 * POUND_FORCE),
        (Dimension.FORCE, "445 N", Fraction(445)),
        (Dimension.FORCE, "2 kgf", Fraction("19.6133")),
        (Dimension.MASS, "7000 grains", Fraction("0.45359237")),
        (Dimension.MASS, "16 oz", Fraction("0.45359237")),
        (Dimension.MASS, "6.5 g", Fraction("0.0065")),
        (Dimension.TEMPERATURE, "68 degF", Fraction("293.15")),
        (Dimension.TEMPERATURE, "20 °C", Fraction("293.15")),
        (Dimension.TEMPERATURE, "-40 C", Fraction("233.15")),
        (Dimension.TEMPERATURE, "-40 °F", Fraction("233.15")),
        (Dimension.TEMPERATURE, "293.15 K", Fraction("293.15")),
        (Dimension.DURATION, "1.5 h", Fraction(5400)),
        (Dimension.DURATION, "2 d", Fraction(172800)),
        (Dimension.LINEAR_DENSITY, "1800 den", Fraction(2, 10**4)),
        (Dimension.LINEAR_DENSITY, "1760 dtex", Fraction(176, 10**6)),
        (Dimension.LINEAR_DENSITY, "2 g/m", Fraction(2, 1000)),
        (Dimension.STIFFNESS, "3 N/mm", Fraction(3000)),
        (Dimension.STIFFNESS, "127 lbf per in", 5000 * POUND_FORCE),
        (Dimension.TURNS_PER_LENGTH, "0.5 per in", Fraction(2500, 127)),
        (Dimension.TURNS_PER_LENGTH, "1/2 /in", Fraction(2500, 127)),
        (Dimension.TURNS_PER_LENGTH, "0.5 turns per inch", Fraction(2500, 127)),
        (Dimension.TURNS_PER_LENGTH, "0.5 tpi", Fraction(2500, 127)),
        (Dimension.TURNS_PER_LENGTH, "20 per m", Fraction(20)),
        (Dimension.WRAPS_PER_LENGTH, "2 wraps/mm", Fraction(2000)),
        (Dimension.ENERGY, "1 ft-lb", POUND_FORCE * 12 * INCHES),
        (Dimension.SPEED, "300 fps", Fraction("91.44")),
        (Dimension.RATIO, "12 %", Fraction(12, 100)),
        (Dimension.RATIO, "0.12", Fraction(12, 100)),
        (Dimension.PRESSURE, "1e2 MPa", Fraction(10**8)),
        (Dimension.DENSITY, "0.97 g/cm3", Fraction(970)),
        (Dimension.TENACITY, "34 cN/dtex", Fraction(34 * 10**5)),
        (Dimension.FREQUENCY, "196 Hz", Fraction(196)),
    ],
)
def test_other_quantities_are_exact(dimension: Dimension, text: str, expected: Fraction) -> None:
    """Each kind of quantity is read as an exact SI fraction."""
    assert parse(dimension, text, field="field").value == expected


def test_angle_is_radians() -> None:
    """180 degrees is pi to the last bit of a double."""
    assert parse(Dimension.ANGLE, "-180 deg", field="angle").si == pytest.approx(
        -3.141592653589793, rel=1e-15
    )


@pytest.mark.parametrize(
    ("dimension", "text", "half_range"),
    [
        (Dimension.LENGTH, "57 1/4 +- 1/32 in", INCHES / 32),
        (Dimension.LENGTH, "57 1/4 in +- 1/32", INCHES / 32),
        (Dimension.LENGTH, "57 1/4 in +/- 1/32 in", INCHES / 32),
        (Dimension.LENGTH, "57¼ in ± 1 mm", Fraction(1, 1000)),
        (Dimension.LENGTH, "4' 9 1/4\" ± 1/16", INCHES / 16),
        (Dimension.FORCE, "100 lbf +- 4", 4 * POUND_FORCE),
        (Dimension.FORCE, "100 +- 4 lbf", 4 * POUND_FORCE),
        (Dimension.FORCE, "100 lbf +- 4 %", 4 * POUND_FORCE),
        (Dimension.FORCE, "100 lbf +- 20 N", Fraction(20)),
        (Dimension.TEMPERATURE, "68 degF +- 9", Fraction(5)),
        (Dimension.TEMPERATURE, "68 +- 5 degC", Fraction(5)),
        (Dimension.RATIO, "12 % +- 1 %", Fraction(1, 100)),
        (Dimension.RATIO, "0.12 +- 0.01", Fraction(1, 100)),
        (Dimension.LENGTH, "57 in", None),
    ],
)
def test_half_range(dimension: Dimension, text: str, half_range: Fraction | None) -> None:
    """A +- is read with its own unit, the shared unit, or as a part of the value."""
    assert parse(dimension, text, field="field").half_range == half_range


def test_entered_gives_floats_for_the_model() -> None:
    """The standard uncertainty is half of the 95 % half-range; without +- there is none."""
    entered = parse(Dimension.FORCE, "100 lb ± 4", field="load")
    assert entered.si == 444.82216152605
    assert entered.standard_uncertainty == pytest.approx(2 * LBF, rel=1e-15)
    assert (entered.unit, entered.text) == ("lbf", "100 lb ± 4")
    assert parse(Dimension.FORCE, "100 lb", field="load").standard_uncertainty is None


@pytest.mark.parametrize(
    ("dimension", "text", "told"),
    [
        (Dimension.LENGTH, "", "such as 57 1/4 in"),
        (Dimension.LENGTH, "57 1/4", "type a unit, such as 57 1/4 in"),
        (Dimension.LENGTH, "in", "one number and a unit"),
        (Dimension.LENGTH, "57,25 in", "57.25"),
        (Dimension.LENGTH, "57 1/0 in", "zero below the stroke"),
        (Dimension.LENGTH, "571/4 in", "leave a space after the whole number"),
        (Dimension.LENGTH, "57 5/4 in", "not less than one"),
        (Dimension.LENGTH, "57 lbf", "lbf is a unit of force"),
        (Dimension.LENGTH, "57 furlongs", "'furlongs' is not a unit of length"),
        (Dimension.LENGTH, "57 in or so", "'in or so' is not a unit of length"),
        (Dimension.LENGTH, "57 1/4 in-", "'in-' is not a unit of length"),
        (Dimension.LENGTH, "57 1/4 3 in", "one number and a unit"),
        (Dimension.LENGTH, "57 -1/4 in", "one number and a unit"),
        (Dimension.LENGTH, "57\u20131/4 in", "is not a unit of length"),
        (Dimension.LENGTH, "1.5/4 in", "one number and a unit"),
        (Dimension.LENGTH, "0x10 in", "is not a unit of length"),
        (Dimension.LENGTH, "\u0665 in", "one number and a unit"),
        (Dimension.LENGTH, "-57 in", "must not be negative"),
        (Dimension.LENGTH, "4' 9", "followed by inches"),
        (Dimension.LENGTH, "4 ft 9 cm", "followed by inches"),
        (Dimension.LENGTH, "4 ft 13 in", "under 12"),
        (Dimension.LENGTH, "57 in +- 0", "more than zero"),
        (Dimension.LENGTH, "57 in +- -1", "more than zero"),
        (Dimension.LENGTH, "57 in +-", "one number and a unit"),
        (Dimension.LENGTH, "57 in +- 1 +- 1", "more than one +-"),
        (Dimension.LENGTH, "57 in +- 1 lbf", "lbf is a unit of force"),
        (Dimension.LENGTH, "57 +- 1 %", "needs a unit"),
        (Dimension.LENGTH, "0 in +- 1 %", "means nothing here"),
        (Dimension.LENGTH, "9" * 101 + " in", "over 100 characters"),
        (Dimension.FORCE, "20 kg", "kgf"),
        (Dimension.FORCE, "-5 lbf", "must not be negative"),
        (Dimension.MASS, "-5 gr", "must not be negative"),
        (Dimension.DURATION, "-5 s", "must not be negative"),
        (Dimension.LINEAR_DENSITY, "-5 tex", "must not be negative"),
        (Dimension.TEMPERATURE, "-500 degF", "absolute zero"),
        (Dimension.TEMPERATURE, "68 degF +- 1 %", "means nothing here"),
        (Dimension.RATIO, "12 +- 1 %", "both in per cent"),
        (Dimension.PRESSURE, "5 mPa", "'mPa' is not a unit of pressure"),
    ],
)
def test_refusals_say_what_to_type(dimension: Dimension, text: str, told: str) -> None:
    """What cannot be read with certainty is refused, with field, text, rule and remedy."""
    with pytest.raises(UnitError) as caught:
        parse(dimension, text, field="line.length")
    error = caught.value
    assert (error.field, error.given) == ("line.length", text)
    assert error.rule and error.remedy
    assert told in f"{error.rule}; {error.remedy}"


def test_signed_length_where_asked() -> None:
    """A shift may be negative where its field says so."""
    shift = parse(Dimension.LENGTH, "-1 1/8 in", field="shift", signed=True)
    assert shift.value == -INCHES * 9 / 8
    feet = parse(Dimension.LENGTH, "-1 ft 6 in", field="shift", signed=True)
    assert feet.value == -18 * INCHES


@pytest.mark.parametrize("dimension", list(Dimension))
def test_every_unit_converts_there_and_back(dimension: Dimension) -> None:
    """to_unit undoes from_unit, and both agree with parse, for each unit that is offered."""
    for unit in units.units_of(dimension):
        si = units.from_unit(dimension, 12.5, unit)
        assert units.to_unit(dimension, si, unit) == pytest.approx(12.5, rel=1e-12)
        assert parse(dimension, f"12.5 {unit}", field="f").si == pytest.approx(si, rel=1e-14)
        assert parse(dimension, f"12.5 {unit}", field="f").unit == unit


def test_unknown_unit_to_convert_to() -> None:
    """A conversion into a unit of another kind is refused."""
    with pytest.raises(UnitError, match="lbf is a unit of force"):
        units.to_unit(Dimension.LENGTH, 1.0, "lbf")


@pytest.mark.parametrize(
    ("length_in", "fraction", "expected"),
    [
        (57.25, 16, "57 1/4 in"),
        (57 + 1 / 32, 16, "57 in"),
        (57 + 3 / 32, 16, "57 1/8 in"),
        (56.99, 16, "57 in"),
        (0.0, 16, "0 in"),
        (1 / 16, 16, "1/16 in"),
        (-1.125, 16, "-1 1/8 in"),
        (-0.01, 16, "0 in"),
        (57 + 1 / 64, 64, "57 1/64 in"),
    ],
)
def test_format_length_in_inches(length_in: float, fraction: int, expected: str) -> None:
    """Inches come as reduced fractions, ties to even even though a metre is a float."""
    assert units.format_length(length_in * INCH, system="in", fraction=fraction) == expected


def test_format_length_in_millimetres() -> None:
    """Millimetres come with one decimal, ties to even, and no minus before zero."""
    assert units.format_length(1.45415, system="mm") == "1454.2 mm"
    assert units.format_length(1.45425, system="mm", unit=False) == "1454.2"
    assert units.format_length(-0.00001, system="mm") == "0.0 mm"


def test_format_length_decimal() -> None:
    """Diameters come with decimals."""
    assert units.format_length_decimal(0.122 * INCH, "in", 3) == "0.122 in"
    assert units.format_length_decimal(0.0031, "mm", 2, unit=False) == "3.10"


@pytest.mark.parametrize(
    ("size_in", "expected"),
    [(1 / 64, "1/64"), (0.02, "1/32"), (1 / 32, "1/32"), (0.04, "3/64"), (0.05, "1/16"),
     (0.0626, "3/32"), (0.1, "1/8"), (0.13, "3/16"), (0.51, "5/8"), (2.1, "2 1/4"), (8.1, "9"),
     (0.0049, "0.005"), (0.00101, "0.0011"), (0.0155, "1/64"), (0.0, "0")],
)  # fmt: skip
def test_format_plus_minus_rounds_up(size_in: float, expected: str) -> None:
    """A half-range is rounded up to a size a tape can show, decimals below 1/64 in."""
    assert units.format_plus_minus(size_in * INCH, "in") == expected


def test_format_plus_minus_in_millimetres() -> None:
    """In millimetres one digit, or two where the first is 1 or 2, rounded up."""
    written = [units.format_plus_minus(mm / 1000, "mm") for mm in (0.37, 1.21, 12, 31, 0.4)]
    assert written == ["0.4", "1.3", "12", "40", "0.4"]


def test_format_plus_minus_keeps_to_the_users_fraction() -> None:
    """With a tape in sixteenths no thirty-second is written."""
    assert units.format_plus_minus(0.07 * INCH, "in", 16) == "1/8"
    assert units.format_plus_minus(0.03 * INCH, "in", 16) == "0.03"


def test_format_estimate() -> None:
    """The rounding of the length goes into its half-range, so the range is never too small."""
    assert units.format_estimate(57.25 * INCH, INCH / 32, "in") == "57 1/4 +- 1/32 in"
    assert units.format_estimate(57.27 * INCH, INCH / 32, "in") == "57 1/4 +- 1/16 in"
    assert units.format_estimate(1.4542, 0.00037, "mm", pretty=True) == "1454.2 ± 0.4 mm"
    assert units.format_estimate(57.25 * INCH, 0.0, "in") == "57 1/4 in"


def test_format_quantity() -> None:
    """Other quantities come in the canonical unit, pretty degrees if asked."""
    assert units.format_quantity(Dimension.FORCE, 100 * LBF, "lb", 1) == "100.0 lbf"
    assert units.format_quantity(Dimension.TEMPERATURE, 293.15, "°F", 0) == "68 degF"
    assert units.format_quantity(Dimension.TEMPERATURE, 293.15, "F", 0, pretty=True) == "68 °F"
    assert units.format_quantity(Dimension.ANGLE, units.DEGREE * 8, "deg", 0, True) == "8°"
    assert units.format_quantity(Dimension.TURNS_PER_LENGTH, 0.5 / INCH, "tpi", 2) == "0.50 per in"
    assert units.format_quantity(Dimension.RATIO, 0.12, "", 2) == "0.12"
    assert units.format_quantity(Dimension.RATIO, -1e-9, "%", 1) == "0.0 %"


def test_formats_refuse_what_cannot_be_shown() -> None:
    """A value that is not finite, an unknown system or fraction never reaches a sheet."""
    with pytest.raises(UnitError, match="finite"):
        units.format_length(float("nan"), system="in")
    with pytest.raises(UnitError, match="finite"):
        units.format_estimate(1.0, float("inf"), "in")
    with pytest.raises(UnitError, match="in or mm"):
        units.format_length(1.0, system="ft")  # pyright: ignore[reportArgumentType]
    with pytest.raises(UnitError, match="1 or more"):
        units.format_length(1.0, system="in", fraction=0)
    with pytest.raises(UnitError, match="negative"):
        units.format_plus_minus(-0.001, "in")


def test_import_is_light() -> None:
    """Reading units needs the standard library only."""
    code = "import strandwright.units, sys; print({'numpy', 'scipy', 'pydantic'} & {*sys.modules})"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()"


def test_public_names_are_sorted() -> None:
    """Every public name exists; constants come first, then classes, then functions, each sorted."""
    assert all(hasattr(units, name) for name in units.__all__)
    assert units.__all__ == sorted(
        units.__all__, key=lambda name: (not name.isupper(), not name[0].isupper(), name)
    )


@pytest.mark.parametrize(
    ("text", "step"),
    [
        ("57 3/16 in", Fraction(1, 16) * INCHES),
        ("57 in", INCHES),
        ("57.25 in", Fraction(1, 100) * INCHES),
        ("57¼ in +- 1/32", Fraction(1, 4) * INCHES),
        ("4 ft 9 1/8 in", Fraction(1, 8) * INCHES),
        ("1454.5 mm", Fraction(1, 10000)),
        ("1.4545e3 mm", Fraction(1, 10000)),
    ],
)
def test_the_step_it_was_typed_in(text: str, step: Fraction) -> None:
    """The last decimal place or the fraction's own step, exact; a +- has nothing to do with it."""
    assert step == parse(Dimension.LENGTH, text, field="length").step

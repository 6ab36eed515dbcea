"""What is written is read back the same: lengths, estimates, quantities and shorthands."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandwright.errors import InputError
from strandwright.units import (
    INCH,
    Dimension,
    format_estimate,
    format_length,
    format_plus_minus,
    format_quantity,
    parse,
    to_unit,
    units_of,
)
from strandwright.workshop.shorthand import (
    Run,
    Shorthand,
    format_shorthand,
    mirrored,
    parse_shorthand,
)

INCHES = Fraction("0.0254")
DENOMINATORS = (2, 4, 8, 16, 32, 64)
LENGTHS = st.floats(0.0, 5.0)


def read(text: str) -> Fraction:
    """Read a length of either sign, exact [m]."""
    return parse(Dimension.LENGTH, text, field="length", signed=True).value


@pytest.mark.parametrize("denominator", DENOMINATORS)
@given(steps=st.integers(-20_000, 20_000))
def test_inch_fractions_round_trip(denominator: int, steps: int) -> None:
    """Every multiple of 1/denominator in comes back exact, from a fraction and from a float."""
    exact = steps * INCHES / denominator
    for metres in (exact, float(exact)):
        assert read(format_length(metres, system="in", fraction=denominator)) == exact


@given(tenths=st.integers(-100_000, 100_000))
def test_millimetres_round_trip(tenths: int) -> None:
    """Every multiple of 0.1 mm comes back exact."""
    exact = Fraction(tenths, 10_000)
    assert read(format_length(float(exact), system="mm")) == exact


@pytest.mark.parametrize("denominator", DENOMINATORS)
@given(metres=LENGTHS)
def test_a_written_length_is_within_half_a_step(denominator: int, metres: float) -> None:
    """Rounding never moves a length by more than half of the finest fraction."""
    shown = read(format_length(metres, system="in", fraction=denominator))
    assert abs(float(shown) - metres) <= 0.5 * INCH / denominator * (1 + 1e-6)


@given(whole=st.integers(0, 200), top=st.integers(1, 63), glyph=st.sampled_from("/\u2044\u2215"))
def test_ways_of_writing_a_mixed_number_agree(whole: int, top: int, glyph: str) -> None:
    """Space, hyphen and fraction slash read the same; without the space it is refused."""
    exact = (whole + Fraction(top, 64)) * INCHES
    assert read(f"{whole} {top}{glyph}64 in") == read(f"{whole}-{top}{glyph}64in") == exact
    if whole:
        with pytest.raises(InputError):
            read(f"{whole}{top + 64}{glyph}64 in")


@given(metres=LENGTHS, u95=st.floats(1e-7, 1.0), system=st.sampled_from(["in", "mm"]))
def test_a_written_estimate_holds_the_computed_one(metres: float, u95: float, system: str) -> None:
    """The range read back contains [length - u95, length + u95], to the last bits of a float."""
    assert system in ("in", "mm")
    entered = parse(Dimension.LENGTH, format_estimate(metres, u95, system), field="length")
    assert entered.half_range is not None
    low, high = entered.value - entered.half_range, entered.value + entered.half_range
    slack = 1e-8 * max(u95, INCH / 16)
    assert float(low) <= metres - u95 + slack
    assert float(high) >= metres + u95 - slack


@given(size=st.floats(1e-7, 1.0), system=st.sampled_from(["in", "mm"]))
def test_a_half_range_less_than_doubles(size: float, system: str) -> None:
    """Rounding up keeps a half-range between itself and its double, and is settled at once."""
    assert system in ("in", "mm")
    text = format_plus_minus(size, system)
    shown = float(read(f"{text} {system}"))
    assert size * (1 - 1e-7) <= shown < 2 * size
    assert format_plus_minus(shown, system) == text


@given(dimension=st.sampled_from(list(Dimension)), number=st.integers(0, 10**6), data=st.data())
def test_quantities_round_trip(dimension: Dimension, number: int, data: st.DataObject) -> None:
    """A quantity typed with three decimals is written the same in its own unit and read back."""
    unit = data.draw(st.sampled_from(units_of(dimension)))
    typed = f"{number / 1000:.3f} {unit}".strip()
    entered = parse(dimension, typed, field="quantity")
    written = format_quantity(dimension, entered.si, unit, 3)
    assert written == typed
    assert to_unit(dimension, entered.si, unit) == pytest.approx(number / 1000, abs=1e-9)


@given(text=st.text("0123456789/.,-+ inmft'\"¼½\u2013%±:to", max_size=24))
def test_any_text_is_read_or_refused(text: str) -> None:
    """Whatever is typed gives a value or an input error with a remedy, never another error."""
    for reader in (read, parse_shorthand):
        try:
            reader(text)
        except InputError as error:
            assert error.rule and error.remedy


@st.composite
def shorthands(draw: st.DrawFn, step: Fraction) -> Shorthand:
    """Draw a line of up to six servings, touching or apart, written from either end."""
    length = draw(st.integers(1, 6000))
    ends = draw(st.lists(st.integers(0, length), max_size=12, unique=True))
    ends = sorted(ends)[: len(ends) // 2 * 2]
    pairs = list(zip(ends[::2], ends[1::2], strict=True))
    if draw(st.booleans()):
        pairs = list(pairwise(ends))
    runs = tuple(Run(a * step, b * step, draw(st.booleans())) for a, b in pairs)
    return Shorthand(length * step, runs, "mm" if step == Fraction(1, 10_000) else "in")


@pytest.mark.parametrize("denominator", DENOMINATORS)
@given(data=st.data())
def test_shorthand_round_trips(denominator: int, data: st.DataObject) -> None:
    """What is written on a grid of 1/denominator in is read back the same, dash or hyphen."""
    shorthand = data.draw(shorthands(INCHES / denominator))
    written = format_shorthand(shorthand, denominator)
    assert parse_shorthand(written) == shorthand
    assert parse_shorthand(written.replace("\u2013", "-")) == shorthand
    assert parse_shorthand(written.replace("\u2013", " to ")) == shorthand


@given(shorthand=shorthands(Fraction(1, 10_000)))
def test_millimetre_shorthand_round_trips(shorthand: Shorthand) -> None:
    """The same in tenths of a millimetre."""
    assert parse_shorthand(format_shorthand(shorthand)) == shorthand


@given(shorthand=shorthands(INCHES / 16))
def test_mirrored_twice_is_the_same(shorthand: Shorthand) -> None:
    """Turning end for end twice changes nothing; once mirrors each span and its numbers."""
    turned = mirrored(shorthand)
    assert mirrored(turned) == shorthand
    spans = {(run.start, run.stop) for run in shorthand.runs}
    length = shorthand.length
    assert {(length - run.stop, length - run.start) for run in turned.runs} == spans
    texts = format_shorthand(shorthand).partition(": ")[2].split(", ")
    backward = ["\u2013".join(reversed(text.split("\u2013"))) for text in texts]
    assert format_shorthand(turned).partition(": ")[2].split(", ") == backward[::-1]

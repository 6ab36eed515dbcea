"""Shorthand: read, refused with both readings, mirrored and written as the trade does."""

from __future__ import annotations

from fractions import Fraction

import pytest

from strandwright.errors import SpecError, UnitError
from strandwright.workshop.shorthand import (
    Run,
    Shorthand,
    format_shorthand,
    mirrored,
    parse_shorthand,
)

INCHES = Fraction("0.0254")
TEXT = "55 7/16: 0-18, 21-22 5/8, 26 3/4-29 1/2, 18-0"


def spans_in(shorthand: Shorthand) -> list[tuple[Fraction, Fraction]]:
    """Give starts and stops in inches."""
    return [(run.start / INCHES, run.stop / INCHES) for run in shorthand.runs]


def test_last_serving_is_measured_from_the_far_end() -> None:
    """Check value: 18-0 on a line of 55 7/16 in runs from 37 7/16 to 55 7/16."""
    shorthand = parse_shorthand(TEXT)
    assert shorthand.length == INCHES * Fraction(887, 16)
    assert spans_in(shorthand)[-1] == (Fraction(599, 16), Fraction(887, 16))
    assert [run.from_far for run in shorthand.runs] == [False, False, False, True]


def test_written_with_an_en_dash() -> None:
    """The written form is one and the same whichever dash was typed."""
    written = "55 7/16: 0–18, 21–22 5/8, 26 3/4–29 1/2, 18–0"
    assert format_shorthand(parse_shorthand(TEXT)) == written
    assert parse_shorthand(written) == parse_shorthand(TEXT)


@pytest.mark.parametrize(
    "text",
    [
        "55 7/16 in: 0 to 18, 18 to 0",
        '55 7/16": 0-18, 18-0',
        "55 7\u204416: 0-18, 18-0",
        "55.4375; 0 - 18 , 18 \u2013 0 in",
        "55 7/16: 18-0, 0-18",
        "4' 7 7/16\": 0-18, 18-0",
    ],
)
def test_ways_to_type_it(text: str) -> None:
    """Dash, to, unit, semicolon and order of servings are free."""
    assert parse_shorthand(text) == parse_shorthand("55 7/16: 0-18, 18-0")


def test_millimetres() -> None:
    """Millimetres are read and written with their unit."""
    shorthand = parse_shorthand("1408 mm: 0-457, 500.5 to 600, 457-0")
    assert shorthand.unit == "mm"
    assert shorthand.runs[-1] == Run(Fraction(951, 1000), Fraction(1408, 1000), True)
    assert format_shorthand(shorthand) == "1408 mm: 0–457, 500.5–600, 457–0"


def test_length_alone_is_a_line_without_servings() -> None:
    """A colon is needed only before servings."""
    assert parse_shorthand("55 7/16").runs == ()
    assert format_shorthand(parse_shorthand("55 7/16")) == "55 7/16"


def test_far_run_may_stop_short_of_the_end() -> None:
    """A hyphen before a fraction is a range where that alone makes a pair."""
    assert spans_in(parse_shorthand("55: 18-1/2")) == [(Fraction(37), Fraction(109, 2))]


@pytest.mark.parametrize(
    ("part", "readings"),
    [
        ("26-3/4-29-1/2", ("26 3/4–29 1/2", "26–3/4, 29–1/2")),
        ("0-18-1/2", ("0–18 1/2", "0–18, 1/2–?")),
        ("26-3/4 to 29", ("26 3/4–29", "26–3/4, 29–?")),
    ],
)
def test_hyphenated_fraction_shows_both_readings(part: str, readings: tuple[str, str]) -> None:
    """A hyphen that could join a fraction is refused, never guessed at."""
    with pytest.raises(SpecError) as caught:
        parse_shorthand(f"55 7/16: {part}")
    assert caught.value.given == part
    assert all(f"'{reading}'" in caught.value.rule for reading in readings)
    assert readings[0] in caught.value.remedy


@pytest.mark.parametrize(
    ("text", "given", "told"),
    [
        ("55-7/16: 0-18", "55-7/16", "only ever a range"),
        ("", "", "must come first"),
        ("0-18, 18-0", "0-18, 18-0", "must come first"),
        ("55:", "55:", "no start and stop"),
        ("55: 0-18,", "55: 0-18,", "no start and stop"),
        ("55: 0-18, 20", "20", "no start and stop"),
        ("55: 0-", "0-", "no start and stop"),
        ("55: 0-5-9", "0-5-9", "3 numbers"),
        ("55: 0-18 3/4-2/3", "0-18 3/4-2/3", "3 numbers"),
        ("55: 0-60", "0–60", "not on the line, which is 55 in long"),
        ("55: 60-0", "60–0", "not on the line"),
        ("55: 0-18, 17 1/2-20", "17 1/2–20", "overlaps the serving 0–18"),
        ("55: 0-40, 18-0", "18–0", "overlaps the serving 0–40"),
        ("55: 3-3", "3–3", "no length"),
        ("0: 0-1", "0", "above 0"),
        ("55 in: 0-18 mm", "55 in: 0-18 mm", "all in inches or all in millimetres"),
        ("55 cm: 0-18", "55 cm: 0-18", "all in inches or all in millimetres"),
        ("55 +- 1/16: 0-18", "55 +- 1/16: 0-18", "no +-"),
    ],
)
def test_refusals_name_the_part(text: str, given: str, told: str) -> None:
    """What contradicts itself is refused, naming the field, the part, the rule and a remedy."""
    with pytest.raises(SpecError) as caught:
        parse_shorthand(text, field="line.servings")
    assert (caught.value.field, caught.value.given) == ("line.servings", given)
    assert told in caught.value.rule
    assert caught.value.remedy


@pytest.mark.parametrize("text", ["55: 0-1/0", "55: 0-x", "1,408 mm: 0-3", "55 lbf: 0-3"])
def test_unreadable_numbers(text: str) -> None:
    """A number or unit that cannot be read is the unit grammar's refusal."""
    with pytest.raises(UnitError):
        parse_shorthand(text)


def test_mirror_is_written_back_to_front() -> None:
    """Turned end for end, each range is the same two numbers the other way round."""
    assert format_shorthand(mirrored(parse_shorthand(TEXT))) == (
        "55 7/16: 0–18, 29 1/2–26 3/4, 22 5/8–21, 18–0"
    )


def test_rounding_keeps_touching_servings_touching() -> None:
    """Ends are rounded once, from the zero end, whichever end they are written from."""
    length, meet = INCHES * Fraction("55.03"), INCHES * Fraction("20.03")
    runs = (Run(Fraction(0), meet), Run(meet, length, True))
    back = parse_shorthand(format_shorthand(Shorthand(length, runs)))
    assert back.runs[0].stop == back.runs[1].start


def test_too_short_to_write() -> None:
    """A serving that rounds to nothing is refused rather than lost."""
    thin = Shorthand(INCHES, (Run(Fraction(0), INCHES / 64),))
    assert format_shorthand(thin, 64) == "1: 0–1/64"
    with pytest.raises(SpecError, match="too short"):
        format_shorthand(thin, 16)


def test_servings_must_be_in_order() -> None:
    """A shorthand made in code is held to the same rules."""
    runs = (Run(INCHES, 2 * INCHES), Run(Fraction(0), INCHES))
    with pytest.raises(SpecError, match="overlaps"):
        Shorthand(3 * INCHES, runs)

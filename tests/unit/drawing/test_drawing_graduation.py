"""Tapes and lettering: what is written, how far apart, how wide."""

from __future__ import annotations

import pytest
from drawn_line import INCH

from strandwright.drawing.graduation import graduation_for, position_text
from strandwright.drawing.lettering import fit_text, text_width, wrap_text


@pytest.mark.parametrize(
    ("inches", "fraction", "text"),
    [
        (57.25, 16, "57 1\u20444"),
        (0.1875, 16, "3\u204416"),
        (17.0, 32, "17"),
        (16.99, 16, "17"),
        (0.0, 16, "0"),
        (-1.5, 16, "\u22121 1\u20442"),
    ],
)
def test_inches_are_written_as_shop_fractions(inches: float, fraction: int, text: str) -> None:
    """Rounded to the fraction, in lowest terms, whole numbers bare."""
    assert position_text(inches * INCH, "in", fraction) == text


@pytest.mark.parametrize(
    ("metres", "fraction", "text"), [(1.4542, 1, "1454"), (1.4543, 2, "1454.5"), (0.1, 10, "100.0")]
)
def test_millimetres_are_written_with_a_point(metres: float, fraction: int, text: str) -> None:
    """As many decimals as the fraction needs, always as many."""
    assert position_text(metres, "mm", fraction) == text


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("pixels", [90.0, 230.0, 600.0, 1000.0, 5000.0, 40000.0])
def test_ticks_can_be_told_apart(units: str, pixels: float) -> None:
    """Ticks are 4.5 px apart or more, numbers clear of each other, steps nest."""
    steps = graduation_for(units, pixels, 30.0)
    assert steps.fine * pixels >= 4.5 - 1e-9
    assert steps.numbered * pixels >= 44.0 - 1e-9
    for small, large in ((steps.fine, steps.middle), (steps.middle, steps.numbered)):
        assert large / small == pytest.approx(round(large / small))


def test_text_is_cut_to_its_room() -> None:
    """The cut text fits, and says that something is missing."""
    text = "the long way round the top wheel"
    assert fit_text(text, 14.0, 1000.0) == text
    short = fit_text(text, 14.0, 100.0)
    assert short.endswith("…")
    assert text_width(short, 14.0) <= 100.0


def test_text_is_wrapped_at_spaces() -> None:
    """No word is lost and no line is too wide."""
    text = "finished over the pins at the measuring load after a rest"
    lines = wrap_text(text, 14.0, 120.0)
    assert " ".join(lines) == text
    assert max(text_width(line, 14.0) for line in lines) <= 120.0
    assert wrap_text("", 14.0, 120.0) == []


def test_set_fraction_is_narrower_than_its_digits() -> None:
    """A fraction set as one takes less room than the same digits in full size."""
    assert text_width("1\u20444", 14.0) < text_width("1/4", 14.0)
    assert text_width("H", 14.0, strong=True) > text_width("i", 14.0, strong=True)

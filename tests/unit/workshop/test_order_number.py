"""An order's number: said, misread, and read back."""

from __future__ import annotations

import pytest

from strandwright.errors import SpecError
from strandwright.workshop.order_number import read_order_number
from strandwright.workshop.order_state import order_number


@pytest.mark.parametrize(
    ("id", "number"),
    [
        ("0" * 32, "000000"),
        ("f" * 32, "ZZZZZZ"),
        # 0x80000000 over 2^2 is 2^29: its leading five bits are 10000, the sign of 16.
        ("8" + "0" * 31, "G00000"),
        # 0x12345678 >> 2 = 0b00010_01000_11010_00101_01100_11110: the signs 2, 8, 26, 5, 12, 30.
        ("12345678" + "0" * 24, "28T5CY"),
    ],
)
def test_the_leading_thirty_bits_are_the_number(id, number):
    """Worked by hand, five bits a sign."""
    assert number == order_number(id)
    assert number == read_order_number(number)


def test_only_the_leading_bits_count():
    """What follows them is of no matter."""
    assert order_number("12345678" + "0" * 24) == order_number("1234567b" + "f" * 24)
    assert order_number("12345678" + "0" * 24) != order_number("1234567c" + "0" * 24)


@pytest.mark.parametrize("typed", ["1O2L3I", "102 131", "102-131", " 1o2l3i", "lO2-13i"])
def test_what_is_misread_is_read_right(typed):
    """O for 0, I and L for 1, small letters, a blank or a hyphen between."""
    assert "102131" == read_order_number(typed)


@pytest.mark.parametrize(
    "typed", ["", "12345", "1234567", "12345U", "12345ö", "\U0001d7cf2345A", "12_45A"]
)
def test_what_is_no_number_is_refused(typed):
    """With what to do."""
    with pytest.raises(SpecError, match="off the label"):
        read_order_number(typed)

"""Order number: the few letters and figures of an order's identity that people can say."""

from __future__ import annotations

from strandwright.errors import SpecError
from strandwright.workshop.said import short

#: Crockford's base 32: no I, L, O or U, which are misread.
_SIGNS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
_MISREAD = str.maketrans("OIL", "011")
#: Signs of a number; five bits each [-]
LENGTH = 6


def order_number(id: str) -> str:
    """Give the number of an order that people say.

    Parameters
    ----------
    id : str
        Identity of the order, 32 hexadecimal digits.

    Returns
    -------
    str
        Its leading 30 bits in six signs of Crockford's base 32.
    """
    leading = int(id[:8], 16) >> (32 - 5 * LENGTH)
    return "".join(_SIGNS[leading >> 5 * place & 31] for place in reversed(range(LENGTH)))


def read_order_number(text: str) -> str:
    """Read an order's number as somebody typed or said it.

    Parameters
    ----------
    text : str
        Six signs; O is read as 0, I and L as 1, and blanks and hyphens are left out.

    Returns
    -------
    str
        As :func:`order_number` gives it.

    Raises
    ------
    SpecError
        If it is no such number.
    """
    plain = text.upper().replace("-", "").replace(" ", "").translate(_MISREAD)
    if len(plain) != LENGTH or any(sign not in _SIGNS for sign in plain):
        rule = f"must be {LENGTH} letters and figures, none of them a U"
        raise SpecError("order", short(text), rule, "read it off the label once more")
    return plain

"""Typography: what a phone, a web page or a word processor makes of a plain quantity."""

from __future__ import annotations

import re

_VULGAR = {
    "¼": "1/4", "½": "1/2", "¾": "3/4", "⅐": "1/7", "⅑": "1/9", "⅒": "1/10", "⅓": "1/3",
    "⅔": "2/3", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6",
    "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_PLAIN = str.maketrans(
    {glyph: f" {digits}" for glyph, digits in _VULGAR.items()}
    | dict.fromkeys("\u2044\u2215", "/")
    | dict.fromkeys("\u2010\u2011\u2212", "-")
    | dict.fromkeys("\u2033\u201c\u201d", '"')
    | dict.fromkeys("\u2032\u2018\u2019", "'")
    | dict.fromkeys("\u00a0\u2009\u202f\t", " ")
    | dict.fromkeys("\u00ba\u02da", "°")
    | {"±": "+-"}
)


def plain_text(text: str) -> str:
    """Write typographic fractions, dashes of a number, primes and spaces in plain ASCII.

    An en dash or em dash stays as it is: it means a range, never part of a number.

    Parameters
    ----------
    text : str
        As typed or pasted.

    Returns
    -------
    str
        ``57¾″`` as ``57 3/4"``, ``±`` as ``+-``; blanks collapsed, ends stripped.
    """
    plain = text.translate(_PLAIN).replace("''", '"').replace("+/-", "+-")
    return re.sub(" +", " ", plain).strip()

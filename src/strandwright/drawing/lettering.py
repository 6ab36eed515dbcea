"""Lettering: how wide a text will be, and how it is wrapped or cut to a width."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

# Advance widths of printable ASCII in thousandths of the letter size, as a browser measures
# them for the shipped family; digits are tabular.  A tenth or so of slack is added by _SLACK.
_REGULAR_ADVANCES: Final = (
    "281 278 403 631 638 812 639 222 362 362 500 659 280 460 276 357"
    " 638 638 638 638 638 638 638 638 638 638 276 280 659 659 659 507"
    " 936 676 651 727 719 598 587 743 740 264 543 652 562 889 753 761 635 761 639 638 642 741"
    " 676 949 642 665 625 362 357 362 469 452 497 564 621 558 621 582 361 609 591 237 237 544"
    " 237 869 585 597 609 609 372 523 364 581 557 812 540 557 541 362 327 362 659"
)
_STRONG_ADVANCES: Final = (
    "248 309 396 643 649 844 663 213 393 393 543 673 295 466 290 379"
    " 652 652 652 652 652 652 652 652 652 652 290 295 673 673 673 544"
    " 999 724 657 744 724 608 586 755 744 275 561 677 566 906 741 775 643 776 651 649 660 734"
    " 724 1007 690 705 653 393 379 393 481 468 497 575 630 577 630 593 377 625 613 261 261 569"
    " 261 898 610 608 625 625 397 549 380 608 576 837 562 576 562 393 358 393 673"
)
_OTHERS: Final = {"±": 0.68, "·": 0.29, "–": 0.5, "×": 0.68, "…": 0.83, "\u2044": 0.28}
_SLACK: Final = 1.03
_FRACTION_DIGIT: Final = 0.4
_FRACTION: Final = re.compile("([0-9]+)\u2044([0-9]+)")

FRACTION_SLASH: Final = "\u2044"
"""Joins two whole numbers into one fraction; the letters' own font sets it as such."""


def _advances(table: str) -> dict[str, float]:
    """Read a table of advances for the characters from the space on."""
    widths = {chr(32 + i): int(width) / 1000.0 for i, width in enumerate(table.split())}
    return widths | _OTHERS


_REGULAR: Final = _advances(_REGULAR_ADVANCES)
_STRONG: Final = _advances(_STRONG_ADVANCES)


@lru_cache(maxsize=4096)
def text_width(text: str, size: float, *, strong: bool = False) -> float:
    """Estimate the width of a text, a little on the wide side.

    Parameters
    ----------
    text : str
        The text.
    size : float
        Letter size, > 0 [px].
    strong : bool
        True for the heavier weight.

    Returns
    -------
    float
        Width [px].

    Notes
    -----
    Kerning is neglected; letters outside the table count as one letter size, which is wide
    for Latin, Greek and Cyrillic and right for Chinese, Japanese and Korean.
    """
    table = _STRONG if strong else _REGULAR
    width = sum([table.get(character, 1.0) for character in text])
    if FRACTION_SLASH in text:
        for match in _FRACTION.finditer(text):
            digits = len(match[1]) + len(match[2])
            width -= digits * (table["0"] - _FRACTION_DIGIT)
    return width * size * _SLACK


def fit_text(text: str, size: float, room: float, *, strong: bool = False) -> str:
    """Cut a text to a width, with an ellipsis where something was left out.

    Parameters
    ----------
    text : str
        The text.
    size : float
        Letter size, > 0 [px].
    room : float
        Widest it may be [px].
    strong : bool
        True for the heavier weight.

    Returns
    -------
    str
        The text, or its beginning and an ellipsis.
    """
    if text_width(text, size, strong=strong) <= room:
        return text
    kept = text
    while kept and text_width(kept.rstrip() + "…", size, strong=strong) > room:
        kept = kept[:-1]
    return kept.rstrip() + "…"


def wrap_text(text: str, size: float, room: float, *, strong: bool = False) -> list[str]:
    """Break a text into lines at its spaces; a single long word is cut.

    Parameters
    ----------
    text : str
        The text.
    size : float
        Letter size, > 0 [px].
    room : float
        Widest a line may be [px].
    strong : bool
        True for the heavier weight.

    Returns
    -------
    list of str
        The lines; none for an empty text.
    """
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if line and text_width(longer, size, strong=strong) > room:
            lines.append(line)
            longer = word
        line = longer
    if line:
        lines.append(line)
    return [fit_text(line, size, room, strong=strong) for line in lines]

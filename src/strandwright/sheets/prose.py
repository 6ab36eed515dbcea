"""Prose with numbers in it: a list of texts and records, so that no number hides in a sentence."""

from __future__ import annotations

import re
import unicodedata
from typing import Any

from strandwright.errors import UnitError
from strandwright.sheets.records import Record, record
from strandwright.units import Dimension, parse

Prose = list[Any]

_UNITS = {
    "in": Dimension.LENGTH,
    "mm": Dimension.LENGTH,
    "ft": Dimension.LENGTH,
    "m": Dimension.LENGTH,
    "lbf": Dimension.FORCE,
    "N": Dimension.FORCE,
    "gr": Dimension.MASS,
    "g": Dimension.MASS,
    "s": Dimension.DURATION,
    "min": Dimension.DURATION,
    "h": Dimension.DURATION,
    "%": Dimension.RATIO,
    "per in": Dimension.TURNS_PER_LENGTH,
}
_SI = {
    Dimension.LENGTH: "m",
    Dimension.FORCE: "N",
    Dimension.MASS: "kg",
    Dimension.DURATION: "s",
    Dimension.RATIO: "1",
    Dimension.TURNS_PER_LENGTH: "1/m",
}
_NUMBER = r"(?:[0-9]+ )?[0-9]+/[0-9]+|[0-9]+(?:[.,][0-9]+)?"
_NAMES = "|".join(sorted(map(re.escape, _UNITS), key=len, reverse=True))
_NOT_INCHES = _NAMES.replace("|in|", "|")
# "24 in spruce" counts strands; "24 in at 100 lbf" is a length.
_NOT_IN = r"(?!\ (?!at|over|outside|between|from|to|off|of|or|and|on|long|short|more|less|in)[a-z])"
_QUANTITY = re.compile(
    rf"(?<![\w./#-])(?P<number>[-\u2212]?(?:{_NUMBER})(?:\ \u00b1\ (?:{_NUMBER}))?)"
    rf"(?:\ (?P<unit>(?:{_NOT_INCHES})(?![\w/])|in(?![\w/]){_NOT_IN}))?(?![\w/])"
)
_RANGE = re.compile(rf"\ (?:to|\u2013|and)\ (?:{_NUMBER})\ (?P<unit>{_NAMES})(?![\w/])")


def words(text: str) -> str:
    """Clean what a person typed for paper.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        On one line, without control and format characters: one that turns the direction of
        writing would turn the numbers after it as well.
    """
    spaced = " ".join(text.split())
    return "".join(c for c in spaced if unicodedata.category(c) not in ("Cc", "Cf"))


def prose(text: str, *, caution: bool = False) -> Prose:
    """Split a sentence of the plan into texts and typed numbers.

    Parameters
    ----------
    text : str
        The sentence.
    caution : bool
        Whether its quantities are limits that keep people whole.

    Returns
    -------
    list of str or dict
        The same text in order: what stands between the numbers, and a record for each number.

    Notes
    -----
    What has a +- is a value, a whole number without a unit a count, anything else a setting.
    A quantity's text keeps number and unit together, so that no line breaks between them, and
    a +- that stands alone keeps to what follows it.
    """
    text = words(text)
    found: Prose = []
    end = 0
    for match in _QUANTITY.finditer(text):
        if match.start() > end:
            before = text[end : match.start()]
            found.append(before[:-1] + "\u00a0" if before.endswith("\u00b1 ") else before)
        found.append(_record(match, text, caution))
        end = match.end()
    if end < len(text):
        found.append(text[end:])
    return found


def _record(match: re.Match[str], text: str, caution: bool) -> Record | str:
    """Type one number found in a sentence; what cannot be read as one stays text."""
    unit = match["unit"] or ""
    if not unit:
        following = _RANGE.match(text, match.end())
        unit = following["unit"] if following else ""
    # A bare number is read as a ratio, which needs no unit.
    dimension = _UNITS[unit] if unit else Dimension.RATIO
    try:
        given = f"{match['number']} {unit}".strip()
        entered = parse(dimension, given, field="sentence", signed=True)
    except UnitError:
        return match[0]
    si_unit = _SI[dimension]
    if entered.standard_uncertainty is not None:
        return record("value", match[0], entered.si, si_unit, entered.standard_uncertainty)
    if caution and unit:
        return record("caution limit", match[0], entered.si, si_unit)
    is_whole = not unit and entered.value.denominator == 1
    return record("count" if is_whole else "setting", match[0], entered.si, si_unit)

"""Entry: a quantity as somebody types it, read into exact SI."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache, partial

from strandwright.errors import UnitError
from strandwright.units.catalogue import EXAMPLES, Dimension, Refusal, find_unit
from strandwright.units.typography import plain_text


@dataclass(frozen=True, slots=True)
class Entered:
    """A quantity as somebody typed it, exact.

    Attributes
    ----------
    value : Fraction
        The value in the SI unit of its dimension, exact [SI].
    half_range : Fraction or None
        The +- that was typed, a 95 % half-range, > 0 [SI]; None if none was typed.
    unit : str
        Canonical name of the unit the value was typed in, e.g. ``in``.
    text : str
        What was typed.
    step : Fraction
        Size of the last decimal place or of the fraction it was typed in: 1/16 in for
        ``57 3/16 in``, 1 in for ``57 in`` [SI].
    """

    value: Fraction
    half_range: Fraction | None
    unit: str
    text: str
    step: Fraction

    @property
    def si(self) -> float:
        """The value as a float [SI]."""
        return float(self.value)

    @property
    def standard_uncertainty(self) -> float | None:
        """Half of the half-range [SI]; None if no +- was typed."""
        return None if self.half_range is None else float(self.half_range / 2)


_SIGNED = frozenset({Dimension.TEMPERATURE, Dimension.ANGLE, Dimension.RATIO})


_NUMBER = r"""
    (?: (?: (?P<whole>[0-9]+) (?:\ +|-\ ?) )? (?P<top>[0-9]+)\ */\ *(?P<bottom>[0-9]+)
      | (?P<decimal>(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,2})?) )
"""
_QUANTITY = rf"(?P<sign>[+-]?)\ *{_NUMBER}\ *(?P<unit>.*)"
_FEET = r"(?P<feet>[+-]? *[0-9]+) *(?:ft|feet|foot|') *-? *(?P<inches>[0-9.].*)"
# Longer than any quantity is written; keeps a hostile text from becoming a huge integer.
_LONGEST_TEXT = 100


def parse(dimension: Dimension, text: str, *, field: str, signed: bool = False) -> Entered:
    """Read a quantity as people type it.

    A number is ``57 1/4``, ``57-1/4``, ``57¼``, ``1/16``, ``57.25`` or, for a length,
    ``4 ft 9 1/4 in``; then a unit; then, if wanted, ``+- x`` or ``± x`` with a unit of its own,
    a per cent sign, or none (then the two share the one unit that is there).

    Parameters
    ----------
    dimension : Dimension
        The kind of quantity the field holds.
    text : str
        What was typed, at most 100 characters.
    field : str
        The field's name, for the error.
    signed : bool
        Whether a negative value makes sense; angles, ratios and temperatures always may be
        negative in their own unit.

    Returns
    -------
    Entered
        Exact value and half-range [SI].

    Raises
    ------
    UnitError
        If there is no number, no unit, a unit of another kind, a decimal comma, a denominator
        of zero, a fraction of one or more, text left over, or a negative value.

    Examples
    --------
    >>> entered = parse(Dimension.LENGTH, "57 1/4 in +- 1/32", field="line.length")
    >>> round(entered.si, 6), entered.half_range
    (1.45415, Fraction(127, 160000))
    """
    return _parsed(dimension, text, field, signed)


# The same few texts come again each time a job is read; what is refused is not kept.
@lru_cache(maxsize=4096)
def _parsed(dimension: Dimension, text: str, field: str, signed: bool) -> Entered:
    """Do what `parse` does."""
    fail: Refusal = partial(UnitError, field, text)
    plain = plain_text(text)
    _refuse_unreadable(dimension, plain, fail)
    centre, *ranges = [part.strip() for part in plain.split("+-")]
    if len(ranges) > 1:
        raise fail("there is more than one +-", "type one +-, after the value")
    number, unit_name = _read_number(dimension, centre, fail)
    spread, spread_unit = None, ""
    if ranges:
        spread, spread_unit = _read_number(dimension, ranges[0], fail)
    unit = find_unit(dimension, unit_name or _shared(dimension, spread_unit, fail), fail)
    value = (number + unit.offset) * unit.factor
    _refuse_negative(dimension, value, signed, fail)
    half_range = None
    if spread is not None:
        half_range = _half_range(dimension, value, spread, spread_unit or unit.name, fail)
    return Entered(value, half_range, unit.name, text, _typed_step(centre) * unit.factor)


def _typed_step(centre: str) -> Fraction:
    """Step in which a number was typed: one over its denominator, or its last decimal place."""
    fraction = re.search(r"/\ *([1-9][0-9]*)", centre)
    if fraction:
        return Fraction(1, int(fraction[1]))
    decimals = re.search(r"[.]([0-9]*)(?:[eE]([+-]?[0-9]{1,2}))?", centre)
    if decimals is None:
        return Fraction(1)
    return Fraction(10) ** (int(decimals[2] or 0) - len(decimals[1]))


def _refuse_unreadable(dimension: Dimension, plain: str, fail: Refusal) -> None:
    """Refuse what is empty, too long, or has a comma in a number."""
    example = EXAMPLES[dimension]
    if not plain:
        raise fail("nothing was typed", f"type a number and a unit, such as {example}")
    if len(plain) > _LONGEST_TEXT:
        raise fail(f"is over {_LONGEST_TEXT} characters", f"type it shorter, such as {example}")
    comma = re.search(r"([0-9]+),([0-9]+)", plain)
    if comma:
        point, joined = f"{comma[1]}.{comma[2]}", comma[1] + comma[2]
        raise fail(
            "a comma in a number can be read in two ways",
            f"type a point for decimals ({point}), nothing for thousands ({joined})",
        )


def _read_number(dimension: Dimension, part: str, fail: Refusal) -> tuple[Fraction, str]:
    """Split a part into its exact number and the text of its unit, maybe empty."""
    feet = re.fullmatch(_FEET, part, re.I) if dimension is Dimension.LENGTH else None
    if feet:
        return _feet_and_inches(feet, fail)
    match = re.fullmatch(_QUANTITY, part, re.VERBOSE)
    if match is None or re.match(r"[0-9./+-]*[0-9.+-]", match["unit"]):
        raise fail(
            "cannot be read as one number and a unit",
            f"type it such as {EXAMPLES[dimension]}",
        )
    number = _magnitude(match, fail)
    return (-number if match["sign"] == "-" else number), match["unit"]


def _feet_and_inches(feet: re.Match[str], fail: Refusal) -> tuple[Fraction, str]:
    """Read ``4 ft 9 1/4 in`` as inches."""
    whole = int(feet["feet"].replace(" ", ""))
    inches, unit_name = _read_number(Dimension.LENGTH, feet["inches"], fail)
    if not unit_name or find_unit(Dimension.LENGTH, unit_name, fail).name != "in":
        raise fail("feet are to be followed by inches", "type it such as 4 ft 9 1/4 in")
    if inches >= 12:
        raise fail("inches after feet must be under 12", "type it all in inches, or mend the feet")
    negative = feet["feet"].startswith("-")
    return 12 * whole + (-inches if negative else inches), "in"


def _magnitude(match: re.Match[str], fail: Refusal) -> Fraction:
    """Exact number of a match, without its sign."""
    if match["decimal"]:
        return Fraction(match["decimal"])
    top, bottom = int(match["top"]), int(match["bottom"])
    if bottom == 0:
        raise fail("the fraction has a zero below the stroke", "type a fraction such as 1/16")
    if top >= bottom:
        raise fail(
            f"the fraction {top}/{bottom} is not less than one",
            "leave a space after the whole number, such as 57 1/4",
        )
    return int(match["whole"] or 0) + Fraction(top, bottom)


def _shared(dimension: Dimension, spread_unit: str, fail: Refusal) -> str:
    """Unit of a value that has none of its own: that of its +-, if it is a true unit."""
    if not _is_percent(spread_unit):
        return spread_unit
    if dimension is Dimension.RATIO:
        raise fail(
            "only the +- is in per cent, so it can be read in two ways",
            "type both in per cent or both as plain numbers",
        )
    return ""


def _is_percent(unit_name: str) -> bool:
    return unit_name in {"%", "percent"}


def _half_range(
    dimension: Dimension, value: Fraction, spread: Fraction, unit_name: str, fail: Refusal
) -> Fraction:
    """Half-range in SI; a temperature's is a difference, so its unit's zero does not enter."""
    if spread <= 0:
        raise fail("a +- must be more than zero", "type how far off it may be, or leave +- out")
    if not _is_percent(unit_name) or dimension is Dimension.RATIO:
        return spread * find_unit(dimension, unit_name, fail).factor
    if dimension is Dimension.TEMPERATURE or value == 0:
        raise fail("a +- in per cent means nothing here", "type the +- in the value's own unit")
    return abs(value) * spread / 100


def _refuse_negative(dimension: Dimension, value: Fraction, signed: bool, fail: Refusal) -> None:
    """Hold a value to the sign its kind allows."""
    if value >= 0:
        return
    if dimension is Dimension.TEMPERATURE:
        raise fail("is below absolute zero", "check the number and its unit")
    if not signed and dimension not in _SIGNED:
        kind = dimension.replace("_", " ")
        raise fail(f"a {kind} here must not be negative", "type it without the minus sign")

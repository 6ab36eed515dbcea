"""Ware prices: what a shop asks for a ware, for as much of it as it is sold by."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Annotated, TypeAlias

from pydantic import Field, PlainSerializer, PlainValidator, WithJsonSchema

from strandwright.errors import SpecError, UnitError
from strandwright.units import Dimension, Entered, parse
from strandwright.workshop.fields import Noun
from strandwright.workshop.money import Money
from strandwright.workshop.said import short


def read_per(value: object) -> Entered:
    """Read by how much a ware is sold: a length or a mass.

    Parameters
    ----------
    value : object
        Text with its unit.

    Returns
    -------
    Entered
        The length [m] or the mass [kg]

    Raises
    ------
    SpecError
        If it is neither, or nothing at all.
    """
    if isinstance(value, Entered):
        return value
    for dimension in (Dimension.LENGTH, Dimension.MASS):
        try:
            if isinstance(value, str):
                found = parse(dimension, value, field="per")
                if found.value > 0 and found.half_range is None:
                    return found
        except UnitError:
            continue
    rule = "must be a length or a mass above 0, without a +-"
    raise SpecError("per", short(value), rule, 'write it such as "1 m", "100 yd" or "113.4 g"')


def dimension_of(per: Entered) -> Dimension:
    """Say whether a ware is sold by length or by mass.

    Parameters
    ----------
    per : Entered
        By how much it is sold [SI]

    Returns
    -------
    Dimension
        Length or mass.
    """
    try:
        parse(Dimension.LENGTH, f"1 {per.unit}", field="per")
    except UnitError:
        return Dimension.MASS
    return Dimension.LENGTH


def unit_size(per: Entered) -> Fraction:
    """Give the size of the unit that a ware is sold in.

    Parameters
    ----------
    per : Entered
        By how much it is sold [SI]

    Returns
    -------
    Fraction
        One such unit, exact [SI]
    """
    return parse(dimension_of(per), f"1 {per.unit}", field="per").value


Per: TypeAlias = Annotated[
    Entered,
    PlainValidator(read_per),
    PlainSerializer(lambda per: per.text, return_type=str),
    WithJsonSchema({"type": "string", "examples": ["1 m", "100 yd", "113.4 g"]}),
]


class WarePrice(Noun):
    """What the shop asks for so much of a ware."""

    ware: str = Field(min_length=1, max_length=60, description="a strand, a thread, a small part")
    colour: str | None = Field(
        default=None, max_length=60, description="name or #rrggbb, where a colour costs its own"
    )
    price: Money
    per: Per | None = Field(
        default=None, description='length or mass it is for, such as "113.4 g"; else for a piece'
    )


def refuse_below_nothing(price: Decimal, field: str) -> None:
    """Refuse a price below nothing.

    Parameters
    ----------
    price : Decimal
        The price.
    field : str
        Where it stands.

    Raises
    ------
    SpecError
        If it is below 0.
    """
    if price < 0:
        raise SpecError(field, f"{price:f}", "must be 0 or more", "mend the price")

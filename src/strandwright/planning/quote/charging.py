"""Charging: from what lines take and how long they take to the lines of their bill.

Here measured numbers become quantities to be charged, exact decimals of two places, and nowhere
else: from here on all is money.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from strandwright.errors import InputError, InputErrors, SpecError
from strandwright.planning.quote.bill import BillLine, priced
from strandwright.planning.quote.materials import Material
from strandwright.planning.quote.prices import Price, PriceOf
from strandwright.units import Dimension
from strandwright.workshop.exact import half_up, stripped
from strandwright.workshop.prices import dimension_of, unit_size
from strandwright.workshop.said import MISSING
from strandwright.workshop.terms import BillKind, Terms

#: Decimals to which what is measured is charged [-]
MEASURED = 2
#: Decimals of a price that a markup was put on, where a coin has fewer [-]
_MARKED = 4
#: Decimals of what a price is for [-]
_SMALLEST = 6
_MINUTE = 60.0
_PER_HOUR = Decimal(60)


def measured(value: float, decimals: int = MEASURED) -> Decimal:
    """Give a measured number as an exact quantity to charge.

    Parameters
    ----------
    value : float
        What was measured or foretold [unit]
    decimals : int
        Decimals to keep [-]

    Returns
    -------
    Decimal
        Rounded half up.
    """
    return half_up(Fraction(value), decimals)


def material_lines(
    materials: Sequence[Material], price_of: PriceOf, terms: Terms
) -> tuple[BillLine, ...]:
    """Charge material and small parts.

    Parameters
    ----------
    materials : sequence of Material
        What is taken.
    price_of : callable
        Tells prices.
    terms : Terms
        Currency and markup.

    Returns
    -------
    tuple of BillLine
        One a ware.

    Raises
    ------
    InputError
        If one ware has no price that fits it.
    InputErrors
        If several have none.
    """
    lines: list[BillLine] = []
    missing: list[InputError] = []
    for material in materials:
        price = price_of(material.want)
        fault = _fault(material, price)
        if fault is not None:
            missing.append(fault)
        elif price is not None:
            lines.append(_line(material, price, terms))
    if missing:
        raise missing[0] if len(missing) == 1 else InputErrors(tuple(missing))
    return tuple(lines)


def _fault(material: Material, price: Price | None) -> SpecError | None:
    """Say why a ware cannot be charged by its price."""
    name, counted = str(material.want), material.want.ware.is_counted
    example = 'such as price = "9.50"' if counted else 'such as price = "32.00", per = "113.4 g"'
    if price is None:
        rule = "has no price, and a quote needs one"
        return SpecError(f"price of {name}", MISSING, rule, f"say it in the terms, {example}")
    if counted != (price.per is None):
        rule = "must be for a piece" if counted else "must be for a length or a mass"
        given = "a piece" if price.per is None else price.per.text
        return SpecError(f"price of {name}", f"per {given}", rule, f"say it {example}")
    return None


def _line(material: Material, price: Price, terms: Terms) -> BillLine:
    currency, asked = terms.money, _marked(price.amount, terms)
    kind: BillKind = "part" if material.want.ware.is_counted else "material"
    title, colour = material.want.title, material.want.ware.colour or ""
    if price.per is None:
        return priced(kind, title, Decimal(material.count), "", asked, currency)
    is_length = dimension_of(price.per) is Dimension.LENGTH
    taken = material.length if is_length else material.mass
    assert taken is not None
    unit = unit_size(price.per)
    quantity = measured(taken.value / float(unit))
    per = stripped(half_up(price.per.value / unit, _SMALLEST))
    line = priced(kind, title, quantity, price.per.unit, asked, currency, per=per)
    return replace(line, colour=colour)


def _marked(price: Decimal, terms: Terms) -> Decimal:
    if terms.markup is None:
        return price
    exact = Fraction(price) * (100 + Fraction(terms.markup)) / 100
    return stripped(half_up(exact, _MARKED), terms.money.decimals)


def work_line(kind: BillKind, title: str, seconds: float, terms: Terms) -> BillLine:
    """Charge work at the shop's hourly rate.

    Parameters
    ----------
    kind : str
        What it is for.
    title : str
        In words.
    seconds : float
        How long hands are at it [s]
    terms : Terms
        Hourly rate, and the minutes to which work is rounded up.

    Returns
    -------
    BillLine
        In minutes.
    """
    assert terms.hourly_rate is not None
    steps = math.ceil(seconds / _MINUTE / terms.charged_by - 1e-6)
    minutes = Decimal(max(steps, 0) * terms.charged_by)
    return priced(kind, title, minutes, "min", terms.hourly_rate, terms.money, per=_PER_HOUR)

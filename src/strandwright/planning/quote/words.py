"""Words of a quote: its bill as people read it, on a screen and on paper."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from strandwright.workshop.exact import stripped
from strandwright.workshop.quote import Quote, QuotedLine, QuotedTax
from strandwright.workshop.terms import Terms

Fields = dict[str, Any]


def bill_words(quote: Quote) -> Fields:
    """Give the bill of a quote in words.

    Parameters
    ----------
    quote : Quote
        The quote.

    Returns
    -------
    dict
        ``lines`` and ``discounts`` with title, ``quantity``, ``price`` and ``amount``; then
        ``subtotal``, ``taxes``, ``total``, ``deposit``; every amount with its currency.
    """
    money = quote.money
    return {
        "lines": [_line(line, quote) for line in quote.lines],
        "discounts": [_line(line, quote) for line in quote.discounts],
        "subtotal": money.written(quote.subtotal),
        "taxes": [
            {"title": _tax(tax, quote), "amount": money.written(tax.amount)} for tax in quote.taxes
        ],
        "tax_is_in": quote.prices_include_tax,
        "total": money.written(quote.total),
        "deposit": "" if quote.deposit is None else money.written(quote.deposit),
    }


def _line(line: QuotedLine, quote: Quote) -> Fields:
    quantity = "" if line.quantity is None else _quantity(line)
    return {
        "kind": line.kind,
        "title": line.title,
        "colour": line.colour or "",
        "quantity": quantity,
        "price": "" if line.price is None else _price(line, line.price, quote),
        "amount": quote.money.written(line.amount),
    }


def _quantity(line: QuotedLine) -> str:
    assert line.quantity is not None
    return f"{line.quantity:f}\u00a0{line.unit}".rstrip()


def _price(line: QuotedLine, price: Decimal, quote: Quote) -> str:
    asked = quote.money.written(price)
    if line.unit == "min" and line.per == 60:
        return f"{asked} per hour"
    if not line.unit:
        return f"{asked} each"
    per = "" if line.per == 1 else f"{stripped(line.per):f}\u00a0"
    return f"{asked} per {per}{line.unit}"


def _tax(tax: QuotedTax, quote: Quote) -> str:
    within = ", in the total" if quote.prices_include_tax else ""
    on = f" on {quote.money.written(tax.base)}" if tax.base != quote.subtotal else ""
    return f"{tax.name} {stripped(tax.rate):f}\u00a0%{on}{within}"


def promises(quote: Quote) -> list[str]:
    """Say what a quote promises: until when it holds, when the work is ready, the warranty.

    Parameters
    ----------
    quote : Quote
        The quote.

    Returns
    -------
    list of str
        A sentence each; what was not set when it was made is not spoken of.
    """
    said: list[str] = []
    if quote.holds_until is not None:
        said.append(f"This quote holds until {quote.holds_until}.")
    if quote.due is not None:
        said.append(f"The work is to be ready by {quote.due}.")
    if quote.deposit is not None and quote.deposit > 0:
        said.append(f"{quote.money.written(quote.deposit)} of it is due when it is accepted.")
    if quote.warranty_days:
        said.append(f"Warranty: {quote.warranty_days} days from the day it is handed over.")
    return [*said, *(f"{note[:1].upper()}{note[1:]}." for note in quote.notes)]


def not_set(terms: Terms) -> list[str]:
    """Name what the shop's terms do not say and a quote therefore does not hold.

    Parameters
    ----------
    terms : Terms
        The terms.

    Returns
    -------
    list of str
        Names, as a file has them.
    """
    asked = ("name", "taxes", "deposit", "holds_days", "warranty_days")
    return [name for name in asked if getattr(terms, name) in (None, "", ())]

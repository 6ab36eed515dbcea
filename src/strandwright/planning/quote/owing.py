"""Owing: what is still to be paid of an order, in exact decimals: its price less what was paid."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from strandwright.workshop.exact import exact_sum
from strandwright.workshop.happenings.order import Paid
from strandwright.workshop.money import Currency
from strandwright.workshop.quote import Quote

Fields = dict[str, Any]


@dataclass(frozen=True)
class Owing:
    """What was paid and what is still owed.

    Attributes
    ----------
    total : Decimal or None
        The price; None while none is taken or told [money]
    deposit : Decimal or None
        What of it was asked for when it was taken; None where nothing was [money]
    paid : Decimal
        All that was paid, less what was given back [money]
    """

    total: Decimal | None
    deposit: Decimal | None
    paid: Decimal

    @property
    def left(self) -> Decimal | None:
        """Give what is still owed; below 0 it is to be given back, None without a price."""
        return None if self.total is None else exact_sum([self.total, -self.paid])

    @property
    def deposit_left(self) -> Decimal:
        """Give what is still owed of the deposit, >= 0; never more than is owed at all."""
        if self.deposit is None or self.left is None:
            return Decimal(0)
        return max(min(exact_sum([self.deposit, -self.paid]), self.left), Decimal(0))


def owing(quote: Quote | None, paid: Iterable[Paid]) -> Owing:
    """Work out what is still owed.

    Parameters
    ----------
    quote : Quote or None
        The price that was taken, or the one told last; None where there is none.
    paid : iterable of Paid
        What was paid; what was given back stands below 0.

    Returns
    -------
    Owing
        Sums of exact decimals: nothing is rounded.
    """
    return Owing(
        total=None if quote is None else quote.total,
        deposit=None if quote is None else quote.deposit,
        paid=exact_sum(one.amount for one in paid),
    )


def money_page(owed: Owing, currency: Currency | None) -> Fields:
    """Say what was paid and what is still owed.

    Parameters
    ----------
    owed : Owing
        What is owed.
    currency : Currency or None
        What the shop reckons in; None where it has not said it.

    Returns
    -------
    dict
        JSON-ready: exact amounts as text and in words; empty where they are not known.
    """

    def told(money: Decimal | None) -> Fields:
        if money is None:
            return {"exact": "", "text": ""}
        text = f"{money:f}" if currency is None else currency.written(money)
        return {"exact": f"{money:f}", "text": text}

    return {
        "currency": "" if currency is None else currency.code,
        "total": told(owed.total),
        "paid": told(owed.paid),
        "owed": told(owed.left),
        "deposit": told(owed.deposit),
        "deposit_owed": told(owed.deposit_left),
    }

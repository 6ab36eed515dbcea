"""Owing: the price less what was paid, in exact decimals."""

from __future__ import annotations

from decimal import Decimal

import pytest

from quoted_lines import quote_of, shop_terms
from strandwright.planning.quote.owing import money_page, owing
from strandwright.workshop.happenings.order import Paid
from strandwright.workshop.money import currency


def paid(*amounts: str) -> list[Paid]:
    """Give payments."""
    return [Paid(amount=Decimal(amount)) for amount in amounts]


def test_what_is_owed_is_the_total_less_all_that_was_paid():
    """Ten times a tenth is one, to the coin."""
    quote = quote_of()
    for amounts in ((), ("0.10",) * 10, (f"{quote.deposit}", "-5.00"), (f"{quote.total}",)):
        owed = owing(quote, paid(*amounts))
        assert owed.left == quote.total - sum(map(Decimal, amounts))
        assert owed.left is not None
        assert owed.paid + owed.left == owed.total


@pytest.mark.parametrize(
    ("amounts", "left"),
    [((), "all"), (("1.00",), "less one"), (("900.00",), "0"), (("1.00", "-1.00"), "all")],
)
def test_the_deposit_is_owed_until_as_much_was_paid(amounts, left):
    """Never below nothing."""
    quote = quote_of(terms=shop_terms(deposit=Decimal(30)))
    assert quote.deposit is not None
    wanted = {"all": quote.deposit, "less one": quote.deposit - 1, "0": Decimal(0)}[left]
    assert wanted == owing(quote, paid(*amounts)).deposit_left


def test_without_a_price_only_what_was_paid_is_known():
    """Money may come before a price is told."""
    page = money_page(owing(None, paid("20.00")), currency("EUR"))
    assert ("", "20.00", "20.00\u00a0EUR", "") == (
        page["total"]["exact"], page["paid"]["exact"], page["paid"]["text"], page["owed"]["text"],
    )  # fmt: skip


def test_what_was_paid_too_much_is_below_nothing():
    """And stands so in words, in whatever the quote is in."""
    quote = quote_of()
    page = money_page(owing(quote, paid(f"{quote.total + 3}")), quote.money)
    assert ("-3.00", "\u22123.00\u00a0EUR") == (page["owed"]["exact"], page["owed"]["text"])
    assert "3" == money_page(owing(None, paid("3")), None)["paid"]["text"]

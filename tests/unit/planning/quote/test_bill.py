"""The bill: exact, every line rounded once, and what comes after that only sums."""

from __future__ import annotations

from decimal import Decimal

import pytest

from quoted_lines import quote_of, shop_terms
from strandwright.errors import SpecError
from strandwright.planning.quote.bill import ONE, Bill, BillLine, Discount, make_bill, priced
from strandwright.workshop.terms import BillKind, TaxRate, Terms


def _terms(*taxes: TaxRate, included: bool = False, **changes: object) -> Terms:
    return shop_terms(taxes=taxes, prices_include_tax=included, deposit=None, **changes)


def _line(amount: str, kind: BillKind = "work") -> BillLine:
    return BillLine(kind, kind, None, "", None, ONE, Decimal(amount))


def _tax(rate: str, name: str = "VAT", *on: BillKind) -> TaxRate:
    return TaxRate(name=name, rate=Decimal(rate), **({"on": on} if on else {}))


def _sums(bill: Bill) -> tuple[str, ...]:
    return (str(bill.subtotal), *(str(t.amount) for t in bill.taxes), str(bill.total))


def test_a_quote_worked_out_by_hand():
    """The crag string: every line a multiplication that anybody can repeat.

    Strand: 12 strands of each colour, 3.58 g of it with tails and wax.
        3.58 g x 32.00 / 113.4 g =  1.0102...  ->   1.01, twice
    Thread of servings and loops: 15.87 yd x 14.00 / 100 yd = 2.2218 -> 2.22
    Thread of the centre: 1.44 m x 14.00 / 100 m =            0.2016 -> 0.20
    Peep:                                                               9.50
    Work: 98 min by practice, charged by 5 min: 100 min x 48.00 / 60 = 80.00
    Sum: 1.01 + 1.01 + 2.22 + 0.20 + 9.50 + 80.00                     = 93.94
    VAT: 93.94 x 0.19 = 17.8486                                      -> 17.85
    Total: 93.94 + 17.85                                             = 111.79
    Deposit: 111.79 x 0.30 = 33.537                                  -> 33.54
    """
    quote = quote_of("crag-string")
    charged = [(str(line.quantity), line.unit, str(line.amount)) for line in quote.lines]
    assert charged == [
        ("3.58", "g", "1.01"),
        ("3.58", "g", "1.01"),
        ("15.87", "yd", "2.22"),
        ("1.44", "m", "0.20"),
        ("1", "", "9.50"),
        ("100", "min", "80.00"),
    ]
    assert ("93.94", "17.85", "111.79", "33.54") == (
        str(quote.subtotal), str(quote.taxes[0].amount), str(quote.total), str(quote.deposit),
    )  # fmt: skip


def test_a_line_is_rounded_once_from_its_exact_product():
    """0.005 of a coin more or less decides, and no binary fraction has a say."""
    euro = shop_terms().money
    for quantity, price, amount in (("0.10", "0.05", "0.01"), ("0.10", "0.0499", "0.00")):
        line = priced("material", "x", Decimal(quantity), "m", Decimal(price), euro)
        assert amount == str(line.amount)
    thirds = priced("work", "x", Decimal(50), "min", Decimal("44.00"), euro, per=Decimal(60))
    assert "36.67" == str(thirds.amount)


def test_tax_comes_on_top_or_is_in_the_prices():
    """100.00 and 19 %: 119.00; 119.00 with the tax in it holds 19.00."""
    on_top = make_bill([_line("60.00"), _line("40.00")], _terms(_tax("19")))
    assert ("100.00", "19.00", "119.00") == _sums(on_top)
    within = make_bill([_line("71.40"), _line("47.60")], _terms(_tax("19"), included=True))
    assert ("119.00", "19.00", "119.00") == _sums(within)


def test_two_taxes_are_each_on_what_they_are_on():
    """One on everything, one on work alone; each is rounded once for the bill.

    100.00 x 5 % = 5.00; 33.33 x 7.5 % = 2.49975 -> 2.50. In the price: 33.33 of work hold
    33.33 x 7.5 / 112.5 = 2.222 and 33.33 x 5 / 112.5 = 1.48133, and 66.67 hold 66.67 x 5 / 105
    = 3.17476: together 4.65609 -> 4.66.
    """
    taxes = (_tax("5", "federal"), _tax("7.5", "local", "work"))
    lines = [_line("33.33"), _line("66.67", "material")]
    assert ("100.00", "5.00", "2.50", "107.50") == _sums(make_bill(lines, _terms(*taxes)))
    within = make_bill(lines, _terms(*taxes, included=True))
    assert ("100.00", "4.66", "2.22", "100.00") == _sums(within)
    assert ["100.00", "33.33"] == [str(t.base) for t in within.taxes]


def test_a_tax_on_nothing_that_is_charged_does_not_stand_there():
    """A tax on fitting, and nobody fits."""
    bill = make_bill([_line("10.00")], _terms(_tax("7", "fitting tax", "fitting")))
    assert () == bill.taxes


def test_a_discount_is_parted_by_taxes_and_comes_off_before_them():
    """10.00 off 100.00, of which 30.00 bear a tax of 10 %: 27.00 x 10 % = 2.70."""
    taxes = (_tax("10", "levy", "work"),)
    lines = [_line("30.00"), _line("70.00", "material")]
    bill = make_bill(lines, _terms(*taxes), Discount("spring", amount=Decimal(10)))
    assert ["-3.00", "-7.00"] == [str(line.amount) for line in bill.discounts]
    assert ("90.00", "2.70", "92.70") == _sums(bill)
    share = make_bill(lines, _terms(*taxes), Discount(share=Decimal("33.3")))
    assert "66.70" == str(share.subtotal)
    assert "discount, 33.3 %" == share.discounts[0].title


@pytest.mark.parametrize("amount", ["100.01", "-1"])
def test_no_more_is_off_than_there_is(amount: str):
    """And nothing is added as a discount below nothing."""
    with pytest.raises(SpecError, match="discount"):
        make_bill([_line("100.00")], _terms(), Discount(amount=Decimal(amount)))


def test_a_currency_without_small_coins_is_rounded_to_whole_ones():
    """Yen: 100 min at 4000 an hour are 6667."""
    terms = _terms(_tax("10"), currency="JPY")
    line = priced("work", "x", Decimal(100), "min", Decimal(4000), terms.money, per=Decimal(60))
    assert ("6667", "667", "7334") == _sums(make_bill([line], terms))

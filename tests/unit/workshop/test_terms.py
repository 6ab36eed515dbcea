"""Terms: what a shop has not said is not set, and a quote asks for it by name."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from strandwright.errors import InputErrors, SpecError
from strandwright.units import Dimension
from strandwright.workshop.prices import dimension_of, read_per, unit_size
from strandwright.workshop.terms import (
    Terms,
    read_terms,
    refuse_unset,
    terms_from_table,
    terms_table,
)

WHOLE = """
name = "Workshop at Upper Thorne"
address = ["Mill Lane 3", "Upper Thorne"]
currency = "EUR"
taxes = [{ name = "VAT", rate = "19 %" }, { name = "labour levy", rate = "1.5 %", on = ["work"] }]
prices_include_tax = true
hourly_rate = "48.00"
charged_by = 15
post_allowance = "3 in"
tails = "24 in"
deposit = "30 %"
warranty_days = 365
holds_days = 30
remake_charged = true
prices = [
  { ware = "hmpe-lcp", price = "32.00", per = "113.4 g" },
  { ware = "peep", price = "9.50" },
]
open = [{ day = "mon", opens = "08:30", closes = "17:00" }]
"""


def test_terms_are_read_from_a_file_and_kept_whole():
    """What is written and read back is equal, and money is text on the way."""
    terms = read_terms(WHOLE)
    table = terms_table(terms)
    assert ("48.00", "30 %", "32.00") == (
        table["hourly_rate"], table["deposit"], table["prices"][0]["price"],
    )  # fmt: skip
    assert terms == terms_from_table(table)
    assert ("EUR", 2) == (terms.money.code, terms.money.decimals)


def test_nothing_is_made_up_for_a_shop_that_has_said_nothing():
    """All is not set; what a quote needs is asked for together, by name."""
    terms = Terms()
    assert {} == terms_table(terms)
    for field in ("deposit", "warranty_days", "holds_days", "post_allowance", "hourly_rate"):
        assert getattr(terms, field) is None
    with pytest.raises(InputErrors) as caught:
        refuse_unset(terms)
    assert ["terms.currency", "terms.hourly_rate"] == [e.field for e in caught.value.errors]
    with pytest.raises(SpecError, match=r"terms\.hourly_rate.*not set"):
        refuse_unset(Terms(currency="EUR"))
    refuse_unset(Terms(currency="EUR", hourly_rate=Decimal(40)))


def test_a_tax_is_on_what_it_says():
    """Left out it is on everything."""
    terms = read_terms(WHOLE)
    assert ["VAT", "labour levy"] == [t.name for t in terms.taxes_on("work")]
    assert ["VAT"] == [t.name for t in terms.taxes_on("material")]


@pytest.mark.parametrize(
    ("text", "field"),
    [
        ("hourly_rate = 48.0", "terms.hourly_rate"),
        ('hourly_rate = "-1"', "terms.hourly_rate"),
        ('currency = "eur"', "terms.currency"),
        ('deposit = "110 %"', "terms.deposit"),
        ("charged_by = 0", "terms.charged_by"),
        ('prices = [{ ware = "peep" }]', "terms.prices[1].price"),
        ('prices = [{ ware = "peep", price = "-1" }]', "terms.prices[1].price"),
        ('prices = [{ ware = "hmpe", price = "1", per = "2 h" }]', "terms.prices[1].per"),
        ('prices = [{ ware = "hmpe", price = "1", per = "0 m" }]', "terms.prices[1].per"),
        ('taxes = [{ name = "VAT", rate = "5 %" }, { name = "VAT", rate = "7 %" }]', "terms.taxes"),
        ('open = [{ day = "mon", opens = "17:00", closes = "08:30" }]', "terms.open"),
        ('open = [{ day = "mon", opens = "8:30", closes = "17:00" }]', "terms.open"),
        ('rounding = "up"', "terms.rounding"),
    ],
)
def test_what_cannot_be_meant_is_refused_by_its_name(text: str, field: str):
    """A binary fraction for money among it."""
    with pytest.raises(SpecError) as caught:
        read_terms(text)
    assert caught.value.field.startswith(field)


def test_a_ware_is_sold_by_a_length_or_a_mass():
    """Each with the exact size of its unit."""
    per = {text: read_per(text) for text in ("100 yd", "113.4 g", "1/4 lb")}
    assert Dimension.LENGTH == dimension_of(per["100 yd"])
    assert [Dimension.MASS] * 2 == [dimension_of(per[text]) for text in ("113.4 g", "1/4 lb")]
    assert Fraction(9144, 10000) == unit_size(per["100 yd"])
    assert Fraction(1, 4) == per["1/4 lb"].value / unit_size(per["1/4 lb"])

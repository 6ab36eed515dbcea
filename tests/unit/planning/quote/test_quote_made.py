"""Making a quote: whole, asked for by name what it lacks, and the same again when it is read."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from quoted_lines import quote_of, shop_terms
from strandwright.errors import InputErrors, SpecError
from strandwright.planning.estimate import Estimate
from strandwright.planning.quote.bill import Discount
from strandwright.planning.quote.prices import Price, Want, first_known, prices_in
from strandwright.planning.quote.words import bill_words, not_set, promises
from strandwright.units import Dimension, parse
from strandwright.workshop.prices import WarePrice
from strandwright.workshop.quote import quote_from_table, quote_table
from strandwright.workshop.terms import Terms
from strandwright.workshop.wares import Ware

SET = ("crag-string", "crag-upper-cable", "crag-lower-cable")


def test_a_quote_is_kept_whole():
    """Read back it is equal, and needs neither plans nor terms."""
    quote = quote_of(
        *SET,
        terms=shop_terms(remake_charged=True, markup=Decimal(20)),
        fitting=Estimate(5400.0, 600.0, "s"),
        extras=(("posting", Decimal("6.90")),),
        discount=Discount(share=Decimal(5)),
        parts={"silencer": 2},
        due=date(2026, 12, 12),
    )
    table = quote_table(quote)
    assert quote == quote_from_table(table)
    assert "quote_1" == table["template"]
    assert "2026-12-28" == quote.holds_until
    assert "the smith at Upper Thorne" == quote.customer
    assert ["CRAG-1", "CRAG-2", "CRAG-3"] == [job.job for job in quote.jobs]
    kinds = [line.kind for line in quote.lines]
    assert ["work"] * 3 == [kind for kind in kinds if kind == "work"]
    assert {"material", "part", "work", "fitting", "risk", "other"} == set(kinds)


def test_a_quote_that_does_not_add_up_is_refused():
    """A coin changed by hand is seen, in a line and in the total."""
    table = quote_table(quote_of())
    table["total"] = "111.80"
    with pytest.raises(SpecError, match="must be the sum"):
        quote_from_table(table)
    table = quote_table(quote_of())
    table["lines"][0]["amount"] = "1.02"
    with pytest.raises(SpecError, match="must be the sum"):
        quote_from_table(table)


def test_money_in_less_than_a_coin_is_refused():
    """Half a cent more here, half a cent less there."""
    table = quote_table(quote_of())
    table["lines"][0]["amount"], table["lines"][1]["amount"] = "1.015", "1.005"
    with pytest.raises(SpecError, match="whole coins"):
        quote_from_table(table)


def test_what_is_missing_is_asked_for_by_name():
    """Currency and rate together; then every price that there is none of."""
    with pytest.raises(InputErrors) as caught:
        quote_of(terms=Terms())
    assert ["terms.currency", "terms.hourly_rate"] == [e.field for e in caught.value.errors]
    with pytest.raises(InputErrors) as caught:
        quote_of(terms=shop_terms(prices=()))
    asked = [e.field for e in caught.value.errors]
    assert "price of hmpe-lcp, birch" in asked
    assert "price of peep" in asked
    assert 5 == len(asked)


def test_a_price_must_fit_its_ware():
    """A peep is not sold by the metre, nor a strand by the piece."""
    for ware, per in (("peep", "1 m"), ("hmpe-lcp", None)):
        known = shop_terms()
        wrong = WarePrice(
            ware=ware,
            price=Decimal(1),
            per=None if per is None else parse(Dimension.LENGTH, per, field="per"),
        )
        others = tuple(p for p in known.prices if p.ware != ware)
        with pytest.raises((SpecError, InputErrors), match="must be for a"):
            quote_of(terms=shop_terms(prices=(wrong, *others)))


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"due": date(2026, 11, 27)}, "due"),
        ({"extras": (("posting", Decimal(-1)),)}, "posting"),
        ({"discount": Discount(amount=Decimal(1000))}, "discount"),
    ],
)
def test_what_contradicts_itself_is_refused(asked: dict[str, Any], field: str):
    """Ready before it was offered, less than nothing, more off than it costs."""
    with pytest.raises(SpecError) as caught:
        quote_of(**asked)
    assert field == caught.value.field


def test_a_line_stands_once_and_one_stands():
    """No line, or one twice, is no quote."""
    with pytest.raises(SpecError, match="stand once"):
        quote_of("crag-string", "crag-string")


def test_a_markup_is_on_material_and_parts_alone():
    """A peep of 9.50 at a fifth more is 11.40; an hour stays an hour."""
    plain, more = quote_of(), quote_of(terms=shop_terms(markup=Decimal(20)))
    for one, other in zip(plain.lines, more.lines, strict=True):
        assert one.price is not None
        factor = Decimal(1) if one.kind == "work" else Decimal("1.2")
        assert one.price * factor == other.price
    peep = next(line for line in more.lines if line.title == "peep")
    assert Decimal("11.40") == peep.amount


def test_work_is_rounded_up_to_what_the_shop_charges_by():
    """98 min: as they are, by 5 to 100, by 30 to 120."""
    for step, minutes in ((1, 98), (5, 100), (30, 120)):
        quote = quote_of(terms=shop_terms(charged_by=step))
        assert [minutes] == [line.quantity for line in quote.lines if line.kind == "work"]


def test_a_price_of_a_colour_goes_before_that_of_its_ware():
    """By its name or its figures; of others the common price holds; whoever knows first tells."""
    birch = Want(Ware(kind="strand", name="hmpe-lcp", colour="#D9D2C0"), "birch")
    other = Want(Ware(kind="strand", name="hmpe-lcp", colour="#000000"), "black")
    for said in ("Birch", "#d9d2c0"):
        own = WarePrice(ware="HMPE-LCP", colour=said, price=Decimal(99))
        price_of = prices_in(shop_terms(prices=(own, *shop_terms().prices)))
        assert (Decimal(99), Decimal("32.00")) == tuple(
            price_of(want).amount for want in (birch, other)
        )
    shelf = first_known(lambda want: None, lambda want: Price(Decimal(7)), prices_in(shop_terms()))
    assert Decimal(7) == shelf(birch).amount


def test_the_bill_in_words():
    """Quantities, prices for what they are for, taxes with their rate."""
    told = bill_words(quote_of())
    first, work = told["lines"][0], told["lines"][-1]
    assert ("3.58\u00a0g", "32.00\u00a0EUR per 113.4\u00a0g", "1.01\u00a0EUR") == (
        first["quantity"], first["price"], first["amount"],
    )  # fmt: skip
    assert "48.00\u00a0EUR per hour" == work["price"]
    assert ["VAT 19\u00a0%"] == [tax["title"] for tax in told["taxes"]]
    inside = bill_words(quote_of(terms=shop_terms(prices_include_tax=True)))
    assert "VAT 19\u00a0%, in the total" == inside["taxes"][0]["title"]


def test_only_what_is_set_is_promised():
    """A shop that has said nothing promises nothing, and is told what it has not said."""
    bare = shop_terms(deposit=None, holds_days=None, warranty_days=None, taxes=(), name="")
    assert [] == promises(quote_of(terms=bare))
    assert ["name", "taxes", "deposit", "holds_days", "warranty_days"] == not_set(bare)
    said = promises(quote_of(due=date(2026, 12, 12)))
    assert 4 == len(said)
    assert any("2026-12-28" in one for one in said)
    assert [] == not_set(shop_terms())

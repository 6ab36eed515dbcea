"""Quotes: relations that hold for every bill and every line."""

from __future__ import annotations

import itertools
import math
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoted_lines import quote_of, shop_terms
from sample_job import plan_of
from strandwright.planning.quote.bill import ONE, BillLine, Discount, make_bill, priced
from strandwright.planning.quote.materials import materials_of
from strandwright.workshop.exact import exact_sum, half_up, shared_out, stripped
from strandwright.workshop.money import amount, currency
from strandwright.workshop.quote import quote_table
from strandwright.workshop.terms import BILL_KINDS, TaxRate, Terms

CODES = ("EUR", "USD", "JPY", "KWD")


def _money(decimals: int = 6) -> st.SearchStrategy[Decimal]:
    return st.decimals(0, 10**6, places=decimals, allow_nan=False, allow_infinity=False)


RATES = st.decimals(0, 30, places=3, allow_nan=False, allow_infinity=False)
KINDS = st.sampled_from(BILL_KINDS)


@st.composite
def _terms(draw: st.DrawFn) -> Terms:
    """Draw terms of up to three taxes, each on some kinds of line."""
    taxes = tuple(
        TaxRate(
            name=f"tax {i}",
            rate=draw(RATES),
            on=tuple(draw(st.lists(KINDS, min_size=1, unique=True))),
        )
        for i in range(draw(st.integers(0, 3)))
    )
    return shop_terms(
        currency=draw(st.sampled_from(CODES)),
        taxes=taxes,
        prices_include_tax=draw(st.booleans()),
        deposit=draw(st.none() | RATES),
    )


@st.composite
def _lines(draw: st.DrawFn, code: str) -> tuple[BillLine, ...]:
    """Draw lines of quantities and prices in a currency."""
    money = currency(code)
    return tuple(
        priced(draw(KINDS), "x", draw(_money(2)), "m", draw(_money()) / 100, money, per=per)
        for per in draw(st.lists(st.sampled_from([ONE, Decimal("113.4"), Decimal(60)]), max_size=9))
    )


@given(st.data(), _terms(), st.none() | RATES)
def test_the_total_is_the_sum_of_what_stands_above_it(data, terms: Terms, off: Decimal | None):
    """Exactly, in whole coins, whatever the taxes and what is off."""
    assert terms.currency is not None
    lines = data.draw(_lines(terms.currency))
    bill = make_bill(lines, terms, None if off is None else Discount(share=off))
    charged = sum((line.amount for line in (*bill.lines, *bill.discounts)), Decimal(0))
    assert charged == bill.subtotal
    tax = sum((t.amount for t in bill.taxes), Decimal(0))
    assert bill.subtotal + (0 if terms.prices_include_tax else tax) == bill.total
    for money in (bill.subtotal, bill.total, *(t.amount for t in bill.taxes)):
        assert money == bill.currency.rounded(money)
    assert Decimal(0) <= bill.subtotal
    if terms.prices_include_tax:
        # Each tax is rounded for itself, by half a coin at most.
        assert tax <= bill.total + bill.currency.step * len(bill.taxes)


@given(st.data(), _terms())
def test_shuffled_lines_make_the_same_bill(data, terms: Terms):
    """Sums and taxes hang on what is charged, not on its order."""
    assert terms.currency is not None
    lines = data.draw(_lines(terms.currency))
    other = data.draw(st.permutations(lines))
    one, shuffled = make_bill(lines, terms), make_bill(other, terms)
    assert (one.subtotal, one.total, one.deposit) == (
        shuffled.subtotal, shuffled.total, shuffled.deposit,
    )  # fmt: skip
    assert one.taxes == shuffled.taxes


@given(
    st.lists(st.integers(0, 10**7), min_size=1, max_size=9), st.sampled_from([5, 10, 20, 25, 50])
)
def test_prices_with_and_without_tax_agree(coins: list[int], rate: int):
    """The same goods with the tax in the price or on top: same tax, same total, to the coin.

    Net amounts are twentieths of the coins drawn, so that each price with its tax is whole.
    """
    terms = shop_terms(taxes=(TaxRate(name="VAT", rate=Decimal(rate)),), deposit=None)
    net = [Decimal(20 * c).scaleb(-2) for c in coins]
    gross = [half_up(Fraction(n) * (100 + rate) / 100, 2) for n in net]

    def lines(amounts: list[Decimal]) -> list[BillLine]:
        return [BillLine("work", "x", None, "", None, ONE, a) for a in amounts]

    on_top = make_bill(lines(net), terms)
    within = make_bill(lines(gross), terms.model_copy(update={"prices_include_tax": True}))
    assert on_top.total == within.total
    assert [t.amount for t in on_top.taxes] == [t.amount for t in within.taxes]


@given(_money(), st.integers(0, 4))
def test_rounding_is_half_up_and_never_further_than_half_a_coin(money: Decimal, decimals: int):
    """And the same on the other side of nothing."""
    rounded = half_up(money, decimals)
    off = Fraction(rounded) - Fraction(money)
    assert -Fraction(1, 2 * 10**decimals) < off <= Fraction(1, 2 * 10**decimals)
    assert -rounded == half_up(-money, decimals)
    assert rounded == half_up(rounded, decimals)


@given(_money(2), st.lists(st.integers(0, 1000), min_size=1, max_size=8))
def test_what_is_shared_out_adds_up_and_is_fair(money: Decimal, weights: list[int]):
    """No part is a coin off its share, and none is lost."""
    if not any(weights):
        weights = [1, *weights]
    parts = shared_out(money, [Decimal(w) for w in weights], 2)
    assert money == sum(parts, Decimal(0))
    for part, weight in zip(parts, weights, strict=True):
        exact = Fraction(money) * weight / sum(weights)
        assert abs(Fraction(part) - exact) < Fraction(1, 100)


@given(st.lists(_money(), max_size=40))
def test_a_sum_is_that_of_exact_fractions(amounts: list[Decimal]):
    """Whatever their decimals."""
    assert sum(map(Fraction, amounts), Fraction(0)) == Fraction(exact_sum(amounts))


@given(_money())
def test_an_amount_reads_back_as_it_is_kept(money: Decimal):
    """Text, and the same number."""
    assert money == amount(f"{money:f}") == stripped(money)
    assert len(str(stripped(money))) <= len(f"{money:f}")


@pytest.mark.parametrize(
    ("place", "values"),
    [
        ("makeup.strands", (20, 24, 28, 32)),
        ("line.finished", ("55 1/4 in", "57 in", "60 in")),
    ],
)
def test_strand_grows_with_strands_and_with_length(place: str, values: tuple[object, ...]):
    """More of either takes more off the spools, by nearly as much as there is more of it."""
    lengths: list[float] = []
    for value in values:
        changes = {place: value, "makeup.colours": None, "makeup.pattern": "free"}
        if place == "line.finished":
            changes |= {"line.shorthand": "", "line.servings": [], "line.marks": []}
            changes |= {"bow.axle_to_axle": None}
        found = materials_of([plan_of("crag-string", changes)])
        strand = [m for m in found if m.want.ware.kind == "strand"]
        lengths.append(math.fsum(m.length.value for m in strand if m.length))
    assert all(a < b for a, b in itertools.pairwise(lengths))
    if place == "makeup.strands":
        per_strand = [n / v for n, v in zip(lengths, values, strict=True) if isinstance(v, int)]
        assert max(per_strand) / min(per_strand) < 1.05


def test_shuffled_lines_of_a_bow_make_the_same_quote():
    """Whichever is named first: the same material, minutes, sums."""
    names = ("crag-string", "crag-upper-cable", "crag-lower-cable")
    told: set[str] = set()
    for order in itertools.permutations(names):
        quote = quote_of(*order)
        table = quote_table(quote)
        lines = sorted(repr(line) for line in table["lines"])
        told.add(repr((lines, table["subtotal"], table["total"], table["hands"])))
    assert 1 == len(told)


def test_a_set_costs_what_its_lines_cost_but_for_rounding():
    """Material by material a coin at most, and the work just the same."""
    names = ("crag-string", "crag-upper-cable", "crag-lower-cable")
    whole = quote_of(*names)
    alone = [quote_of(name) for name in names]
    work = [
        sum(line.amount for line in quote.lines if line.kind == "work") for quote in (whole, *alone)
    ]
    assert work[0] == sum(work[1:])
    off = abs(whole.subtotal - sum(quote.subtotal for quote in alone))
    assert off <= Decimal("0.01") * sum(len(quote.lines) for quote in alone)

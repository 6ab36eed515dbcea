"""Bill: lines of exact money that add up, what is off, the taxes, the total and the deposit.

Every line is a quantity and a price that stand on the paper, multiplied and rounded once. What
comes after that is sums, so that a customer who adds the bill up comes to the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from strandwright.errors import SpecError
from strandwright.workshop.exact import exact_sum, half_up, shared_out
from strandwright.workshop.money import Currency
from strandwright.workshop.terms import BillKind, TaxRate, Terms

ONE = Decimal(1)
_HUNDRED = Fraction(100)


@dataclass(frozen=True)
class BillLine:
    """One line.

    Attributes
    ----------
    kind : str
        What it is for.
    title : str
        In words.
    quantity : Decimal or None
        As it is charged; None where the line is one amount.
    unit : str
        Of the quantity: ``m``, ``g``, ``min``, empty for pieces.
    price : Decimal or None
        Of ``per`` of the quantity.
    per : Decimal
        For how much of it the price is: 60 for minutes at a price of the hour.
    amount : Decimal
        Money, rounded to the currency.
    colour : str
        ``#RRGGBB`` of a ware; empty elsewhere.
    """

    kind: BillKind
    title: str
    quantity: Decimal | None
    unit: str
    price: Decimal | None
    per: Decimal
    amount: Decimal
    colour: str = ""


@dataclass(frozen=True)
class TaxLine:
    """One tax.

    Attributes
    ----------
    name : str
        Its name.
    rate : Decimal
        In per cent.
    base : Decimal
        What it is on: without the tax where it comes on top, with it where prices hold it.
    amount : Decimal
        The tax.
    """

    name: str
    rate: Decimal
    base: Decimal
    amount: Decimal


@dataclass(frozen=True)
class Bill:
    """A bill.

    Attributes
    ----------
    currency : Currency
        What it is in.
    lines : tuple of BillLine
        What is charged.
    discounts : tuple of BillLine
        What is off, below 0; one for each group of lines under the same taxes.
    subtotal : Decimal
        Sum of all lines and discounts.
    taxes : tuple of TaxLine
        On top of that, or in it.
    prices_include_tax : bool
        Whether the taxes are in the lines already.
    total : Decimal
        What is to be paid.
    deposit : Decimal or None
        What of it is asked for when the quote is accepted; None where nothing is.
    """

    currency: Currency
    lines: tuple[BillLine, ...]
    discounts: tuple[BillLine, ...]
    subtotal: Decimal
    taxes: tuple[TaxLine, ...]
    prices_include_tax: bool
    total: Decimal
    deposit: Decimal | None


@dataclass(frozen=True)
class Discount:
    """What is off: a share of all lines, or an amount; one of them.

    Attributes
    ----------
    title : str
        What it is for.
    share : Decimal or None
        In per cent.
    amount : Decimal or None
        Money, above 0.
    """

    title: str = "discount"
    share: Decimal | None = None
    amount: Decimal | None = None


def priced(
    kind: BillKind,
    title: str,
    quantity: Decimal,
    unit: str,
    price: Decimal,
    currency: Currency,
    *,
    per: Decimal = ONE,
) -> BillLine:
    """Make a line of a quantity and its price.

    Parameters
    ----------
    kind : str
        What it is for.
    title : str
        In words.
    quantity : Decimal
        As it is charged.
    unit : str
        Of the quantity.
    price : Decimal
        Of ``per`` of it.
    currency : Currency
        What the bill is in.
    per : Decimal
        For how much of the quantity the price is.

    Returns
    -------
    BillLine
        Rounded once.
    """
    exact = Fraction(quantity) * Fraction(price) / Fraction(per)
    return BillLine(kind, title, quantity, unit, price, per, currency.rounded(exact))


def make_bill(lines: Iterable[BillLine], terms: Terms, discount: Discount | None = None) -> Bill:
    """Add a bill up.

    Parameters
    ----------
    lines : iterable of BillLine
        What is charged.
    terms : Terms
        Currency, taxes, deposit.
    discount : Discount or None
        What is off.

    Returns
    -------
    Bill
        The bill.

    Raises
    ------
    SpecError
        If more is off than the lines come to, or no currency is set.
    """
    currency, charged = terms.money, tuple(lines)
    groups = _groups(charged, terms)
    off = _discounts(groups, discount, currency)
    subtotal = exact_sum(line.amount for line in (*charged, *off))
    bases: dict[tuple[TaxRate, ...], Decimal] = {}
    for (taxes, group), cut in zip(groups, off or (None,) * len(groups), strict=True):
        amounts = [line.amount for line in group] + ([] if cut is None else [cut.amount])
        bases[taxes] = exact_sum(amounts)
    taxes = tuple(_tax(tax, bases, terms) for tax in terms.taxes)
    taxes = tuple(tax for tax in taxes if tax.base)
    on_top = () if terms.prices_include_tax else taxes
    total = exact_sum([subtotal, *(tax.amount for tax in on_top)])
    deposit = None if terms.deposit is None else _share(total, terms.deposit, currency)
    return Bill(
        currency=currency,
        lines=charged,
        discounts=off,
        subtotal=subtotal,
        taxes=taxes,
        prices_include_tax=terms.prices_include_tax,
        total=total,
        deposit=deposit,
    )


def _groups(
    lines: Sequence[BillLine], terms: Terms
) -> list[tuple[tuple[TaxRate, ...], list[BillLine]]]:
    """Sort lines by the taxes that are on them."""
    found: dict[tuple[TaxRate, ...], list[BillLine]] = {}
    for line in lines:
        found.setdefault(terms.taxes_on(line.kind), []).append(line)
    return list(found.items())


def _discounts(
    groups: Sequence[tuple[tuple[TaxRate, ...], list[BillLine]]],
    discount: Discount | None,
    currency: Currency,
) -> tuple[BillLine, ...]:
    """Take a discount off each group by what it comes to, so that its taxes stay right."""
    if discount is None:
        return ()
    sums = [exact_sum(line.amount for line in lines) for _, lines in groups]
    whole = exact_sum(sums)
    if discount.share is not None:
        off = _share(whole, discount.share, currency)
    else:
        off = currency.rounded(discount.amount or Decimal(0))
    if off < 0 or off > whole:
        rule = f"must be from 0 to what the lines come to, {currency.written(whole)}"
        raise SpecError("discount", currency.written(off), rule, "take less off")
    if whole == 0:
        return ()
    parts = shared_out(-off, sums, currency.decimals)
    title = discount.title
    if discount.share is not None:
        title = f"{title}, {discount.share.normalize():f} %"
    return tuple(BillLine("other", title, None, "", None, ONE, part) for part in parts)


def _share(money: Decimal, percent: Decimal, currency: Currency) -> Decimal:
    return currency.rounded(Fraction(money) * Fraction(percent) / _HUNDRED)


def _tax(tax: TaxRate, bases: dict[tuple[TaxRate, ...], Decimal], terms: Terms) -> TaxLine:
    """Work a tax out over all lines that it is on, rounded once for the bill."""
    exact, money = Fraction(0), terms.money
    for taxes, base in bases.items():
        if tax not in taxes:
            continue
        rates = sum(Fraction(each.rate) for each in taxes)
        within = _HUNDRED + rates if terms.prices_include_tax else _HUNDRED
        exact += Fraction(base) * Fraction(tax.rate) / within
    on = exact_sum(base for taxes, base in bases.items() if tax in taxes)
    return TaxLine(tax.name, tax.rate, on, half_up(exact, money.decimals))

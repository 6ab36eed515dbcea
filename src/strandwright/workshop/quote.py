"""The quote: an offer kept whole, so that an old one prints again as it was made.

It is what was foretold and asked on the day it was made: no price, tax or plan that is changed
later changes it. Its sums are checked whenever it is read.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Literal

from pydantic import Field, model_validator

from strandwright.errors import SpecError
from strandwright.workshop.exact import exact_sum
from strandwright.workshop.fields import Colour, Duration, Length, Mass, Noun
from strandwright.workshop.job import Paper, noun_from_table
from strandwright.workshop.money import Currency, Money, Percent, Quantity, currency
from strandwright.workshop.quote_entries import CalendarDay, QuoteEntries
from strandwright.workshop.terms import BillKind
from strandwright.workshop.wares import Ware

FORMAT = 1
#: Template that new quotes are printed by; an old one keeps the one it was made for.
TEMPLATE = "quote_1"


class QuotedJob(Noun):
    """A line that is offered, and the plan its numbers are from."""

    job: str = Field(min_length=1, max_length=40)
    name: str = Field(max_length=120)
    line: str = Field(max_length=120)
    plan: str = Field(max_length=40)
    model_version: int = Field(ge=1, strict=True)
    finished: Length
    strand: str = Field(max_length=120)
    strands: int = Field(ge=2, le=200, strict=True)
    hands: Duration = Field(description="with its +-")
    misses: str = Field(max_length=40, description="chance that it misses its tolerance, in words")


class QuotedWare(Noun):
    """What one line takes of one ware: this is reserved when the quote is accepted."""

    job: str = Field(min_length=1, max_length=40)
    ware: Ware
    colour_name: str = Field(default="", max_length=60)
    lot: str = Field(default="", max_length=60)
    length: Length | None = Field(default=None, description="of strand or thread, with its +-")
    mass: Mass | None = None
    count: int | None = Field(default=None, ge=1, strict=True)


class QuotedAct(Noun):
    """One kind of work over all lines, and where its minutes come from."""

    title: str = Field(max_length=120)
    amount: Quantity
    time: Duration = Field(description="with its +-")
    timed: int = Field(default=0, ge=0, strict=True, description="times of this shop behind it")


class QuotedLine(Noun):
    """A line of the bill."""

    kind: BillKind
    title: str = Field(min_length=1, max_length=200)
    quantity: Quantity | None = None
    unit: str = Field(default="", max_length=8)
    price: Money | None = None
    per: Quantity = Field(default=Decimal(1), description="of the unit, that the price is for")
    amount: Money
    colour: Colour | None = None


class QuotedTax(Noun):
    """A tax of the bill."""

    name: str = Field(max_length=40)
    rate: Percent
    base: Money
    amount: Money


class Quote(Noun):
    """An offer, whole."""

    format: Literal[1] = FORMAT
    template: str = Field(default=TEMPLATE, max_length=20)
    id: str = Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$")
    order: str = Field(default="", max_length=32, description="identity of its order")
    made_on: CalendarDay
    holds_until: CalendarDay | None = None
    due: CalendarDay | None = None
    paper: Paper = Paper()
    shop: str = Field(default="", max_length=80)
    address: tuple[str, ...] = ()
    customer: str = Field(default="", max_length=120)
    bow: str = Field(default="", max_length=120)
    jobs: tuple[QuotedJob, ...] = Field(min_length=1)
    wares: tuple[QuotedWare, ...] = ()
    acts: tuple[QuotedAct, ...] = ()
    hands: Duration
    stands: Duration
    rests: Duration
    work_source: str = Field(max_length=400, description="where the minutes come from")
    currency: str
    decimals: int = Field(ge=0, le=4, strict=True)
    lines: tuple[QuotedLine, ...]
    discounts: tuple[QuotedLine, ...] = ()
    subtotal: Money
    taxes: tuple[QuotedTax, ...] = ()
    prices_include_tax: bool = Field(default=False, strict=True)
    total: Money
    deposit: Money | None = None
    remake_risk: Money = Field(
        default=Decimal(0), description="what misses of the tolerance cost on the average"
    )
    warranty_days: int | None = None
    notes: tuple[str, ...] = Field(default=(), description="what is not in the price, and why")
    entries: QuoteEntries = Field(
        default=QuoteEntries(), description="as they were typed; it was made with them"
    )

    @property
    def money(self) -> Currency:
        """Give the currency."""
        return currency(self.currency, self.decimals)

    @model_validator(mode="after")
    def _adds_up(self) -> Quote:
        """Refuse a bill that does not add up, or that holds less than a coin."""
        charged = [line.amount for line in (*self.lines, *self.discounts)]
        on_top = () if self.prices_include_tax else self.taxes
        totals = [self.subtotal, *(tax.amount for tax in on_top)]
        for field, given, parts in (
            ("subtotal", self.subtotal, charged),
            ("total", self.total, totals),
        ):
            if given != exact_sum(parts):
                rule = f"must be the sum of what stands above it, {exact_sum(parts):f}"
                raise SpecError(field, f"{given:f}", rule, "keep the quote as it was made")
        for money in (*charged, *totals, self.total):
            if money != self.money.rounded(money):
                rule = f"must be in whole coins of {self.currency}"
                raise SpecError("lines", f"{money:f}", rule, "keep the quote as it was made")
        return self


def quote_from_table(table: dict[str, Any]) -> Quote:
    """Read a quote as it is kept.

    Parameters
    ----------
    table : dict
        Plain values, money and quantities as text.

    Returns
    -------
    Quote
        The quote.

    Raises
    ------
    InputError
        For one thing that cannot be used; a bill that does not add up among it.
    InputErrors
        For several of them.
    """
    return noun_from_table(Quote, table, "quote")


def quote_table(quote: Quote) -> dict[str, Any]:
    """Give a quote as plain values, ready to be kept.

    Parameters
    ----------
    quote : Quote
        The quote.

    Returns
    -------
    dict
        Money and quantities as text; the format and the template always with it.
    """
    kept = quote.model_dump(mode="json", exclude_defaults=True)
    return kept | {"format": quote.format, "template": quote.template}

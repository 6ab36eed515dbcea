"""Terms: on what a shop works for money: its currency, taxes, rates, what it asks and promises.

What a shop has not said is not set, and nothing is made up for it: a quote needs a currency and an
hourly rate and asks for them by name; what else is not set does not stand on the quote.
"""

from __future__ import annotations

import re
from typing import Any, Literal, TypeAlias, get_args

from pydantic import Field

from strandwright.errors import InputError, InputErrors, SpecError
from strandwright.workshop.fields import Length, Noun
from strandwright.workshop.job import noun_from_table, tables_in
from strandwright.workshop.money import Currency, Money, Percent, currency
from strandwright.workshop.prices import WarePrice, refuse_below_nothing
from strandwright.workshop.said import MISSING

#: The one document of kind "shop" that holds them
TERMS_ID = "terms"

#: What a line of a bill is for
BillKind: TypeAlias = Literal["material", "part", "work", "fitting", "risk", "other"]
BILL_KINDS: tuple[BillKind, ...] = get_args(BillKind)
Day: TypeAlias = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
_HOUR = re.compile(r"(?:[01][0-9]|2[0-3]):[0-5][0-9]|24:00")


class TaxRate(Noun):
    """A tax on what is sold."""

    name: str = Field(min_length=1, max_length=40, description="as it stands on the paper")
    rate: Percent
    on: tuple[BillKind, ...] = Field(
        default=BILL_KINDS, min_length=1, description="what it is on; left out, everything"
    )


class OpenHours(Noun):
    """When the shop is open on a day of the week."""

    day: Day
    opens: str = Field(max_length=5, description="hours and minutes, such as 08:30")
    closes: str = Field(max_length=5, description="24:00 at the latest")


class Terms(Noun):
    """On what a shop works for money; what is None is not set."""

    name: str = Field(default="", max_length=80, description="of the shop, on paper")
    address: tuple[str, ...] = Field(default=(), max_length=6, description="lines on paper")
    currency: str | None = Field(default=None, max_length=3, description="ISO 4217, such as EUR")
    decimals: int | None = Field(
        default=None, ge=0, le=4, strict=True, description="where not those of the currency"
    )
    taxes: tuple[TaxRate, ...] = Field(default=(), max_length=6)
    prices_include_tax: bool = Field(default=False, strict=True)
    hourly_rate: Money | None = None
    charged_by: int = Field(
        default=1, ge=1, le=60, strict=True, description="minutes to which work is rounded up"
    )
    post_allowance: Length | None = Field(
        default=None,
        description="by which a strand is reckoned longer than the line; the plan's where not set",
    )
    tails: Length | None = Field(
        default=None,
        description="strand left over for each colour of a line; the plan's where not set",
    )
    prices: tuple[WarePrice, ...] = Field(default=(), max_length=400)
    markup: Percent | None = Field(
        default=None, description="on material and parts over the prices that are known of them"
    )
    deposit: Percent | None = Field(default=None, description="share asked for when accepted")
    warranty_days: int | None = Field(default=None, ge=0, le=3650, strict=True)
    holds_days: int | None = Field(
        default=None, ge=1, le=3650, strict=True, description="how long a quote holds"
    )
    remake_charged: bool = Field(
        default=False, strict=True, description="whether the risk of a remake is a line of its own"
    )
    open: tuple[OpenHours, ...] = Field(default=(), max_length=21)
    label_width: Length | None = Field(
        default=None, description="of the labels for bows that are brought; 62 mm where not set"
    )
    label_height: Length | None = Field(default=None, description="29 mm where not set")

    @property
    def money(self) -> Currency:
        """Give the currency.

        Raises
        ------
        SpecError
            If none is set, or it is none.
        """
        if self.currency is None:
            raise _asked("currency", "three letters, such as EUR")
        try:
            return currency(self.currency, self.decimals)
        except SpecError as error:
            raise error.at("terms.currency") from error

    def taxes_on(self, kind: BillKind) -> tuple[TaxRate, ...]:
        """Give the taxes on a kind of line.

        Parameters
        ----------
        kind : str
            What a line of a bill is for.

        Returns
        -------
        tuple of TaxRate
            In the shop's order.
        """
        return tuple(tax for tax in self.taxes if kind in tax.on)


def read_terms(text: str, source: str = "terms") -> Terms:
    """Read the terms in the text of a TOML file.

    Parameters
    ----------
    text : str
        The file's text.
    source : str
        What to call the file in an error.

    Returns
    -------
    Terms
        The terms.

    Raises
    ------
    InputError
        For one thing that cannot be used.
    InputErrors
        For several of them.
    """
    return terms_from_table(tables_in(text, source))


def terms_from_table(table: dict[str, Any]) -> Terms:
    """Make terms from plain values.

    Parameters
    ----------
    table : dict
        As a file or a document holds them, money and shares as text.

    Returns
    -------
    Terms
        The terms.

    Raises
    ------
    InputError
        For one thing that cannot be used.
    InputErrors
        For several of them.
    """
    terms = noun_from_table(Terms, table, "terms")
    _refuse_contradictions(terms)
    return terms


def terms_table(terms: Terms) -> dict[str, Any]:
    """Give terms as plain values, ready to be kept; what is not set is left out.

    Parameters
    ----------
    terms : Terms
        The terms.

    Returns
    -------
    dict
        Money and shares as text.
    """
    return terms.model_dump(mode="json", exclude_defaults=True)


def refuse_unset(terms: Terms) -> None:
    """Ask for what no quote can do without.

    Parameters
    ----------
    terms : Terms
        The terms.

    Raises
    ------
    InputError
        If one thing is not set.
    InputErrors
        If several are not.
    """
    missing: list[InputError] = []
    if terms.currency is None:
        missing.append(_asked("currency", "three letters, such as EUR"))
    if terms.hourly_rate is None:
        missing.append(_asked("hourly_rate", 'such as "48.00"'))
    if missing:
        raise missing[0] if len(missing) == 1 else InputErrors(tuple(missing))


def _asked(name: str, example: str) -> SpecError:
    return SpecError(f"terms.{name}", MISSING, "is not set, and a quote needs it", f"say {example}")


def _refuse_contradictions(terms: Terms) -> None:
    if terms.currency is not None:
        _ = terms.money
    names = [tax.name for tax in terms.taxes]
    for name in names:
        if names.count(name) > 1:
            rule = "must be a name that no other tax has"
            raise SpecError("terms.taxes", name, rule, "name them apart")
    if terms.hourly_rate is not None:
        refuse_below_nothing(terms.hourly_rate, "terms.hourly_rate")
    for i, ware in enumerate(terms.prices, start=1):
        refuse_below_nothing(ware.price, f"terms.prices[{i}].price")
    for i, hours in enumerate(terms.open, start=1):
        are_hours = _HOUR.fullmatch(hours.opens) and _HOUR.fullmatch(hours.closes)
        if not are_hours or hours.opens >= hours.closes:
            rule = "must be two hours of a day, the shop closing after it opens"
            said = f"{hours.opens} to {hours.closes}"
            raise SpecError(f"terms.open[{i}]", said, rule, "write them such as 08:30 and 17:00")

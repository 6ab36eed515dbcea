"""Prices: a ware as a line wants it, what it costs, and who knows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeAlias

from strandwright.units import Entered
from strandwright.workshop.terms import Terms
from strandwright.workshop.wares import Ware


@dataclass(frozen=True)
class Want:
    """A ware as a line wants it.

    Attributes
    ----------
    ware : Ware
        What it is.
    colour_name : str
        What the job calls the colour; empty where it does not.
    lot : str
        Lot of the spools, where the job asks for one.
    """

    ware: Ware
    colour_name: str = ""
    lot: str = ""

    def __str__(self) -> str:
        """Name it as the terms and the stock do."""
        return self._named(self.ware.name)

    @property
    def title(self) -> str:
        """Name it for a customer: by what it is, not by how a table is asked for it."""
        return self._named(self.ware.label)

    def _named(self, name: str) -> str:
        lot = f"lot {self.lot}" if self.lot else ""
        colour = self.colour_name or (self.ware.colour or "")
        return ", ".join(word for word in (name, colour, lot) if word)


@dataclass(frozen=True)
class Price:
    """What a ware costs.

    Attributes
    ----------
    amount : Decimal
        Money for as much as it is sold by.
    per : Entered or None
        That length [m] or mass [kg]; None for a piece.
    """

    amount: Decimal
    per: Entered | None = None


#: Tells what a ware costs, or None where it does not know: stock on the shelf, the shop's terms
PriceOf: TypeAlias = Callable[[Want], Price | None]


def prices_in(terms: Terms) -> PriceOf:
    """Let the shop's terms tell prices.

    Parameters
    ----------
    terms : Terms
        The terms; a price of a colour goes before that of the ware in any colour.

    Returns
    -------
    callable
        Gives the price of a ware.
    """

    def price_of(want: Want) -> Price | None:
        named = [p for p in terms.prices if _same(p.ware, want.ware.name)]
        own = [p for p in named if p.colour is not None and _is_colour(p.colour, want)]
        found = next(iter(own or [p for p in named if p.colour is None]), None)
        return None if found is None else Price(found.price, found.per)

    return price_of


def first_known(*sources: PriceOf) -> PriceOf:
    """Ask several for a price, one after the other.

    Parameters
    ----------
    *sources : callable
        The first to know is believed.

    Returns
    -------
    callable
        Gives the price of a ware.
    """

    def price_of(want: Want) -> Price | None:
        return next((p for source in sources if (p := source(want)) is not None), None)

    return price_of


def _same(one: str, other: str) -> bool:
    return one.strip().casefold() == other.strip().casefold()


def _is_colour(said: str, want: Want) -> bool:
    return _same(said, want.colour_name) or _same(said, want.ware.colour or "")

"""Shelf: what stands of the stock a quote is about, and what was paid for it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from fractions import Fraction

from strandwright.planning.ports import Store
from strandwright.planning.quote.prices import Price, PriceOf, Want
from strandwright.planning.stock.page import every_listing
from strandwright.workshop.documents import Listing
from strandwright.workshop.exact import half_up
from strandwright.workshop.stock_state import StockState, fold
from strandwright.workshop.wares import Ware

#: Decimals of the price of a piece, where a bag of them was paid for [-]
_PIECE = 4


@dataclass(frozen=True)
class OnShelf:
    """A spool, or small parts of one kind, as it stands.

    Attributes
    ----------
    log : str
        Its log.
    state : StockState
        What stands of it.
    """

    log: str
    state: StockState

    @property
    def lot(self) -> str:
        """Give the lot on its label; empty where there is none."""
        received = self.state.received
        return "" if received is None else received.lot.strip()


def shelf_of(
    store: Store, names: Collection[str] | None = None, *, over: bool = False
) -> tuple[OnShelf, ...]:
    """Read what stands on the shelf.

    Parameters
    ----------
    store : Store
        Where stock is kept.
    names : collection of str or None
        Only wares of these names, so that no other log is read; None reads all.
    over : bool
        Whether what is used up or written off is told of, too.

    Returns
    -------
    tuple of OnShelf
        Spools and parts.
    """

    def is_meant(row: Listing) -> bool:
        ware = row.summary["ware"]
        is_named = ware is not None and (names is None or ware["name"] in names)
        return is_named and (over or not row.summary["over"])

    return _folded(store, is_meant)


def promised_on(store: Store, order: str) -> tuple[OnShelf, ...]:
    """Read the spools and parts of which something is promised to an order.

    Parameters
    ----------
    store : Store
        Where stock is kept.
    order : str
        Identity of the order.

    Returns
    -------
    tuple of OnShelf
        No other log is read.
    """
    return _folded(store, lambda row: any(r["order"] == order for r in row.summary["reserved"]))


def _folded(store: Store, is_meant: Callable[[Listing], bool]) -> tuple[OnShelf, ...]:
    rows = [row for row in every_listing(store) if is_meant(row)]
    # By their logs, so that of two that are alike the same one is taken always.
    ids = sorted(row.id for row in rows)
    return tuple(OnShelf(id, fold(store.events(id))) for id in ids)


def prices_on(shelf: Sequence[OnShelf]) -> PriceOf:
    """Let what was paid for stock tell prices, the newest first.

    Parameters
    ----------
    shelf : sequence of OnShelf
        The stock.

    Returns
    -------
    callable
        Gives the price of a ware; None where nothing says what was paid for how much.
    """
    received = [(r.at, r.body) for one in shelf for r in one.state.receipts]
    newest = sorted(received, key=lambda pair: pair[0], reverse=True)

    def price_of(want: Want) -> Price | None:
        for _, body in newest:
            if not serves(body.ware, want.ware) or body.price is None:
                continue
            if body.count is not None:
                return Price(half_up(Fraction(body.price) / body.count, _PIECE))
            per = body.mass or body.length
            if per is not None:
                return Price(body.price, per)
        return None

    return price_of


def serves(have: Ware, want: Ware) -> bool:
    """Say whether what lies there is what is wanted.

    Parameters
    ----------
    have, want : Ware
        What lies there, and what a line wants; a small part that is wanted in no size is served by
        any.

    Returns
    -------
    bool
        True where it is.
    """
    any_size = want.is_counted and not want.size
    return (have.model_copy(update={"size": ""}) if any_size else have).key == want.key

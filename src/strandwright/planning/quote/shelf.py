"""Shelf: what of the stock a quote may promise and at what price, spool by spool."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from strandwright.planning.ports import Store
from strandwright.planning.quote.prices import Price, PriceOf, Want
from strandwright.planning.stock.page import every_listing
from strandwright.workshop.documents import Listing
from strandwright.workshop.exact import half_up
from strandwright.workshop.quote import QuotedWare
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


@dataclass(frozen=True)
class Promise:
    """What is reserved of one spool, or of small parts, for one job.

    Attributes
    ----------
    log : str
        The spool's log, or the parts'.
    job : str
        The job.
    length : float
        Of a spool [m]
    count : int
        Of small parts [-]
    """

    log: str
    job: str
    length: float = 0.0
    count: int = 0


@dataclass(frozen=True)
class Short:
    """What the shelf cannot promise: it is to be bought.

    Attributes
    ----------
    job : str
        The job.
    ware : Ware
        What it is.
    lot : str
        The lot that is wanted; empty where any will do.
    length : float
        Of strand or thread [m]
    count : int
        Of small parts [-]
    colour_name : str
        What the job calls the colour; empty where it does not.
    """

    job: str
    ware: Ware
    lot: str
    length: float = 0.0
    count: int = 0
    colour_name: str = ""

    @property
    def want(self) -> Want:
        """Give it as a line wants it."""
        return Want(self.ware, self.colour_name, self.lot)


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


def promise(
    wares: Iterable[QuotedWare], shelf: Sequence[OnShelf]
) -> tuple[tuple[Promise, ...], tuple[Short, ...]]:
    """Choose what to promise to the jobs of a quote.

    Parameters
    ----------
    wares : iterable of QuotedWare
        What the jobs take; of a length with a +- the far end of it is promised.
    shelf : sequence of OnShelf
        The stock.

    Returns
    -------
    promises : tuple of Promise
        One spool for each ware of a job: an opened one that holds it all before a full one, of
        these the one with least on it.
    short : tuple of Short
        What no single spool holds and what parts there are too few of.

    Notes
    -----
    It never promises more than is free. Which spools a whole set is best wound from is another
    question; what is promised here may be freed and promised otherwise.
    """
    taken: dict[str, float] = {}
    promises: list[Promise] = []
    short: list[Short] = []
    for want in wares:
        wanted = needed(want)
        found = _best(want, wanted, shelf, taken)
        counted = want.ware.is_counted
        length, count = (0.0, round(wanted)) if counted else (wanted, 0)
        if found is None:
            short.append(Short(want.job, want.ware, want.lot, length, count, want.colour_name))
        else:
            taken[found.log] = taken.get(found.log, 0.0) + wanted
            promises.append(Promise(found.log, want.job, length, count))
    return tuple(promises), tuple(short)


def needed(want: QuotedWare) -> float:
    """Give how much of a ware is to be promised.

    Parameters
    ----------
    want : QuotedWare
        What a line takes.

    Returns
    -------
    float
        The far end of its length [m], or its pieces [-]
    """
    if want.length is None:
        return float(want.count or 0)
    return want.length.si + 2.0 * (want.length.standard_uncertainty or 0.0)


def _best(
    want: QuotedWare, wanted: float, shelf: Sequence[OnShelf], taken: dict[str, float]
) -> OnShelf | None:
    fits = [
        (not one.state.is_open, free, one.log, one)
        for one in shelf
        if one.state.ware is not None
        and serves(one.state.ware, want.ware)
        and want.lot in ("", one.lot)
        and (free := _free(one) - taken.get(one.log, 0.0)) >= wanted
    ]
    return min(fits, key=lambda fit: fit[:3])[3] if fits else None


def _free(one: OnShelf) -> float:
    counted = one.state.ware is not None and one.state.ware.is_counted
    return float(one.state.free_count) if counted else one.state.free_length

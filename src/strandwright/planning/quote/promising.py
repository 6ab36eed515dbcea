"""Promising: which spool each job of a quote has its ware from, and what is to be bought."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from strandwright.planning.quote.prices import Want
from strandwright.planning.quote.shelf import OnShelf, serves
from strandwright.workshop.quote import QuotedWare
from strandwright.workshop.wares import Ware


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

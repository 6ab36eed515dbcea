"""Warranty: whether a line that came back is within the days the shop stands for it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from strandwright.errors import NotFound
from strandwright.planning.ports import Store
from strandwright.planning.quote.keeping import kept_terms
from strandwright.workshop.order_state import OrderState, fold
from strandwright.workshop.quote import quote_from_table
from strandwright.workshop.service import log_of


@dataclass(frozen=True)
class Warranty:
    """How a line stands to the shop's warranty.

    Attributes
    ----------
    days : int or None
        Days the shop stands for it; None where nobody has said [d]
    began : datetime or None
        When they began: handed over, or put on its bow; None where neither is known.
    until : datetime or None
        The last of them.
    within : bool or None
        Whether it came back within them; None where that cannot be told.
    said : str
        What it goes by.
    """

    days: int | None
    began: datetime | None
    until: datetime | None
    within: bool | None
    said: str


def warranty_of(store: Store, build: str, now: datetime) -> Warranty:
    """Say whether a line that comes back now is within its warranty.

    Parameters
    ----------
    store : Store
        Where it is kept.
    build : str
        The build of the line.
    now : datetime
        Now.

    Returns
    -------
    Warranty
        By the price that was taken, where there is one; else by the shop's terms as they are now.

    Raises
    ------
    NotFound
        If there is no such build.
    """
    made = _made_in(store, build)
    days, by = _days(store, made)
    began, since = _began(store, build, made)
    if days is None:
        return Warranty(None, began, None, None, "no days of warranty are set in the terms")
    if began is None:
        said = "nobody wrote down when it was handed over or put on its bow"
        return Warranty(days, None, None, None, said)
    until = began + timedelta(days=days)
    said = f"{days} days from {began.date().isoformat()}, when it was {since}, by {by}"
    return Warranty(days, began, until, now <= until, said)


def _made_in(store: Store, build: str) -> OrderState | None:
    """Find the order in which it was made."""
    job = store.build(build).job_id
    rows = store.listings("order", words=job)
    states = (fold(store.events(row.id)) for row in rows if job in row.summary["jobs"])
    return next((s for s in states if build in {made.build for made in s.made}), None)


def _days(store: Store, made: OrderState | None) -> tuple[int | None, str]:
    taken = None if made is None else made.accepted
    if taken is not None:
        quote = quote_from_table(store.document("quote", taken.quote, taken.revision).table)
        return quote.warranty_days, "the price that was taken"
    return kept_terms(store)[0].warranty_days, "the shop's terms as they are now"


def _began(store: Store, build: str, made: OrderState | None) -> tuple[datetime | None, str]:
    if made is not None and made.handed_over_at:
        return datetime.fromisoformat(made.handed_over_at), "handed over"
    try:
        (row,) = store.named("service", [log_of(build)])
    except (NotFound, ValueError):
        return None, ""
    fitted = row.summary["fitted_at"]
    return (datetime.fromisoformat(fitted) if fitted else None), "put on its bow"

"""Drafting: the price of an order's lines as everything stands now; nothing of it is kept."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from threading import Lock
from typing import Any

from strandwright.errors import NotFound, SpecError
from strandwright.planning.desk.jobs import JobDesk
from strandwright.planning.orders.keeping import KeptOrder
from strandwright.planning.ports import Store
from strandwright.planning.quote.entered import discount_of, fitting_of, parts_of, with_taxes
from strandwright.planning.quote.keeping import kept_quote, kept_terms
from strandwright.planning.quote.labour import NEWEST, timed_builds
from strandwright.planning.quote.materials import materials_of
from strandwright.planning.quote.pace import TimedBuild
from strandwright.planning.quote.prices import first_known, prices_in
from strandwright.planning.quote.quote import QuoteRequest, make_quote
from strandwright.planning.quote.shelf import prices_on, shelf_of
from strandwright.workshop.job import noun_from_table
from strandwright.workshop.order_state import order_number
from strandwright.workshop.quote import Quote
from strandwright.workshop.quote_entries import QuoteEntries


class Drafter:
    """Makes quotes of orders, and remembers what the shop's builds say of its pace.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    """

    def __init__(self, desk: JobDesk) -> None:
        self._desk = desk
        self._lock = Lock()
        self._seen: tuple[tuple[str, str], ...] = ()
        self._builds: tuple[TimedBuild, ...] = ()

    def builds(self) -> tuple[TimedBuild, ...]:
        """Give the times of the newest finished builds, read anew only where one was written.

        Returns
        -------
        tuple of TimedBuild
            As :func:`strandwright.planning.quote.labour.timed_builds` gives them.
        """
        store = self._desk.store
        rows = store.listings("build", status="done", limit=NEWEST)
        seen = tuple((row.id, row.at) for row in rows)
        with self._lock:
            if seen != self._seen:
                self._builds = timed_builds(store, self._desk.planner)
                self._seen = seen
            return self._builds

    def draft(self, kept: KeptOrder, entries: QuoteEntries, made_on: date) -> Quote:
        """Make the quote of an order.

        Parameters
        ----------
        kept : KeptOrder
            The order.
        entries : QuoteEntries
            What was added by hand.
        made_on : date
            The day.

        Returns
        -------
        Quote
            Not kept yet.

        Raises
        ------
        InputError
            If one thing is missing or contradicts another: a job, a currency, a price.
        InputErrors
            If several are.
        """
        if not kept.jobs:
            rule = "must have a job of each line to be priced"
            raise SpecError("order.jobs", "none", rule, "measure the line first")
        store = self._desk.store
        terms = with_taxes(kept_terms(store)[0], entries.taxes)
        bow = kept.state.bow
        plans = tuple(self._desk.plan(job) for job in kept.jobs)
        parts = parts_of(entries)
        names = {one.want.ware.name for one in materials_of(plans, terms, parts)}
        request = QuoteRequest(
            id=quote_id(store, kept.id),
            plans=plans,
            terms=terms,
            made_on=made_on,
            order=kept.id,
            customer="" if kept.customer is None else kept.customer.name,
            bow="" if bow is None else ", ".join(w for w in (bow.name, bow.kind) if w),
            price_of=first_known(prices_in(terms), prices_on(shelf_of(store, names))),
            builds=self.builds(),
            outcomes=tuple(self._desk.memory.outcomes()),
            parts=parts,
            fitting=fitting_of(
                entries.fitting, kept.jobs[0].bow.kind if bow is None else bow.kind,
                "entries.fitting",
            ),
            extras=tuple((one.title, one.amount) for one in entries.extras),
            discount=discount_of(entries.off, "entries.off"),
            due=None if entries.due is None else date.fromisoformat(entries.due),
        )  # fmt: skip
        return make_quote(request).model_copy(update={"entries": entries})


def read_entries(table: Mapping[str, Any]) -> QuoteEntries:
    """Read what was added by hand, as it was sent.

    Parameters
    ----------
    table : mapping
        The fields of a :class:`~strandwright.workshop.quote_entries.QuoteEntries`.

    Returns
    -------
    QuoteEntries
        What was typed.

    Raises
    ------
    InputError
        For one thing that cannot be used.
    InputErrors
        For several of them.
    """
    return noun_from_table(QuoteEntries, dict(table), "entries")


def quote_id(store: Store, order: str) -> str:
    """Give the identity of an order's quote: the number people say.

    Parameters
    ----------
    store : Store
        Where quotes are kept.
    order : str
        Identity of the order.

    Returns
    -------
    str
        The whole identity of the order where another order's quote has that number.
    """
    number = order_number(order)
    try:
        return number if kept_quote(store, number)[0].order == order else order
    except NotFound:
        return number

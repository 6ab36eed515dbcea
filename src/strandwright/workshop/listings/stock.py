"""Listings of stock: spools and small parts, found by ware, lot, place and supplier."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from strandwright.workshop.documents import Listing, LogHead
from strandwright.workshop.events import StoredEvent
from strandwright.workshop.listings.jobs import found_by
from strandwright.workshop.stock_state import Receipt, StockState, Use, fold


def list_stock(head: LogHead, events: Sequence[StoredEvent]) -> Listing:
    """Say how a spool stands, or small parts of one ware.

    Parameters
    ----------
    head : LogHead
        Its head; the ware is its subject.
    events : sequence of StoredEvent
        All of its events, in order.

    Returns
    -------
    Listing
        Owned by its ware; ``at hand`` or ``gone``; sorted by its last event. Its summary holds
        all that a shelf is reckoned from, so that no list reads a log.
    """
    state = fold(events)
    last = max((stored.event.at for stored in events), default=head.began_at)
    received = state.received
    label = "" if state.ware is None else state.ware.label
    said = () if received is None else (received.lot, received.supplier, received.called)
    key = "" if state.ware is None else state.ware.key
    words = found_by(key, label, *said, state.place, head.id)
    status = "gone" if state.is_over else "at hand"
    return Listing(head.kind, head.id, head.subject, status, last, words, summary_of(state))


def summary_of(state: StockState) -> dict[str, Any]:
    """Give all that a shelf is reckoned from, as plain values in SI.

    Parameters
    ----------
    state : StockState
        How it stands.

    Returns
    -------
    dict
        Lengths in m, masses in kg; what it is worth as an exact fraction.
    """
    received, spool, worth = state.received, state.spool, state.worth
    ware = state.ware
    return {
        "ware": None if ware is None else ware.model_dump(mode="json", exclude_defaults=True),
        "key": "" if ware is None else ware.key,
        "label": "" if ware is None else ware.label,
        "counted": ware is not None and ware.is_counted,
        "called": "" if received is None else received.called,
        "lot": "" if received is None else received.lot,
        "supplier": "" if received is None else received.supplier,
        "place": state.place,
        "left": spool.length,
        "left_u": spool.length_u,
        "mass": spool.mass,
        "mass_u": spool.mass_u,
        "full": spool.full,
        "density": spool.density,
        "density_u": spool.density_u,
        "tare": spool.tare,
        "tare_u": spool.tare_u,
        "beyond": spool.beyond,
        "weighings": spool.weighings,
        "doubted": list(spool.doubted),
        "count": state.count,
        "beyond_count": state.beyond_count,
        "reserved": [
            {"order": r.order, "job": r.job, "length": r.length, "count": r.count}
            for r in state.reserved
        ],
        "free": state.free_length,
        "free_count": state.free_count,
        "short": state.short_length,
        "short_count": state.short_count,
        "opened": state.is_open,
        "over": state.is_over,
        "gone": state.gone,
        "worth": None if worth is None else str(worth),
        "receipts": [_receipt(r, spool.full) for r in state.receipts],
        "uses": [_use(use) for use in state.uses],
        "seq": state.seq,
    }


def _receipt(receipt: Receipt, full: float) -> dict[str, Any]:
    body = receipt.body
    return {
        "at": receipt.at,
        "price": None if body.price is None else f"{body.price:f}",
        "supplier": body.supplier,
        "lot": body.lot,
        "length": 0.0 if body.ware.is_counted else full,
        "count": body.count or 0,
    }


def _use(use: Use) -> dict[str, Any]:
    return {
        "at": use.at,
        "order": use.order,
        "job": use.job,
        "build": use.build,
        "length": use.length,
        "count": use.count,
        "why": use.why,
    }

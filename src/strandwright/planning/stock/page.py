"""The stock page: every ware with its spools, what is free, what it is worth, when to order.

It is reckoned from listings alone, which a store writes together with the logs.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from strandwright.planning.desk.jobs import JobDesk
from strandwright.planning.ports import Store
from strandwright.planning.stock.keeping import KeptStock, stock_of
from strandwright.planning.stock.reorder import reorder_of
from strandwright.planning.stock.rows import price_of, prices_of, row_of, total_of
from strandwright.planning.stock.words import (
    density_text,
    event_text,
    feet,
    mass_text,
    money,
    pieces,
    reorder_text,
    shop_currency,
)
from strandwright.workshop.documents import Listing
from strandwright.workshop.events import StoredEvent
from strandwright.workshop.happenings.every import Withdrawn
from strandwright.workshop.listings.stock import list_stock
from strandwright.workshop.money import Currency

Table = dict[str, Any]
#: Listings that are read at once [-]
_PAGE = 500


def stock_page(desk: JobDesk) -> Table:
    """Give everything the stock screen shows.

    Parameters
    ----------
    desk : JobDesk
        The desk.

    Returns
    -------
    dict
        ``wares`` in the order of their names, each with its ``spools``; ``to_order``, what stands
        at or under its level; ``worth``, all of it together.
    """
    currency = shop_currency(desk.store)
    rows = every_listing(desk.store)
    grouped: dict[str, list[Listing]] = {}
    for row in rows:
        grouped.setdefault(row.summary["key"], []).append(row)
    wares = [_ware(grouped[key], desk.now(), currency) for key in sorted(grouped) if key]
    return {
        "wares": wares,
        "spools": sum(len(w["spools"]) for w in wares),
        "to_order": [w["key"] for w in wares if w["order_now"]],
        # Each spool is rounded by itself, so that the rows add up to what stands below them.
        "worth_text": money(total_of(rows, currency), currency),
    }


def every_listing(store: Store, kinds: Iterable[str] = ("spool", "part")) -> list[Listing]:
    """Give every listing of stock.

    Parameters
    ----------
    store : Store
        Where they are kept.
    kinds : iterable of str
        Spools, parts, or both.

    Returns
    -------
    list of Listing
        By kind, the latest first.
    """
    found: list[Listing] = []
    for kind in kinds:
        before = None
        while page := store.listings(kind, before=before, limit=_PAGE):
            found += page
            before = (page[-1].at, page[-1].id)
            if len(page) < _PAGE:
                break
    return found


def numbered(desk: JobDesk) -> list[str]:
    """Give what is at hand in the order in which the stock page shows it.

    Parameters
    ----------
    desk : JobDesk
        The desk.

    Returns
    -------
    list of str
        The logs; the first one is number 1.
    """
    return [one["id"] for ware in stock_page(desk)["wares"] for one in ware["spools"]]


def spool_page(desk: JobDesk, log: str) -> Table:
    """Give everything the screen of one spool, or of small parts, shows.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    log : str
        Its log.

    Returns
    -------
    dict
        The row of the stock page, and every entry of the log, newest first.

    Raises
    ------
    NotFound
        If there is no such spool.
    """
    kept = stock_of(desk, log)
    events = desk.store.events(log)
    currency = shop_currency(desk.store)
    listing = list_stock(kept.head, events)
    summary = listing.summary
    return row_of(listing, currency) | {
        "ware": summary["ware"],
        "key": summary["key"],
        "price_text": money(price_of(summary), currency),
        "learned": _learned(kept),
        "entries": _entries(events, summary["doubted"]),
    }


def _ware(rows: Sequence[Listing], now: str, currency: Currency | None) -> Table:
    """Put the spools of one ware together."""
    here = sorted((r for r in rows if r.status == "at hand"), key=_by_turn)
    summaries = [r.summary for r in rows]
    counted = bool(summaries[0]["counted"])
    free = sum(r.summary["free_count" if counted else "free"] for r in here)
    receipts = [receipt for s in summaries for receipt in s["receipts"]]
    reorder = reorder_of(
        [use for s in summaries for use in s["uses"]],
        min((r["at"] for r in receipts), default=now),
        now,
        full=max((r["length"] for r in receipts), default=0.0),
        counted=counted,
    )
    return {
        "key": summaries[0]["key"],
        "ware": summaries[0]["ware"],
        "label": summaries[0]["label"],
        "called": next((s["called"] for s in summaries if s["called"]), ""),
        "counted": counted,
        "spools": [row_of(r, currency) for r in here],
        "gone": len(rows) - len(here),
        "free": free,
        "free_text": pieces(round(free)) if counted else feet(free),
        "worth_text": money(total_of(here, currency), currency),
        # What ran out long ago and was hardly used is not asked for again by itself.
        "order_now": free <= reorder.level and (bool(here) or reorder.basis == "own use"),
        "level": reorder.level,
        "reorder_basis": reorder.basis,
        "reorder_text": reorder_text(reorder, free, counted=counted),
        "prices": prices_of(receipts, currency, counted=counted),
    }


def _by_turn(row: Listing) -> tuple[bool, float, str]:
    """Begun spools first, those with less on them before the others."""
    return not row.summary["opened"], row.summary["left"], row.id


def _learned(kept: KeptStock) -> Table:
    """Say what weighings have taught of the spool."""
    spool = kept.state.spool
    if kept.head.kind != "spool":
        return {}
    return {
        "weighings": spool.weighings,
        "density_text": density_text(spool.density, spool.density_u),
        "tare_text": mass_text(spool.tare, spool.tare_u),
    }


def _entries(events: Sequence[StoredEvent], doubted: Sequence[str]) -> list[Table]:
    """Give every entry, newest first; those taken back say so."""
    bodies = [s.event.body for s in events]
    gone = {body.event for body in bodies if isinstance(body, Withdrawn)}
    return [
        {
            "id": s.event.id,
            "type": s.event.type,
            "at": s.event.at,
            "by": s.event.by,
            "text": event_text(s.event),
            "taken_back": s.event.id in gone,
            "doubted": s.event.id in doubted,
        }
        for s in sorted(events, key=lambda s: (s.event.at, s.seq), reverse=True)
    ]

"""The stock page: every ware with its spools, what is free, what it is worth, when to order.

It is reckoned from listings alone, which a store writes together with the logs.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Any

from strandwright.planning.desk.jobs import JobDesk
from strandwright.planning.ports import Store
from strandwright.planning.stock.keeping import KeptStock, stock_of
from strandwright.planning.stock.reorder import reorder_of
from strandwright.planning.stock.words import (
    density_text,
    event_text,
    feet,
    length_text,
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
from strandwright.workshop.order_number import order_number

Table = dict[str, Any]
#: Listings that are read at once [-]
_PAGE = 500
#: Lengths of a price are told by this many metres: a hundred feet [m]
_PRICED = 30.48


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
    worths = [Fraction(r.summary["worth"]) for r in rows if r.summary["worth"] is not None]
    return {
        "wares": wares,
        "spools": sum(len(w["spools"]) for w in wares),
        "to_order": [w["key"] for w in wares if w["order_now"]],
        # Each spool is rounded by itself, so that the rows add up to what stands below them.
        "worth_text": money(_total(rows, currency), currency) if worths else "",
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
    row = _row(list_stock(kept.head, events), currency)
    summary = list_stock(kept.head, events).summary
    return row | {
        "ware": summary["ware"],
        "key": summary["key"],
        "price_text": money(_price(summary), currency),
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
        "spools": [_row(r, currency) for r in here],
        "gone": len(rows) - len(here),
        "free": free,
        "free_text": pieces(round(free)) if counted else feet(free),
        "worth_text": money(_total(here, currency), currency),
        # What ran out long ago and was hardly used is not asked for again by itself.
        "order_now": free <= reorder.level and (bool(here) or reorder.basis == "own use"),
        "level": reorder.level,
        "reorder_basis": reorder.basis,
        "reorder_text": reorder_text(reorder, free, counted=counted),
        "prices": _prices(receipts, currency, counted=counted),
    }


def _by_turn(row: Listing) -> tuple[bool, float, str]:
    """Begun spools first, those with less on them before the others."""
    return not row.summary["opened"], row.summary["left"], row.id


def _row(row: Listing, currency: Currency | None) -> Table:
    """Give one spool, or small parts, as a list shows it."""
    s = row.summary
    full = s["full"] or 1.0
    reserved = sum(r["length"] for r in s["reserved"])
    count = sum(r["count"] for r in s["reserved"])
    return {
        "id": row.id,
        "kind": row.kind,
        "label": s["label"],
        "colour": (s["ware"] or {}).get("colour"),
        "called": s["called"],
        "counted": s["counted"],
        "lot": s["lot"],
        "supplier": s["supplier"],
        "place": s["place"],
        "opened": s["opened"],
        "over": s["over"],
        "gone": s["gone"],
        "count": s["count"],
        "reserved_count": count,
        "left_share": min(s["left"] / full, 1.0),
        "spread_share": 2.0 * s["left_u"] / full,
        "reserved_share": min(reserved / full, 1.0),
        "left_m": s["left"],
        "free_m": s["free"],
        "left_text": pieces(s["count"]) if s["counted"] else length_text(s["left"], s["left_u"]),
        "mass_text": "" if s["counted"] else mass_text(s["mass"], s["mass_u"]),
        "full_text": "" if s["counted"] else feet(s["full"]),
        "free_text": pieces(s["free_count"]) if s["counted"] else feet(s["free"]),
        "reserved_text": _reserved(s, reserved, count),
        "reserved": [_promise(r, counted=s["counted"]) for r in s["reserved"]],
        "worth_text": money(_worth(s), currency),
        "warnings": _warnings(s),
        "at": row.at,
    }


def _reserved(summary: Mapping[str, Any], length: float, count: int) -> str:
    if not summary["reserved"]:
        return ""
    return pieces(count) if summary["counted"] else feet(length)


def _promise(reserved: Mapping[str, Any], *, counted: bool) -> Table:
    text = pieces(reserved["count"]) if counted else feet(reserved["length"])
    number = order_number(reserved["order"])
    return {"order": reserved["order"], "number": number, "job": reserved["job"], "text": text}


def _warnings(summary: Mapping[str, Any]) -> list[str]:
    """Say what does not fit."""
    said: list[str] = []
    if summary["doubted"]:
        said.append(
            "A weighing does not fit the label and what was used: weigh it again, and take the "
            "wrong one back."
        )
    if summary["beyond"] > 0.0:
        said.append(
            f"{feet(summary['beyond'])} more was used than was thought to be there: weigh it, or "
            "write it off when it is empty."
        )
    if summary["beyond_count"]:
        said.append(f"{pieces(summary['beyond_count'])} more used than were there: count them.")
    if summary["short"] > 0.0:
        said.append(f"{feet(summary['short'])} of what is promised is not there any more.")
    if summary["short_count"]:
        said.append(f"{pieces(summary['short_count'])} of those promised are not there any more.")
    return said


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


def _worth(summary: Mapping[str, Any]) -> Fraction | None:
    return None if summary["worth"] is None else Fraction(summary["worth"])


def _total(rows: Iterable[Listing], currency: Currency | None) -> Fraction | None:
    """Add up what rows are worth, each rounded as it is shown."""
    shown = currency or Currency("", 2)
    worths = [w for r in rows if (w := _worth(r.summary)) is not None]
    return sum((Fraction(shown.rounded(w)) for w in worths), Fraction(0)) if worths else None


def _price(summary: Mapping[str, Any]) -> Fraction | None:
    prices = [r["price"] for r in summary["receipts"] if r["price"] is not None]
    return Fraction(prices[-1]) if prices else None


def _prices(
    receipts: Sequence[Mapping[str, Any]], currency: Currency | None, *, counted: bool
) -> list[Table]:
    """Give what was paid for a ware, oldest first, and what that is for a piece or a length."""
    paid = sorted((r for r in receipts if r["price"] is not None), key=lambda r: str(r["at"]))
    return [
        {
            "at": r["at"],
            "supplier": r["supplier"],
            "lot": r["lot"],
            "text": money(Fraction(r["price"]), currency),
            "each": _each(r, counted=counted),
            "each_text": _each_text(r, currency, counted=counted),
        }
        for r in paid
    ]


def _each(receipt: Mapping[str, Any], *, counted: bool) -> float | None:
    """Give the price of a piece, or of a hundred feet, as a plot draws it."""
    amount = receipt["count"] if counted else receipt["length"] / _PRICED
    return float(Fraction(receipt["price"])) / amount if amount else None


def _each_text(receipt: Mapping[str, Any], currency: Currency | None, *, counted: bool) -> str:
    amount = Fraction(receipt["count"] if counted else receipt["length"] / _PRICED)
    if not amount:
        return ""
    each = money(Fraction(receipt["price"]) / amount, currency)
    return f"{each} a piece" if counted else f"{each} for 100 ft"

"""Rows of stock: one spool, or small parts, as a list shows it; what it is worth and was paid."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Any

from strandwright.planning.stock.words import feet, length_text, mass_text, money, pieces
from strandwright.workshop.documents import Listing
from strandwright.workshop.money import Currency
from strandwright.workshop.order_number import order_number

Table = dict[str, Any]
#: Lengths of a price are told by this many metres: a hundred feet [m]
_PRICED = 30.48


def row_of(row: Listing, currency: Currency | None) -> Table:
    """Give one spool, or small parts, as a list shows it.

    Parameters
    ----------
    row : Listing
        Its listing.
    currency : Currency or None
        What the shop reckons in.

    Returns
    -------
    dict
        Amounts as text, shares of a full spool for its bar, promises, warnings.
    """
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


def _worth(summary: Mapping[str, Any]) -> Fraction | None:
    return None if summary["worth"] is None else Fraction(summary["worth"])


def total_of(rows: Iterable[Listing], currency: Currency | None) -> Fraction | None:
    """Add up what spools and parts are worth, each rounded as it is shown.

    Parameters
    ----------
    rows : iterable of Listing
        Their listings.
    currency : Currency or None
        What the shop reckons in.

    Returns
    -------
    Fraction or None
        The sum; None where no price of any is known [money]
    """
    shown = currency or Currency("", 2)
    worths = [w for r in rows if (w := _worth(r.summary)) is not None]
    return sum((Fraction(shown.rounded(w)) for w in worths), Fraction(0)) if worths else None


def price_of(summary: Mapping[str, Any]) -> Fraction | None:
    """Give what was paid last.

    Parameters
    ----------
    summary : mapping
        Of the listing.

    Returns
    -------
    Fraction or None
        The price; None where none is known [money]
    """
    prices = [r["price"] for r in summary["receipts"] if r["price"] is not None]
    return Fraction(prices[-1]) if prices else None


def prices_of(
    receipts: Sequence[Mapping[str, Any]], currency: Currency | None, *, counted: bool
) -> list[Table]:
    """Give what was paid for a ware, and what that is for a piece or a length.

    Parameters
    ----------
    receipts : sequence of mapping
        Of all its listings.
    currency : Currency or None
        What the shop reckons in.
    counted : bool
        Whether it comes by the piece.

    Returns
    -------
    list of dict
        Oldest first.
    """
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

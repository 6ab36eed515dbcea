"""Page of a quote: its bill as a column of amounts, the +- beside it, what the shelf has of it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from strandwright.planning.estimate import Estimate
from strandwright.planning.quote.prices import Want
from strandwright.planning.quote.promising import Promise, Short
from strandwright.planning.quote.shelf import OnShelf
from strandwright.planning.quote.words import bill_words, promises
from strandwright.planning.written import Written
from strandwright.units import Entered
from strandwright.workshop.money import Currency
from strandwright.workshop.quote import Quote, QuotedAct, QuotedLine, QuotedWare
from strandwright.workshop.stock_state import StockState

Fields = dict[str, Any]
_OWN, _PRACTICE = "this shop's builds", "common practice"
_LINES = ("lines", "discounts", "taxes")


def quote_page(quote: Quote) -> Fields:
    """Give everything a screen shows of a quote.

    Parameters
    ----------
    quote : Quote
        The quote, kept or not.

    Returns
    -------
    dict
        JSON-ready: the bill in words with its amounts without the currency, each line with what
        is unsure of it ``beside``; ``acts``, each with where its minutes come from; the rest of
        what it says.
    """
    to, told = Written.on(quote.paper), _without_code(bill_words(quote), quote.money)
    beside = _beside(quote, to)
    lines = [line | {"beside": said} for line, said in zip(told["lines"], beside, strict=True)]
    return told | {
        "id": quote.id,
        "made_on": quote.made_on,
        "holds_until": quote.holds_until,
        "due": quote.due,
        "currency": quote.currency,
        "exact": f"{quote.total:f}",
        "lines": lines,
        "jobs": [
            {"job": one.job, "name": one.name, "finished": to.length(one.finished.si),
             "strands": one.strands, "strand": one.strand, "misses": one.misses}
            for one in quote.jobs
        ],
        "acts": [_act(act) for act in quote.acts],
        "hands": minutes_text(quote.hands),
        "stands": minutes_text(quote.stands),
        "rests": minutes_text(quote.rests),
        "work_source": quote.work_source,
        "risk": quote.money.written(quote.remake_risk),
        "promises": promises(quote),
        "entries": quote.entries.model_dump(mode="json", exclude_defaults=True),
    }  # fmt: skip


def minutes_text(entered: Entered) -> str:
    """Write a time in minutes with its +-.

    Parameters
    ----------
    entered : Entered
        The time [s]

    Returns
    -------
    str
        ``57 ± 20 min``.
    """
    half = 2.0 * (entered.standard_uncertainty or 0.0) / 60.0
    apart = f" \u00b1 {half:.0f}" if half >= 0.5 else ""
    return f"{entered.si / 60.0:.0f}{apart} min"


def shelf_page(
    quote: Quote, promised: Sequence[Promise], short: Sequence[Short], shelf: Sequence[OnShelf]
) -> Fields:
    """Say what of a quote is taken off which spool, and what is to be bought.

    Parameters
    ----------
    quote : Quote
        The quote.
    promised : sequence of Promise
        What the shelf has for it.
    short : sequence of Short
        What it has not.
    shelf : sequence of OnShelf
        The stock.

    Returns
    -------
    dict
        JSON-ready: ``from_shelf`` and ``to_buy``.
    """
    to, logs = Written.on(quote.paper), {one.log: one.state for one in shelf}
    return {
        "from_shelf": [
            {"job": one.job, "amount": _taken(one.length, one.count, to)} | _spool(one.log, logs)
            for one in promised
        ],
        "to_buy": [
            {"job": one.job, "amount": _taken(one.length, one.count, to),
             "title": one.want.title, "colour": one.ware.colour or ""}
            for one in short
        ],
    }  # fmt: skip


def reserved_page(quote: Quote, missing: Sequence[QuotedWare], shelf: Sequence[OnShelf]) -> Fields:
    """Say what is promised to the order of a quote that was taken, and what is short still.

    Parameters
    ----------
    quote : Quote
        The quote that was taken.
    missing : sequence of QuotedWare
        What nothing is promised of.
    shelf : sequence of OnShelf
        The stock, what is used up among it.

    Returns
    -------
    dict
        As :func:`shelf_page` gives it.
    """
    held = [
        Promise(one.log, r.job, r.length, r.count)
        for one in shelf
        for r in one.state.reserved
        if r.order == quote.order
    ]
    short = [
        Short(w.job, w.ware, w.lot, _most(w.length), w.count or 0, w.colour_name) for w in missing
    ]
    return shelf_page(quote, held, short, shelf)


def _without_code(told: Fields, money: Currency) -> Fields:
    """Take the currency off amounts that stand in one column: it stands above them once."""
    code = f"\u00a0{money.code}"

    def bare(row: Fields) -> Fields:
        return row | {"amount": row["amount"].removesuffix(code)}

    sums = {name: told[name].removesuffix(code) for name in ("subtotal", "total", "deposit")}
    return told | sums | {name: [bare(row) for row in told[name]] for name in _LINES}


def _beside(quote: Quote, to: Written) -> list[str]:
    """Say of each line what is unsure of it, and where its minutes come from."""
    taken = _taken_by_title(quote.wares, to)
    jobs = iter(quote.jobs)
    whose = _source(quote.acts)
    found: list[str] = []
    for line in quote.lines:
        if line.kind == "work":
            found.append(f"{minutes_text(next(jobs).hands)} of hands, by {whose}")
        elif line.kind == "fitting":
            usual = quote.entries.fitting.strip() == "usual"
            found.append(f"once for the bow, by {_PRACTICE}" if usual else "as you said")
        elif line.kind == "risk":
            found.append("on the average, as these lines may have to be made good")
        else:
            found.append(taken.get(line.title, "") if _is_ware(line) else "")
    return found


def _is_ware(line: QuotedLine) -> bool:
    return line.kind == "material"


def _source(acts: Iterable[QuotedAct]) -> str:
    timed = [act.timed > 0 for act in acts]
    if all(timed):
        return _OWN
    return f"{_OWN} and {_PRACTICE}" if any(timed) else _PRACTICE


def _act(act: QuotedAct) -> Fields:
    times = "once" if act.timed == 1 else f"{act.timed} times"
    source = f"{_OWN}, {times}" if act.timed else _PRACTICE
    return {
        "title": act.title,
        "amount": f"{act.amount:f}",
        "time": minutes_text(act.time),
        "timed": act.timed,
        "source": source,
    }


def _taken_by_title(wares: Iterable[QuotedWare], to: Written) -> dict[str, str]:
    """Add up what all lines take of each ware; the +- are of one cause and add up whole."""
    grouped: dict[tuple[str, str], list[QuotedWare]] = {}
    for ware in wares:
        if not ware.ware.is_counted:
            grouped.setdefault((ware.ware.key, ware.lot), []).append(ware)
    return {_title(rows): _sums(rows, to) for rows in grouped.values()}


def _title(rows: Sequence[QuotedWare]) -> str:
    """Name a ware as its line of the bill does, where jobs call its colour by several names."""
    return min((Want(row.ware, row.colour_name, row.lot) for row in rows), key=str).title


def _sums(rows: Sequence[QuotedWare], to: Written) -> str:
    lengths = [row.length for row in rows if row.length is not None]
    masses = [row.mass for row in rows if row.mass is not None]
    length = to.long(_summed(lengths, "m")) if lengths else ""
    mass = to.estimate(_summed(masses, "kg")) if masses else ""
    return ", ".join(text for text in (length, mass) if text)


def _summed(parts: Sequence[Entered], unit: str) -> Estimate:
    value = math.fsum(part.si for part in parts)
    return Estimate(value, math.fsum(part.standard_uncertainty or 0.0 for part in parts), unit)


def _most(length: Entered | None) -> float:
    return 0.0 if length is None else length.si + 2.0 * (length.standard_uncertainty or 0.0)


def _taken(length: float, count: int, to: Written) -> str:
    if count:
        return f"{count}"
    return to.long(Estimate(length, 0.0, "m"))


def _spool(log: str, logs: dict[str, StockState]) -> Fields:
    state = logs[log]
    received, ware = state.received, state.ware
    assert received is not None
    assert ware is not None
    return {
        "log": log,
        "title": Want(ware, received.called, received.lot.strip()).title,
        "colour": ware.colour or "",
        "place": state.place,
    }

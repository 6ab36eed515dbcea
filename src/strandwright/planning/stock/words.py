"""Words of stock: amounts in feet and grams, and what happened, as sentences."""

from __future__ import annotations

import math
from decimal import Decimal
from fractions import Fraction

from strandwright.errors import InputError, NotFound
from strandwright.planning.estimate import Estimate
from strandwright.planning.ports import Store
from strandwright.planning.stock.reorder import Reorder
from strandwright.planning.written import Written
from strandwright.units import FOOT, Entered
from strandwright.workshop.events import Event
from strandwright.workshop.happenings.every import Noted, Withdrawn
from strandwright.workshop.happenings.stock import (
    StockCounted,
    StockFreed,
    StockMoved,
    StockReceived,
    StockReserved,
    StockUsed,
    StockWeighed,
    StockWrittenOff,
)
from strandwright.workshop.money import Currency
from strandwright.workshop.order_number import order_number
from strandwright.workshop.terms import TERMS_ID, terms_from_table

_FEET, _GRAMS = Written("in", 16), Written("mm", 16)


def shop_currency(store: Store) -> Currency | None:
    """Give what the shop reckons in.

    Parameters
    ----------
    store : Store
        Where its terms are kept.

    Returns
    -------
    Currency or None
        None where the shop has not said it.
    """
    try:
        return terms_from_table(store.document("shop", TERMS_ID).table).money
    except (NotFound, InputError):
        return None


def money(exact: Fraction | Decimal | None, currency: Currency | None) -> str:
    """Write an amount, rounded once.

    Parameters
    ----------
    exact : Fraction, Decimal or None
        The amount; None where it is not known [money]
    currency : Currency or None
        What the shop reckons in; where it has not said it, two decimals and no name.

    Returns
    -------
    str
        ``12.50 EUR``; empty where it is not known.
    """
    if exact is None:
        return ""
    if currency is None:
        return f"{Currency('', 2).rounded(exact):f}"
    return currency.written(currency.rounded(exact))


def feet(metres: float) -> str:
    """Write a length of a spool, as people say it.

    Parameters
    ----------
    metres : float
        The length [m]

    Returns
    -------
    str
        ``116 ft``; one decimal below ten.
    """
    number = metres / FOOT
    return f"{number:.{0 if number >= 10.0 or number == 0.0 else 1}f} ft"


def pieces(count: int) -> str:
    """Write a number of small parts.

    Parameters
    ----------
    count : int
        How many [-]

    Returns
    -------
    str
        ``1 piece``, ``4 pieces``.
    """
    return f"{count} piece{'' if count == 1 else 's'}"


def length_text(length: float, u: float) -> str:
    """Write what is left on a spool in feet.

    Parameters
    ----------
    length, u : float
        The length and its standard uncertainty [m]

    Returns
    -------
    str
        ``1790 ± 130 ft``; ``no more than 40 ft`` where the +- is more than the length.
    """
    return _most(length, u, "m") or _FEET.long(Estimate(length, u, "m"))


def mass_text(mass: float, u: float) -> str:
    """Write what is left on a spool in grams.

    Parameters
    ----------
    mass, u : float
        The mass and its standard uncertainty [kg]

    Returns
    -------
    str
        ``113.4 ± 7.1 g``; ``no more than 3 g`` where the +- is more than the mass.
    """
    return _most(mass, u, "kg") or _GRAMS.estimate(Estimate(mass, u, "kg"))


def _most(value: float, u: float, unit: str) -> str:
    """Tell only the most it may be, where that is all that is known."""
    if value > 0.0 and value >= 2.0 * u:
        return ""
    if value == 0.0 and u == 0.0:
        return "nothing"
    most = (value + 2.0 * u) / (FOOT if unit == "m" else 1e-3)
    return f"no more than {math.ceil(most)} {'ft' if unit == 'm' else 'g'}"


def density_text(density: float, u: float) -> str:
    """Write a mass per length.

    Parameters
    ----------
    density, u : float
        The mass per length and its standard uncertainty [kg/m]

    Returns
    -------
    str
        ``0.2074 ± 0.0031 g/m``.
    """
    half = 2e3 * u
    digits = max(1 - math.floor(math.log10(half)), 0) if half > 0.0 else 4
    up = math.ceil(round(half * 10.0**digits, 6)) / 10.0**digits
    return f"{1e3 * density:.{digits}f} \u00b1 {up:.{digits}f} g/m"


def reorder_text(reorder: Reorder, free: float, *, counted: bool) -> str:
    """Say when to order, and how that is known.

    Parameters
    ----------
    reorder : Reorder
        When.
    free : float
        What is free of the ware now, of all that is at hand [unit]
    counted : bool
        Whether it comes by the piece.

    Returns
    -------
    str
        One or two sentences.
    """
    level = pieces(round(reorder.level)) if counted else feet(reorder.level)
    here = pieces(round(free)) if counted else feet(free)
    now = f"Order now: {here} free" if free <= reorder.level else f"{here} free"
    lead = f"{reorder.lead:.0f} days"
    if reorder.basis == "practice":
        why = "too little of it was used here yet to reckon by; common practice, no source"
        return f"{now}; order at {level} ({why})."
    share = f"{100.0 * reorder.service:.0f} in 100"
    return (
        f"{now}; order at {level}: that sees {share} waits of about {lead} through, by the "
        f"{reorder.jobs} jobs of the last {reorder.days:.0f} days."
    )


def event_text(event: Event) -> str:
    """Say what happened.

    Parameters
    ----------
    event : Event
        The event.

    Returns
    -------
    str
        ``used 116 ft for RIDGE-1``.
    """
    match event.body:
        case StockReceived():
            return _received(event.body)
        case StockWeighed(gross=gross):
            return f"weighed {gross.text}, spool and all"
        case StockCounted(count=count):
            return f"counted: {pieces(count)}"
        case StockReserved(order=order, job=job, length=length, count=count):
            return f"{_amount(length, count)} promised to {_whose(order, job)}"
        case StockFreed(order=order, job=job):
            return f"what was promised to {_whose(order, job)} is free again"
        case StockUsed(order=order, job=job, build=build, length=length, count=count):
            whose = _whose(order or "", job) or (f"build {build[:8]}" if build else "")
            return f"used {_amount(length, count)}" + (f" for {whose}" if whose else "")
        case StockMoved(place=place):
            return f"moved to {place}" if place else "taken from its place"
        case StockWrittenOff(why=why, length=length, count=count):
            return f"wrote off {_amount(length, count) or 'all of it'}: {why}"
        case Noted(text=text):
            return text
        case Withdrawn(why=why):
            return f"took an entry back{f': {why}' if why else ''}"
        case _:
            return event.type


def _received(body: StockReceived) -> str:
    told = [e.text for e in (body.length, body.mass) if e is not None]
    amount = [pieces(body.count)] if body.count is not None else []
    parts = [" and ".join([*told, *amount]), f"lot {body.lot}" if body.lot else ""]
    parts += [f"from {body.supplier}" if body.supplier else "",
              f"empty spool {body.tare.text}" if body.tare is not None else ""]  # fmt: skip
    return "came in: " + ", ".join(part for part in parts if part)


def _amount(length: Entered | None, count: int | None) -> str:
    if length is not None:
        return length.text
    return "" if count is None else pieces(count)


def _whose(order: str, job: str) -> str:
    number = f"order {order_number(order)}" if order else ""
    return ", ".join(part for part in (job, number) if part)

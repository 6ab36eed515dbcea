"""Allowed: what may be written of stock, and what is refused before it is kept."""

from __future__ import annotations

from collections.abc import Iterable

from strandwright.errors import Conflict, LimitError, SpecError
from strandwright.planning.entries.named import entries_of
from strandwright.planning.entries.refusals import Range
from strandwright.units import Dimension, Entered
from strandwright.workshop.events import Event, StoredEvent
from strandwright.workshop.happenings.every import Withdrawn
from strandwright.workshop.happenings.stock import (
    StockReceived,
    StockReserved,
    StockUsed,
    StockWrittenOff,
)
from strandwright.workshop.stock_state import StockState, fold
from strandwright.workshop.wares import Ware, linear_density

#: A promise may go over what is free by the rounding of lengths that are added up [m]
_ROUNDING = 1e-6
_FOOT = 0.3048
_LENGTH = Range("1 mm", "100000 m", Dimension.LENGTH)
_MASS = Range("0.1 g", "100 kg", Dimension.MASS)
_RANGES = {
    "stock-received.length": _LENGTH,
    "stock-received.mass": _MASS,
    "stock-received.tare": _MASS,
    "stock-received.linear_density": Range("0.005 g/m", "10 g/m", Dimension.LINEAR_DENSITY),
    "stock-weighed.gross": _MASS,
    "stock-weighed.step": Range("0.1 mg", "100 g", Dimension.MASS),
    "stock-reserved.length": _LENGTH,
    "stock-used.length": _LENGTH,
    "stock-written-off.length": _LENGTH,
}


def refuse_unmeant(event: Event) -> None:
    """Refuse an event with a number that cannot be meant: a slipped point, another unit.

    Parameters
    ----------
    event : Event
        What is to be recorded.

    Raises
    ------
    InputError
        For the first such number.
    """
    for field, value in entries_of(event.body, f"{event.type}."):
        allowed = _RANGES.get(field)
        if isinstance(value, Entered) and allowed is not None and not allowed.holds(value):
            rule = f"must lie between {allowed.low} and {allowed.high}"
            raise LimitError(field, value.text, rule, "check the number and its unit")
    if isinstance(event.body, StockReceived):
        _refuse_half_received(event.body)


def _refuse_half_received(body: StockReceived) -> None:
    """Refuse ware that came in without what it is reckoned by."""
    field = "stock-received"
    if body.price is not None and body.price < 0:
        raise LimitError(f"{field}.price", f"{body.price:f}", "must be 0 or more", "mend it")
    if body.ware.is_counted:
        if body.count is None:
            raise SpecError(f"{field}.count", "none", "small parts are counted", "say how many")
        _refuse_other(body.length is None and body.mass is None, f"{field}.length", body.ware)
        return
    _refuse_other(body.count is None, f"{field}.count", body.ware)
    if body.length is None and body.mass is None:
        rule = "a spool needs its length or its mass, as its label says it"
        raise SpecError(f"{field}.length", "none", rule, "say one of them, with its unit")
    told = body.length is not None or body.linear_density is not None
    if not told and not linear_density(body.ware).is_known:
        rule = "no table has its mass per length, so its mass alone says no length"
        remedy = "say its length too, or its linear_density"
        raise SpecError(f"{field}.ware.name", body.ware.name, rule, remedy)


def _refuse_other(is_alone: bool, field: str, ware: Ware) -> None:
    if not is_alone:
        rule = f"a {ware.kind} is reckoned {'by the piece' if ware.is_counted else 'by length'}"
        raise SpecError(field, "given", rule, "leave it out")


def refuse_stranger(state: StockState, event: Event) -> None:
    """Refuse an event that cannot be about this spool, or these small parts.

    Parameters
    ----------
    state : StockState
        How it stands, without the event.
    event : Event
        What is to be recorded.

    Raises
    ------
    InputError
        If it is counted by the piece and the event says a length, or the other way about.
    Conflict
        If a spool would come in a second time, or other ware into the log of this.
    """
    ware, body = state.ware, event.body
    if ware is None:
        return
    if isinstance(body, StockReceived):
        if not ware.is_counted:
            rule = "came in already, and a spool comes in once"
            remedy = "withdraw what is wrong, or begin the log of another spool"
            raise Conflict("spool", ware.label, rule, remedy)
        if body.ware.key != ware.key:
            rule = f"this is the log of {ware.key}"
            raise SpecError("stock-received.ware", body.ware.key, rule, "begin a log for it")
    if not isinstance(body, StockReserved | StockUsed | StockWrittenOff):
        return
    amount, other = ("count", "length") if ware.is_counted else ("length", "count")
    if getattr(body, other) is not None:
        rule = f"a {ware.kind} is reckoned {'by the piece' if ware.is_counted else 'by length'}"
        raise SpecError(f"{event.type}.{other}", "given", rule, f"give its {amount}")
    if getattr(body, amount) is None and not isinstance(body, StockWrittenOff):
        raise SpecError(f"{event.type}.{amount}", "none", "must say how much", "give it")


def refuse_beyond_free(state: StockState, event: Event, already: Iterable[Event] = ()) -> None:
    """Refuse a promise of more than is free.

    Parameters
    ----------
    state : StockState
        How it stands, without the event.
    event : Event
        A reservation.
    already : iterable of Event
        Reservations of the same log that are to be written before it, in the same turn.

    Raises
    ------
    LimitError
        If more would be promised than is there for sure: says what is free and why.
    """
    body = event.body
    assert isinstance(body, StockReserved)
    before = [e.body for e in already if isinstance(e.body, StockReserved)]
    if body.count is not None:
        free = state.free_count - sum(b.count or 0 for b in before)
        if body.count > free:
            rule = f"must be no more than is free: {max(free, 0)}"
            rule += f" of {state.count} there, {state.count - max(free, 0)} being promised"
            raise LimitError("stock-reserved.count", str(body.count), rule, _remedy(counted=True))
    if body.length is not None:
        free = state.free_length - sum(b.length.si for b in before if b.length is not None)
        if body.length.si > free + _ROUNDING:
            text = body.length.text
            raise LimitError(
                "stock-reserved.length", text, _rule(state, max(free, 0.0)), _remedy(counted=False)
            )


def refuse_withdrawal_of_a_release(log: Iterable[StoredEvent], event: Event) -> None:
    """Refuse to take back a release where the promise it ended cannot be kept any more.

    Parameters
    ----------
    log : iterable of StoredEvent
        The log without the event.
    event : Event
        A withdrawal.

    Raises
    ------
    LimitError
        If more would be promised again than is there for sure.
    """
    assert isinstance(event.body, Withdrawn)
    stored = list(log)
    named = next((s.event for s in stored if s.event.id == event.body.event), None)
    if named is None or named.type not in ("stock-freed", "stock-used", "stock-written-off"):
        return
    before = fold(stored)
    after = fold([*stored, StoredEvent(before.seq + 1, event)])
    promised_more = after.reserved_length > before.reserved_length + _ROUNDING
    over = after.reserved_length > after.spool.length - 2.0 * after.spool.length_u + _ROUNDING
    too_many = after.reserved_count > max(after.count, before.reserved_count)
    if (promised_more and over) or too_many:
        rule = "the promise that it ended is more than is free now"
        raise LimitError("withdrawn.event", named.type, rule, "promise anew what there is")


def _rule(state: StockState, free: float) -> str:
    left, kept = state.spool.length, 2.0 * state.spool.length_u
    promised = left - kept - free
    return (
        f"must be no more than is free: {_feet(free)} of the {_feet(left)} left, "
        f"{_feet(max(promised, 0.0))} being promised and {_feet(kept)} not sure to be there"
    )


def _remedy(*, counted: bool) -> str:
    if counted:
        return "take fewer, count what is there, or order more"
    return "take another spool, weigh this one to be surer, or order more"


def _feet(metres: float) -> str:
    return f"{metres / _FOOT:.0f} ft ({metres:.1f} m)"

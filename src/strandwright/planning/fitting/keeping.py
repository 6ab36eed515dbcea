"""Keeping: fits over a desk; what a line went through is written to its own record in one go."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, cast

from strandwright.errors import Conflict, InputError, NotFound, SpecError
from strandwright.planning.desk.builds import Desk
from strandwright.planning.entries.default_units import with_unit
from strandwright.planning.fitting.allowed import refuse_impossible
from strandwright.planning.result import Plan
from strandwright.planning.settling.keeping import decided, finished
from strandwright.planning.settling.record import written_of
from strandwright.workshop.documents import LogHead
from strandwright.workshop.events import EVENT_ID, Event, StoredEvent, event_of_table
from strandwright.workshop.fit_state import FitState, fold
from strandwright.workshop.happenings.every import Withdrawn
from strandwright.workshop.happenings.fit import FitBegun, FitStepDone, FitTurned
from strandwright.workshop.said import short
from strandwright.workshop.writes import Append, Begin, Write

Table = dict[str, Any]
#: Times an act is decided again where another bench wrote in the same moment [-]
_TRIES = 5
#: Figures of a baseline with a field of a job of the same kind, for a number without a unit.
_LIKE = {
    "axle_to_axle": "length", "brace_height": "length", "draw_length": "length",
    "tiller_top": "length", "tiller_bottom": "length", "nock_height": "length",
    "peep_height": "length", "draw_weight": "bow.draw_weight",
}  # fmt: skip


@dataclass(frozen=True)
class KeptFit:
    """A fit as it stands.

    Attributes
    ----------
    id : str
        Its identity.
    subject : str
        The order, or the first line's job.
    state : FitState
        How far it is.
    plans : tuple of Plan
        The plan each line was built by, in the order of the lines.
    """

    id: str
    subject: str
    state: FitState
    plans: tuple[Plan, ...]


def begin(desk: Desk, id: str, table: Mapping[str, Any]) -> KeptFit:
    """Begin a fit; begun twice it is one.

    Parameters
    ----------
    desk : Desk
        The desk.
    id : str
        Identity, 32 hexadecimal digits made by who begins it.
    table : mapping
        The event that begins it, as it was sent.

    Returns
    -------
    KeptFit
        As it stands.

    Raises
    ------
    InputError
        If it cannot be meant.
    Conflict
        If a line is not finished, or a fit of that identity was begun otherwise.
    NotFound
        If there is no such build or order.
    """
    if not EVENT_ID.fullmatch(id):
        rule = "must be 32 hexadecimal digits in lower case"
        raise SpecError("fit", short(id), rule, "make 128 random bits")
    event = _read(table, "in")
    if not isinstance(event.body, FitBegun):
        rule = "must be fit-begun, the first event of a fit"
        raise SpecError("event.type", event.type, rule, "begin it first")
    for line in event.body.lines:
        advice = finished(desk, line.build)
        if advice.first.job.id != line.job:
            rule = "must be a build of that job"
            raise SpecError("fit-begun.lines", line.build, rule, "name the job it was built for")
    order = event.body.order
    if order is not None and desk.store.log(order).kind != "order":
        raise NotFound("order", order)
    head = LogHead(id, "fit", order or event.body.lines[0].job, event.at)
    try:
        if desk.store.log(id).kind != "fit":
            raise Conflict("fit", id, "is another log already", "make a new identity")
    except NotFound:
        desk.store.write([Begin(head), Append(id, [event], 0)])
        return kept_fit(desk, id)
    record(desk, id, [table])
    return kept_fit(desk, id)


def kept_fit(desk: Desk, id: str) -> KeptFit:
    """Give a fit as it stands.

    Parameters
    ----------
    desk : Desk
        The desk.
    id : str
        Identity.

    Returns
    -------
    KeptFit
        The fit.

    Raises
    ------
    NotFound
        If there is none.
    """
    head, log = _log(desk, id)
    state = fold(log)
    lines = () if state.begun is None else state.begun.lines
    plans = tuple(finished(desk, line.build).plan for line in lines)
    return KeptFit(id, head.subject, state, plans)


def record(
    desk: Desk, id: str, tables: Sequence[Mapping[str, Any]], units: str | None = None
) -> tuple[StoredEvent, ...]:
    """Record what was done on the bow; an event sent twice is one.

    That lines went on, turns put in, and that the bow is as wanted, are written to the record of
    each line as well, with the event or not at all.

    Parameters
    ----------
    desk : Desk
        The desk.
    id : str
        Identity.
    tables : sequence of mapping
        Events as they were sent, in their order.
    units : str or None
        Unit of bare figures, ``in`` or ``mm``; None for that of the lines' job.

    Returns
    -------
    tuple of StoredEvent
        Each with its place: durable.

    Raises
    ------
    InputError
        If one cannot be meant, or cannot be as the fit stands. None is recorded then.
    Conflict
        If one of that identity is kept with other content.
    NotFound
        If there is no such fit.
    """
    for attempt in range(_TRIES):
        head, log = _log(desk, id)
        events = [_read(table, units or _units(desk, log)) for table in tables]
        known = {stored.event.id for stored in log}
        new = [event for event in events if event.id not in known]
        ahead = [StoredEvent(len(log) + n, event) for n, event in enumerate(new, start=1)]
        before, after = fold(log), fold([*log, *ahead])
        refuse_impossible(log, before, new)
        try:
            beside = list(_beside(desk, log, after, new))
            answers = desk.store.write([*beside, Append(id, events, len(log))])
        except Conflict as error:
            grown = error.kind in (head.kind, "service") and error.newest is not None
            if attempt == _TRIES - 1 or not grown:
                raise
            continue
        return cast("tuple[StoredEvent, ...]", answers[-1])
    raise AssertionError("the last try answers or raises")


def fits_of(desk: Desk, subject: str) -> tuple[KeptFit, ...]:
    """Give the fits of an order or of a job, oldest first.

    Parameters
    ----------
    desk : Desk
        The desk.
    subject : str
        The order, or the first line's job.

    Returns
    -------
    tuple of KeptFit
        The fits.
    """
    return tuple(kept_fit(desk, head.id) for head in desk.store.logs("fit", subject))


def _log(desk: Desk, id: str) -> tuple[LogHead, tuple[StoredEvent, ...]]:
    try:
        head = desk.store.log(id)
    except NotFound as error:
        raise NotFound("fit", id) from error
    if head.kind != "fit":
        raise NotFound("fit", id)
    return head, desk.store.events(id)


def _units(desk: Desk, log: Sequence[StoredEvent]) -> str:
    begun = fold(log).begun
    return "in" if begun is None else desk.job(begun.lines[0].job).job.paper.units


def _read(table: Mapping[str, Any], units: str) -> Event:
    """Read an event, a bare number being in the unit of the lines' job."""
    body = table.get("body")
    if isinstance(body, dict):
        told = cast(Table, body)
        for name in ("figures", "before"):
            figures = told.get(name)
            if isinstance(figures, dict):
                held = cast(Table, figures).items()
                named = {k: with_unit(_LIKE[k], v, units) if k in _LIKE else v for k, v in held}
                told = told | {name: named}
        table = {**table, "body": told}
    return event_of_table(table)


def _beside(
    desk: Desk, log: Sequence[StoredEvent], after: FitState, events: Sequence[Event]
) -> Iterator[Write]:
    """Give what is written to the lines' own records with these events."""
    entries: dict[str, list[Table]] = {}
    lines = () if after.begun is None else tuple(line.build for line in after.begun.lines)
    done = fold(log).done
    for event in events:
        if isinstance(event.body, Withdrawn):
            gone = next(stored.event for stored in log if stored.event.id == event.body.event)
            told = [
                (build, "taken-back", 0, {"entry": _id(gone, build)})
                for build, *_ in _mirrored(gone, lines, {}, after.shots)
                if _id(gone, build) in {entry.id for entry in written_of(desk.store, build)}
            ]
        else:
            told = _mirrored(event, lines, done, after.shots)
        for build, type, shots, body in told:
            entry = {"id": _id(event, build), "type": type, "at": event.at, "by": event.by,
                     "shots": shots, "body": body}  # fmt: skip
            entries.setdefault(build, []).append(entry)
    for build, rows in entries.items():
        yield from _kept(desk, build, rows)


def _mirrored(
    event: Event, lines: Sequence[str], done: Mapping[str, str], shots: int
) -> list[tuple[str, str, int, Table]]:
    """Give what of an event stands in the records of lines: build, type, shots, body."""
    match event.body:
        case FitTurned() as body:
            return [(body.build, "turns-changed", body.shots, {"turns": body.turns})]
        case FitStepDone(step="seat") if "seat" not in done:
            return [(build, "on-bow", 0, {}) for build in lines]
        case FitStepDone(step="shots-0") if "shots-0" not in done:
            return [(build, "set-as-wanted", shots, {}) for build in lines]
        case _:
            return []


def _id(event: Event, build: str) -> str:
    """Make an entry's identity from its event and line, so that sent twice it is one."""
    return hashlib.sha256(f"{event.id} {build}".encode()).hexdigest()[:32]


def _kept(desk: Desk, build: str, rows: Sequence[Table]) -> Iterator[Write]:
    if len(rows) > 1:
        rule = "must be one act on a line at a time"
        raise SpecError("event.type", str(len(rows)), rule, "send them one after the other")
    try:
        _, writes = decided(desk, build, rows[0])
    except InputError as error:
        raise error.at(f"record of the line: {error.field}") from error
    yield from writes

"""Following: what a finished build takes off the shelf: of what was promised to its job.

Its identity follows from the build and the spool, so that it is taken once, however often and by
however many benches it is told.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from strandwright.errors import Conflict, InputError, InputErrors, SolveError
from strandwright.planning.desk.jobs import JobDesk
from strandwright.planning.estimate import Estimate
from strandwright.planning.quote.keeping import kept_terms
from strandwright.planning.quote.materials import materials_of
from strandwright.planning.stock.page import every_listing
from strandwright.workshop.build_state import fold as fold_build
from strandwright.workshop.derived import derived_id
from strandwright.workshop.documents import BuildHead
from strandwright.workshop.events import Event, StoredEvent, make_event
from strandwright.workshop.happenings.bench import Locked
from strandwright.workshop.happenings.every import Withdrawn
from strandwright.workshop.job import job_from_table
from strandwright.workshop.stock_state import Reservation, StockState, fold
from strandwright.workshop.writes import Append

#: Times a decision is taken anew where another bench wrote in the same moment [-]
_TRIES = 50
#: What is left of a promise below this is nothing [m]
_NOTHING = 5e-4


@dataclass(frozen=True)
class _Held:
    """A promise to the job, on the log it stands in."""

    log: str
    seq: int
    state: StockState
    promise: Reservation


def locked_event(log: Sequence[StoredEvent]) -> Event | None:
    """Find the event by which a build was finished.

    Parameters
    ----------
    log : sequence of StoredEvent
        The log of the build.

    Returns
    -------
    Event or None
        The first that counts, so that it stays the same; None before it is locked.
    """
    gone = {s.event.body.event for s in log if isinstance(s.event.body, Withdrawn)}
    found = (s.event for s in log if isinstance(s.event.body, Locked))
    return next((event for event in found if event.id not in gone), None)


def use_for_build(desk: JobDesk, build: str) -> tuple[str, ...]:
    """Take off the shelf what a finished build used of what was promised to its job.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    build : str
        The build.

    Returns
    -------
    tuple of str
        The logs of spools and parts that were written to now; told twice it is none.

    Raises
    ------
    NotFound
        If there is no such build.
    Conflict
        If benches wrote in between over and over.
    """
    for attempt in range(_TRIES):
        writes = uses_of(desk, build)
        try:
            desk.store.write(writes)
        except Conflict:
            if attempt == _TRIES - 1:
                raise
        else:
            return tuple(write.log for write in writes)
    raise AssertionError


def uses_of(desk: JobDesk, build: str) -> tuple[Append, ...]:
    """Decide what a finished build takes off the shelf, to be written together with other things.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    build : str
        The build.

    Returns
    -------
    tuple of Append
        One for each log; none where it is not finished, nothing is promised to its job, or it was
        taken already. What is promised over and above what was used is free again.

    Raises
    ------
    NotFound
        If there is no such build.
    """
    head = desk.store.build(build)
    ended = locked_event(desk.store.events(build))
    if ended is None or fold_build(desk.store.events(build)).locked is None:
        return ()
    held = list(_held(desk, head))
    if not held:
        return ()
    taken = _taken(desk, head)
    whole: dict[str, float] = {}
    for one in held:
        whole[_key(one)] = whole.get(_key(one), 0.0) + one.promise.length
    by_log: dict[str, list[Event]] = {}
    for one in held:
        by_log.setdefault(one.log, []).extend(_events(one, taken, whole[_key(one)], head, ended))
    stands = {one.log: one.seq for one in held}
    return tuple(Append(log, events, stands[log]) for log, events in by_log.items())


def _held(desk: JobDesk, head: BuildHead) -> Iterator[_Held]:
    """Find what is promised to the job of a build and was not used for it yet."""
    for row in every_listing(desk.store):
        if not any(r["job"] == head.job_id for r in row.summary["reserved"]):
            continue
        stored = desk.store.events(row.id)
        state = fold(stored)
        known = {s.event.id for s in stored}
        for promise in state.reserved:
            used = derived_id("stock-used", head.id, row.id, promise.order)
            if promise.job == head.job_id and used not in known:
                yield _Held(row.id, len(stored), state, promise)


def _taken(desk: JobDesk, head: BuildHead) -> Mapping[str, Estimate] | None:
    """Work out the length of each ware that the plan of a build took."""
    try:
        plan = desk.planner.plan(job_from_table(desk.store.plan(head.plan_id).job))
        found = materials_of([plan], kept_terms(desk.store)[0])
    except (InputError, InputErrors, SolveError):
        # What this program can no longer plan took what was promised to it.
        return None
    lengths: dict[str, Estimate] = {}
    for one in found:
        if one.length is not None:
            before = lengths.get(one.want.ware.key, Estimate(0.0, 0.0, "m"))
            value, u = before.value + one.length.value, before.u + one.length.u
            lengths[one.want.ware.key] = Estimate(value, u, "m")
    return lengths


def _key(one: _Held) -> str:
    return "" if one.state.ware is None else one.state.ware.key


def _events(
    one: _Held, taken: Mapping[str, Estimate] | None, whole: float, head: BuildHead, ended: Event
) -> Iterator[Event]:
    """Say what was used of one promise, and free what is left of it."""
    promise = one.promise
    about = (head.id, one.log, promise.order)
    whose = {"order": promise.order, "job": promise.job}

    def made(type: str, body: Mapping[str, object]) -> Event:
        return make_event(derived_id(type, *about), type, body, at=ended.at, by=ended.by)

    if promise.count:
        size: dict[str, object] = {"count": promise.count}
        yield made("stock-used", {"build": head.id, **whose, **size})
        return
    length = Estimate(promise.length, 0.0, "m")
    if taken is not None:
        share = promise.length / whole if whole > 0.0 else 0.0
        found = taken.get(_key(one), Estimate(0.0, 0.0, "m"))
        length = Estimate(found.value * share, found.u * share, "m")
    if length.value > _NOTHING:
        half = f" +- {length.u95:.3f} m" if length.u95 > _NOTHING else ""
        yield made(
            "stock-used", {"build": head.id, **whose, "length": f"{length.value:.3f} m{half}"}
        )
    if promise.length - length.value > _NOTHING:
        yield made("stock-freed", whose)

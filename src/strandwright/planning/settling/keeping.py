"""Keeping: the record of a line's service over a store, written entry by entry."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, cast

from strandwright.errors import Conflict
from strandwright.planning.desk.advice import Advice
from strandwright.planning.desk.builds import Desk
from strandwright.planning.entries.default_units import with_unit
from strandwright.planning.settling.answer import Answer, settling_of
from strandwright.planning.settling.by_figure import figure_slope
from strandwright.planning.settling.record import appended, kept_service, written_of
from strandwright.planning.settling.refusals import refuse_impossible_entry
from strandwright.workshop.service import ServiceEntry, counting, entry_from_table
from strandwright.workshop.writes import Write

Table = dict[str, Any]
#: Times an entry is tried again where another bench wrote in the same moment [-]
_TRIES = 5
#: Fields of an entry that are lengths and forces, with a field of a job of the same kind.
_LIKE = {"length": "length", "read": "length", "zero_pin": "length", "far_pin": "length",
         "load": "bow.draw_weight"}  # fmt: skip


def write(desk: Desk, build: str, table: Mapping[str, Any]) -> tuple[ServiceEntry, ...]:
    """Write one entry; written twice it is one.

    Parameters
    ----------
    desk : Desk
        The desk.
    build : str
        The line's build.
    table : mapping
        The entry as it was sent. Without ``shots`` it has those counted last before it.

    Returns
    -------
    tuple of ServiceEntry
        Everything that is written now.

    Raises
    ------
    InputError
        If it cannot be meant.
    Conflict
        If the build is not finished, or an entry of that identity has other content.
    NotFound
        If there is no such build.
    """
    for attempt in range(_TRIES):
        after, writes = decided(desk, build, table)
        if not writes:
            return after
        try:
            desk.store.write(writes)
            return after
        except Conflict:
            if attempt == _TRIES - 1:
                raise
    return written_of(desk.store, build)


def decided(
    desk: Desk, build: str, table: Mapping[str, Any]
) -> tuple[tuple[ServiceEntry, ...], tuple[Write, ...]]:
    """Decide on one entry as the record stands now; nothing is kept yet.

    Parameters
    ----------
    desk : Desk
        The desk.
    build : str
        The line's build.
    table : mapping
        The entry as it was sent. Without ``shots`` it has those counted last before it.

    Returns
    -------
    entries : tuple of ServiceEntry
        Everything that is written then.
    writes : tuple of Write
        What is to be kept; empty where it is kept already.

    Raises
    ------
    InputError
        If it cannot be meant.
    Conflict
        If the build is not finished, or an entry of that identity has other content.
    NotFound
        If there is no such build.
    """
    advice = finished(desk, build)
    entry = entry_from_table(_with_units(advice, table))
    now = datetime.fromisoformat(desk.now())
    before, _ = kept_service(desk.store, build)
    if "shots" not in table:
        entry = _with_shots(entry, before)
    twin = next((e for e in before if e.id == entry.id), None)
    if twin is not None:
        if twin != entry:
            rule = "is written already with other content"
            raise Conflict("entry", entry.id, rule, "make a new identity")
        return before, ()
    locked = advice.state.locked
    turns = 0.0 if locked is None else locked.turns
    refuse_impossible_entry(
        advice.plan,
        turns,
        advice.state.ended_at,
        before,
        entry,
        now,
        lambda figure: figure_slope(advice.plan, figure),
    )
    after = (*before, entry)
    # Answered once before it is kept, so that what cannot be answered is not kept.
    settling_of(advice.plan, turns, after, now)
    return after, appended(build, before, (entry,))


def answer_for(desk: Desk, build: str, written: Sequence[ServiceEntry] | None = None) -> Answer:
    """Answer for a finished line.

    Parameters
    ----------
    desk : Desk
        The desk.
    build : str
        The line's build.
    written : sequence of ServiceEntry or None
        What is written of it; None looks it up.

    Returns
    -------
    Answer
        The answer.

    Raises
    ------
    Conflict
        If the build is not finished.
    NotFound
        If there is no such build.
    """
    advice = finished(desk, build)
    entries = written_of(desk.store, build) if written is None else written
    locked = advice.state.locked
    turns = 0.0 if locked is None else locked.turns
    return settling_of(advice.plan, turns, entries, datetime.fromisoformat(desk.now()))


def finished(desk: Desk, build: str) -> Advice:
    """Give the advice of a build that is finished.

    Parameters
    ----------
    desk : Desk
        The desk.
    build : str
        The build.

    Returns
    -------
    Advice
        As it was left.

    Raises
    ------
    Conflict
        If it is not finished.
    NotFound
        If there is no such build.
    """
    advice = desk.advice(build)
    if advice.state.locked is None:
        rule = "is not finished, so its line is on no bow"
        raise Conflict("build", build, rule, "prove it and lock its turns first")
    return advice


def _with_units(advice: Advice, table: Mapping[str, Any]) -> Table:
    """Let a bare number be in the job's unit."""
    body = table.get("body")
    if not isinstance(body, dict):
        return dict(table)
    units = advice.plan.job.paper.units
    held = cast(Table, body).items()
    named = {k: with_unit(_LIKE[k], v, units) if k in _LIKE else v for k, v in held}
    return {**table, "body": named}


def _with_shots(entry: ServiceEntry, before: Sequence[ServiceEntry]) -> ServiceEntry:
    shots = max((e.shots for e in counting(before) if e.at <= entry.at), default=0)
    return ServiceEntry(entry.id, entry.type, entry.at, shots, entry.by, entry.body)

"""Record: what was written of a line's service, as a store and a file hold it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, cast

from strandwright.errors import Conflict, NotFound, SpecError
from strandwright.planning.ports import Store
from strandwright.workshop.service import (
    ServiceEntry,
    as_event,
    entry_of,
    log_head,
    log_of,
    service_from_table,
)
from strandwright.workshop.writes import Append, Begin, Write

Table = dict[str, Any]


def written_of(store: Store, build: str) -> tuple[ServiceEntry, ...]:
    """Give everything that was written of a line's service.

    Parameters
    ----------
    store : Store
        Where it is kept.
    build : str
        The line's build.

    Returns
    -------
    tuple of ServiceEntry
        In the order in which they were written; empty where nothing was.
    """
    return kept_service(store, build)[0]


def kept_service(store: Store, build: str) -> tuple[tuple[ServiceEntry, ...], int]:
    """Give everything that was written of a line's service, and how much it is.

    Parameters
    ----------
    store : Store
        Where it is kept.
    build : str
        The line's build.

    Returns
    -------
    entries : tuple of ServiceEntry
        In the order in which they were written; empty where nothing was.
    length : int
        Of its log, 0 where nothing was [-]
    """
    try:
        stored = store.events(log_of(build))
    except NotFound:
        return (), 0
    return tuple(entry_of(one.event) for one in stored), len(stored)


def appended(
    build: str, before: Sequence[ServiceEntry], new: Sequence[ServiceEntry]
) -> tuple[Write, ...]:
    """Give what a store is asked to keep for further entries.

    Parameters
    ----------
    build : str
        The line's build.
    before : sequence of ServiceEntry
        What was written when this was decided.
    new : sequence of ServiceEntry
        What is to be written behind it.

    Returns
    -------
    tuple of Write
        None where there is nothing new; the log begins with the first of them.
    """
    if not new:
        return ()
    add = Append(log_of(build), [as_event(entry) for entry in new], len(before))
    return (add,) if before else (Begin(log_head(build, new[0].at)), add)


def taken_in(
    kept: Sequence[ServiceEntry], given: Sequence[ServiceEntry], build: str
) -> tuple[ServiceEntry, ...]:
    """Lay the record of a file over the one that is kept.

    Parameters
    ----------
    kept : sequence of ServiceEntry
        What is kept.
    given : sequence of ServiceEntry
        What a file holds.
    build : str
        The build, for an error.

    Returns
    -------
    tuple of ServiceEntry
        The longer one.

    Raises
    ------
    Conflict
        If neither goes on from the other.
    """
    shared = min(len(kept), len(given))
    if tuple(kept[:shared]) != tuple(given[:shared]):
        rule = "was written on here otherwise than in this file"
        remedy = "keep to the store where it was last written, or use one of its own"
        raise Conflict("service", build, rule, remedy)
    return tuple(max(kept, given, key=len))


def read_entries(rows: object) -> tuple[ServiceEntry, ...]:
    """Read the record of a line's service from its file.

    Parameters
    ----------
    rows : object
        The table of the record, or None where the file holds none.

    Returns
    -------
    tuple of ServiceEntry
        Empty where it holds none.

    Raises
    ------
    InputError
        If it is no such table.
    """
    if rows is None:
        return ()
    if not isinstance(rows, dict):
        raise SpecError("service", "", "must be a table", "give the file as it was exported")
    return service_from_table(cast(Table, rows))

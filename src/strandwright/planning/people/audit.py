"""The audit log: what is written of who came, went and was given leave; one log a month."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from strandwright.planning.ports import Store
from strandwright.workshop.documents import LogHead
from strandwright.workshop.events import Event, as_moment, make_event
from strandwright.workshop.writes import Append, Begin, Write

#: Kind of the log.
AUDIT = "audit"


def audit_writes(type: str, body: Mapping[str, Any], *, at: str, by: str) -> tuple[Write, ...]:
    """Give the writes that put a line into the audit log.

    Parameters
    ----------
    type : str
        Type of the event.
    body : mapping
        What happened.
    at : str
        When, UTC.
    by : str
        Who did it, and where.

    Returns
    -------
    tuple of Write
        To be written together with what they tell of.
    """
    head = _head(at[:7])
    event = make_event(secrets.token_hex(16), type, body, at=at, by=by[:60])
    return Begin(head), Append(head.id, [event])


def audit_where_people_sign_in(
    store: Store, type: str, body: Mapping[str, Any], *, by: str
) -> None:
    """Write a line into the audit log of a shop that has accounts; without any there is no log.

    Parameters
    ----------
    store : Store
        Where it is kept.
    type : str
        Type of the event.
    body : mapping
        What happened.
    by : str
        Who did it, and where.
    """
    if store.documents("account"):
        at = as_moment(datetime.now(UTC))
        store.write(audit_writes(type, body, at=at, by=by))


def _head(month: str) -> LogHead:
    """Give the head of a month's log: every bench comes to the same one."""
    id = hashlib.sha256(f"strandwright audit {month}".encode()).hexdigest()[:32]
    return LogHead(id, AUDIT, month, f"{month}-01T00:00:00.000Z")


def last_audited(store: Store, most: int = 100) -> tuple[Event, ...]:
    """Give the newest lines of the audit log.

    Parameters
    ----------
    store : Store
        Where it is kept.
    most : int
        How many at most [-]

    Returns
    -------
    tuple of Event
        The newest first.
    """
    found: list[Event] = []
    for head in sorted(store.logs(AUDIT), key=lambda head: head.subject, reverse=True):
        found += [stored.event for stored in reversed(store.events(head.id))]
        if len(found) >= most:
            break
    return tuple(found[:most])

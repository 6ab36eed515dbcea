"""Listings of fits: on the way, right, or given up."""

from __future__ import annotations

from collections.abc import Sequence

from strandwright.workshop.documents import Listing, LogHead
from strandwright.workshop.events import StoredEvent
from strandwright.workshop.fit_state import fold
from strandwright.workshop.listings.jobs import found_by


def list_fit(head: LogHead, events: Sequence[StoredEvent]) -> Listing:
    """Say how a fit stands.

    Parameters
    ----------
    head : LogHead
        Its head; its subject is the order, or the first line's job.
    events : sequence of StoredEvent
        All of its events, in order.

    Returns
    -------
    Listing
        Owned by its subject; sorted by its last event.
    """
    state = fold(events)
    ended = state.ended
    status = "on the way" if ended is None else "right" if ended.is_right else "given up"
    last = max((stored.event.at for stored in events), default=head.began_at)
    jobs = [] if state.begun is None else [line.job for line in state.begun.lines]
    builds = [] if state.begun is None else [line.build for line in state.begun.lines]
    summary = {
        "jobs": jobs,
        "builds": builds,
        "shots": state.shots,
        "done": list(state.done),
        "began_at": state.begun_at or head.began_at,
    }
    return Listing("fit", head.id, head.subject, status, last, found_by(*jobs), summary)

"""Listings of builds: at the jig, done, or put aside."""

from __future__ import annotations

from collections.abc import Sequence

from strandwright.workshop.build_state import fold
from strandwright.workshop.documents import Listing, LogHead
from strandwright.workshop.events import StoredEvent
from strandwright.workshop.listings.jobs import found_by


def list_build(head: LogHead, events: Sequence[StoredEvent]) -> Listing:
    """Say how a build stands.

    Parameters
    ----------
    head : LogHead
        Its head; the job is its subject.
    events : sequence of StoredEvent
        All of its events, in order.

    Returns
    -------
    Listing
        Owned by its job; sorted by its last event.
    """
    state = fold(events)
    status = "done" if state.locked else "put aside" if state.put_aside else "at the jig"
    last = max((stored.event.at for stored in events), default=head.began_at)
    summary = {
        "job": head.subject,
        "began_at": state.began_at or head.began_at,
        "ended_at": state.ended_at,
        "turns": state.locked.turns if state.locked else state.turns,
        "hand": state.locked.hand if state.locked else "",
        "steps": len(state.done),
        "events": len(events),
    }
    words = found_by(head.subject, head.id)
    return Listing(
        "build", head.id, head.subject, status, state.ended_at or last, words, summary
    )

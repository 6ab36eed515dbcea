"""Listings of service: a line on its bow, one that must not be drawn, or one that is retired."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from strandwright.workshop.documents import Listing, LogHead
from strandwright.workshop.events import StoredEvent
from strandwright.workshop.listings.jobs import found_by
from strandwright.workshop.service_state import Since, fold


def list_service(head: LogHead, events: Sequence[StoredEvent]) -> Listing:
    """Say how a line stands on its bow.

    Parameters
    ----------
    head : LogHead
        Its head; the line's build is its subject.
    events : sequence of StoredEvent
        All of its events, in order.

    Returns
    -------
    Listing
        Owned by the build; sorted by what happened to it last. Its names stand in the listing
        of the build's job.
    """
    state = fold(events)
    own = state.replace_by
    summary: dict[str, Any] = {
        "build": head.subject,
        "fitted_at": state.fitted_at,
        "shots": state.shots,
        "turns": state.turns,
        "readings": state.readings,
        "read": _since(state.read),
        "looked": _since(state.looked),
        "waxed": _since(state.waxed),
        "stop": state.stop,
        "retired_at": state.retired_at,
        "why": "" if state.retired is None else state.retired.why,
        "own_months": None if own is None else own.months,
        "own_shots": None if own is None else own.shots,
        "last_at": state.last_at or head.began_at,
        "events": len(events),
    }
    words = found_by(head.subject, head.id)
    last = state.last_at or head.began_at
    return Listing("service", head.id, head.subject, state.status, last, words, summary)


def _since(since: Since | None) -> dict[str, Any] | None:
    return None if since is None else {"at": since.at, "shots": since.shots}

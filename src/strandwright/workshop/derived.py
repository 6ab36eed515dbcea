"""Derived events: their identity follows from what they say, so that an act sent twice is one."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence

from strandwright.workshop.events import Event, make_event


def derived_id(*said: object) -> str:
    """Give the identity that follows from what is said.

    Parameters
    ----------
    *said : object
        What decides it, plain values.

    Returns
    -------
    str
        32 hexadecimal digits.
    """
    return hashlib.sha256(repr(said).encode()).hexdigest()[:32]


def derived_event(
    type: str, body: Mapping[str, object], about: Sequence[str], *, at: str, by: str
) -> Event:
    """Make an event whose identity follows from what it says, of what and when.

    Parameters
    ----------
    type : str
        Its type.
    body : mapping
        What it says.
    about : sequence of str
        What it is about: the log it goes into, and whatever else tells it from another like it.
    at : str
        When, UTC.
    by : str
        Which bench or browser; its identity does not follow from that.

    Returns
    -------
    Event
        The event.
    """
    id = derived_id(type, sorted(body.items()), tuple(about), at)
    return make_event(id, type, body, at=at, by=by)

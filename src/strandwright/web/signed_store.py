"""A store that writes each event under the name of who has signed in, whatever the request says.

All that a request keeps goes through here, so that no path can forget it: who wrote an event is
known from the session, and a paired phone keeps rounds and photos and nothing else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Any, cast

from strandwright.errors import NotFound, SpecError
from strandwright.planning.ports import Answer, Store
from strandwright.web.visitor import VISITOR, Visitor
from strandwright.workshop.events import Event, StoredEvent
from strandwright.workshop.happenings.every import Withdrawn
from strandwright.workshop.writes import Append, KeepBlob, Write

#: What a paired phone may write.
COUNTED = "rounds-laid"


class SignedStore:
    """A store as a signed-in request sees it; all that is not writing is the store's own.

    Parameters
    ----------
    store : Store
        Where records are kept.
    """

    # Each of these is a write with one entry.
    save = Store.save
    keep_plan = Store.keep_plan
    begin = Store.begin
    append = Store.append
    keep_blob = Store.keep_blob

    def __init__(self, store: Store) -> None:
        self._store = store
        #: Told of each photo that a phone sent.
        self.on_photo: Callable[[str, Visitor], None] = lambda photo, visitor: None

    def __getattr__(self, name: str) -> Any:
        """Give what the store has."""
        return getattr(self._store, name)

    def write(self, writes: Sequence[Write]) -> tuple[Answer, ...]:
        """Keep everything of a list, its events under the visitor's name.

        Parameters
        ----------
        writes : sequence of Write
            In their order.

        Returns
        -------
        tuple
            As :meth:`strandwright.planning.ports.Store.write` answers.

        Raises
        ------
        InputError
            If it is a phone that sends them and they are more than rounds and photos.
        """
        visitor = VISITOR.get()
        if visitor is None:
            return self._store.write(writes)
        if visitor.is_phone:
            for write in writes:
                self._refuse_more_than_counted(write)
        answers = self._store.write([self._signed(write, visitor) for write in writes])
        if visitor.is_phone:
            for write in writes:
                if isinstance(write, KeepBlob):
                    self.on_photo(write.blob.id, visitor)
        return answers

    def _signed(self, write: Write, visitor: Visitor) -> Write:
        if not isinstance(write, Append):
            return write
        kept = {s.event.id: s.event for s in self._events(write.log)}
        # One sent again after its answer was lost stays as it was, whoever has signed in since.
        events = [_under(event, kept.get(event.id), visitor.by) for event in write.events]
        return replace(write, events=events)

    def _events(self, log: str) -> Iterable[StoredEvent]:
        try:
            return self._store.events(log)
        except NotFound:  # it is begun by the same list
            return ()

    def _refuse_more_than_counted(self, write: Write) -> None:
        if isinstance(write, KeepBlob):
            return
        if isinstance(write, Append):
            known = {s.event.id: s.event.type for s in self._events(write.log)}
            known |= {event.id: event.type for event in write.events}
            for event in write.events:
                body = event.body
                undone = known.get(body.event) if isinstance(body, Withdrawn) else event.type
                if undone != COUNTED:
                    raise _too_much(event.type)
            return
        raise _too_much(type(write).__name__.lower())


def _under(event: Event, kept: Event | None, by: str) -> Event:
    if kept is not None and replace(event, by=kept.by) == kept:
        return kept
    return replace(event, by=by)


def _too_much(given: str) -> SpecError:
    rule = "must be rounds laid, taking one of them back, or a photo: it comes from a paired phone"
    return SpecError("event.type", given, rule, "do it at the bench")


def signed(store: Store) -> Store:
    """Give a store that writes under the name of who has signed in.

    Parameters
    ----------
    store : Store
        Where records are kept.

    Returns
    -------
    Store
        Over the same records.
    """
    return cast(Store, SignedStore(store))

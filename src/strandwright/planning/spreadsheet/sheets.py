"""Sheets of documents: a row for each, or for each item of a list in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Protocol, cast

from strandwright.planning.spreadsheet.cells import guarded
from strandwright.planning.spreadsheet.columns import MOMENT, TEXT, Column, cells_of, columns_of
from strandwright.planning.spreadsheet.joined import Joined
from strandwright.planning.spreadsheet.leaves import Leaf, leaves_of
from strandwright.units import System
from strandwright.workshop.documents import Document, Listing, LogHead
from strandwright.workshop.events import StoredEvent
from strandwright.workshop.fields import Noun
from strandwright.workshop.happenings.every import Withdrawn
from strandwright.workshop.service import TakenBack, entry_of

Row = dict[str, str]
#: Stands where something may have been taken back.
COUNTS = Column("counts", "yes or no", "no where it was a slip and was withdrawn")


@dataclass(frozen=True)
class Log:
    """A log with everything in it.

    Attributes
    ----------
    head : LogHead
        Its head.
    plan : str
        The plan of a build; empty for any other log.
    events : tuple of StoredEvent
        All of its events, in order.
    listing : Listing or None
        How it stands; None where its kind is not listed.
    """

    head: LogHead
    plan: str
    events: tuple[StoredEvent, ...]
    listing: Listing | None

    @cached_property
    def withdrawn(self) -> frozenset[str]:
        """Give the events that were slips, by identity."""
        bodies = (stored.event.body for stored in self.events)
        return frozenset(body.event for body in bodies if isinstance(body, Withdrawn))


class Sheet(Protocol):
    """What one CSV file holds."""

    @property
    def file(self) -> str:
        """Give the file's name."""
        ...

    @property
    def about(self) -> str:
        """Say what a row stands for."""
        ...

    @property
    def of(self) -> str:
        """Give the kind of document or log it tells of."""
        ...

    def columns(self, system: System) -> tuple[Column, ...]:
        """Give its columns.

        Parameters
        ----------
        system : str
            ``in`` or ``mm``.

        Returns
        -------
        tuple of Column
            In their order.
        """
        ...

    def rows(self, thing: Document | Log, system: System) -> Iterator[Row]:
        """Give its rows about one document or log.

        Parameters
        ----------
        thing : Document or Log
            The newest revision of the document, or the whole log.
        system : str
            ``in`` or ``mm``.

        Yields
        ------
        dict
            From header to cell; what is left out is empty.
        """
        ...


_KEPT = (
    Column("id", TEXT, "its identity"),
    Column("revision", "whole number", "how often it was changed, the first time counted"),
    Column("saved_at", MOMENT, "when this revision was kept"),
    Column("put_away", "yes or no", "whether it is out of use"),
)


def yes(is_so: bool) -> str:
    """Write yes or no.

    Parameters
    ----------
    is_so : bool
        Whether it is so.

    Returns
    -------
    str
        The word.
    """
    return "yes" if is_so else "no"


@dataclass(frozen=True)
class Documents:
    """A row for each document of a kind: its newest revision.

    Attributes
    ----------
    file, about, of : str
        Name of the file, what a row is, kind of document.
    noun : type of Noun
        What the document holds.
    but : frozenset of str
        Fields that are left out.
    """

    file: str
    about: str
    of: str
    noun: type[Noun]
    but: frozenset[str] = frozenset()

    @property
    def leaves(self) -> tuple[Leaf, ...]:
        """Give the leaves that stand in it; its identity stands before them."""
        return tuple(leaf for leaf in leaves_of(self.noun) if leaf.path[0] not in self.but | {"id"})

    def columns(self, system: System) -> tuple[Column, ...]:
        """Give its columns.

        Parameters
        ----------
        system : str
            ``in`` or ``mm``.

        Returns
        -------
        tuple of Column
            In their order.
        """
        told = (column for leaf in self.leaves for column in columns_of(leaf, system))
        return (*_KEPT, *told)

    def rows(self, thing: Document | Log, system: System) -> Iterator[Row]:
        """Give its rows about one document or log.

        Parameters
        ----------
        thing : Document or Log
            What the rows are about.
        system : str
            ``in`` or ``mm``.

        Yields
        ------
        dict
            From header to cell.
        """
        document = cast(Document, thing)
        row = {
            "id": guarded(document.id),
            "revision": str(document.revision),
            "saved_at": document.saved_at,
            "put_away": yes(document.put_away),
        }
        for leaf in self.leaves:
            row.update(cells_of(leaf, document.table, system))
        yield row


@dataclass(frozen=True)
class Parts:
    """A row for each item of lists in a document.

    Attributes
    ----------
    file, about, of : str
        Name of the file, what a row is, kind of document.
    lists : tuple of str
        Fields that hold the items.
    noun : type of Noun
        What an item is.
    """

    file: str
    about: str
    of: str
    lists: tuple[str, ...]
    noun: type[Noun]

    def columns(self, system: System) -> tuple[Column, ...]:
        """Give its columns.

        Parameters
        ----------
        system : str
            ``in`` or ``mm``.

        Returns
        -------
        tuple of Column
            In their order.
        """
        told = (column for leaf in leaves_of(self.noun) for column in columns_of(leaf, system))
        return (
            Column(f"{self.of}_id", TEXT, f"identity of the {self.of}"),
            Column("list", TEXT, f"which list of the {self.of}: {' or '.join(self.lists)}"),
            Column("place", "whole number", "its place in that list, from 1"),
            *told,
        )

    def rows(self, thing: Document | Log, system: System) -> Iterator[Row]:
        """Give its rows about one document or log.

        Parameters
        ----------
        thing : Document or Log
            What the rows are about.
        system : str
            ``in`` or ``mm``.

        Yields
        ------
        dict
            From header to cell.
        """
        document = cast(Document, thing)
        for name in self.lists:
            items = document.table.get(name)
            for place, item in enumerate(cast("list[Any]", items or ()), start=1):
                row = {f"{self.of}_id": guarded(document.id), "list": name, "place": str(place)}
                for leaf in leaves_of(self.noun):
                    row.update(cells_of(leaf, item, system))
                yield row


@dataclass(frozen=True)
class Entries:
    """A row for each entry of a line's service.

    Attributes
    ----------
    file, about, of : str
        Name of the file, what a row is, kind of log.
    bodies : mapping
        Each type of entry with its body.
    """

    file: str
    about: str
    of: str
    bodies: Mapping[str, type[Noun]]

    _HEAD = (
        Column("build_id", TEXT, "identity of the line's build"),
        Column("entry_id", TEXT, "its identity"),
        Column("type", TEXT, "what happened"),
        Column("at", MOMENT, "when it happened"),
        Column("shots", "whole number", "shots since the line came onto its bow"),
        Column("by", TEXT, "who or what wrote it"),
        COUNTS,
    )

    @cached_property
    def joined(self) -> Joined:
        """Give the leaves of all bodies under one header."""
        return Joined(self.bodies, {column.name for column in self._HEAD})

    def columns(self, system: System) -> tuple[Column, ...]:
        """Give its columns.

        Parameters
        ----------
        system : str
            ``in`` or ``mm``.

        Returns
        -------
        tuple of Column
            In their order.
        """
        return (*self._HEAD, *self.joined.columns(system))

    def rows(self, thing: Document | Log, system: System) -> Iterator[Row]:
        """Give its rows about one document or log.

        Parameters
        ----------
        thing : Document or Log
            What the rows are about.
        system : str
            ``in`` or ``mm``.

        Yields
        ------
        dict
            From header to cell.
        """
        log = cast(Log, thing)
        entries = [entry_of(stored.event) for stored in log.events]
        back = {entry.body.entry for entry in entries if isinstance(entry.body, TakenBack)}
        for entry in entries:
            row = {
                "build_id": guarded(log.head.subject),
                "entry_id": guarded(entry.id),
                "type": entry.type,
                "at": entry.at,
                "shots": str(entry.shots),
                "by": guarded(entry.by),
                "counts": yes(entry.id not in back),
            }
            noun, body = self.bodies[entry.type], entry.table()["body"]
            row.update(self.joined.cells(entry.type, noun, body, system))
            yield row

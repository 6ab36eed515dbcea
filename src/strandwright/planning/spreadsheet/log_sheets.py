"""Sheets of logs: a row for each log as it stands, or for each event in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, cast

from strandwright.planning.spreadsheet.cells import guarded
from strandwright.planning.spreadsheet.columns import MOMENT, TEXT, Column, cells_of, columns_of
from strandwright.planning.spreadsheet.joined import Joined
from strandwright.planning.spreadsheet.leaves import Leaf, leaves_of
from strandwright.planning.spreadsheet.measures import plain_number, slug, unit_for
from strandwright.planning.spreadsheet.sheets import COUNTS, Log, Row, yes
from strandwright.units import Dimension, System, to_unit
from strandwright.workshop.documents import Document
from strandwright.workshop.fields import Noun


@dataclass(frozen=True)
class Listed:
    """A column that a list of the app shows as well.

    Attributes
    ----------
    key : str
        Its name in the summary of a listing.
    meaning : str
        What it says.
    dimension : Dimension or None
        What kind of quantity, in SI there; None for anything else.
    name : str
        Its header, where not the key.
    """

    key: str
    meaning: str
    dimension: Dimension | None = None
    name: str = ""

    def column(self, system: System, *, stock: bool) -> Column:
        """Give its column.

        Parameters
        ----------
        system : str
            ``in`` or ``mm``.
        stock : bool
            Whether it tells of stock.

        Returns
        -------
        Column
            The column.
        """
        name = self.name or self.key
        if self.dimension is None:
            return Column(name, TEXT, self.meaning)
        unit = unit_for(self.dimension, system, stock=stock)
        return Column(f"{name}_{slug(unit)}", unit, self.meaning)

    def cell(self, summary: Mapping[str, Any], system: System, *, stock: bool) -> str:
        """Give its cell.

        Parameters
        ----------
        summary : mapping
            The summary of a listing.
        system : str
            ``in`` or ``mm``.
        stock : bool
            Whether it tells of stock.

        Returns
        -------
        str
            The cell, guarded; empty where the summary does not say.
        """
        value = summary.get(self.key)
        if value is None:
            return ""
        if self.dimension is not None and isinstance(value, int | float):
            unit = unit_for(self.dimension, system, stock=stock)
            return plain_number(to_unit(self.dimension, float(value), unit))
        if isinstance(value, bool):
            return yes(value)
        if isinstance(value, int | float):
            return plain_number(value)
        if isinstance(value, list | tuple):
            return guarded("; ".join(str(one) for one in cast("list[object]", value)))
        return guarded(str(value))


@dataclass(frozen=True)
class Logs:
    """A row for each log of a kind: how it stands, and what it began with.

    Attributes
    ----------
    file, about, of : str
        Name of the file, what a row is, kind of log.
    subject : str
        What its subject is called.
    listed : tuple of Listed
        What lists of the app show of it.
    begins : str
        Type of the event it began with, told leaf by leaf; empty for none.
    noun : type of Noun or None
        The body of that event.
    """

    file: str
    about: str
    of: str
    subject: str
    listed: tuple[Listed, ...] = ()
    begins: str = ""
    noun: type[Noun] | None = None

    @property
    def is_stock(self) -> bool:
        """Whether it tells of stock."""
        return self.of in ("spool", "part")

    @property
    def leaves(self) -> tuple[Leaf, ...]:
        """Give the leaves of the event it began with; its subject stands before them."""
        found = () if self.noun is None else leaves_of(self.noun)
        return tuple(leaf for leaf in found if leaf.name != self.subject)

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
        stock = self.is_stock
        return (
            Column("id", TEXT, "its identity"),
            Column(self.subject, TEXT, f"identity of its {self.subject.replace('_', ' ')}"),
            Column("began_at", MOMENT, "when it began"),
            Column("status", TEXT, "how it stands"),
            Column("last_at", MOMENT, "when it was last written of"),
            *((Column("plan", TEXT, "the plan it is built by"),) if self.of == "build" else ()),
            *(one.column(system, stock=stock) for one in self.listed),
            *(c for leaf in self.leaves for c in columns_of(leaf, system, stock=stock)),
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
        log, stock = cast(Log, thing), self.is_stock
        row = {
            "id": guarded(log.head.id),
            self.subject: guarded(log.head.subject),
            "began_at": log.head.began_at,
            "status": "" if log.listing is None else log.listing.status,
            "last_at": "" if log.listing is None else log.listing.at,
        }
        if self.of == "build":
            row["plan"] = guarded(log.plan)
        summary = {} if log.listing is None else log.listing.summary
        for one in self.listed:
            row[one.column(system, stock=stock).name] = one.cell(summary, system, stock=stock)
        body = _last_of(log, self.begins)
        for leaf in self.leaves:
            row.update(cells_of(leaf, body, system, stock=stock))
        yield row


def _last_of(log: Log, type: str) -> Mapping[str, Any]:
    """Give the body of the last event of a type that counts; empty where there is none."""
    counting = (
        s.event.body.model_dump(mode="json", exclude_defaults=True)
        for s in reversed(log.events)
        if s.event.type == type and s.event.id not in log.withdrawn
    )
    return next(counting, {})


@dataclass(frozen=True)
class Happenings:
    """A row for each event of the logs of a kind.

    Attributes
    ----------
    file, about, of : str
        Name of the file, what a row is, kind of log.
    bodies : mapping
        The types that stand in it, with their bodies.
    counting : bool
        Whether events that were withdrawn are left out.
    """

    file: str
    about: str
    of: str
    bodies: Mapping[str, type[Noun]]
    counting: bool = False

    @property
    def is_stock(self) -> bool:
        """Whether it tells of stock."""
        return self.of in ("spool", "part")

    @cached_property
    def joined(self) -> Joined:
        """Give the leaves of all bodies under one header."""
        return Joined(self.bodies, {column.name for column in self._head})

    @property
    def _head(self) -> tuple[Column, ...]:
        return (
            Column(f"{self.of}_id", TEXT, f"identity of the {self.of}"),
            Column("subject", TEXT, "what that log is about"),
            Column("place", "whole number", "its place in the log, from 1"),
            Column("event_id", TEXT, "its identity"),
            Column("type", TEXT, "what happened"),
            Column("at", MOMENT, "when, by the clock of who wrote it"),
            Column("by", TEXT, "who or what wrote it"),
            *(() if self.counting else (COUNTS,)),
        )

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
        return (*self._head, *self.joined.columns(system, stock=self.is_stock))

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
        for stored in log.events:
            event = stored.event
            counts = event.id not in log.withdrawn
            if event.type not in self.bodies or (self.counting and not counts):
                continue
            row = {
                f"{self.of}_id": guarded(log.head.id),
                "subject": guarded(log.head.subject),
                "place": str(stored.seq),
                "event_id": guarded(event.id),
                "type": event.type,
                "at": event.at,
                "by": guarded(event.by),
            }
            if not self.counting:
                row["counts"] = yes(counts)
            body = event.body.model_dump(mode="json", exclude_defaults=True)
            noun = self.bodies[event.type]
            stock = self.is_stock
            row.update(self.joined.cells(event.type, noun, body, system, stock=stock))
            yield row

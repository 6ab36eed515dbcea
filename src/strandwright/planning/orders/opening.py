"""Opening: what is written down at the counter, with its units, held to what can be meant."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from typing import Any, cast

from strandwright.errors import InputError, InputErrors, SpecError
from strandwright.planning.entries.default_units import with_unit
from strandwright.planning.entries.named import entries_of
from strandwright.planning.entries.refusals import refuse_impossible_part
from strandwright.workshop.customer import Customer
from strandwright.workshop.events import Event, event_of_table
from strandwright.workshop.fields import Noun
from strandwright.workshop.happenings.order import Baseline, BowLookedAt, OrderOpened, Paid
from strandwright.workshop.job import noun_from_table
from strandwright.workshop.parts import Bow

Table = dict[str, Any]

#: Texts that may run over several lines, by the last part of their field's name.
_REMARKS = frozenset(
    {"wants", "notes", "question", "answer", "why", "said", "text", "cam_marks", "lean"}
)
_HIDDEN = frozenset({"Cc", "Cf", "Cs", "Zl", "Zp"})


def read_customer(table: Mapping[str, Any]) -> Customer:
    """Read a customer as it was typed.

    Parameters
    ----------
    table : mapping
        ``name``, ``reach`` and ``notes``.

    Returns
    -------
    Customer
        The customer.

    Raises
    ------
    InputError
        For one thing that cannot be used.
    InputErrors
        For several of them.
    """
    customer = noun_from_table(Customer, dict(table), "customer")
    if not customer.name.strip():
        rule = "must say who it is"
        raise SpecError("customer.name", customer.name, rule, "write a name you call them by")
    _raise([*_unseen(customer, "customer.")])
    return customer


def read_event(table: Mapping[str, Any], units: str) -> Event:
    """Read an event of an order as it was sent, bare figures of the bow being in the shop's units.

    Parameters
    ----------
    table : mapping
        ``id``, ``type``, ``at``, ``by``, ``body``.
    units : str
        ``in`` or ``mm``.

    Returns
    -------
    Event
        The event, looked at by itself; not recorded yet.

    Raises
    ------
    InputError
        For one thing that cannot be used, or cannot be meant.
    InputErrors
        For several of them.
    """
    body = table.get("body")
    if isinstance(body, dict):
        held = cast("Table", body)
        told = {part: with_unit("bow", held[part], units) for part in _OF_BOW if part in held}
        table = {**table, "body": {**held, **told}}
    event = event_of_table(table)
    _raise([*_unmeant(event), *_unseen(event.body, f"{event.type}.")])
    return event


#: Parts of a body that hold figures of the bow.
_OF_BOW = ("bow", "baseline")


def _unmeant(event: Event) -> Iterator[InputError]:
    """Find what can be read, but not be meant."""
    body = event.body
    if isinstance(body, OrderOpened):
        yield from _odd(body.bow, f"{event.type}.bow")
    if isinstance(body, BowLookedAt):
        for name, part in (("bow", body.bow), ("baseline", body.baseline)):
            if part is not None:
                yield from _odd(part, f"{event.type}.{name}")
        told = {one.finding for one in body.findings}
        for finding in sorted(told & set(body.sound)):
            rule = "must be either sound or found, in one look"
            yield SpecError(f"{event.type}.sound", finding, rule, "take one of them out")
    if isinstance(body, Paid) and body.amount == 0:
        rule = "must be some money; below zero where it was given back"
        yield SpecError("paid.amount", str(body.amount), rule, "write what was paid")


def _odd(part: Bow | Baseline, where: str) -> Iterator[InputError]:
    """Find figures out of all range, as those of a job's bow are found."""
    try:
        refuse_impossible_part(part, "bow")
    except InputErrors as several:
        yield from (error.at(error.field.replace("bow", where, 1)) for error in several.errors)
    except InputError as error:
        yield error.at(error.field.replace("bow", where, 1))


def _unseen(noun: Noun, place: str) -> Iterator[InputError]:
    """Find texts with characters that nobody sees; remarks may run over several lines."""
    for field, value in entries_of(noun, place):
        # Those of a bow and of its baseline were looked at already.
        of_bow = any(f".{part}." in field for part in _OF_BOW)
        if of_bow or not isinstance(value, str) or value.isprintable():
            continue
        kept = re.sub(r"[\n\r\t]", "", value) if field.rpartition(".")[2] in _REMARKS else value
        hidden = [sign for sign in kept if unicodedata.category(sign) in _HIDDEN]
        if hidden:
            rule = f"must not hold the unseen character U+{ord(hidden[0]):04X}"
            yield SpecError(field, value, rule, "type it again, without pasting")


def _raise(found: list[InputError]) -> None:
    if len(found) == 1:
        raise found[0]
    if found:
        raise InputErrors(tuple(found))

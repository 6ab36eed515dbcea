"""Entries: the values of a job's tables, each with the name it has in the file."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple, cast

from strandwright.workshop.fields import Noun


class Entry(NamedTuple):
    """A value of a job with the name it has in the file.

    Attributes
    ----------
    field : str
        Its name, items of a list numbered.
    value : object
        The value.
    """

    field: str
    value: object


def entries_of(noun: Noun, place: str = "", passed: Noun | None = None) -> Iterator[Entry]:
    """Walk the values of a noun, those that were given.

    Parameters
    ----------
    noun : Noun
        A job, or a part of one.
    place : str
        Put before every name, such as ``bench.``.
    passed : Noun or None
        Another of its kind; what is the same in both is left out.

    Yields
    ------
    Entry
        Name and value.
    """
    for name, value in noun:
        field = place + name
        if passed is not None and value == getattr(passed, name):
            continue
        if isinstance(value, tuple):
            for number, part in enumerate(cast("tuple[object, ...]", value), start=1):
                yield from _entry(part, f"{field}[{number}]")
        elif value is not None:
            yield from _entry(value, field)


def _entry(value: object, field: str) -> Iterable[Entry]:
    """Give a value, or all that stands in a table."""
    return entries_of(value, f"{field}.") if isinstance(value, Noun) else (Entry(field, value),)

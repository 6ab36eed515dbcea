"""Columns: the header of a sheet, and the cells of a row under it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from strandwright.planning.spreadsheet.cells import guarded
from strandwright.planning.spreadsheet.leaves import Leaf
from strandwright.planning.spreadsheet.measures import number_in, slug, unit_for
from strandwright.units import System

#: What the cells of a column are, as the README says it.
TYPED = "as typed, with its unit"
TEXT = "text"
MOMENT = "ISO 8601, UTC"


@dataclass(frozen=True)
class Column:
    """One column of a sheet.

    Attributes
    ----------
    name : str
        Its header.
    unit : str
        Unit of its numbers, or what its cells are.
    meaning : str
        What it says.
    """

    name: str
    unit: str
    meaning: str


def columns_of(leaf: Leaf, system: System, *, stock: bool = False) -> tuple[Column, ...]:
    """Give the columns of a leaf: a quantity has two, a number and what was typed.

    Parameters
    ----------
    leaf : Leaf
        The leaf.
    system : str
        ``in`` or ``mm``.
    stock : bool
        Whether it is told of stock.

    Returns
    -------
    tuple of Column
        One, or two.
    """
    if leaf.dimension is None:
        return (Column(leaf.name, _UNITS[leaf.how], leaf.meaning),)
    unit = unit_for(leaf.dimension, system, stock=stock)
    number = Column(f"{leaf.name}_{slug(unit)}", unit, leaf.meaning)
    return number, Column(leaf.name, TYPED, f"{leaf.meaning}, with its +- where one was said")


_UNITS = {
    "text": TEXT,
    "exact": "exact decimal",
    "whole": "whole number",
    "number": "number",
    "yes": "yes or no",
    "list": "list, as JSON",
}


def cells_of(
    leaf: Leaf, table: object, system: System, *, stock: bool = False
) -> Iterator[tuple[str, str]]:
    """Give the cells of a leaf.

    Parameters
    ----------
    leaf : Leaf
        The leaf.
    table : object
        Plain values of the noun.
    system : str
        ``in`` or ``mm``.
    stock : bool
        Whether it is told of stock.

    Yields
    ------
    (str, str)
        Header and cell.
    """
    text = leaf.text(table)
    if leaf.dimension is not None:
        unit = unit_for(leaf.dimension, system, stock=stock)
        yield f"{leaf.name}_{slug(unit)}", number_in(leaf.dimension, text, unit) if text else ""
    number = leaf.how in ("whole", "number", "exact") and _is_number(text)
    yield leaf.name, text if number else guarded(text)


def _is_number(text: str) -> bool:
    return text.removeprefix("-").replace(".", "", 1).isdigit() and text.isascii()


def header(columns: Iterable[Column]) -> tuple[str, ...]:
    """Give the names of columns.

    Parameters
    ----------
    columns : iterable of Column
        In their order.

    Returns
    -------
    tuple of str
        The names.
    """
    return tuple(column.name for column in columns)

"""Joined: the leaves of several nouns under one header, as the events of a log need them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from strandwright.planning.spreadsheet.columns import Column, cells_of, columns_of
from strandwright.planning.spreadsheet.leaves import Leaf, leaves_of
from strandwright.units import System
from strandwright.workshop.fields import Noun


class Joined:
    """Leaves of several nouns under one header; one name never means two kinds of thing.

    Parameters
    ----------
    bodies : mapping
        From type to noun.
    taken : iterable of str
        Headers that stand there already.
    """

    def __init__(self, bodies: Mapping[str, type[Noun]], taken: Iterable[str]) -> None:
        self._names: dict[tuple[str, str], str] = {}
        self.leaves: dict[str, Leaf] = {}
        self._used: dict[str, list[str]] = {}
        for type, noun in bodies.items():
            for leaf in leaves_of(noun):
                name = leaf.name
                other = self.leaves.get(name)
                differs = other is not None and _sort(other) != _sort(leaf)
                if differs or name in set(taken):
                    name = f"{type}.{name}"
                self.leaves.setdefault(name, leaf)
                self._names[type, leaf.name] = name
                self._used.setdefault(name, []).append(type)

    def columns(self, system: System, *, stock: bool = False) -> Iterator[Column]:
        """Give the columns.

        Parameters
        ----------
        system : str
            ``in`` or ``mm``.
        stock : bool
            Whether they tell of stock.

        Yields
        ------
        Column
            Each says which types it is of.
        """
        for name, leaf in self.leaves.items():
            of = f"{', '.join(self._used[name])}: {leaf.meaning}"
            named = Leaf((name,), leaf.how, leaf.dimension, of)
            yield from columns_of(named, system, stock=stock)

    def cells(
        self, type: str, noun: type[Noun], table: object, system: System, *, stock: bool = False
    ) -> Iterator[tuple[str, str]]:
        """Give the cells of one of the nouns.

        Parameters
        ----------
        type : str
            Its type.
        noun : type of Noun
            The noun.
        table : object
            Plain values.
        system : str
            ``in`` or ``mm``.
        stock : bool
            Whether they tell of stock.

        Yields
        ------
        (str, str)
            Header and cell.
        """
        for leaf in leaves_of(noun):
            name = self._names[type, leaf.name]
            for header, cell in cells_of(leaf, table, system, stock=stock):
                yield name + header.removeprefix(leaf.name), cell


def _sort(leaf: Leaf) -> tuple[object, ...]:
    return leaf.how, leaf.dimension

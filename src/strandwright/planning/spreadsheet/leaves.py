"""Leaves: the values of a noun that stand in columns of their own, found from its fields."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Any, Literal, cast, get_args, get_origin

from strandwright.units import Dimension
from strandwright.workshop.fields import Noun, dimension_of, noun_of

Table = Mapping[str, Any]
#: A list of nouns that can hold no more than this has columns for each place [-]
MOST_PLACES = 6
How = Literal["text", "quantity", "exact", "whole", "number", "yes", "list"]


@dataclass(frozen=True)
class Leaf:
    """One value of a noun.

    Attributes
    ----------
    path : tuple of str
        Names of the fields that lead to it, from the outermost.
    how : str
        What it is: text, a quantity with its unit, an exact decimal, a whole number, a number,
        yes or no, a list.
    dimension : Dimension or None
        What kind of quantity; None for anything else.
    meaning : str
        What it says.
    """

    path: tuple[str, ...]
    how: How
    dimension: Dimension | None
    meaning: str

    @property
    def name(self) -> str:
        """Give its name in a header."""
        return ".".join(self.path)

    def value(self, table: object) -> object:
        """Find the value in the table of a noun.

        Parameters
        ----------
        table : object
            Plain values, as they are kept.

        Returns
        -------
        object
            None where it is not said.
        """
        for key in self.path:
            table = _within(table, key)
        return table

    def text(self, table: object) -> str:
        """Write the value as a cell holds it, not yet guarded.

        Parameters
        ----------
        table : object
            Plain values, as they are kept.

        Returns
        -------
        str
            Empty where it is not said.
        """
        value = self.value(table)
        if value is None:
            return ""
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, list | tuple | dict):
            return json.dumps(value, ensure_ascii=False, separators=(",", ":"))
        return str(value)


@cache
def leaves_of(noun: type[Noun]) -> tuple[Leaf, ...]:
    """Find the leaves of a noun.

    Parameters
    ----------
    noun : type of Noun
        The noun.

    Returns
    -------
    tuple of Leaf
        In the order of its fields; a noun within it gives its own, a list is one leaf.
    """
    return tuple(_leaves(noun, ()))


def _leaves(noun: type[Noun], within: tuple[str, ...]) -> Iterator[Leaf]:
    for name, field in noun.model_fields.items():
        path = (*within, name)
        inner = noun_of(field.annotation)
        is_list = _has(field.annotation, tuple)
        if inner is not None and not is_list:
            yield from _leaves(inner, path)
            continue
        if inner is not None and (most := _most(field.metadata)) <= MOST_PLACES:
            for place in range(1, most + 1):
                yield from _leaves(inner, (*path, str(place)))
            continue
        dimension = None if is_list else dimension_of(field)
        how: How = "list" if is_list else "quantity" if dimension else _how(field.annotation)
        yield Leaf(path, how, dimension, field.description or _in_words(path))


def _within(table: object, key: str) -> object:
    """Give what stands under a key; of a list, what stands at a place."""
    if isinstance(table, Mapping):
        return cast(Table, table).get(key)
    if isinstance(table, list | tuple) and key.isdigit():
        items = cast("list[object]", table)
        return items[int(key) - 1] if int(key) <= len(items) else None
    return None


def _most(metadata: list[Any]) -> int:
    """Give how many items a list holds at most; far too many where it does not say."""
    limits = [getattr(one, "max_length", None) for one in metadata]
    return next((limit for limit in limits if isinstance(limit, int)), MOST_PLACES + 1)


def _how(annotation: object) -> How:
    kinds: tuple[tuple[type, How], ...] = (
        (bool, "yes"),
        (int, "whole"),
        (float, "number"),
        (Decimal, "exact"),
    )
    for kind, how in kinds:
        if _has(annotation, kind):
            return how
    return "text"


def _has(annotation: object, kind: type) -> bool:
    """Whether a type is of a kind, or a choice of which one is."""
    if annotation is kind or get_origin(annotation) is kind:
        return True
    return get_origin(annotation) is not Literal and any(
        _has(part, kind) for part in get_args(annotation)
    )


def _in_words(path: tuple[str, ...]) -> str:
    """Say what a field without a description is by the names that lead to it."""
    words: list[str] = []
    for name in path:
        if name.isdigit():
            words[-1] += f" {name}"
        else:
            words.append(name.replace("_", " "))
    return " of ".join(reversed(words))

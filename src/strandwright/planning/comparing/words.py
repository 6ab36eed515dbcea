"""Words: every text that may stand in builds for comparing. No other ever does."""

from __future__ import annotations

from typing import Literal, get_args, get_origin

from strandwright.reference import strands
from strandwright.workshop.fields import Noun
from strandwright.workshop.parts import (
    BenchSpec,
    Bow,
    BuildReading,
    LineSpec,
    MakeUp,
    OwnStrand,
    RouteSpec,
)

#: Nouns and their fields whose words are chosen from a list, so that they tell nobody's.
_CHOSEN: tuple[tuple[type[Noun], str], ...] = (
    (Bow, "kind"),
    (LineSpec, "kind"),
    (MakeUp, "hand"),
    (OwnStrand, "fibre"),
    (RouteSpec, "order"),
    (BenchSpec, "gauge"),
    (BenchSpec, "tape"),
    (BenchSpec, "beam"),
    (BuildReading, "stage"),
)


def choices(noun: type[Noun], field: str) -> tuple[str, ...]:
    """Give the words that a field is chosen from.

    Parameters
    ----------
    noun : type of Noun
        The noun.
    field : str
        The field.

    Returns
    -------
    tuple of str
        The words.
    """
    return tuple(word for word in _words(noun.model_fields[field].annotation))


def _words(annotation: object) -> tuple[str, ...]:
    if get_origin(annotation) is Literal:
        return tuple(str(word) for word in get_args(annotation))
    return tuple(word for part in get_args(annotation) for word in _words(part))


def chosen(noun: type[Noun], field: str, given: object) -> str | None:
    """Give a word if it is one that a field is chosen from.

    Parameters
    ----------
    noun : type of Noun
        The noun.
    field : str
        The field.
    given : object
        What is kept.

    Returns
    -------
    str or None
        None for any other text; what is left out is what the noun says of itself.
    """
    if given is None:
        given = noun.model_fields[field].default
    return str(given) if given in choices(noun, field) else None


def all_words() -> frozenset[str]:
    """Give every word that may come out.

    Returns
    -------
    frozenset of str
        Chosen words and the names of the built-in strands.
    """
    words = {word for noun, field in _CHOSEN for word in choices(noun, field)}
    table = strands()
    return frozenset(words | set(table) | {strand.fibre for strand in table.values()})

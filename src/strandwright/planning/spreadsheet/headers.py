"""Headers: which column of somebody's file is which of ours."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from strandwright.errors import InputError, InputErrors, SpecError
from strandwright.planning.spreadsheet.leaves import Leaf
from strandwright.planning.spreadsheet.measures import unit_of_slug
from strandwright.workshop.said import short

#: Columns that stand before the leaves and are taken in.
HEADS = ("id", "put_away", "began_at")


@dataclass(frozen=True)
class Matched:
    """Columns of a file, each with what it is.

    Attributes
    ----------
    heads : dict
        From the name of a column that stands before the leaves to its place [-]
    typed : dict
        From the name of a leaf to the place of its column [-]
    numbers : dict
        From the name of a quantity to places and units of its plain numbers.
    aliases : dict
        From a word that means something of its own to the place of its column [-]
    left_out : tuple of str
        Headers that mean nothing here.
    """

    heads: dict[str, int] = field(default_factory=dict[str, int])
    typed: dict[str, int] = field(default_factory=dict[str, int])
    numbers: dict[str, tuple[int, str]] = field(default_factory=dict[str, tuple[int, str]])
    aliases: dict[str, int] = field(default_factory=dict[str, int])
    left_out: tuple[str, ...] = ()

    def tells(self, leaf: Leaf) -> bool:
        """Whether a leaf stands in the file.

        Parameters
        ----------
        leaf : Leaf
            The leaf.

        Returns
        -------
        bool
            True where it has a column.
        """
        return leaf.name in self.typed or leaf.name in self.numbers


def match(
    header: Sequence[str],
    leaves: Iterable[Leaf],
    *,
    renamed: Mapping[str, str],
    aliases: Iterable[str] = (),
    passed: Iterable[str] = (),
) -> Matched:
    """Find what each column of a file is.

    Parameters
    ----------
    header : sequence of str
        The file's header.
    leaves : iterable of Leaf
        What can be taken in.
    renamed : mapping
        From a header to the column it is, where somebody said so.
    aliases : iterable of str
        Words that mean something of their own.
    passed : iterable of str
        Columns that we write and do not take in.

    Returns
    -------
    Matched
        Where everything stands.

    Raises
    ------
    InputError
        If a column stands there twice, or a name that was given is no column.
    InputErrors
        For several such.
    """
    known = {plain(leaf.name): leaf for leaf in leaves}
    places: dict[str, dict[str, object]] = {"head": {}, "typed": {}, "number": {}, "alias": {}}
    others = {plain(name) for name in passed}
    errors, left_out = list(_unknown(header, renamed)), list[str]()
    ours = {plain(theirs): name for theirs, name in renamed.items()}
    for place, given in enumerate(header):
        name = plain(ours.get(plain(given), given))
        what, key, value = _meant(name, place, known, {plain(a): a for a in aliases})
        if what == "":
            if plain(given) in ours:
                rule, remedy = "must be a column that is known here", _near(known)
                errors.append(SpecError("mapping", name, rule, remedy))
            elif name not in others and name:
                left_out.append(given)
        elif key in places[what]:
            rule = "must stand in one column only"
            errors.append(SpecError("header", short(given), rule, "take one of them out"))
        else:
            places[what][key] = value
    if errors:
        raise errors[0] if len(errors) == 1 else InputErrors(tuple(errors))
    return Matched(
        places["head"], places["typed"], places["number"], places["alias"],  # pyright: ignore[reportArgumentType]
        tuple(left_out),
    )  # fmt: skip


def plain(name: str) -> str:
    """Give a header in the form in which headers are compared.

    Parameters
    ----------
    name : str
        As somebody wrote it.

    Returns
    -------
    str
        In lower case, blanks and hyphens as underscores.
    """
    return re.sub(r"[\s_-]+", "_", name.strip().lower()).strip("_")


def _meant(
    name: str, place: int, known: Mapping[str, Leaf], aliases: Mapping[str, str]
) -> tuple[str, str, object]:
    """Tell what a header means: of which sort, its name, and what is remembered of it."""
    if name in HEADS:
        return "head", name, place
    if name in known:
        return "typed", known[name].name, place
    if name in aliases:
        return "alias", aliases[name], place
    for start, leaf in known.items():
        if leaf.dimension is not None and name.startswith(f"{start}_"):
            unit = _unit(leaf, name.removeprefix(f"{start}_"))
            if unit is not None:
                return "number", leaf.name, (place, unit)
    return "", "", None


def _unit(leaf: Leaf, end: str) -> str | None:
    assert leaf.dimension is not None
    upper = {"degf": "degF", "degc": "degC", "n": "N", "n_per_mm": "N_per_mm", "j": "J"}
    return unit_of_slug(leaf.dimension, end) or unit_of_slug(leaf.dimension, upper.get(end, end))


def _unknown(header: Sequence[str], renamed: Mapping[str, str]) -> Iterable[InputError]:
    there = {plain(name) for name in header}
    for theirs in renamed:
        if plain(theirs) not in there:
            rule = "must be a header of the file"
            remedy = f"choose from {', '.join(short(name) for name in header[:20])}"
            yield SpecError("mapping", short(theirs), rule, remedy)


def _near(known: Mapping[str, Leaf]) -> str:
    return f"name one such as {', '.join(list(known)[:8])}; the README has all of them"

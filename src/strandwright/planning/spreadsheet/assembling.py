"""Assembling: from the cells of a row to the table of a noun."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from typing import Any, cast

from strandwright.errors import InputError, SpecError
from strandwright.planning.spreadsheet.cells import unguarded
from strandwright.planning.spreadsheet.headers import Matched
from strandwright.planning.spreadsheet.leaves import Leaf
from strandwright.planning.spreadsheet.measures import agrees
from strandwright.workshop.said import short

Table = dict[str, Any]
_YES = {"yes": True, "true": True, "1": True, "no": False, "false": False, "0": False}


def cell_at(row: Sequence[str], place: int | None) -> str:
    """Give the text of a cell.

    Parameters
    ----------
    row : sequence of str
        The row, its cells still guarded.
    place : int or None
        Where it stands; None gives an empty text [-]

    Returns
    -------
    str
        The text as it was before it was guarded.
    """
    return "" if place is None or place >= len(row) else unguarded(row[place])


def assembled(
    row: Sequence[str], matched: Matched, leaves: Sequence[Leaf], base: Mapping[str, Any]
) -> tuple[Table, list[InputError]]:
    """Lay the cells of a row over a table; what has no column stays as it is.

    Parameters
    ----------
    row : sequence of str
        The row.
    matched : Matched
        Where everything stands.
    leaves : sequence of Leaf
        What can be taken in.
    base : mapping
        What is kept already.

    Returns
    -------
    table : dict
        Plain values; what a noun would refuse is not looked at.
    errors : list of InputError
        Cells that cannot be read.
    """
    table, errors = _spread(base, leaves), list[InputError]()
    for leaf in leaves:
        if not matched.tells(leaf):
            continue
        try:
            _put(table, leaf.path, _value(row, matched, leaf))
        except InputError as error:
            errors.append(error)
    return cast(Table, _gathered(table)), errors


def _value(row: Sequence[str], matched: Matched, leaf: Leaf) -> object:
    """Read the value of a leaf; None where its cells are empty."""
    text = cell_at(row, matched.typed.get(leaf.name))
    if leaf.dimension is not None:
        return _quantity(row, matched, leaf, text.strip())
    if text.strip() == "" and leaf.how != "text":
        return None
    match leaf.how:
        case "text":
            return text or None
        case "yes":
            return _yes(leaf, text)
        case "whole" | "number":
            return _number(leaf.name, text, whole=leaf.how == "whole")
        case "list":
            return _list(leaf, text)
        case _:
            return text.strip()


def _quantity(row: Sequence[str], matched: Matched, leaf: Leaf, text: str) -> object:
    place, unit = matched.numbers.get(leaf.name, (None, ""))
    beside = cell_at(row, place).strip()
    if beside == "":
        return text or None
    number = _number(leaf.name, beside, whole=False)
    if text == "":
        return f"{beside} {unit}"
    assert leaf.dimension is not None
    if not agrees(leaf.dimension, text, number, unit):
        rule = f"must be what stands beside it, {beside} {unit}"
        raise SpecError(leaf.name, short(text), rule, "mend one of the two, or empty it")
    return text


def _number(name: str, text: str, *, whole: bool) -> float:
    """Read a number; a spreadsheet writes whole ones as 24.0 too."""
    try:
        number = float(text.strip()) if "_" not in text else math.nan
    except ValueError:
        number = math.nan
    if not math.isfinite(number) or (whole and number != int(number)):
        rule = f"must be a {'whole ' if whole else ''}number with a point, without a unit"
        raise SpecError(name, short(text), rule, "write it such as 24" + ("" if whole else ".5"))
    return int(number) if whole else number


def _yes(leaf: Leaf, text: str) -> bool:
    found = _YES.get(text.strip().lower())
    if found is None:
        raise SpecError(leaf.name, short(text), "must be yes or no", "write yes or no")
    return found


def _list(leaf: Leaf, text: str) -> object:
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, list):
        remedy = 'write it such as [{"name": "track", "width": "0.14 in"}]'
        raise SpecError(leaf.name, short(text), "must be a list in JSON", remedy)
    return cast("list[object]", found)


def yes_in(text: str, name: str) -> bool:
    """Read yes or no; empty is no.

    Parameters
    ----------
    text : str
        The cell.
    name : str
        The column.

    Returns
    -------
    bool
        True for yes.

    Raises
    ------
    InputError
        If it is neither.
    """
    return text.strip() != "" and _yes(Leaf((name,), "yes", None, ""), text)


# ------------------------------------------------------------------------------- lists by place


def _spread(base: Mapping[str, Any], leaves: Sequence[Leaf]) -> Table:
    """Copy a table, lists that have a column for each place as tables under those places."""
    lists = {leaf.path[0] for leaf in leaves if len(leaf.path) > 1 and leaf.path[1].isdigit()}
    table: Table = json.loads(json.dumps(base))
    for name in lists:
        if isinstance(table.get(name), list):
            items = cast("list[object]", table[name])
            table[name] = {str(place): item for place, item in enumerate(items, start=1)}
    return table


def _put(table: Table, path: Sequence[str], value: object) -> None:
    """Set a value, or take it out where there is none; a table that holds nothing goes too."""
    first, *rest = path
    if not rest:
        if value is None:
            table.pop(first, None)
        else:
            table[first] = value
        return
    inner = table.get(first)
    if not isinstance(inner, dict):
        inner = dict[str, Any]()
    _put(cast(Table, inner), rest, value)
    if inner:
        table[first] = inner
    else:
        table.pop(first, None)


def _gathered(value: object) -> object:
    """Make lists again of what was spread over places."""
    if not isinstance(value, dict):
        return value
    table = {key: _gathered(inner) for key, inner in cast(Table, value).items()}
    if table and all(key.isdigit() for key in table):
        return [table[key] for key in sorted(table, key=int)]
    return table

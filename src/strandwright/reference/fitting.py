"""Fitting: what is done on the bow once its lines are proved, row by row with its source."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal, get_args

from strandwright.errors import SpecError
from strandwright.reference.load import datum
from strandwright.reference.values import Datum, Kind

Asks = Literal["nothing", "figures", "heights", "shots"]
Warning = Literal["press", "draw", "strung", "none"]


@dataclass(frozen=True, slots=True)
class FittingRow:
    """One act on the bow.

    Attributes
    ----------
    name : str
        Its identity within the walk of one bow.
    bows : tuple of str
        Kinds of bow it is done on, or ``any``.
    title : str
        The act, a verb first.
    how : str
        What to do and to look for.
    asks : str
        What is written down at it: ``nothing``, ``figures`` of the bow, ``heights`` of what is
        tied in, or figures after so many ``shots``.
    caution : str
        Which caution stands at it.
    kind : str
        As of any row: published, measured, practice, memory.
    source : str
        Where it comes from, in words.
    plans : str
        Steps of each line's own plan that are told at it, by how their identity begins.
    shots : int or None
        It comes when so many were shot [-]
    """

    name: str
    bows: tuple[str, ...]
    title: str
    how: str
    asks: Asks
    caution: Warning
    kind: Kind
    source: str
    plans: str = ""
    shots: int | None = None


@cache
def _table() -> dict[str, Any]:
    text = (files("strandwright.reference") / "fitting.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def fitting_rows(bow: str) -> tuple[FittingRow, ...]:
    """Give what is done on one kind of bow.

    Parameters
    ----------
    bow : str
        Kind of bow, as a job names it.

    Returns
    -------
    tuple of FittingRow
        In the order of doing.
    """
    rows = [_row(row, f"fitting.step[{n}]") for n, row in enumerate(_table()["step"], 1)]
    return tuple(row for row in rows if "any" in row.bows or bow in row.bows)


@cache
def as_it_was(figure: str) -> Datum | None:
    """Give how near a figure of a bow comes to be called as it was.

    Parameters
    ----------
    figure : str
        Its field in a bow's figures.

    Returns
    -------
    Datum or None
        In SI; None for a figure that no row speaks of.
    """
    row = _table()["within"].get(figure)
    return None if row is None else datum(row, f"fitting.within.{figure}")


def _row(row: dict[str, Any], where: str) -> FittingRow:
    needed = {"name", "bows", "title", "how", "asks", "caution", "kind", "source"}
    if needed - row.keys() or row.keys() - needed - {"plans", "shots"}:
        rule = f"a row has {', '.join(sorted(needed))}, and no others but plans and shots"
        raise SpecError(where, sorted(row), rule, "complete or correct the row")
    for key, allowed in (("asks", Asks), ("caution", Warning), ("kind", Kind)):
        if row[key] not in get_args(allowed):
            rule = f"must be one of {', '.join(get_args(allowed))}"
            raise SpecError(f"{where}.{key}", row[key], rule, "choose one of these")
    told: dict[str, Any] = {**row, "bows": tuple(row["bows"])}
    return FittingRow(**told)

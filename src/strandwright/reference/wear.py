"""Wear: what is told of when a line is to be looked after and replaced, each source for itself."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal, get_args

from strandwright.errors import SpecError
from strandwright.reference.si import si_unit, to_si
from strandwright.reference.values import Kind

About = Literal["age", "shots", "settle", "wax", "inspect", "stop"]


@dataclass(frozen=True, slots=True)
class WearLimit:
    """What one source says.

    Attributes
    ----------
    about : str
        ``age``, ``shots``: when a line is replaced; ``settle``, ``wax``, ``inspect``, ``stop``.
    bows : tuple of str
        Kinds of bow it is told of, or ``any``.
    said : str
        In words.
    kind : str
        As of any row: published, measured, practice, memory.
    source : str
        Where it comes from, in words.
    low, high : float or None
        The range it names; None where it names none [unit].
    unit : str
        SI unit of the range: s, or ``1`` for shots; empty where there is none.
    heavy : bool
        Whether it is told of those who shoot much.
    note : str
        What to know before going by it; may be empty.
    """

    about: About
    bows: tuple[str, ...]
    said: str
    kind: Kind
    source: str
    low: float | None = None
    high: float | None = None
    unit: str = ""
    heavy: bool = False
    note: str = ""


@cache
def wear_limits() -> tuple[WearLimit, ...]:
    """Give everything that is told of wear and age.

    Returns
    -------
    tuple of WearLimit
        In the order of the table; sources that disagree stand beside each other.
    """
    text = (files("strandwright.reference") / "wear.toml").read_text(encoding="utf-8")
    rows = tomllib.loads(text)["limit"]
    return tuple(_limit(row, f"wear.limit[{place}]") for place, row in enumerate(rows, 1))


def limits_for(bow: str, about: About) -> tuple[WearLimit, ...]:
    """Give what is told of one thing for one kind of bow.

    Parameters
    ----------
    bow : str
        Kind of bow, as a job names it.
    about : str
        What it is about.

    Returns
    -------
    tuple of WearLimit
        Those that hold for it.
    """
    return tuple(
        limit
        for limit in wear_limits()
        if limit.about == about and ("any" in limit.bows or bow in limit.bows)
    )


def _limit(row: dict[str, Any], where: str) -> WearLimit:
    needed = {"about", "bows", "said", "kind", "source"}
    allowed = needed | {"low", "high", "unit", "heavy", "note"}
    numbers = {"low", "high", "unit"} & row.keys()
    if needed - row.keys() or row.keys() - allowed or len(numbers) not in (0, 3):
        rule = "a row has about, bows, said, kind, source, and low, high and unit or none of them"
        raise SpecError(where, sorted(row), rule, "complete or correct the row")
    if row["about"] not in get_args(About) or row["kind"] not in get_args(Kind):
        rule = f"about is one of {', '.join(get_args(About))}; kind of {', '.join(get_args(Kind))}"
        raise SpecError(where, (row["about"], row["kind"]), rule, "choose one of these")
    values: dict[str, Any] = {**row, "bows": tuple(row["bows"])}
    if numbers:
        unit = values["unit"]
        values |= {end: to_si(row[end], unit) for end in ("low", "high")}
        values["unit"] = si_unit(unit)
    return WearLimit(**values)

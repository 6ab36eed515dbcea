"""Causes: why a line that was made is made again, and who usually stands for it."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal, get_args

from strandwright.errors import SpecError
from strandwright.reference.values import Kind

Whose = Literal["shop", "wear", "bow", "customer"]


@dataclass(frozen=True, slots=True)
class Cause:
    """Why a line is made again.

    Attributes
    ----------
    name : str
        What it is called.
    whose : str
        Who usually stands for it: the shop, wear, the bow, the customer.
    look : str
        How it is told.
    kind : str
        As of any row: published, measured, practice, memory.
    source : str
        Where it comes from, in words.
    """

    name: str
    whose: Whose
    look: str
    kind: Kind
    source: str


@cache
def causes() -> tuple[Cause, ...]:
    """Give every cause.

    Returns
    -------
    tuple of Cause
        In the order of the table: first those that trade warranties take as the maker's.
    """
    text = (files("strandwright.reference") / "causes.toml").read_text(encoding="utf-8")
    rows = tomllib.loads(text)["cause"]
    return tuple(_cause(row, f"causes.cause[{place}]") for place, row in enumerate(rows, 1))


def _cause(row: dict[str, Any], where: str) -> Cause:
    needed = {"name", "whose", "look", "kind", "source"}
    if row.keys() != needed:
        rule = f"a row has {', '.join(sorted(needed))} and no others"
        raise SpecError(where, sorted(row), rule, "complete or correct the row")
    if row["whose"] not in get_args(Whose) or row["kind"] not in get_args(Kind):
        rule = f"whose is one of {', '.join(get_args(Whose))}; kind of {', '.join(get_args(Kind))}"
        raise SpecError(where, (row["whose"], row["kind"]), rule, "choose one of these")
    return Cause(**row)

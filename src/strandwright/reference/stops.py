"""Stops: what is looked at on a bow before it is pressed or drawn, and what follows if it is so."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal, get_args

from strandwright.errors import SpecError
from strandwright.reference.values import Kind

StopVerdict = Literal["refuse", "ask", "note"]

#: The stop that is told from a job and its bow, not ticked.
LOW_STRETCH = "low-stretch string on an old or wooden bow"


@dataclass(frozen=True, slots=True)
class Stop:
    """Something to look at on a bow.

    Attributes
    ----------
    name : str
        What is found, as a :class:`strandwright.workshop.parts.StopFinding` names it.
    bows : tuple of str
        Kinds of bow it is looked at on, or ``any``.
    look : str
        What to look at, and how.
    why : str
        What it does to the bow or to the line.
    verdict : str
        Where a technician begins who finds it: ``refuse`` the work, ``ask`` the owner, or
        ``note`` it and go on.
    customer : str
        The words for the bow's owner.
    kind : str
        As of any row: published, measured, practice, memory.
    source : str
        Where it comes from, in words.
    undrawn : bool
        Whether the bow is not drawn as it stands.
    computed : bool
        Whether the program tells it from the job; nobody ticks it.
    before_year : int or None
        Bows made before it are old, where the row is about that [-]
    """

    name: str
    bows: tuple[str, ...]
    look: str
    why: str
    verdict: StopVerdict
    customer: str
    kind: Kind
    source: str
    undrawn: bool = False
    computed: bool = False
    before_year: int | None = None


@cache
def stops() -> tuple[Stop, ...]:
    """Give everything that is looked at.

    Returns
    -------
    tuple of Stop
        In the order of looking.
    """
    text = (files("strandwright.reference") / "stops.toml").read_text(encoding="utf-8")
    rows = tomllib.loads(text)["stop"]
    return tuple(_stop(row, f"stops.stop[{place}]") for place, row in enumerate(rows, 1))


def stop(name: str) -> Stop:
    """Give one of them.

    Parameters
    ----------
    name : str
        What is found.

    Returns
    -------
    Stop
        The row.

    Raises
    ------
    SpecError
        If there is none of that name.
    """
    found = next((one for one in stops() if one.name == name), None)
    if found is None:
        rule = f"must be one of {', '.join(one.name for one in stops())}"
        raise SpecError("finding", name, rule, "choose one of these, or other")
    return found


def stops_for(bow: str) -> tuple[Stop, ...]:
    """Give what a technician looks at on one kind of bow.

    Parameters
    ----------
    bow : str
        Kind of bow, as a job names it.

    Returns
    -------
    tuple of Stop
        In the order of looking, without what the program tells by itself.
    """
    return tuple(
        one for one in stops() if not one.computed and ("any" in one.bows or bow in one.bows)
    )


def _stop(row: dict[str, Any], where: str) -> Stop:
    needed = {"name", "bows", "look", "why", "verdict", "customer", "kind", "source"}
    allowed = needed | {"undrawn", "computed", "before_year"}
    if needed - row.keys() or row.keys() - allowed:
        rule = f"a row has {', '.join(sorted(needed))}, and no others but "
        rule += "undrawn, computed and before_year"
        raise SpecError(where, sorted(row), rule, "complete or correct the row")
    if row["verdict"] not in get_args(StopVerdict) or row["kind"] not in get_args(Kind):
        verdicts, kinds = ", ".join(get_args(StopVerdict)), ", ".join(get_args(Kind))
        rule = f"verdict is one of {verdicts}; kind of {kinds}"
        raise SpecError(where, (row["verdict"], row["kind"]), rule, "choose one of these")
    values: dict[str, Any] = {**row, "bows": tuple(row["bows"])}
    return Stop(**values)

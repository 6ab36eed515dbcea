"""Aside: finished builds that somebody left out of what the shop knows, and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from strandwright.errors import SpecError
from strandwright.statistics.lesson import Lesson

Table = dict[str, Any]

_KEY = "left_out"
_LONGEST = 200


@dataclass(frozen=True, eq=False)
class LeftOut:
    """A build that teaches nothing for now.

    Attributes
    ----------
    because : str
        The reason that was given.
    at : str
        When, UTC.
    lesson : Lesson or None
        What it would teach; None where it cannot be read any more.
    """

    because: str
    at: str
    lesson: Lesson | None


def reason(text: str) -> str:
    """Read the reason for leaving a build out.

    Parameters
    ----------
    text : str
        As it was typed.

    Returns
    -------
    str
        On one line.

    Raises
    ------
    SpecError
        If nothing is said, or too much.
    """
    words = " ".join(text.split())
    if not 0 < len(words) <= _LONGEST:
        rule = f"must say in 1 to {_LONGEST} letters why the build is left out"
        raise SpecError("because", words[:40], rule, "say it, such as: one strand too many")
    return words


def with_reason(table: Table, because: str, at: str) -> Table:
    """Give a lesson's table as that of a build left out.

    Parameters
    ----------
    table : dict
        The lesson.
    because : str
        Why.
    at : str
        When, UTC.

    Returns
    -------
    dict
        A further revision.
    """
    return table | {_KEY: {"because": because, "at": at}}


def without_reason(table: Table) -> Table:
    """Give a lesson's table as that of a build that teaches.

    Parameters
    ----------
    table : dict
        The lesson.

    Returns
    -------
    dict
        A further revision.
    """
    return {key: value for key, value in table.items() if key != _KEY}


def left_out_in(table: Table, lesson: Lesson | None) -> LeftOut | None:
    """Tell whether a lesson's build is left out.

    Parameters
    ----------
    table : dict
        The lesson as it is kept.
    lesson : Lesson or None
        The same, read.

    Returns
    -------
    LeftOut or None
        None for one that teaches.
    """
    said = table.get(_KEY)
    return None if said is None else LeftOut(str(said["because"]), str(said["at"]), lesson)

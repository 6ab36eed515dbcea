"""Refused: what a store says where a write meets something else, alike in every store."""

from __future__ import annotations

from strandwright.errors import Conflict


def changed_elsewhere(kind: str, id: str, expected: int, newest: int) -> Conflict:
    """Say that a document has another newest revision than the one the change was made on.

    Parameters
    ----------
    kind, id : str
        Which.
    expected : int
        The revision it was made on, 0 for none [-]
    newest : int
        The newest one kept, 0 for none [-]

    Returns
    -------
    Conflict
        The error.
    """
    on = f"revision {expected}" if expected else "none"
    kept = f"revision {newest}" if newest else "none"
    rule = f"was changed elsewhere in the meantime: it was taken from {on}, and {kept} is kept"
    remedy = "look at the newest revision and make the change on that"
    return Conflict(kind, id, rule, remedy, newest)


def other_plan(id: str) -> Conflict:
    """Say that a plan of that identity has another job or model.

    Parameters
    ----------
    id : str
        The plan.

    Returns
    -------
    Conflict
        The error.
    """
    rule = "is kept already with another job or model version"
    return Conflict("plan", id, rule, "change the job, if only its name, and plan it again")


def other_build(id: str) -> Conflict:
    """Say that a build of that identity has another job or plan.

    Parameters
    ----------
    id : str
        The build.

    Returns
    -------
    Conflict
        The error.
    """
    rule = "is kept already with another job or plan"
    return Conflict("build", id, rule, "begin a build with an identity of its own")


def other_event(id: str) -> Conflict:
    """Say that an event of that identity has other content or hangs on another build.

    Parameters
    ----------
    id : str
        The event.

    Returns
    -------
    Conflict
        The error.
    """
    rule = "is kept already with other content or in another build"
    remedy = "withdraw that event and write a new one; an event never changes"
    return Conflict("event", id, rule, remedy)


def is_not_empty(place: str) -> Conflict:
    """Say that a store holds something already.

    Parameters
    ----------
    place : str
        Where it is.

    Returns
    -------
    Conflict
        The error.
    """
    rule = "holds records already, and a backup is restored into an empty one"
    return Conflict("store", place, rule, "name a place where nothing is kept yet")

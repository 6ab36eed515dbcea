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


def other_log(kind: str, id: str) -> Conflict:
    """Say that a log of that identity is of another kind or about another thing.

    Parameters
    ----------
    kind, id : str
        The log.

    Returns
    -------
    Conflict
        The error.
    """
    rule = "is kept already as the log of something else"
    return Conflict(kind, id, rule, f"begin the log of a {kind} with an identity of its own")


def grown_elsewhere(kind: str, id: str, expected: int | None, length: int) -> Conflict:
    """Say that more has happened than what a decision was taken on.

    Parameters
    ----------
    kind, id : str
        The log.
    expected : int or None
        Events it had then [-]
    length : int
        Events it has now [-]

    Returns
    -------
    Conflict
        The error.
    """
    rule = f"went on elsewhere in the meantime: it had {expected} events, and has {length}"
    return Conflict(kind, id, rule, "look at how it stands now, and do it again on that", length)


def other_event(id: str) -> Conflict:
    """Say that an event of that identity has other content or hangs on another log.

    Parameters
    ----------
    id : str
        The event.

    Returns
    -------
    Conflict
        The error.
    """
    rule = "is kept already with other content or in another log"
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

"""Keeping: the queue over a desk: its settings kept, its jobs gathered, laid out and remembered."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from weakref import WeakKeyDictionary

from strandwright.errors import NotFound, SpecError
from strandwright.planning.desk.builds import Desk
from strandwright.planning.queue.board import Board
from strandwright.planning.queue.gathering import board_of
from strandwright.planning.queue.laid_out import LaidOut, lay_out
from strandwright.workshop.queue import (
    QUEUE_ID,
    QueuePin,
    QueueSettings,
    queue_from_table,
    queue_table,
)

Table = dict[str, Any]
_remembered: WeakKeyDictionary[Desk, LaidOut] = WeakKeyDictionary()


@dataclass(frozen=True)
class KeptQueue:
    """The queue's settings as they are kept.

    Attributes
    ----------
    settings : QueueSettings
        They; nothing set where none are kept.
    revision : int
        Of the document, 0 for none [-]
    """

    settings: QueueSettings
    revision: int


def kept_queue(desk: Desk) -> KeptQueue:
    """Give the queue's settings.

    Parameters
    ----------
    desk : Desk
        The desk.

    Returns
    -------
    KeptQueue
        The newest.
    """
    try:
        document = desk.store.document("queue", QUEUE_ID)
    except NotFound:
        return KeptQueue(QueueSettings(), 0)
    return KeptQueue(queue_from_table(document.table), document.revision)


def keep_queue(desk: Desk, table: Mapping[str, Any], revision: int) -> KeptQueue:
    """Keep a further revision of the queue's settings.

    Parameters
    ----------
    desk : Desk
        The desk.
    table : mapping
        Its tables.
    revision : int
        The revision it follows, 0 for the first [-]

    Returns
    -------
    KeptQueue
        As kept.

    Raises
    ------
    InputError
        If they cannot be used.
    InputErrors
        For several such things.
    Conflict
        If they were changed elsewhere in the meantime.
    """
    settings = queue_from_table(dict(table))
    document = desk.store.save(
        "queue", QUEUE_ID, queue_table(settings), at=desk.now(), expected=revision
    )
    return KeptQueue(settings, document.revision)


def pin(desk: Desk, table: Mapping[str, Any], revision: int) -> LaidOut:
    """Hold a task to a start, or a job before another; what was set for it before is dropped.

    Parameters
    ----------
    desk : Desk
        The desk.
    table : mapping
        ``job``, ``step``, and ``start`` or ``before``.
    revision : int
        The revision of the settings it was seen on [-]

    Returns
    -------
    LaidOut
        The queue with it.

    Raises
    ------
    InputError
        If it cannot be, with the reason and what would do; nothing is kept then.
    Conflict
        If the settings were changed elsewhere in the meantime.
    """
    settings = kept_queue(desk).settings
    one = queue_from_table({"pins": [dict(table)]}).pins[0]
    others = _others(board_of(desk, settings), settings, one.job, one.step)
    after = settings.model_copy(update={"pins": (*others, one)})
    laid = lay_out(board_of(desk, after))
    place = "before" if one.before else "start"
    if all(waiting.job != one.job for waiting in laid.board.waiting):
        raise SpecError("job", one.job, "must be a job in the queue", "choose one that is")
    for flagged, flag in laid.flags:
        if (flagged.job, flagged.step) == (one.job, one.step):
            raise SpecError(place, one.start or one.before, f"cannot be: {flag.why}", flag.remedy)
    keep_queue(desk, queue_table(after), revision)
    _remembered[desk] = laid
    return laid


def unpin(desk: Desk, job: str, step: str, revision: int) -> LaidOut:
    """Let the solver choose again; unpinned twice it is free.

    Parameters
    ----------
    desk : Desk
        The desk.
    job, step : str
        What was pinned.
    revision : int
        The revision of the settings it was seen on [-]

    Returns
    -------
    LaidOut
        The queue without it.

    Raises
    ------
    Conflict
        If the settings were changed elsewhere in the meantime.
    """
    settings = kept_queue(desk).settings
    others = _others(board_of(desk, settings), settings, job, step)
    keep_queue(desk, queue_table(settings.model_copy(update={"pins": others})), revision)
    return laid_out(desk)


def _others(board: Board, settings: QueueSettings, job: str, step: str) -> tuple[QueuePin, ...]:
    """What is set of other tasks: steps that are done by now were once the beginning of this."""
    tasks = next((one.tasks for one in board.waiting if one.job == job), ())
    here = next((task for task in tasks if not step or task.holds(step)), None)
    first = bool(tasks) and here is tasks[0]

    def is_of_it(one: QueuePin) -> bool:
        if one.job != job:
            return False
        named = here is not None and here.holds(one.step)
        return one.step == step or named or (first and not one.step)

    return tuple(one for one in settings.pins if not is_of_it(one))


def laid_out(desk: Desk) -> LaidOut:
    """Lay the queue out as it stands; what was laid out last and has not changed is not done again.

    Parameters
    ----------
    desk : Desk
        The desk.

    Returns
    -------
    LaidOut
        Its schedule.

    Raises
    ------
    InputError
        If the solver is not installed, or the shop has no room for some task.
    """
    board, before = board_of(desk, kept_queue(desk).settings), _remembered.get(desk)
    if before is not None and before.board == board:
        return before
    _remembered[desk] = laid = lay_out(board)
    return laid

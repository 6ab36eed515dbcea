"""The board: a shop by its calendar, and everything that waits; from it to what is solved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from strandwright.errors import SpecError
from strandwright.planning.queue.course import NEVER
from strandwright.planning.queue.first import far_end
from strandwright.planning.queue.hours import Hours
from strandwright.planning.queue.nouns import Fixed, Flag, Load, QueueBench, Task, Work
from strandwright.planning.queue.week import Week
from strandwright.planning.queue.when import clock_said

#: Days that are laid out at first, and at most [-]
_DAYS, _MOST_DAYS = 40, 4000


@dataclass(frozen=True)
class Waiting:
    """A job in the queue.

    Attributes
    ----------
    job, name : str
        Its id and name.
    tasks : tuple of Task
        What is left to be done.
    due : date or None
        By the end of which day it is wanted.
    weight : int
        How much a minute late counts beside another job's [-]
    ready : date or None
        It is not begun before this day.
    lies_on : str
        Bench on which its skein lies already; empty where none does.
    """

    job: str
    name: str
    tasks: tuple[Task, ...]
    due: date | None = None
    weight: int = 1
    ready: date | None = None
    lies_on: str = ""


@dataclass(frozen=True)
class Pin:
    """What somebody has set, against what the solver would choose.

    Attributes
    ----------
    job, step : str
        The task; without a step, the first of the job that is left.
    at : datetime or None
        When it begins, by the shop's clock.
    before : str
        Another job whose first task this one's goes before; empty where none.
    """

    job: str
    step: str = ""
    at: datetime | None = None
    before: str = ""


@dataclass(frozen=True)
class Board:
    """A shop and everything that waits in it.

    Attributes
    ----------
    week : Week
        When it is open.
    now : datetime
        Nothing begins before, by the shop's clock.
    benches : tuple of QueueBench
        What lines are held by.
    hands : tuple of str
        Who works there.
    waiting : tuple of Waiting
        The jobs.
    pins : tuple of Pin
        What was set.
    unplanned : mapping
        Why jobs are left out that cannot be planned, by their ids.
    """

    week: Week
    now: datetime
    benches: tuple[QueueBench, ...]
    hands: tuple[str, ...]
    waiting: tuple[Waiting, ...]
    pins: tuple[Pin, ...] = ()
    unplanned: Mapping[str, str] = field(default_factory=dict[str, str])


@dataclass(frozen=True)
class Spoken:
    """A load, with the pins that the calendar alone rules out.

    Attributes
    ----------
    load : Load
        What is solved; what is fixed in it may still clash.
    pins : tuple of Pin
        Those that are fixed in it, in the same order.
    flags : tuple of (Pin, Flag)
        Those that cannot be, and why.
    """

    load: Load
    pins: tuple[Pin, ...]
    flags: tuple[tuple[Pin, Flag], ...]


def spoken(board: Board) -> Spoken:
    """Put a board into open minutes.

    Parameters
    ----------
    board : Board
        The board.

    Returns
    -------
    Spoken
        The load.

    Raises
    ------
    InputError
        If the shop has no hands, no bench or no hours for some task.
    """
    _refuse_empty(board)
    days = _DAYS
    while True:
        hours = board.week.hours(board.now.date(), days)
        load = _load(board, hours) if hours.windows else None
        if load is not None and far_end(load) < NEVER:
            break
        days *= 2
        if days > _MOST_DAYS:
            rule = "leave no room for some task: no stretch of open hours is as long as it"
            remedy = "open longer, or on more days"
            raise SpecError("hours", f"{len(hours.windows)} openings", rule, remedy)
    kept: list[tuple[Pin, Fixed]] = []
    flags: list[tuple[Pin, Flag]] = []
    for pin in board.pins:
        found = _fixed(board, load, pin)
        if isinstance(found, Fixed):
            kept.append((pin, found))
        elif found is not None:
            flags.append((pin, found))
    fixed = tuple(one for _, one in kept)
    return Spoken(
        Load(load.hours, load.benches, load.hands, load.works, fixed, load.now),
        tuple(pin for pin, _ in kept),
        tuple(flags),
    )


def _refuse_empty(board: Board) -> None:
    if not board.hands:
        raise SpecError("hands", "nobody", "must be somebody", "name who works there")
    kinds = {bench.kind for bench in board.benches}
    for waiting in board.waiting:
        for task in waiting.tasks:
            if task.kinds and not kinds.intersection(task.kinds):
                rule = f"must hold the lines that wait; none holds {waiting.job}"
                remedy = f"add one of the kind {' or '.join(task.kinds)}"
                raise SpecError("benches", ", ".join(sorted(kinds)) or "none", rule, remedy)


def _load(board: Board, hours: Hours) -> Load:
    works = tuple(
        Work(
            job=one.job,
            name=one.name,
            tasks=one.tasks,
            due=None if one.due is None else hours.closing(one.due),
            weight=one.weight,
            ready=0 if one.ready is None else hours.opened(_midnight(hours, one.ready)),
            lies_on=one.lies_on,
        )
        for one in board.waiting
    )
    now = hours.opened(hours.minute(board.now))
    return Load(hours, board.benches, board.hands, works, (), now)


def _midnight(hours: Hours, day: date) -> int:
    return hours.minute(datetime(day.year, day.month, day.day))


def _fixed(board: Board, load: Load, pin: Pin) -> Fixed | Flag | None:
    """Give a pin in open minutes, or why it cannot be; None where its task is done or gone."""
    tasks = next((w.tasks for w in load.works if w.job == pin.job), ())
    task = next((t for t in tasks if not pin.step or t.holds(pin.step)), None)
    if task is None:
        return None
    fixed = Fixed(pin.job, task.step, None, pin.before)
    if pin.before:
        other = next((w.tasks for w in load.works if w.job == pin.before), ())
        return fixed if other else None
    if pin.at is None:
        return None
    minute, hours = load.hours.minute(pin.at), load.hours
    if pin.at < board.now:
        why = f"{clock_said(pin.at)} has gone by"
        return Flag(fixed, why, f"let it begin at {clock_said(board.now)} or later")
    opened = hours.opened(minute)
    if not hours.is_open(minute):
        after = hours.moment(hours.begins(opened))
        return Flag(
            fixed, f"the shop is closed at {clock_said(pin.at)}", f"open next {clock_said(after)}"
        )
    return Fixed(pin.job, task.step, opened)


def rounded_up(moment: datetime, minutes: int = 15) -> datetime:
    """Give the next quarter of an hour, so that a queue stays as it is for a while.

    Parameters
    ----------
    moment : datetime
        A moment.
    minutes : int
        The step [min]

    Returns
    -------
    datetime
        Without seconds.
    """
    over = timedelta(minutes=moment.minute % minutes, seconds=moment.second)
    over += timedelta(microseconds=moment.microsecond)
    return moment if not over else moment - over + timedelta(minutes=minutes)

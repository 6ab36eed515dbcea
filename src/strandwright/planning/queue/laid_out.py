"""Laid out: a board with its schedule, the pins sifted."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.planning.queue.board import Board, Pin, spoken
from strandwright.planning.queue.nouns import Flag, Load, Schedule
from strandwright.planning.queue.overrides import sift
from strandwright.planning.queue.solve import EFFORT, solve


@dataclass(frozen=True)
class LaidOut:
    """A board with its schedule.

    Attributes
    ----------
    board : Board
        The board.
    load : Load
        What was solved.
    schedule : Schedule
        When everything is done.
    flags : tuple of (Pin, Flag)
        Pins that cannot be kept, and why.
    """

    board: Board
    load: Load
    schedule: Schedule
    flags: tuple[tuple[Pin, Flag], ...]


def lay_out(board: Board, effort: float = EFFORT, *, soonest: bool = True) -> LaidOut:
    """Lay a board out in time.

    Parameters
    ----------
    board : Board
        The board.
    effort : float
        How long each of the two searches goes on, in the solver's own seconds [-]
    soonest : bool
        Whether of the least late schedules the soonest done is looked for.

    Returns
    -------
    LaidOut
        Its schedule, with bounds.

    Raises
    ------
    InputError
        If the solver is not installed, or the shop has no room for some task.
    """
    said = spoken(board)
    load, clashes = sift(said.load)
    pins = dict(zip(said.load.fixed, said.pins, strict=True))
    flags = (*said.flags, *((pins[flag.fixed], flag) for flag in clashes))
    schedule = solve(load, effort, tuple(flag for _, flag in flags), soonest=soonest)
    return LaidOut(board, load, schedule, flags)

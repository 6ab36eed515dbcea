"""Separator: the thread between two groups of strands, as it is cut and laid."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.planning.result import Plan
from strandwright.reference import thread


@dataclass(frozen=True)
class SeparatorCut:
    """A separator thread as it is cut.

    Attributes
    ----------
    name : str
        Its name.
    colour : str
        ``#rrggbb``.
    thread : str
        The thread; empty for a strand as the line's.
    length : float
        Length to cut, both tails with it [m]
    mass : float
        Its mass [kg]
    after : str
        The colour after which it is laid; empty where whole colours do not make two groups.
    """

    name: str
    colour: str
    thread: str
    length: float
    mass: float
    after: str


def separator_cut(plan: Plan) -> SeparatorCut | None:
    """Give the separator of a plan as it is cut.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    SeparatorCut or None
        None where the make-up has none.

    Notes
    -----
    It goes once from post to post with the strands and bears nothing: it counts neither among the
    strands nor in strength, stiffness, diameter or mass of the line.
    """
    separator = plan.job.makeup.separator
    if separator is None:
        return None
    winding, run = plan.winding, plan.winding.runs[0]
    tails = 2.0 * winding.tail_cut
    once = (run.thread_length - tails) / run.strands
    length = once + tails
    density = run.mass.value / run.thread_length
    if separator.thread is not None:
        density = thread(separator.thread).linear_density.value
    return SeparatorCut(
        separator.name,
        separator.colour,
        separator.thread or "",
        length,
        length * density,
        _after(plan),
    )


def _after(plan: Plan) -> str:
    """The colour at whose end half of the strands are laid."""
    laid = 0
    for run in plan.winding.runs[:-1]:
        laid += run.strands
        if abs(2 * laid - plan.winding.strands) <= 1:
            return run.name
    return ""

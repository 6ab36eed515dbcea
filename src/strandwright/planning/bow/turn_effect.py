r"""Turn effect: how much shorter one turn makes a line, by how long a part of it takes the turn.

Twist shortens a part by its length and a function of its turns per length, so that one turn put
into a part of length :math:`l` of a line whose body is :math:`L` long does what :math:`m = L/l`
turns do to the whole line, divided by :math:`m`. For take-up :math:`k N^2 / L` that is

.. math:: -\Delta = \frac{2 k N}{L} + \frac{k}{l},

the first part the same however long the part is: a line that is twisted already gives nearly the
same by the next turn wherever that stays, and only an untwisted one gives :math:`m`-fold.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.free_run import FreeRun, free_runs
from strandwright.planning.bow.model import BowModel
from strandwright.planning.result import Plan, TwistPlan

Floats = NDArray[np.float64]


def body_of(plan: Plan) -> float:
    """Length of a line's body, which is what twists.

    Parameters
    ----------
    plan : Plan
        The line.

    Returns
    -------
    float
        From throat to throat [m]
    """
    return plan.target.length.value - sum(plan.throats)


def shortening(twist: TwistPlan, parts: Floats) -> Floats:
    """Change of a line's length by one turn put into a part of it.

    Parameters
    ----------
    twist : TwistPlan
        Its twist.
    parts : ndarray
        The line's body over the part's length, > 0 [-]

    Returns
    -------
    ndarray
        Below zero where it gets shorter; the parabola through the plan's lengths at a turn less,
        the turns planned and a turn more [m]
    """
    # Without turns a turn either way does the same.
    back = -min(twist.turns, 1.0) if twist.turns > 0 else -1.0
    more = twist.next_turn.value
    fewer = twist.less_turn.value if twist.turns > 0 else more
    bend = (more - fewer / back) / (1.0 - back)
    return (more - bend) + bend * np.asarray(parts, dtype=np.float64)


def by_line(plan: Plan, model: BowModel, own: str) -> dict[str, float]:
    """Change of each line's length by one turn that spreads over the whole of it.

    Parameters
    ----------
    plan : Plan
        The job's line; the others have its make-up and its turns per length.
    model : BowModel
        Its bow.
    own : str
        Which of the bow's lines the plan is of.

    Returns
    -------
    dict of str to float
        Below zero where it gets shorter [m]
    """
    body, bodies = body_of(plan), _bodies(plan, model, own)
    return {
        line: float(shortening(plan.twist, np.array(body / long))) for line, long in bodies.items()
    }


def _bodies(plan: Plan, model: BowModel, own: str) -> dict[str, float]:
    """Length of the body of each line; one that is not planned has this one's loops [m]."""
    loops = sum(plan.throats)
    return {
        lane.line: body_of(plan) if lane.line == own else float(lane.length.mean()) - loops
        for lane in model.lanes
    }


def held_runs(
    plan: Plan, model: BowModel, own: str
) -> tuple[tuple[tuple[FreeRun, Floats], tuple[FreeRun, Floats]], ...]:
    """Give what takes a turn put in at either end of each line where tracks hold the twist.

    Parameters
    ----------
    plan : Plan
        The job's line; the others have its make-up and its turns per length.
    model : BowModel
        Its bow.
    own : str
        Which of the bow's lines the plan is of.

    Returns
    -------
    tuple
        Line by line, from the zero end and from the far end: the free run, and the change of
        length by one turn in it, shape (bows,), below zero where it gets shorter [m]
    """
    body, bodies = body_of(plan), _bodies(plan, model, own)

    def with_change(run: FreeRun) -> tuple[FreeRun, Floats]:
        # Loops are not twisted, though some of them may be in the air.
        twisted = np.minimum(run.length, bodies[run.line])
        return run, shortening(plan.twist, body / twisted)

    return tuple(
        (with_change(zero), with_change(far)) for zero, far in free_runs(model.family.cycle)
    )

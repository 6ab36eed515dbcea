r"""Brace height against turns: the bow's own curve and the line's own take-up, both bent.

At brace the string's length nock to nock, :math:`\ell`, and its tension :math:`T` are the bow's
:math:`\ell(\delta), T(\delta)` on a string longer by :math:`\delta`, and the line's
:math:`\ell(N, T)` with :math:`N` turns at that load. Where the bow stands with the turns it has
is known; from there, bow by bow,

.. math:: \ell(\delta) - \ell(\delta_0) = \ell(N, T(\delta)) - \ell(N_0, T(\delta_0)) .
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.brace_curve import BraceCurve
from strandwright.bow.tuning import Coefficients
from strandwright.planning.bow.braces import Usual, covering, usual_brace
from strandwright.planning.bow.model import BowModel
from strandwright.planning.bow.start_of_brace import Start, start_of_brace
from strandwright.planning.brace_wish import is_bent
from strandwright.planning.estimate import Estimate
from strandwright.planning.line_on_bow import LineOnBow, limb_nocks, line_on_bow
from strandwright.planning.result import Plan
from strandwright.reference import practice
from strandwright.workshop.job import Job

Floats = NDArray[np.float64]
#: Turns between the rows of the table, and between the points of the picture.
TABLE_STEP, POINT_STEP = 5.0, 2.5
#: Rounds until length and load of a string agree; each leaves some hundredths of the last.
_ROUNDS = 12


@dataclass(frozen=True)
class BraceTurns:
    """Brace height of a recurve or longbow by the turns in its string.

    Attributes
    ----------
    start : Start
        Where it stands, and the turns then.
    put : ndarray, shape (points,)
        Turns put in since, taken out where below zero; 0 is among them [turn].
    longer, longer_u : ndarray, shape (points,)
        Change of the string's length on the bow, below zero where shorter, and its standard
        uncertainty [m].
    brace, u : ndarray, shape (points,)
        Brace height, and its standard uncertainty [m].
    tension : ndarray, shape (points,)
        Tension of the string at brace [N].
    one_turn, one_turn_u : float
        Change of the brace height by the next turn, and its standard uncertainty [m]
    length, tension_now : Estimate
        Of the string at the start: outside to outside of the limb nocks [m], and its tension [N]
    nocks : tuple of (float, float)
        What its loops lie on [m]
    wanted : float or None
        Brace height wanted; None where none is said [m]
    turns : Estimate or None
        Turns to put in for it; None where none is wanted, or they do not reach it [turn]
    usual : Usual
        What practice gives.
    """

    start: Start
    put: Floats
    longer: Floats
    longer_u: Floats
    brace: Floats
    u: Floats
    tension: Floats
    one_turn: float
    one_turn_u: float
    length: Estimate
    tension_now: Estimate
    nocks: tuple[float, float]
    wanted: float | None
    turns: Estimate | None
    usual: Usual


def brace_turns(
    job: Job, plan: Plan, model: BowModel, before: Coefficients, after: Coefficients
) -> BraceTurns | None:
    """Work out the brace height by turns.

    Parameters
    ----------
    job : Job
        The job.
    plan : Plan
        Its line.
    model : BowModel
        Its bow.
    before, after : Coefficients
        What a turn does by the bows alone, and after the job's trials, which scale the curve.

    Returns
    -------
    BraceTurns or None
        None for a bow with wheels and for a crossbow.

    Raises
    ------
    SpecError
        If the brace height that was measured is far from what the bow was known by.
    """
    if not is_bent(job):
        return None
    start = start_of_brace(job, plan, model)
    curve = covering(model.question, start.brace.value)
    at, _ = curve.longer_for(curve.brace, start.brace.value)
    put, pull = _put(plan, start.turns), curve.read(curve.tension, at)
    line = line_on_bow(plan, float(pull.mean()), start.turns + put)
    origin = int(np.argmin(np.abs(put)))
    change = _changes(curve, line, at, origin)
    kept = ((at + change >= curve.shortest) & (at + change <= curve.longest)).all(axis=1)
    height, pulls = (
        np.array([curve.read(of, at + own) for own in change])
        for of in (curve.brace, curve.tension)
    )
    share, relative = _learned(before, after)
    moved = share * (height - start.brace.value)[kept]
    middle = moved.mean(axis=1)
    u_moved = np.abs(middle) * _doubt(plan, relative)
    if relative is None:
        u_moved = np.hypot(u_moved, moved.std(axis=1, ddof=1))
    put, brace, u = put[kept], start.brace.value + middle, np.hypot(start.brace.u, u_moved)
    wanted, turns = _turns_to(job, put, brace, u)
    longer = _longer(line, pulls, origin)[kept]
    long = Estimate(float(line.length(origin, pull).mean()), plan.target.length.u, "m")
    return BraceTurns(
        start, put, longer, np.abs(longer) * _take_up_doubt(plan), brace, u,
        pulls.mean(axis=1)[kept],
        float(np.interp(1.0, put, middle)), float(np.interp(1.0, put, u_moved)), long,
        Estimate(float(pull.mean()), float(pull.std(ddof=1)), "N"), limb_nocks(job), wanted,
        turns, usual_brace(job),
    )  # fmt: skip


def _put(plan: Plan, turns: float) -> Floats:
    """Turns that can be put in or taken out: to none, and to the most advised."""
    most = max(plan.twist.most_turns - turns, 1.0)
    steps = np.arange(math.ceil(-turns / POINT_STEP), math.floor(most / POINT_STEP) + 1)
    return np.unique(np.concatenate([POINT_STEP * steps, [-turns, -1.0, 0.0, 1.0, most]]).clip(
        -turns, most))  # fmt: skip


def _changes(curve: BraceCurve, line: LineOnBow, at: Floats, origin: int) -> Floats:
    """How much longer a string without load does the same, by turns and bows, (turns, bows)."""
    first = curve.read(curve.path, at)
    own = line.length(origin, curve.read(curve.tension, at))
    found = np.zeros((len(line.turns), len(at)))
    for number, change in enumerate(found):
        for _ in range(_ROUNDS):
            longer = np.clip(at + change, curve.shortest, curve.longest) - at
            pull = curve.read(curve.tension, at + longer)
            wanted = first + line.length(number, pull) - own
            change += wanted - curve.read(curve.path, at + longer) + (longer - change)
    return found


def _longer(line: LineOnBow, pulls: Floats, origin: int) -> Floats:
    lengths = np.array([line.length(k, pull).mean() for k, pull in enumerate(pulls)])
    return lengths - lengths[origin]


def _learned(before: Coefficients, after: Coefficients) -> tuple[float, float | None]:
    """By how much trials scale what turns do, and how sure they make it; None without trials."""
    row, column = before.figures.index("brace_height"), before.lines.index("string")
    if after is before:
        return 1.0, None
    now, was = float(after.mean[row, column]), float(before.mean[row, column])
    if not now * was > 0.0:
        # A trial that says a turn does nothing, or the opposite, scales no curve.
        return 1.0, None
    return now / was, float(after.uncertainty[row, column]) / abs(now)


def _doubt(plan: Plan, relative: float | None) -> float:
    """Relative doubt that all bows share: what they leave out, and what a turn takes up."""
    if relative is not None:
        return relative
    plane = practice("wheels.coefficient_doubt").standard_uncertainty
    return math.hypot(plane, _take_up_doubt(plan))


def _take_up_doubt(plan: Plan) -> float:
    """Relative standard uncertainty of what turns take up: much the same for any number."""
    one = plan.twist.next_turn
    return one.u / abs(one.value)


def _turns_to(
    job: Job, put: Floats, brace: Floats, u: Floats
) -> tuple[float | None, Estimate | None]:
    """Turns that bring the brace height wanted, with what makes them unsure."""
    asked = job.bow.wanted.brace_height
    goal = asked or (job.bow.brace_height if job.bow.now.brace_height is not None else None)
    if goal is None:
        return None, None
    wanted = goal.si
    if not brace[0] <= wanted <= brace[-1]:
        return wanted, None
    turns = float(np.interp(wanted, brace, put))
    end = min(max(turns, float(put[0]) + 0.5), float(put[-1]) - 0.5)
    slope = float(np.interp(end + 0.5, put, brace) - np.interp(end - 0.5, put, brace))
    return wanted, Estimate(turns, float(np.interp(turns, put, u)) / slope, "turn")

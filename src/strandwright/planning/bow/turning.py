"""What turns do to the bow, and which bring it home: from the family, from readings, or both."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.tuning import (
    Aim,
    Coefficients,
    Homeward,
    Trial,
    bring_home,
    coefficients,
    learn,
)
from strandwright.errors import SpecError
from strandwright.planning.bow.model import BowModel
from strandwright.planning.result import Plan
from strandwright.reference import practice
from strandwright.units import Entered
from strandwright.workshop.job import Job

Floats = NDArray[np.float64]

#: Figures that are tuned: in the job's words, in the mechanics', and their tolerance where the
#: job gives none, as practice. The last is not measured: it is kept as it is.
TUNED: tuple[tuple[str, str, str], ...] = (
    ("brace_height", "brace_height", "tuning.brace_height"),
    ("axle_to_axle", "axle_to_axle", "tuning.axle_to_axle"),
    ("draw_length", "draw_length", "tuning.draw_length"),
    ("draw_weight", "peak", "tuning.draw_weight"),
    ("timing", "timing", "tuning.timing"),
)


@dataclass(frozen=True)
class Turning:
    """What turns do to this bow.

    Attributes
    ----------
    passing, held : Coefficients
        One turn put in, where the twist spreads over the whole line, and where it stays between
        the end it is put in at and the nocking point.
    per_turn : dict of str to float
        Change of each line's length by one turn put in, below zero [m]
    aims : tuple of Aim
        What is measured and wanted.
    home : Homeward or None
        Half turns that bring it home; None where nothing is measured or wanted.
    whole : Homeward or None
        The same in whole turns.
    """

    passing: Coefficients
    held: Coefficients
    per_turn: dict[str, float]
    aims: tuple[Aim, ...]
    home: Homeward | None
    whole: Homeward | None


def turning(job: Job, plan: Plan, model: BowModel) -> Turning:
    """Work out what turns do to a job's bow, and which bring it home.

    Parameters
    ----------
    job : Job
        The job, with what was measured, wanted and tried.
    plan : Plan
        Its line; the bow's other lines are taken to shorten alike in proportion.
    model : BowModel
        Its bow.

    Returns
    -------
    Turning
        Learned from the job's trials.

    Raises
    ------
    SpecError
        If a trial names a line the bow does not have.
    """
    per_turn = _per_turn(plan, model)
    known, held = (_from_family(model, per_turn, passing=p) for p in (True, False))
    trials = tuple(_trials(job, model))
    known, held = learn(known, trials), learn(held, trials)
    aims = tuple(_aims(job, model))
    if not aims:
        return Turning(known, held, per_turn, aims, None, None)
    wheels = bool(model.family.strung.bow.wheels)
    most = practice("wheels.half_turns" if wheels else "bent.half_turns").value
    limits = [_limits(job, plan, line, most) for line in model.lines]
    half, whole = (bring_home(known, aims, limits, step) for step in (0.5, 1.0))
    return Turning(known, held, per_turn, aims, half, whole)


def tuned_of(model: BowModel) -> tuple[tuple[str, str, str], ...]:
    """Figures that are tuned on a bow: without wheels the string sets brace and weight alone.

    Parameters
    ----------
    model : BowModel
        The bow.

    Returns
    -------
    tuple of (str, str, str)
        Rows of ``TUNED``.
    """
    if model.family.strung.bow.wheels:
        return TUNED
    return tuple(row for row in TUNED if row[0] in ("brace_height", "draw_weight"))


def _per_turn(plan: Plan, model: BowModel) -> dict[str, float]:
    """Change of length by one turn: at the same turns per length it is alike in every line."""
    next_turn = plan.twist.next_turn.value
    return dict.fromkeys(model.lines, next_turn)


def _from_family(model: BowModel, per_turn: dict[str, float], *, passing: bool) -> Coefficients:
    rig = model.family.strung.rig
    table = model.response.table()
    natural = np.broadcast_to(rig.natural, (len(table), rig.natural.shape[1]))
    columns: list[Floats] = []
    for index, line in enumerate(model.lines):
        own = np.flatnonzero(rig.of_line == index)
        share = natural[:, own] / natural[:, own].sum(axis=1, keepdims=True)
        if not passing:
            # Put in at the zero end: it stays on this side of the nocking point.
            share = np.zeros_like(share)
            share[:, 0] = 1.0
        columns.append(per_turn[line] * np.einsum("bfr,br->bf", table[:, :, own], share))
    tuned = tuned_of(model)
    rows = [model.response.names.index(name) for _, name, _ in tuned]
    response = np.stack(columns, axis=2)[:, rows]
    doubt = practice("wheels.coefficient_doubt").standard_uncertainty
    source = f"{model.family.members} bows that agree with what is known"
    return coefficients(tuple(n for n, _, _ in tuned), model.lines, response, doubt, source)


def _trials(job: Job, model: BowModel) -> list[Trial]:
    found: list[Trial] = []
    for i, trial in enumerate(job.bow.trials):
        for put in trial.turns:
            if put.line not in model.lines:
                rule = f"must be one of {', '.join(model.lines)}"
                where = f"bow.trials[{i}].turns.line"
                raise SpecError(where, put.line, rule, "name a line of this bow")
        changes: list[tuple[str, float, float]] = []
        for name, _, row in tuned_of(model):
            if name == "timing":
                continue
            before, after = getattr(trial.before, name), getattr(trial.after, name)
            if before is not None and after is not None:
                u = float(np.hypot(_reading_u(before, row), _reading_u(after, row)))
                changes.append((name, after.si - before.si, u))
        if changes:
            turns = tuple((put.line, put.turns) for put in trial.turns)
            found.append(Trial(turns, tuple(changes)))
    return found


def _aims(job: Job, model: BowModel) -> list[Aim]:
    now, wanted = job.bow.now, job.bow.wanted
    found: list[Aim] = []
    for name, _, row in tuned_of(model):
        if name == "timing":
            continue
        measured: Entered | None = getattr(now, name)
        asked: Entered | None = getattr(wanted, name)
        # What is not said to be wanted is what the bow measured before any press.
        goal: Entered | None = asked or getattr(job.bow, name)
        if measured is None or goal is None:
            continue
        # Only of what is wanted does a +- say how near; of the bow's figures, how well read.
        own = None if asked is None else asked.half_range
        within = practice(row).value if own is None else float(own)
        found.append(Aim(name, measured.si, _reading_u(measured, row), goal.si, within))
    if found and len(model.family.strung.bow.wheels) == 2:
        # Two wheels that roll together are to go on doing so.
        found.append(Aim("timing", 0.0, 0.0, 0.0, practice("tuning.timing").value))
    return found


def _reading_u(entered: Entered, row: str) -> float:
    """Standard uncertainty of a reading: as typed, or of its last step.

    A figure that falls on a whole inch is read as finely as any other, so the step is never
    taken coarser than the figure is kept to.
    """
    step = min(float(entered.step), practice(row).value)
    return entered.standard_uncertainty or step / np.sqrt(12.0)


def _limits(job: Job, plan: Plan, line: str, most: float) -> tuple[float, float]:
    """Turns that may be taken out and put in."""
    own = job.line.kind == "string" and line == "string"
    if not own:
        return -most, most
    room = max(plan.twist.most_turns - plan.twist.turns, 0.0)
    return -min(most, plan.twist.turns), min(most, room)

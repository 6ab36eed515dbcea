"""What turns do to the bow, and which bring it home: from the family, from readings, or both."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.free_run import FreeRun
from strandwright.bow.tuning import (
    Aim,
    Coefficients,
    Homeward,
    Trial,
    bring_home,
    coefficients,
    learn,
)
from strandwright.planning.bow.aims import aims_of, limits_of, trials_of, tuned_rows
from strandwright.planning.bow.brace_turns import BraceTurns, brace_turns
from strandwright.planning.bow.model import BowModel
from strandwright.planning.bow.touched import lane_of
from strandwright.planning.bow.turn_effect import by_line, held_runs
from strandwright.planning.result import Plan
from strandwright.reference import practice
from strandwright.workshop.job import Job

Floats = NDArray[np.float64]
#: Change by a turn that is nothing but rounding [m, N]
_ROUNDING = 1e-9


@dataclass(frozen=True)
class HeldRun:
    """The part of a line that takes a turn put in at one of its ends, if tracks hold the twist.

    Attributes
    ----------
    line : str
        The line.
    from_body, to_body : str
        What it is fastened on at that end, and the next it lies on.
    length : float
        How long the part is at brace [m]
    per_turn : float
        Change of the line's length by one turn put in, below zero [m]
    """

    line: str
    from_body: str
    to_body: str
    length: float
    per_turn: float


@dataclass(frozen=True)
class Held:
    """What a turn does where it stays in the free run next to the end it is put in at.

    Attributes
    ----------
    known : Coefficients
        One turn put in.
    runs : tuple of HeldRun
        For each line, where the turn stays.
    """

    known: Coefficients
    runs: tuple[HeldRun, ...]


@dataclass(frozen=True)
class Turning:
    """What turns do to this bow.

    Attributes
    ----------
    passing : Coefficients
        One turn put in, the twist passing every track and spreading over the whole line.
    held : tuple of Held
        The other limit, put in at the zero ends and at the far ends; empty where it is not known
        how the lines run.
    per_turn : dict of str to float
        Change of each line's length by one turn put in, below zero [m]
    aims : tuple of Aim
        What is measured and wanted.
    home : Homeward or None
        Half turns that bring it home; None where nothing is measured or wanted, or nothing is
        known of turns.
    whole : Homeward or None
        The same in whole turns.
    untried : frozenset of (str, str)
        Figure and line of which neither bows nor trials say anything.
    braces : BraceTurns or None
        Brace height over a range of turns; None on a bow with wheels or a crossbow.
    """

    passing: Coefficients
    held: tuple[Held, ...]
    per_turn: dict[str, float]
    aims: tuple[Aim, ...]
    home: Homeward | None
    whole: Homeward | None
    untried: frozenset[tuple[str, str]] = frozenset()
    braces: BraceTurns | None = None


def turning(job: Job, plan: Plan, model: BowModel) -> Turning:
    """Work out what turns do to a job's bow, and which bring it home.

    Parameters
    ----------
    job : Job
        The job, with what was measured, wanted and tried.
    plan : Plan
        Its line; the bow's other lines are taken to have its make-up and turns per length.
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
    wheels = bool(model.family.strung.bow.wheels)
    rows = tuned_rows(wheels=wheels, crossbow=model.crossbow)
    trials = trials_of(job, rows, model.lines)
    own = lane_of(job, model).line
    per_turn = by_line(plan, model, own)
    before = _passing(model, per_turn)
    known = learn(before, trials)
    braces = brace_turns(job, plan, model, before, known)
    held = _held(plan, model, own, trials)
    aims = aims_of(job, rows)
    if aims and len(model.family.strung.bow.wheels) == 2:
        # Two wheels that roll together are to go on doing so, a string's centre to lie amid them.
        together = "centring" if model.crossbow else "timing"
        if all(aim.figure != together for aim in aims):
            aims.append(Aim(together, 0.0, 0.0, 0.0, practice(f"tuning.{together}").value))
    if not aims:
        return Turning(known, held, per_turn, (), None, None, braces=braces)
    limits = [limits_of(job, plan, line, wheels=wheels) for line in model.lines]
    there = _at_the_end(known, braces)
    half, whole = (bring_home(there, aims, limits, step) for step in (0.5, 1.0))
    return Turning(known, held, per_turn, tuple(aims), half, whole, braces=braces)


def _at_the_end(known: Coefficients, braces: BraceTurns | None) -> Coefficients:
    """What a turn does on the average up to the brace height wanted, where that is not far.

    A turn shortens a string the more, the more are in, so the first turn's effect times the
    turns would ask for too many of them.
    """
    if braces is None or not braces.start.measured or braces.turns is None:
        return known
    row, turns = known.figures.index("brace_height"), braces.turns.value
    assert braces.wanted is not None
    if abs(turns) < 1.0 or len(known.lines) != 1 or not known.mean[row, 0]:
        return known
    more = (braces.wanted - braces.start.brace.value) / turns / known.mean[row, 0]
    return replace(known, mean=more * known.mean, covariance=more**2 * known.covariance)


def _passing(model: BowModel, per_turn: dict[str, float]) -> Coefficients:
    """Over the whole line, each reach takes its share by its length."""
    rig = model.family.strung.rig
    natural = np.broadcast_to(rig.natural, (model.family.members, rig.natural.shape[1]))
    changes: list[Floats] = []
    for index, line in enumerate(model.lines):
        own = natural[:, rig.of_line == index]
        changes.append(per_turn[line] * own / own.sum(axis=1, keepdims=True))
    return _from_family(model, changes)


def _held(plan: Plan, model: BowModel, own: str, trials: list[Trial]) -> tuple[Held, ...]:
    both = tuple(zip(*held_runs(plan, model, own), strict=True))
    found: list[Held] = []
    for at_end in both:
        changes = [change[:, None] * run.share for run, change in at_end]
        runs = tuple(_run(run, change) for run, change in at_end)
        found.append(Held(learn(_from_family(model, changes), trials), runs))
    return tuple(found)


def _run(run: FreeRun, change: Floats) -> HeldRun:
    long = float(run.length.mean())
    return HeldRun(run.line, run.from_body, run.to_body, long, float(change.mean()))


def _from_family(model: BowModel, changes: list[Floats]) -> Coefficients:
    """Give what the family says of one turn that changes each line's reaches so."""
    rig, table = model.family.strung.rig, model.response.table()
    columns = [
        np.einsum("bfr,br->bf", table[:, :, rig.of_line == index], change)
        for index, change in enumerate(changes)
    ]
    wheels = bool(model.family.strung.bow.wheels)
    rows = tuned_rows(wheels=wheels, crossbow=model.crossbow)
    at = [model.response.names.index(name) for _, name, _ in rows]
    response = np.stack(columns, axis=2)[:, at]
    if model.crossbow:
        # What moves both sides alike leaves the centre where it is, and not to rounding.
        response[np.abs(response) < _ROUNDING] = 0.0
    doubt = practice("wheels.coefficient_doubt").standard_uncertainty
    source = f"{model.family.members} bows that agree with what is known"
    return coefficients(tuple(n for n, _, _ in rows), model.lines, response, doubt, source)

"""Aims: which figures of a bow are tuned, where they are and should be, and what trials read."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from strandwright.bow.tuning import Aim, Trial
from strandwright.errors import SpecError
from strandwright.planning.result import Plan
from strandwright.reference import practice
from strandwright.units import Entered
from strandwright.workshop.job import Job

#: A figure: in the job's words, in the mechanics', and its tolerance where the job gives none.
Row = tuple[str, str, str]
#: Figures that are tuned. The last is not measured: it is kept as it is.
TUNED: tuple[Row, ...] = (
    ("brace_height", "brace_height", "tuning.brace_height"),
    ("axle_to_axle", "axle_to_axle", "tuning.axle_to_axle"),
    ("draw_length", "draw_length", "tuning.draw_length"),
    ("draw_weight", "peak", "tuning.draw_weight"),
    ("timing", "timing", "tuning.timing"),
    ("centring", "centring", "tuning.centring"),
)
#: What is tuned where the string alone sets a bow, and on a crossbow, whose latch stays where it
#: is and whose sides show in where the string's centre lies.
_BY_STRING = ("brace_height", "draw_weight")
_FLAT = ("brace_height", "axle_to_axle", "draw_weight", "centring")


def tuned_rows(*, wheels: bool, crossbow: bool = False) -> tuple[Row, ...]:
    """Figures that are tuned on a bow: without wheels the string sets brace and weight alone.

    Parameters
    ----------
    wheels : bool
        Whether the bow has any.
    crossbow : bool
        Whether it is one.

    Returns
    -------
    tuple of (str, str, str)
        Rows of ``TUNED``.
    """
    if crossbow:
        return tuple(r for r in TUNED if r[0] in _FLAT and (wheels or r[0] != "axle_to_axle"))
    if wheels:
        return tuple(row for row in TUNED if row[0] != "centring")
    return tuple(row for row in TUNED if row[0] in _BY_STRING)


def aims_of(job: Job, rows: Sequence[Row]) -> list[Aim]:
    """Give every figure that is measured now and wanted.

    Parameters
    ----------
    job : Job
        The job.
    rows : sequence of (str, str, str)
        Which figures are tuned.

    Returns
    -------
    list of Aim
        What nobody says is wanted is what the bow measured before any press.
    """
    now, wanted = job.bow.now, job.bow.wanted
    found: list[Aim] = []
    for name, _, row in rows:
        if name == "timing":
            continue
        measured: Entered | None = getattr(now, name)
        asked: Entered | None = getattr(wanted, name)
        goal: Entered | None = asked or getattr(job.bow, name, None)
        # A centre mark belongs over the middle of the rail.
        wanted_at = 0.0 if goal is None and name == "centring" else goal and goal.si
        if measured is None or wanted_at is None:
            continue
        # Only of what is wanted does a +- say how near; of the bow's figures, how well read.
        own = None if asked is None else asked.half_range
        within = practice(row).value if own is None else float(own)
        found.append(Aim(name, measured.si, _reading_u(measured, row), wanted_at, within))
    return found


def trials_of(job: Job, rows: Sequence[Row], lines: Sequence[str]) -> list[Trial]:
    """Give what was tried, each figure that was read before and after.

    Parameters
    ----------
    job : Job
        The job.
    rows : sequence of (str, str, str)
        Which figures are tuned.
    lines : sequence of str
        Names of the bow's lines.

    Returns
    -------
    list of Trial
        Those with any such figure.

    Raises
    ------
    SpecError
        If one names a line the bow does not have.
    """
    found: list[Trial] = []
    for i, trial in enumerate(job.bow.trials, start=1):
        for k, put in enumerate(trial.turns, start=1):
            if put.line not in lines:
                rule = f"must be one of {', '.join(lines)}"
                where = f"bow.trials[{i}].turns[{k}].line"
                raise SpecError(where, put.line, rule, "name a line of this bow")
        changes: list[tuple[str, float, float]] = []
        for name, _, row in rows:
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


def limits_of(job: Job, plan: Plan, line: str, *, wheels: bool) -> tuple[float, float]:
    """Turns that may be taken out of a line and put into it in one tuning.

    Parameters
    ----------
    job : Job
        The job.
    plan : Plan
        Its line.
    line : str
        Which of the bow's lines.
    wheels : bool
        Whether the bow has any.

    Returns
    -------
    tuple of (float, float)
        The first below zero or zero [turn]
    """
    most = practice("wheels.half_turns" if wheels else "bent.half_turns").value
    if not (job.line.kind == "string" and line == "string"):
        return -most, most
    room = max(plan.twist.most_turns - plan.twist.turns, 0.0)
    return -min(most, plan.twist.turns), min(most, room)


def _reading_u(entered: Entered, row: str) -> float:
    """Standard uncertainty of a reading: as typed, or of its last step.

    A figure that falls on a whole inch is read as finely as any other, so the step is never
    taken coarser than the figure is kept to.
    """
    step = min(float(entered.step), practice(row).value)
    return entered.standard_uncertainty or step / np.sqrt(12.0)

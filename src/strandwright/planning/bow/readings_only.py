"""Readings only: what turns do to a bow that is not modelled, known from its own trials alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strandwright.bow.tuning import Aim, Coefficients, bring_home, learn
from strandwright.errors import InputError, InputErrors
from strandwright.planning.bow.aims import Row, aims_of, limits_of, trials_of, tuned_rows
from strandwright.planning.bow.known import system_of
from strandwright.planning.bow.turning import Turning
from strandwright.planning.bow.words import LABELS
from strandwright.planning.desk.advice import turns_text
from strandwright.planning.result import Plan
from strandwright.reference import practice
from strandwright.workshop.job import Job

SOURCE = "your readings only"
#: A trial that leaves more than this of what was not known has said nothing of it [-].
_NOTHING_LEARNT = 0.98
#: Lines by how they run; those that are turned alike stand together.
_LINES: dict[str, tuple[tuple[str, ...], ...]] = {
    "two-cam": (("string",), ("upper cable", "lower cable")),
    "slaved two-cam": (("string",), ("upper cable", "lower cable")),
    "hybrid-cam": (("string",), ("buss cable",), ("control cable",)),
    "one-cam": (("string",), ("cable",)),
}
_CROSSBOW = (("string",), ("right cable", "left cable"))


@dataclass(frozen=True)
class FromReadings:
    """What a bow's own readings say of turns.

    Attributes
    ----------
    turning : Turning
        Coefficients from trials, and the turns that bring it home by them.
    trial : str
        The trial to make next, in words; empty where every line has been tried.
    wheels : bool
        Whether the bow has any.
    refused : tuple of InputError
        Why it is not modelled.
    """

    turning: Turning
    trial: str
    wheels: bool
    refused: tuple[InputError, ...]


def from_readings(
    job: Job, plan: Plan, refused: InputError | InputErrors | None = None
) -> FromReadings:
    """Work out what turns do from a job's trials alone.

    Parameters
    ----------
    job : Job
        The job, with what was measured, wanted and tried.
    plan : Plan
        Its line.
    refused : InputError, InputErrors or None
        Why bows cannot be asked.

    Returns
    -------
    FromReadings
        No turns are advised before the first trial.

    Raises
    ------
    SpecError
        If a trial names a line the bow does not have.

    Notes
    -----
    Before any trial a coefficient is nothing give or take what is met with: a line nobody tried
    is then left as it is, since turning it only adds doubt.
    """
    wheels = has_wheels(job)
    groups = lines_of(job)
    lines = tuple(line for group in groups for line in group)
    tuned = tuned_rows(wheels=wheels, crossbow=job.bow.kind == "crossbow")
    rows = tuple(row for row in tuned if row[0] != "timing")
    trials = trials_of(job, rows, lines)
    before = _prior(rows, lines)
    known = learn(before, trials)
    untried = frozenset(
        (name, line)
        for k, name in enumerate(known.figures)
        for j, line in enumerate(lines)
        if known.uncertainty[k, j] > _NOTHING_LEARNT * before.uncertainty[k, j]
    )
    per_turn = dict.fromkeys(lines, plan.twist.next_turn.value)
    aims = aims_of(job, rows)
    half = whole = None
    if aims and trials:
        limits = [limits_of(job, plan, line, wheels=wheels) for line in lines]
        half, whole = (bring_home(known, aims, limits, step) for step in (0.5, 1.0))
    turning = Turning(known, (), per_turn, tuple(aims), half, whole, untried)
    trial = _next_trial(job, plan, groups, turning)
    return FromReadings(turning, trial, wheels, _each(refused))


def _each(refused: InputError | InputErrors | None) -> tuple[InputError, ...]:
    if refused is None:
        return ()
    return tuple(refused.errors) if isinstance(refused, InputErrors) else (refused,)


def goes_by_readings(job: Job, refused: InputError | InputErrors) -> bool:
    """Tell whether a bow that cannot be asked is answered for by its readings.

    Parameters
    ----------
    job : Job
        The job.
    refused : InputError or InputErrors
        Why it cannot be asked.

    Returns
    -------
    bool
        True with a reading or a trial, and for a kind of bow that is not modelled; where only
        figures are missing and nothing was read, they are asked for.
    """
    bow = job.bow
    read = any(value is not None for _, value in bow.now)
    return bool(bow.trials) or read or any(e.field == "bow.kind" for e in _each(refused))


def has_wheels(job: Job) -> bool:
    """Tell whether a job's bow has wheels; a crossbow that does not say, by its axles and cables.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    bool
        True where turns are put in with the bow in a press.
    """
    bow = job.bow
    if bow.kind != "crossbow" or bow.crossbow is not None:
        return system_of(job) is not None
    stood = (bow.now, bow.wanted, *(s for trial in bow.trials for s in (trial.before, trial.after)))
    told = any(figures.axle_to_axle is not None for figures in stood)
    return told or bow.axle_to_axle is not None or job.line.kind == "cable"


def lines_of(job: Job) -> tuple[tuple[str, ...], ...]:
    """Name the lines of a job's bow, those that are turned alike together.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    tuple of tuple of str
        The string first.
    """
    if not has_wheels(job):
        return (("string",),)
    if job.bow.kind == "crossbow":
        return _CROSSBOW
    return _LINES[system_of(job) or "two-cam"]


def _prior(rows: Sequence[Row], lines: tuple[str, ...]) -> Coefficients:
    """Nothing, give or take what practice meets with."""
    spread = np.array([practice(f"turn.{name}").standard_uncertainty for name, _, _ in rows])
    variance = np.repeat(spread**2, len(lines))
    figures = tuple(name for name, _, _ in rows)
    return Coefficients(
        figures, lines, np.zeros((len(rows), len(lines))), np.diag(variance), SOURCE
    )


def _next_trial(job: Job, plan: Plan, groups: tuple[tuple[str, ...], ...], turning: Turning) -> str:
    """Say which trial teaches what nobody knows yet."""
    asked = {aim.figure for aim in turning.aims} or set(turning.passing.figures)
    open_ = [
        group
        for group in groups
        if any((name, line) in turning.untried for name in asked for line in group)
    ]
    if not open_:
        return ""
    group = _most_wanted(open_, turning.aims)
    count = practice(f"{'wheels' if has_wheels(job) else 'bent'}.trial_turns").value
    low, high = limits_of(job, plan, group[0], wheels=has_wheels(job))
    into = high >= count and not _is_high(turning.aims)
    into = into or -low < count
    figures = [LABELS[name] for name in turning.passing.figures]
    where = " and ".join(f"the {line}" for line in group)
    each = f"{turns_text(count)}{' each' if len(group) > 1 else ''}"
    act = f"put {each} into {where}" if into else f"take {each} out of {where}"
    known = _said_of(group, where, turning)
    return (
        f"{known}. To learn it, read {_listed(figures)} as the bow stands, {act}, settle, read "
        "the same again, and log it as a trial; take the turns back if it reads worse."
    )


def _said_of(group: tuple[str, ...], where: str, turning: Turning) -> str:
    """Say what is not known of turns in some lines."""
    figures, lines = turning.passing.figures, turning.passing.lines
    if len(turning.untried) == len(figures) * len(lines):
        return "Nothing is known yet of what a turn does here"
    missing = [n for n in figures if any((n, line) in turning.untried for line in group)]
    if len(missing) == len(figures):
        return f"Nothing is known yet of turns in {where}"
    of = _listed([LABELS[name] for name in missing])
    return f"What turns in {where} do to {of} is not known yet"


def _most_wanted(groups: list[tuple[str, ...]], aims: Sequence[Aim]) -> tuple[str, ...]:
    """Cables first where axle to axle is off, for they set it; the string first otherwise."""
    off = any(a.figure == "axle_to_axle" and abs(a.now - a.wanted) > a.within for a in aims)
    cables = [group for group in groups if group != ("string",)]
    return cables[0] if off and cables else groups[0]


def _is_high(aims: Sequence[Aim]) -> bool:
    """Whether brace height is over what is wanted, so that the string is too short."""
    return any(a.figure == "brace_height" and a.now > a.wanted + a.within for a in aims)


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"

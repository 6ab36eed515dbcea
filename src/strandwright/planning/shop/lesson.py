"""Lesson: what one finished build says of its unknowns, whatever else the shop knows.

Trial wraps, diameters, masses and lengths are learned from by the tables alone, as a build's own
plan does; what that took off the tables' +- is written as readings of the standardised unknowns.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.numerics.model import evaluate
from strandwright.numerics.parameters import ParameterVector
from strandwright.numerics.propagation import working_jacobian
from strandwright.planning.forecast import Taught
from strandwright.planning.prepare import at_mean, prepare
from strandwright.planning.readings.learning import after_readings, learn_from_trial_wraps
from strandwright.planning.readings.others import learn_from_other_readings, with_counted_strands
from strandwright.planning.settings import choose_settings
from strandwright.planning.shop.groups import groups_of
from strandwright.planning.shop.knowledge import POOLED, pooled_name
from strandwright.planning.take_off.target import find_target
from strandwright.statistics.lesson import Lesson
from strandwright.statistics.robust_noise import robust_noise
from strandwright.workshop.job import Job

Floats = NDArray[np.float64]

#: Directions that a build says less of than this share of a standard uncertainty are left out [-]
_SAYS_NOTHING = 1e-6
#: Step for slopes and bends: they are told over what is likely [posterior standard deviations]
_STEP = 1.0


@dataclass(frozen=True)
class _Known:
    """A normal distribution of the unknowns by its information, in standardised coordinates."""

    information: Floats
    pull: Floats


def lesson_of(job: Job) -> Lesson | None:
    """Give what a finished build says.

    Parameters
    ----------
    job : Job
        The job with its build as it was made: posts, turns, readings.

    Returns
    -------
    Lesson or None
        None for a build of which nothing was read.

    Raises
    ------
    InputError
        If the build cannot be understood by its plan.
    """
    alone = with_counted_strands(job.model_copy(update={"shop": None}))
    tables = prepare(alone, find_target(alone).length.value)
    before = learn_from_other_readings(learn_from_trial_wraps(tables))
    prior = _standardised(tables.parameters, before.parameters)
    if alone.build.readings:
        chosen = choose_settings(before, at_mean(before.parameters))
        after, _, taught = after_readings(before, chosen)
        rows = _lengths(tables.parameters, before.parameters, after.parameters, taught)
        information = rows[0].T @ np.linalg.solve(rows[2], rows[0])
        pull = rows[0].T @ np.linalg.solve(rows[2], rows[1])
        prior = _Known(prior.information + information, prior.pull + pull)
    return _written(alone, tables.parameters, prior)


def _standardised(tables: ParameterVector, known: ParameterVector) -> _Known:
    """What is known beyond the tables, in standard uncertainties of theirs."""
    u = tables.deviations
    active = np.flatnonzero(u)
    z = (known.mean - tables.mean)[active] / u[active]
    spread = known.covariance[np.ix_(active, active)] / np.outer(u[active], u[active])
    inverse = np.linalg.inv(spread)
    information, pull = np.zeros((len(u), len(u))), np.zeros(len(u))
    information[np.ix_(active, active)] = inverse - np.eye(len(active))
    pull[active] = inverse @ z
    return _Known(information, pull)


def _lengths(
    tables: ParameterVector, before: ParameterVector, after: ParameterVector, taught: Taught
) -> tuple[Floats, Floats, Floats]:
    """Slopes, values and noise of the length readings about what they taught, standardised."""
    reach = _STEP * after.factor
    points = np.concatenate([after.mean[None], after.mean + reach.T, after.mean - reach.T])
    _, values = evaluate(taught.lengths, after, points)
    rank = reach.shape[1]
    above, below = values[1 : 1 + rank], values[1 + rank :]
    jacobian = working_jacobian((above - below).T / (2.0 * _STEP), after)
    bends = (above + below - 2.0 * values[0]).T / (2.0 * _STEP**2)
    slopes = jacobian * tables.deviations
    read = np.asarray(taught.observed)
    centre = (after.mean - tables.mean) / np.where(tables.deviations > 0.0, tables.deviations, 1.0)
    value = read - values[0] - bends.sum(axis=1) + slopes @ centre
    u = np.where(tables.deviations > 0.0, tables.deviations, 1.0)
    mean = (before.mean - tables.mean) / u
    covariance = before.covariance / np.outer(u, u)
    # A bad reading loses its weight here, within its own build, whatever other builds say.
    # What bends the lengths away from a straight line counts as noise: z^2 has the variance 2.
    own = np.diag(taught.variances) + 2.0 * bends @ bends.T
    noise = robust_noise(slopes, value, own, mean, covariance).noise
    return slopes, value, noise


def _written(job: Job, tables: ParameterVector, known: _Known) -> Lesson | None:
    """Write what is known as independent readings of noise 1, and put the pooled names to it."""
    values, vectors = np.linalg.eigh(0.5 * (known.information + known.information.T))
    told = np.flatnonzero(values > _SAYS_NOTHING)
    if len(told) == 0:
        return None
    root = np.sqrt(values[told])
    mine = root[:, None] * vectors[:, told].T
    slopes = np.zeros((len(told), len(POOLED)))
    for k, name in enumerate(tables.names):
        slopes[:, POOLED.index(pooled_name(job, name))] = mine[:, k]
    value = (vectors[:, told].T @ known.pull) / root
    return Lesson(tuple(groups_of(job).items()), slopes, value, np.eye(len(told)))

"""Certainty: how surely all lines of a set land, their common unknowns counted once.

What nobody knows of the gauge, the tape or the fibre is wrong in every line of the set alike:
lines fail together, and all land more often than if each had unknowns of its own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.numerics.covariance import covariance_factor
from strandwright.planning.prepare import prepare
from strandwright.planning.result import Plan
from strandwright.planning.sets.result import SetChance
from strandwright.planning.shop.groups import groups_of
from strandwright.statistics.joint_chance import chance_jointly

#: Unknowns that each line has for itself: its own states, its own setting of the posts, its own
#: loops, the day it is built on.
_OWN = frozenset({"setting_error", "loop_error", "warmth", "heard"})
_OF_FIBRE = frozenset({
    "stiffness", "softening", "packing", "squeeze", "share", "bedding", "bedding_scale",
    "reopening", "recovery", "creep",
})  # fmt: skip
_OF_BENCH = frozenset({"drag", "post_stiffness", "layers", "tape_scale", "gauge"})
#: Shares of the common variance below which an unknown is not spoken of [-]
_WORTH_SAYING = 0.05
_MOST_SAID = 4

Latent = tuple[str, str]


@dataclass(frozen=True, eq=False)
class Doubt:
    """What is not known of one line: by unknowns it may share, and by what is its own.

    Attributes
    ----------
    names : tuple of (str, str)
        Each unknown with whose it is: the fibre's, the bench's, the line's.
    rows : ndarray
        Shape (2, p); what the readings will move the mean by, and the error left, by unknowns of
        unit variance [m]
    own : ndarray
        Shape (2, 2); covariance of the two from the readings themselves [m^2]
    error : float
        Mean error as it stands [m]
    tolerance, step : float
        Half-width that counts as landed; smallest correction [m]
    """

    names: tuple[Latent, ...]
    rows: FloatArray
    own: FloatArray
    error: float
    tolerance: float
    step: float


def set_chance(plans: Sequence[Plan]) -> SetChance | None:
    """Say how surely every line of a set lands.

    Parameters
    ----------
    plans : sequence of Plan
        The lines.

    Returns
    -------
    SetChance or None
        None where there are none.

    Notes
    -----
    Each line is corrected by its own readings alone: what one line's build teaches about the next
    is not counted, so a set that is built one line after the other does a little better.
    """
    if not plans:
        return None
    each = tuple(plan.landing.chance_first for plan in plans)
    if len(plans) == 1:
        return SetChance(each[0], plans[0].landing.chance, each, each[0], ())
    first, after = ([doubt_of(plan, proof=proof) for plan in plans] for proof in (False, True))
    return SetChance(
        first=_jointly(first),
        after=_jointly(after),
        each=each,
        alone=math.prod(each),
        shared=_shared(first, plans),
    )


def pair_chance(one: Plan, other: Plan, bound: float) -> float:
    """Chance that two lines differ by no more than a bound at their first proofs.

    Parameters
    ----------
    one, other : Plan
        The lines.
    bound : float
        Half-width [m]

    Returns
    -------
    float
        Chance [-]

    Notes
    -----
    What is left of each line's mean after correction to a step is taken as even over the step.
    """
    first, second = doubt_of(one, proof=False), doubt_of(other, proof=False)
    covariance = _joint([first, second])
    apart = np.array([0.0, 0.0, 1.0, -1.0])
    left = float(apart @ covariance @ apart)
    spread = math.sqrt(max(left, 0.0) + (first.step**2 + second.step**2) / 12.0)
    mean = one.target.length.value - other.target.length.value
    scale = spread * math.sqrt(2.0)
    return 0.5 * (math.erf((bound - mean) / scale) + math.erf((bound + mean) / scale))


def doubt_of(plan: Plan, *, proof: bool) -> Doubt:
    """Part what is not known of a line by unknowns of unit variance.

    Parameters
    ----------
    plan : Plan
        The line.
    proof : bool
        Whether the proof is among the readings that will correct it.

    Returns
    -------
    Doubt
        The doubt.

    Notes
    -----
    Readings of a build that stand in the job already leave of the unknowns before them,
    :math:`\\Sigma_0`, a covariance :math:`\\Sigma`; what is still wrong is then
    :math:`\\Sigma \\Sigma_0^{-1} x` and a part that only those readings have.
    """
    grounds = plan.landing.grounds
    after = grounds.known.covariance
    asked = grounds.asked(proof=proof)
    finished = grounds.spread.jacobian[grounds.spread.index("finished")]
    taken = asked.slopes @ after
    total = taken @ asked.slopes.T + np.diag(asked.variances)
    gain = np.linalg.solve(total, taken @ finished) if len(asked.variances) else np.zeros(0)
    moved = gain @ asked.slopes if gain.size else np.zeros_like(finished)
    slopes = np.array([moved, finished - moved])
    noise = float(gain @ (asked.variances * gain)) if gain.size else 0.0
    names, factor, kept = _before(plan, after)
    own = slopes @ (after - kept @ kept.T) @ slopes.T
    return Doubt(
        names=names,
        rows=slopes @ factor,
        own=own + noise * np.array([[1.0, -1.0], [-1.0, 1.0]]),
        error=grounds.error,
        tolerance=grounds.tolerance,
        step=grounds.step,
    )


def _before(plan: Plan, after: FloatArray) -> tuple[tuple[Latent, ...], FloatArray, FloatArray]:
    """Give the unknowns before the build's readings, and what of each is left by them."""
    known = prepare(plan.job, plan.target.length.value).parameters
    before = known.covariance
    factor = covariance_factor(before)
    if not np.allclose(before, after, rtol=1e-12, atol=0.0):
        scale = np.where(known.deviations > 0.0, known.deviations, 1.0)
        inverse = np.linalg.pinv(before / np.outer(scale, scale), hermitian=True)
        factor = after @ (inverse / np.outer(scale, scale)) @ factor
        pivots = covariance_factor(before)
    else:
        pivots = factor
    places = [int(np.flatnonzero(column)[0]) for column in pivots.T]
    names = tuple((known.names[k], _whose(plan, known.names[k])) for k in places)
    return names, factor, factor


def _whose(plan: Plan, name: str) -> str:
    """Say whose an unknown is: two lines share it where they say the same."""
    job = plan.job
    groups = groups_of(job)
    if name.startswith("own_") or name in _OWN:
        return f"line {job.id}"
    if name in _OF_FIBRE:
        return f"fibre {groups['fibre']}"
    if name in _OF_BENCH:
        return f"bench {groups['bench']}"
    first = job.line.servings[0].thread if job.line.servings else ""
    return f"thread {first}" if name in ("flattening", "thread_stiffness") else "shop"


def _joint(doubts: Sequence[Doubt]) -> FloatArray:
    """Covariance of all that the readings will move, then of all errors left, shape (2n, 2n)."""
    places = {name: k for k, name in enumerate(dict.fromkeys(n for d in doubts for n in d.names))}
    count = len(doubts)
    rows = np.zeros((2 * count, len(places)))
    covariance = np.zeros((2 * count, 2 * count))
    for i, doubt in enumerate(doubts):
        at = [places[name] for name in doubt.names]
        rows[np.ix_([i, count + i], at)] = doubt.rows
        covariance[np.ix_([i, count + i], [i, count + i])] = doubt.own
    return covariance + rows @ rows.T


def _jointly(doubts: Sequence[Doubt]) -> float:
    return chance_jointly(
        [d.error for d in doubts],
        _joint(doubts),
        [d.tolerance for d in doubts],
        [d.step for d in doubts],
    )


def _shared(doubts: Sequence[Doubt], plans: Sequence[Plan]) -> tuple[str, ...]:
    """Name the unknowns that leave the lines wrong alike, the most first."""
    labels = {
        name: label
        for plan in plans
        for name, label in zip(plan.parameters.names, plan.parameters.labels, strict=True)
    }
    found: dict[Latent, list[float]] = {}
    for doubt in doubts:
        for k, name in enumerate(doubt.names):
            found.setdefault(name, []).append(float(doubt.rows[1, k]))
    total = sum(float(d.rows[1] @ d.rows[1] + d.own[1, 1]) for d in doubts)
    common = {n: sum(x * x for x in parts) for n, parts in found.items() if len(parts) > 1}
    told = sorted(common.items(), key=lambda item: -item[1])
    return tuple(
        labels.get(name, name) for (name, _), part in told if part > _WORTH_SAYING * total
    )[:_MOST_SAID]

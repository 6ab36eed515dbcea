"""Reorder: at how much of a ware a further spool is ordered, from this shop's own use of it.

Jobs come by chance and each takes a length; until an ordered spool is here, a number of them
comes that nobody knows. What all of them take together has a distribution that follows exactly
from the jobs that were counted, and the ware is ordered while enough is left for all but few of
the lead times.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from statistics import NormalDist
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from strandwright.reference import practice

FloatArray = NDArray[np.float64]

#: Share of lead times in which what is left then suffices [-]
SERVICE = 0.95
#: Use further back than this tells little of what comes [d]
WINDOW = 365.0
#: Fewer jobs, or a shorter time, say too little of a shop [-]
_FEWEST_JOBS = 4
_SHORTEST = 21.0
_DAY = 86400.0
#: The largest length a job took is parted into as many steps [-]
_STEPS = 40
#: Sums beyond as many steps are not told apart [-]
_MOST = 2**18
#: The lead time is one of these quantiles of its spread, each as often [-]
_QUANTILES = (0.1, 0.3, 0.5, 0.7, 0.9)


@dataclass(frozen=True)
class Reorder:
    """When to order a further spool, or further parts.

    Attributes
    ----------
    level : float
        So much free, or less, and it is time [unit]
    daily : float
        What is used in a day; 0 where nothing of one's own is known [unit]
    lead : float
        From ordering to having it [d]
    service : float
        Share of lead times in which the level suffices [-]
    jobs : int
        Jobs it was counted from [-]
    days : float
        Time it was counted over [d]
    basis : {"own use", "practice"}
        This shop's use; or, where too little of that is known, what is told in the trade.
    """

    level: float
    daily: float
    lead: float
    service: float
    jobs: int
    days: float
    basis: Literal["own use", "practice"]


def reorder_of(
    uses: Sequence[Mapping[str, Any]],
    since: str,
    now: str,
    *,
    full: float,
    counted: bool,
    lead: float | None = None,
    service: float = SERVICE,
) -> Reorder:
    """Tell when a ware is to be ordered.

    Parameters
    ----------
    uses : sequence of mapping
        What was used of it: ``at``, ``order``, ``job``, ``length`` or ``count``, ``why``.
    since : str
        When the first of it came in, UTC.
    now : str
        When it is asked, UTC.
    full : float
        What a full spool of it holds; 0 for small parts [m]
    counted : bool
        Whether it comes by the piece.
    lead : float or None
        From ordering to having it; left out, what is told in the trade [d]
    service : float
        Share of lead times that what is left shall suffice for, in (0, 1) [-]

    Returns
    -------
    Reorder
        From own use where at least four jobs in three weeks are known, else from practice.
    """
    told = practice("stock.lead_time")
    days_of_lead = told.value / _DAY if lead is None else lead
    spread = told.relative_uncertainty if lead is None else 0.0
    moment = datetime.fromisoformat(now)
    start = max(datetime.fromisoformat(since), moment - timedelta(days=WINDOW))
    days = max((moment - start).total_seconds() / _DAY, 0.0)
    sizes = _by_job(uses, start, moment, counted=counted)
    if len(sizes) < _FEWEST_JOBS or days < _SHORTEST:
        row = practice("stock.reorder_count" if counted else "stock.reorder_share")
        level = row.value if counted else row.value * full
        return Reorder(level, 0.0, days_of_lead, service, len(sizes), days, "practice")
    leads = tuple(days_of_lead * math.exp(spread * NormalDist().inv_cdf(q)) for q in _QUANTILES)
    # By whole days, and whatever the order of the jobs, so that a day's answers are remembered.
    level = _remembered(tuple(sorted(sizes)), round(days), leads, service, counted)
    return Reorder(level, sum(sizes) / days, days_of_lead, service, len(sizes), days, "own use")


@lru_cache(maxsize=2000)
def _remembered(
    sizes: tuple[float, ...], days: int, leads: tuple[float, ...], service: float, whole: bool
) -> float:
    return demand_quantile(sizes, days, leads, service, whole=whole)


def _by_job(
    uses: Sequence[Mapping[str, Any]], start: datetime, end: datetime, *, counted: bool
) -> list[float]:
    """Add up what each job took; what was written off, or says no job, stands alone."""
    sizes: dict[tuple[str, str], float] = {}
    for place, use in enumerate(uses):
        size = float(use["count"] if counted else use["length"])
        if size <= 0.0 or not start <= datetime.fromisoformat(use["at"]) <= end:
            continue
        key = (use["order"], "" if use["order"] else use["job"] or f"alone {place}")
        sizes[key] = sizes.get(key, 0.0) + size
    return list(sizes.values())


def demand_quantile(
    sizes: Sequence[float],
    days: float,
    leads: Sequence[float],
    service: float,
    *,
    whole: bool = False,
) -> float:
    """Give what suffices for the jobs of a lead time in so many of a hundred lead times.

    Jobs come at an even rate that was seen for ``days`` only, so their number in a lead time is
    negative binomial (a rate known as a Gamma distribution, from Jeffreys' prior); what each
    takes is one of those seen, each as likely.

    Parameters
    ----------
    sizes : sequence of float
        What each job took, all > 0, at least one [unit]
    days : float
        Time in which they came, > 0 [d]
    leads : sequence of float
        Lead times, each as likely, > 0 [d]
    service : float
        Share of lead times it shall suffice for, in (0, 1) [-]
    whole : bool
        Whether sizes are whole numbers, to be kept so.

    Returns
    -------
    float
        The least that suffices, rounded up to a fortieth or so of the largest size [unit]
    """
    step = 1.0 if whole else max(sizes) / _STEPS
    steps = [math.ceil(size / step - 1e-9) for size in sizes]
    share = np.bincount(steps) / len(steps)
    shape = len(sizes) + 0.5
    rates = [days / lead for lead in leads]
    length = 2 ** math.ceil(math.log2(max(_reach(share, shape, min(rates)), 2.0)))
    if length > _MOST:
        # So much is used that chance hardly matters: the mean and its spread say enough.
        return _by_moments(sizes, days, leads, service)
    chances = [compound_negative_binomial(share, shape, rate, length) for rate in rates]
    return step * int(np.argmax(np.cumsum(np.mean(chances, axis=0)) >= service))


def _reach(share: FloatArray, shape: float, rate: float) -> float:
    """Give a sum that is never met: the mean and twenty standard deviations."""
    places = np.arange(len(share))
    mean, square = float(share @ places), float(share @ places**2)
    number = shape / rate
    spread = math.sqrt(number * square + number**2 / shape * mean**2)
    return number * mean + 20.0 * spread + len(share)


def compound_negative_binomial(
    share: FloatArray, shape: float, rate: float, length: int
) -> FloatArray:
    """Give the distribution of the sum of a negative binomial number of whole sizes.

    With :math:`\\varphi` the transform of the sizes that of the sum is
    :math:`((1 - a) / (1 - a \\varphi))^{shape}`, :math:`a = 1 / (1 + rate)`: the real part of what
    is raised is positive, so that its power is the plain one. Transformed back over ``length``
    places it is exact but for the chance of sums beyond them, which fold back.

    Parameters
    ----------
    share : ndarray
        Shape (m,); chance of each size 0, 1, ... [-]
    shape : float
        Shape of the Gamma distribution of the expected number, > 0 [-]
    rate : float
        Its rate: the number has the mean ``shape / rate``, > 0 [-]
    length : int
        How many chances to give, from the sum 0; more than any sum met with [-]

    Returns
    -------
    ndarray
        Shape (length,); chance of each sum [-]
    """
    a = 1.0 / (1.0 + rate)
    transform = np.fft.rfft(share, length)
    return np.fft.irfft(((1.0 - a) / (1.0 - a * transform)) ** shape, length)


def _by_moments(
    sizes: Sequence[float], days: float, leads: Sequence[float], service: float
) -> float:
    shape, mean = len(sizes) + 0.5, float(np.mean(sizes))
    square = float(np.mean(np.square(sizes)))
    numbers = np.asarray(leads) * shape / days
    mean_sum = float(np.mean(numbers)) * mean
    variance = float(
        np.mean(numbers * square + numbers**2 / shape * mean**2) + np.var(numbers) * mean**2
    )
    return mean_sum + NormalDist().inv_cdf(service) * math.sqrt(variance)

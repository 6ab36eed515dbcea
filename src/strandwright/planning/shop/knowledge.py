"""Knowledge: what a pool of finished builds says, put into a job and taken into its unknowns."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from strandwright.line.unknowns import HEARD, LAY, UNKNOWNS
from strandwright.numerics.parameters import ParameterVector
from strandwright.planning.shop.groups import name_of
from strandwright.workshop.job import Job
from strandwright.workshop.shop import BuildsOf, ShopKnowledge

Floats = NDArray[np.float64]

#: What an unknown of a line that is laid in and not wound is of: a habit of its own
LAID_IN = {"drag": "hand_pull", "setting_error": "loop_place"}
#: The unknowns that are pooled, in standard uncertainties of what the tables say
POOLED = (*(name for name, _, _ in UNKNOWNS), HEARD[0], LAY[0], *LAID_IN.values())
#: Digits that are kept of them: far below what any reading tells
_DIGITS = 9


def knowledge_of(
    mean: Floats, covariance: Floats, builds: int, counts: dict[tuple[str, str], int]
) -> ShopKnowledge:
    """Write what a pool says of a new build, as a job holds it.

    Parameters
    ----------
    mean : ndarray, shape (p,)
        Of the pooled unknowns [standard uncertainties]
    covariance : ndarray, shape (p, p)
        Of the same [standard uncertainties squared]
    builds : int
        Finished builds of the whole shop [-]
    counts : dict of (level, key) to int
        Builds that stand behind each group of this job [-]

    Returns
    -------
    ShopKnowledge
        Rounded, so that the same builds give the same text.
    """
    return ShopKnowledge(
        builds=builds,
        of=tuple(
            BuildsOf(level=level, name=name_of(level, key), builds=count)
            for (level, key), count in counts.items()
            if level != "shop" and count > 0
            # A family of which one strand alone was built is told of as that strand.
            and not (level == "family" and count == counts.get(_fibre(counts), 0))
        ),
        names=POOLED,
        mean=tuple(round(float(m), _DIGITS) for m in mean),
        covariance=tuple(
            tuple(round(float(c), _DIGITS) for c in covariance[i, : i + 1])
            for i in range(len(POOLED))
        ),
    )


def _fibre(counts: dict[tuple[str, str], int]) -> tuple[str, str]:
    """The strand among the groups of a job."""
    return next((group for group in counts if group[0] == "fibre"), ("fibre", ""))


def pooled_name(job: Job, name: str) -> str:
    """Give the pooled unknown that an unknown of a job is.

    Parameters
    ----------
    job : Job
        The job.
    name : str
        The unknown's name in its vector.

    Returns
    -------
    str
        The same, but for the gauge of a bench that goes by ear, and for the hand's pull and the
        place of the second loop of a line that is laid in.
    """
    if job.line.laid is not None and name in LAID_IN:
        return LAID_IN[name]
    return HEARD[0] if name == "gauge" and job.bench.gauge == "by ear" else name


def with_knowledge(job: Job, tables: ParameterVector) -> ParameterVector:
    """Let what the shop knows go before what the tables say.

    Parameters
    ----------
    job : Job
        The job, perhaps with the shop's knowledge.
    tables : ParameterVector
        The unknowns by the tables, uncorrelated.

    Returns
    -------
    ParameterVector
        The same where the shop knows nothing yet.
    """
    known = job.shop
    if known is None or known.builds == 0:
        return tables
    place = {name: i for i, name in enumerate(known.names)}
    found = [place.get(pooled_name(job, name), -1) for name in tables.names]
    rows = np.array([i for i in found if i >= 0])
    mine = np.array([k for k, i in enumerate(found) if i >= 0])
    size = len(known.names)
    whole = np.zeros((size, size))
    for i, row in enumerate(known.covariance):
        whole[i, : i + 1] = whole[: i + 1, i] = row
    u = tables.deviations[mine]
    mean, covariance = tables.mean.copy(), tables.covariance.copy()
    mean[mine] += u * np.asarray(known.mean)[rows]
    covariance[np.ix_(mine, mine)] = u[:, None] * whole[np.ix_(rows, rows)] * u
    return tables.with_updated(mean, covariance, _sources(tables, covariance, known.builds))


def _sources(tables: ParameterVector, covariance: Floats, builds: int) -> tuple[str, ...]:
    """Name the builds beside the table where they have told something."""
    now = np.sqrt(np.diagonal(covariance))
    said = f"; with {builds} finished {'build' if builds == 1 else 'builds'} of this shop"
    return tuple(
        source + said if u < 0.98 * before else source
        for source, u, before in zip(tables.sources, now, tables.deviations, strict=True)
    )


def shop_said(job: Job) -> str:
    """Say how many builds a plan rests on.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    str
        A sentence; empty where the shop knows nothing yet.
    """
    known = job.shop
    if known is None or known.builds == 0:
        return ""
    total = f"{known.builds} of your builds" if known.builds > 1 else "one of your builds"
    words = {"bench": "at", "family": "of", "fibre": "of", "lot": "of", "builder": "by"}
    parts = [f"{b.builds} {words[b.level]} {b.name}" for b in known.of if b.level in words]
    of = f": {', '.join(parts)}" if parts else ", none of them of this bench or fibre"
    return f"What is known beforehand comes from the tables and from {total}{of}."

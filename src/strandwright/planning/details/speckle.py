"""Speckle: the other colours of a yarn on its strands, and the separator on the bundle."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from strandwright.drawing import StrandPicture, ThreadPicture
from strandwright.drawing.helix import surface_owners
from strandwright.planning.details.split import peep_split
from strandwright.workshop.job import Job


def flecks_by_name(job: Job) -> dict[str, tuple[str, ...]]:
    """Give the other colours of a job's speckled yarns.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    dict
        ``#rrggbb`` of each, by the colour's name; plain yarns are left out.
    """
    found = {c.name: tuple(f for f in (c.second, c.third) if f) for c in job.makeup.colours}
    return {name: flecks for name, flecks in found.items() if flecks}


def with_flecks(strands: tuple[StrandPicture, ...], job: Job) -> tuple[StrandPicture, ...]:
    """Give strands the flecks of their yarns.

    Parameters
    ----------
    strands : tuple of StrandPicture
        The laid strands, by the names of their colours.
    job : Job
        The job.

    Returns
    -------
    tuple of StrandPicture
        The same in the same places.
    """
    flecks = flecks_by_name(job)
    if not flecks:
        return strands
    return tuple(replace(s, flecks=flecks.get(s.colour_name, ())) for s in strands)


def separator_pictures(strands: tuple[StrandPicture, ...], job: Job) -> tuple[ThreadPicture, ...]:
    """Place a job's separator on the bundle's surface, where its two groups meet.

    Parameters
    ----------
    strands : tuple of StrandPicture
        The laid strands, colour by colour.
    job : Job
        The job.

    Returns
    -------
    tuple of ThreadPicture
        One, or none where the make-up has no separator.
    """
    separator = job.makeup.separator
    if separator is None:
        return ()
    split = peep_split(job)
    chosen = set(split.groups[0])
    half = len(strands) - len(strands) // 2
    first = np.array(
        [s.colour_name in chosen if chosen else i < half for i, s in enumerate(strands)]
    )
    owned = first[surface_owners(strands)]
    changes = np.flatnonzero(owned != np.roll(owned, 1))
    phi = 2.0 * math.pi * float(changes[0] if len(changes) else 0) / len(owned)
    return (ThreadPicture(separator.name, phi, separator.colour),)

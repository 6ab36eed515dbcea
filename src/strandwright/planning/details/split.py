"""Split: how a line's strands part into two groups for a peep, and whether its colours show it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from strandwright.planning.winding.colours import is_one_bundle, lay_colours
from strandwright.workshop.job import Job


@dataclass(frozen=True)
class PeepSplit:
    """Two groups of strands that a peep sits between.

    Attributes
    ----------
    groups : tuple of tuple of str
        Names of the colours in each group; empty where whole colours do not make two groups.
    strands : tuple of int
        Strands in each group, the larger first where they differ [-]
    by_colour : bool
        True where the line between two colours, or groups of them, is the split.
    beside : bool
        True where each group's colours lie together in the bundle.
    separator : str
        Name of the thread laid between them; empty for none.
    """

    groups: tuple[tuple[str, ...], tuple[str, ...]]
    strands: tuple[int, int]
    by_colour: bool
    beside: bool
    separator: str

    @property
    def is_even(self) -> bool:
        """True where both groups have as many strands."""
        return self.strands[0] == self.strands[1]


def peep_split(job: Job) -> PeepSplit:
    """Find how a job's strands part in two.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    PeepSplit
        By whole colours where some of them make half of the strands, or one strand less than the
        rest of an odd count; else by count alone. Groups whose colours lie together come first.
    """
    count = job.makeup.strands
    smaller = count // 2
    separator = job.makeup.separator
    named = "" if separator is None else separator.name
    found = [
        (_beside(job, first), first)
        for size in range(1, len(job.makeup.colours))
        for first in combinations(range(len(job.makeup.colours)), size)
        if sum(job.makeup.colours[i].strands for i in first) == count - smaller
    ]
    if not found:
        none: tuple[tuple[str, ...], tuple[str, ...]] = ((), ())
        return PeepSplit(none, (count - smaller, smaller), False, False, named)
    beside, first = max(found, key=lambda each: each[0])
    names = [colour.name for colour in job.makeup.colours]
    groups = (
        tuple(names[i] for i in first),
        tuple(n for i, n in enumerate(names) if i not in first),
    )
    return PeepSplit(groups, (count - smaller, smaller), True, beside, named)


def _beside(job: Job, first: tuple[int, ...]) -> bool:
    """Whether the colours of both groups lie together in the bundle."""
    colours = tuple((c.name, c.colour, c.strands) for c in job.makeup.colours)
    strands = lay_colours(colours, job.makeup.pattern)
    chosen = {colours[i][0] for i in first}
    centres = np.array([(s.x, s.y) for s in strands])
    inside = np.array([s.colour_name in chosen for s in strands])
    return all(is_one_bundle(centres[part], centres) for part in (inside, ~inside))


def split_said(split: PeepSplit) -> tuple[str, ...]:
    """Say in words how to part the strands.

    Parameters
    ----------
    split : PeepSplit
        The split.

    Returns
    -------
    tuple of str
        One sentence each: the split, and what does not allow an even one.
    """
    first, second = split.strands
    if split.by_colour:
        one, other = (" and ".join(group) for group in split.groups)
        said = [f"between {one} and {other}, {first} and {second} strands"]
        if not split.beside:
            said.append("those colours do not lie together in the bundle: count the strands too")
    else:
        said = [f"its colours do not part into {first} and {second}: part it by count"]
        if not split.separator:
            said.append(
                "lay a separator thread between the two when winding, or choose two colours of "
                f"{first} and {second} strands"
            )
    if not split.is_even:
        said.append("an odd count does not part evenly: one side has a strand more")
    if split.separator:
        said.append(f"the thread '{split.separator}' lies between the two")
    return tuple(said)

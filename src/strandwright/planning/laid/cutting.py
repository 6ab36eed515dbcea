"""Cutting: the strands of each bundle, how long each is cut, and the common sums beside it."""

from __future__ import annotations

import math

from strandwright.errors import SpecError
from strandwright.planning.estimate import Estimate
from strandwright.planning.laid.ends import Paths
from strandwright.planning.laid.sharing_out import PLAIN, share_out
from strandwright.planning.prepare import Prepared
from strandwright.planning.result import Plan
from strandwright.planning.result.laid import CutBundle, CutList, CutSum, Share
from strandwright.planning.strand_stock import WAX_SPREAD
from strandwright.units import INCH
from strandwright.workshop.job import Job

#: Strands are cut to the next half inch, or the next centimetre [m]
_CUT_INCH, _CUT_METRIC = 0.5 * INCH, 0.01
#: A common sum that lies further off is told of [m]
FAR_OFF = 4.0 * INCH
#: Common practice, no source: bow length and this much, or the string less two ends of its
#: loops and for each end a loop and a tail [m]
OVER_BOW = 10.0 * INCH
OVER_STRING = (-4.0 + 4.0 + 4.0 + 6.0 + 6.0) * INCH


def colours_of(job: Job) -> tuple[tuple[str, str, int], ...]:
    """Give the colours of a job with their strands; one plain colour where it names none.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    tuple of (str, str, int)
        Name, ``#rrggbb``, strands [-]
    """
    if not job.makeup.colours:
        return ((*PLAIN, job.makeup.strands),)
    return tuple((c.name, c.colour, c.strands) for c in job.makeup.colours)


def shares_of(job: Job) -> tuple[Share, ...]:
    """Share a job's strands out to its bundles.

    Parameters
    ----------
    job : Job
        The job, laid in.

    Returns
    -------
    tuple of Share
        In the order they are cut, a run of the winding each.
    """
    assert job.line.laid is not None
    return share_out(colours_of(job), job.line.laid.bundles)


def cut_list(paths: Paths) -> CutList:
    """List the strands to cut.

    Parameters
    ----------
    paths : Paths
        Lengths of bundle.

    Returns
    -------
    CutList
        Bundles with the length of every strand, fibre, mass, sums.
    """
    prepared, ropes = paths.ropes.prepared, paths.ropes
    shares = shares_of(prepared.job)
    needed = paths.needed()
    to = _CUT_INCH if prepared.job.paper.units == "in" else _CUT_METRIC
    # What a steeper hand takes up has to be there; what it leaves over lies in the tails.
    longest = math.ceil((needed.value + needed.u95) / to - 1e-6) * to
    counts = [
        sum(s.strands for s in shares if s.bundle == number)
        for number in range(1, ropes.spec.bundles + 1)
    ]
    bundles = tuple(
        CutBundle(
            number,
            tuple(s for s in shares if s.bundle == number),
            _lengths(longest, strands, max(counts), ropes.step, ropes.spec.board),
        )
        for number, strands in enumerate(counts, start=1)
    )
    _refuse_short(paths, bundles)
    fibre = sum(sum(bundle.lengths) for bundle in bundles)
    return CutList(
        bundles=bundles,
        board=ropes.spec.board,
        step=ropes.step,
        needed=needed,
        longest=longest,
        taper=(max(counts) - 1) * ropes.step,
        fibre=fibre,
        mass=strand_mass(prepared, fibre),
        sums=_sums(prepared, needed.value),
    )


def _refuse_short(paths: Paths, bundles: tuple[CutBundle, ...]) -> None:
    """Refuse steps by which a strand would not reach through the body any more."""
    length = paths.ropes.prepared.model.line.length
    shortest = min(min(bundle.lengths) for bundle in bundles)
    if shortest > length:
        return
    told = paths.ropes.spec.step
    raise SpecError(
        "line.laid.step",
        "by practice" if told is None else told.text,
        "must leave the shortest strand longer than the line itself: tails end one after the "
        "other, and all of them before the body",
        "take a smaller step, or more bundles",
    )


def _lengths(longest: float, strands: int, most: int, step: float, board: str) -> tuple[float, ...]:
    """Cut lengths of a bundle [m].

    On a stepped board each strand ends a step short of the one before at either end. Between two
    nails all are alike, and are laid a step further along each: the tails fade out as much.
    """
    if board == "two nails":
        return (longest - (most - 1) * step,) * strands
    return tuple(longest - 2.0 * k * step for k in range(strands))


def cuts_of_run(plan: Plan, run: int) -> tuple[float, ...]:
    """Give what the strands of a run are cut to, in their order.

    Parameters
    ----------
    plan : Plan
        The plan.
    run : int
        A colour of a bundle, from 0 [-]

    Returns
    -------
    tuple of float
        Lengths; none for a line that is wound [m]
    """
    if plan.laid is None:
        return ()
    cuts: list[tuple[float, ...]] = []
    for bundle in plan.laid.cut.bundles:
        first = 0
        for share in bundle.shares:
            cuts.append(bundle.lengths[first : first + share.strands])
            first += share.strands
    return cuts[run]


def strand_mass(prepared: Prepared, length: float) -> Estimate:
    """Mass of so much strand, waxed.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    length : float
        Of strand [m]

    Returns
    -------
    Estimate
        Mass [kg]
    """
    strand = prepared.strand
    fibre = length * strand.stock.linear_density
    relative = strand.datum("linear_density").relative_uncertainty
    waxed = fibre * (1.0 + strand.stock.wax)
    return Estimate(waxed, math.hypot(waxed * relative, WAX_SPREAD * fibre), "kg")


def _sums(prepared: Prepared, needed: float) -> tuple[CutSum, ...]:
    bow = prepared.job.bow.bow_length
    told = [] if bow is None else [("bow length and 10 in", bow.si + OVER_BOW)]
    told.append(
        (
            "string less 4 in, and for each end 4 in of loop and 6 in of tail",
            prepared.model.line.length + OVER_STRING,
        )
    )
    return tuple(CutSum(name, length, abs(needed - length) > FAR_OFF) for name, length in told)

"""The upper loop of a recurve or longbow: it goes round the limb it slides down when unstrung.

An upper loop is larger than the lower so that, off its nock, it slides down the limb. Round a
limb of width w and thickness t its inside goes at least 2 (w + t); laid flat that is w + t.
"""

from __future__ import annotations

from strandwright.planning.brace_wish import is_bent
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Fit
from strandwright.planning.servings.centre import upper_end
from strandwright.planning.written import Written
from strandwright.reference import practice
from strandwright.workshop.job import Job
from strandwright.workshop.parts import LoopEnd, Peg

#: Loops that differ by less are alike [m]
_ALIKE = 1e-6


def upper_loop_fits(job: Job) -> tuple[Fit, ...]:
    """Check a bow's upper loop against its limb, and against the lower loop.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    tuple of Fit
        Sizes are inside lengths laid flat. None for a bow with wheels, where the ends' names do
        not tell which is up, and where the limb was not measured and the loops are as usual.
    """
    up = upper_end(job) if is_bent(job) else None
    if up is None:
        return ()
    ends = (job.line.zero_end, job.line.far_end)
    upper, lower = ends if up == "zero" else ends[::-1]
    pegs = {peg.name: peg for peg in job.bow.pegs}
    found = [_larger_than(upper, lower, Written.on(job.paper))]
    if upper.peg in pegs:
        found.append(_down_the_limb(upper, pegs[upper.peg], Written.on(job.paper)))
    return tuple(fit for fit in found if fit is not None)


def _larger_than(upper: LoopEnd, lower: LoopEnd, to: Written) -> Fit | None:
    """Say that the loops look turned end for end; nothing where they do not."""
    if upper.size.si >= lower.size.si - _ALIKE:
        return None
    sentence = (
        f"smaller than the lower loop, {to.fine(lower.size.si)}: the upper one slides down the "
        "limb; look whether the two are changed about"
    )
    size = Estimate(upper.size.si, 0.0, "m")
    return Fit(f"{upper.name} loop", "lower loop", size, lower.size.si, "tight", sentence)


def _down_the_limb(upper: LoopEnd, peg: Peg, to: Written) -> Fit | None:
    """Hold the loop to the limb where it lies unstrung, where that was measured."""
    if peg.limb_width is None or peg.limb_thickness is None:
        return None
    round_it = 2.0 * (peg.limb_width.si + peg.limb_thickness.si)
    needed = 0.5 * (round_it + practice("top_loop.room").value)
    size = Estimate(upper.size.si, 0.0, "m")
    spare = size.value - needed
    if spare >= -_ALIKE:
        sentence = f"slides down the limb when unstrung, {to.small(max(spare, 0.0))} to spare"
        verdict = "fits"
    else:
        sentence = (
            f"does not slide down a limb of {peg.limb_width.text} by {peg.limb_thickness.text}: "
            f"make the loop {to.fine(needed)} or more"
        )
        verdict = "tight"
    against = f"limb below {peg.name}"
    return Fit(f"{upper.name} loop", against, size, needed, verdict, sentence)

r"""The family of bows that agree with what is known of one whose wheels nobody has measured.

Each member starts from its own draw of the prior (sizes met with on such bows) and is fitted to
its own draw of what is known, each with its +-: it takes the least

.. math:: \tfrac12 |x - x_i|^2 + \tfrac12 \sum_k \bigl((f_k(x) - y_{k,i})/u_k\bigr)^2,

:math:`x` the sizes in units of their prior's spread. Members so found are draws of what the
knowledge leaves open, exactly so where f is straight (randomise, then optimise: Bardsley,
Solonen, Haario and Laine, SIAM J. Sci. Comput. 36 (2014)). All members are fitted at once.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.comparison import Comparison, laid_out
from strandwright.bow.descent import descend
from strandwright.bow.draw_cycle import DrawCycle, draw_cycle
from strandwright.bow.equilibrium import Trouble
from strandwright.bow.figures import Figures, figures
from strandwright.bow.knowledge import LOGARITHMIC as LOGARITHMIC
from strandwright.bow.knowledge import Known, Spread
from strandwright.bow.rig import Rig, rows_of
from strandwright.bow.strung import Strung
from strandwright.bow.systems import Sizes, stopped
from strandwright.errors import SpecError

Floats = NDArray[np.float64]
#: States of the draw that finds where the wheels stand at the wall.
_POINTS = 9
#: States of a member's draw.
_ALL_POINTS = 41
#: Misfit in standard uncertainties past which a member does not agree with what is known.
_AGREES = 3.0


@dataclass(frozen=True)
class Family:
    """Bows that agree with what is known.

    Attributes
    ----------
    known : Known
        What they agree with.
    strung : Strung
        The members, as a batch, at their braces.
    cycle : DrawCycle
        Their draws.
    figures : Figures
        Their figures.
    sizes : Sizes
        Their sizes.
    misfit : ndarray, shape (members,)
        Worst misfit of each member, in standard uncertainties [-].
    tried : int
        Members begun; those that did not come to agree are left out [-].
    """

    known: Known
    strung: Strung
    cycle: DrawCycle
    figures: Figures
    sizes: Sizes
    misfit: Floats
    tried: int

    @property
    def members(self) -> int:
        """How many bows [-]."""
        return len(self.misfit)


def fit_family(
    known: Known, prior: Mapping[str, Spread], members: int = 64, seed: int = 1
) -> Family:
    """Find bows that agree with what is known.

    Parameters
    ----------
    known : Known
        What is known.
    prior : Mapping of str to Spread
        Sizes met with, for every size that is not exact; tension at brace and limb stiffness
        are refined to the known weight at once, so theirs may be rough.
    members : int
        Bows to look for, >= 4 [-]
    seed : int
        Of the draws; the same seed gives the same family [-]

    Returns
    -------
    Family
        At least a quarter of the members asked for.

    Raises
    ------
    SpecError
        If hardly any bow of this kind agrees with what is known.
    """
    rng, fit = np.random.default_rng(seed), Comparison(known, prior)
    own = rng.standard_normal((members, len(prior)))
    noise = rng.standard_normal((members, fit.count))
    full = known.full[0] + known.full[1] * rng.standard_normal(members)
    x, misfit = descend(fit, own, noise, full)
    rows = np.flatnonzero(misfit < _AGREES)
    _refuse_few(len(rows), members)
    sizes = fit.sizes(x[rows])
    free, last = _unstopped(known, sizes, full[rows])
    firm = np.flatnonzero([trouble is Trouble.NONE for trouble in last.trouble])
    _refuse_few(len(firm), members)
    sizes, free, last = _kept(known, sizes, free, last, firm)
    standing, cycle = _to_the_wall(known, free, last)
    # Where wheels run apart, what was followed need not be the bow that stands there.
    misfit, stands = fit.missed(standing, cycle, noise[rows[firm]])
    agree = np.flatnonzero(stands & (misfit < _AGREES))
    _refuse_few(len(agree), members)
    sizes, standing, cycle = _kept(known, sizes, standing, cycle, agree)
    return Family(known, standing, cycle, figures(cycle), sizes, misfit[agree], members)


def _refuse_few(agree: int, members: int) -> None:
    if agree < members // 4:
        raise SpecError(
            "bow",
            f"{agree} of {members}",
            "bows of this kind agree with axle-to-axle, brace, draw length, weight and let-off",
            "check these numbers and the kind of bow, or give them a wider +-",
        )


def _unstopped(known: Known, sizes: Sizes, full: Floats) -> tuple[Strung, DrawCycle]:
    """Bows without stops, and their draws: a bow stands all the way without what ends it.

    A crossbow's is its draw to the latch. A bow held upright has it only to find where its stops
    are met.
    """
    free = laid_out(known, sizes)
    points = _POINTS if known.rail is None else _ALL_POINTS
    return free, draw_cycle(free.rig, free.brace, free.directions, full, points).value


def _to_the_wall(known: Known, free: Strung, last: DrawCycle) -> tuple[Strung, DrawCycle]:
    """Bows with the stops that they meet at the end of their draw, and drawn to these."""
    if known.rail is not None:
        return free, last
    standing, full = stopped(free, last.q[:, -1]), last.draw[:, -1]
    at_brace = standing.brace, standing.directions
    return standing, draw_cycle(standing.rig, *at_brace, full, _ALL_POINTS).value


def _kept(
    known: Known, sizes: Sizes, standing: Strung, cycle: DrawCycle, rows: NDArray[np.intp]
) -> tuple[Sizes, Strung, DrawCycle]:
    """Some of the bows that were drawn, by themselves, with the stops they were drawn to."""
    if len(rows) == len(cycle.draw):
        return sizes, standing, cycle
    sizes = rows_of(sizes, rows)
    free = laid_out(known, sizes)
    bow = replace(free.bow, stops=standing.rig.taken(rows).bow.stops)
    alone = replace(free, bow=bow, rig=Rig(bow))
    return sizes, alone, replace(cycle.taken(rows), rig=alone.rig)


def taken(family: Family, rows: NDArray[np.intp]) -> Family:
    """Give some members of a family.

    Parameters
    ----------
    family : Family
        The family.
    rows : ndarray of int
        Members to keep [-]

    Returns
    -------
    Family
        Laid out anew from their sizes, so that nothing is carried over.
    """
    sizes = rows_of(family.sizes, rows)
    free, last = _unstopped(family.known, sizes, family.cycle.draw[rows, -1])
    standing, cycle = _to_the_wall(family.known, free, last)
    read, misfit = figures(cycle), family.misfit[rows]
    return replace(family, strung=standing, cycle=cycle, figures=read, sizes=sizes, misfit=misfit)

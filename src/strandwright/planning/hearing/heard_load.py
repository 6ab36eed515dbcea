"""A heard load: what a pluck says of the load on the line, and why it is not surer."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strandwright.numerics.budget import Contribution
from strandwright.planning.estimate import Estimate
from strandwright.vibration.heard import Heard


@dataclass(frozen=True)
class HeardLoad:
    """The load that one pluck, or several together, tell of.

    Attributes
    ----------
    load : Estimate
        The load [N]
    own : float
        Relative standard uncertainty that is not the same in the next pluck of this line [-]
    budget : tuple of Contribution
        What makes its uncertainty, largest first.
    plucks : int
        How many plucks it rests on [-]
    scatter : float
        Relative range of their loads; 0 for one [-]
    """

    load: Estimate
    own: float
    budget: tuple[Contribution, ...] = ()
    plucks: int = 1
    scatter: float = 0.0

    @property
    def common(self) -> float:
        """Relative standard uncertainty that every pluck of this line has alike [-]."""
        relative = self.load.u / self.load.value
        return math.sqrt(max(relative**2 - self.own**2, 0.0))


@dataclass(frozen=True)
class Listened:
    """What a sound says of the line it is of.

    Attributes
    ----------
    plucks : tuple of (Heard, HeardLoad)
        Each pluck that gave a pitch, with the load it tells of, the earliest first.
    refused : Heard or None
        What stood in the way, where none did.
    """

    plucks: tuple[tuple[Heard, HeardLoad], ...]
    refused: Heard | None = None

    @property
    def load(self) -> HeardLoad | None:
        """The load that the plucks tell of together."""
        loads = [load for _, load in self.plucks]
        return None if not loads else loads[0] if len(loads) == 1 else together(loads)


def together(plucks: Sequence[HeardLoad]) -> HeardLoad:
    """Take several plucks of one line at one load together.

    Parameters
    ----------
    plucks : sequence of HeardLoad
        One at the least.

    Returns
    -------
    HeardLoad
        Their weighted mean; its own uncertainty is the larger of what each says of itself and
        what they differ by.

    Notes
    -----
    The scatter of few plucks is itself known poorly: its t-factor at 68 % is counted.
    """
    log_load = np.log([p.load.value for p in plucks])
    own = np.array([max(p.own, 1e-6) for p in plucks])
    count = len(plucks)
    spread = float(np.std(log_load, ddof=1)) if count > 1 else 0.0
    # Where they differ by more than they say, the one that says least is not the one to go by.
    weight = 1.0 / (own**2 + spread**2)
    mean = float(weight @ log_load / np.sum(weight))
    inside = float(np.sum(own**-2)) ** -0.5
    outside = _T_FACTOR.get(count, 1.0) * spread / math.sqrt(count)
    each, load = max(inside, outside), math.exp(mean)
    common = max(p.common for p in plucks)
    return HeardLoad(
        load=Estimate(load, load * math.hypot(each, common), "N"),
        own=each,
        budget=plucks[-1].budget,
        plucks=count,
        scatter=math.exp(float(np.ptp(log_load))) - 1.0,
    )


#: Student's t over the normal at one sigma, for so many readings (JCGM 100:2008, table G.2) [-]
_T_FACTOR = {2: 1.84, 3: 1.32, 4: 1.20, 5: 1.14, 6: 1.11, 7: 1.09, 8: 1.08}

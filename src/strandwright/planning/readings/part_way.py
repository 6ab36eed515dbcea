"""Part way: at how many turns the reading on the way to the full turns is taken."""

from __future__ import annotations

import math
from dataclasses import replace

from strandwright.planning.prepare import Prepared
from strandwright.planning.settings import Chosen, round_to

#: The reading part way leaves a tenth of the turns to be put in after it [-]
MOST_OF = 0.9


def with_part_way(prepared: Prepared, chosen: Chosen) -> Prepared:
    """Give the job with its reading part way at the turns where it tells the most.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    chosen : Chosen
        The settings, with how sure their length is.

    Returns
    -------
    Prepared
        With the reading at as many turns as the line will need with a chance of 97.5 %, but no
        more than ``MOST_OF`` of those planned, nor less than half to a half turn.

    Notes
    -----
    What turns take up goes with their square, so a reading at half the turns has its own error
    fourfold in what the rest of them will do, one at nine tenths not by a quarter more. What is
    read past the turns that are needed has to be taken out again.
    """
    turns = chosen.settings.turns
    if turns <= 0.0:
        return prepared
    unsure = 1.96 * chosen.aim.u / chosen.slope if chosen.slope > 0.0 else 0.0
    surely = math.sqrt(max(turns**2 - unsure, 0.0))
    part = math.floor(2.0 * min(surely, MOST_OF * turns)) / 2.0
    # Half a turn is the least that can be put in: a stop at none would tell nothing of the twist.
    share = max(part, round_to(0.5 * turns, 0.5), 0.5) / turns
    route = prepared.model.route
    stages = tuple(replace(s, turns_share=share) if s.key == "half" else s for s in route.stages)
    return replace(prepared, model=replace(prepared.model, route=replace(route, stages=stages)))

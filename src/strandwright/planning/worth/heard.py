"""Heard: what it did to a line's +- that its loads are heard and not judged by feel."""

from __future__ import annotations

from dataclasses import replace

from strandwright.planning.guided import guided_uncertainty
from strandwright.planning.readings.noise import read_noise
from strandwright.planning.unknowns import BY_EAR
from strandwright.planning.worth.grounds import Grounds, narrowed
from strandwright.planning.written import Written
from strandwright.reference import practice


def heard_said(grounds: Grounds, now: float) -> str:
    """Say what it did to the +- that the loads are heard and not judged by feel.

    Parameters
    ----------
    grounds : Grounds
        What is known of the line.
    now : float
        The guided uncertainty as it is [m]

    Returns
    -------
    str
        A sentence; empty where the bench does not go by ear.
    """
    prepared, tools = grounds.prepared, grounds.tools
    if prepared.job.bench.gauge != BY_EAR:
        return ""
    to = Written.on(prepared.job.paper)
    felt = narrowed(grounds.known, "gauge", practice("gauge.none").value)
    noise = read_noise(prepared, prepared.loads.measure, gauge="none")
    by_feel = replace(tools, reading=noise)
    u = guided_uncertainty(prepared, grounds.spread, by_feel, felt)
    chance = grounds.knowing(felt, by_feel).chances().after
    heard = 200.0 * grounds.known.standard_uncertainty("gauge")
    return (
        f"Loads that are heard are good to {heard:.0f} %: the finished length stands to "
        f"± {to.small(2.0 * now)}, where loads judged by feel would leave "
        f"± {to.small(2.0 * u)} and a chance of {to.chance(chance)}"
    )

"""How surely a length is read: the look, its rounding, posts that lean, the pull's own scatter."""

from __future__ import annotations

import math

from strandwright.line.unknowns import HEARD
from strandwright.planning.prepare import Prepared, at_mean
from strandwright.planning.readings.tape import reading_uncertainty
from strandwright.planning.unknowns import BY_EAR
from strandwright.reference import practice
from strandwright.units import Entered

#: Step over which the slope of strain with load is taken [-]
_STEP = 0.01


def pull_scatter(gauge: str) -> float:
    """Relative scatter of the load from one pull to the next at the same reading of a gauge.

    Parameters
    ----------
    gauge : str
        Kind of gauge as the bench names it.

    Returns
    -------
    float
        Standard deviation of the load over the load, from the reference table [-]
    """
    return practice(f"pull_scatter.{gauge.replace(' ', '_')}").value


def read_noise(
    prepared: Prepared,
    load: float,
    *,
    turns: float = 0.0,
    length: Entered | None = None,
    stated_load: Entered | None = None,
    gauge: str = "",
    heard: bool = False,
) -> float:
    """Standard uncertainty of one length reading by itself, whatever the line is like.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    load : float
        Load it is read at [N]
    turns : float
        Turns in the line [turn]
    length : Entered or None
        The reading as typed; None for one still to be taken.
    stated_load : Entered or None
        The load as typed with it; its +- counts where it has one.
    gauge : str
        Kind of gauge; empty takes the bench's own.
    heard : bool
        True where the load was told by the pluck. Of its +- only what is not in all heard loads
        alike counts here; that is an unknown of its own.

    Returns
    -------
    float
        Tape, pull, and turns that wander under servings, together [m]
    """
    tape = reading_uncertainty(prepared.job, length)
    beside = practice("tape.beside_the_line").value
    scatter = pull_scatter(BY_EAR if heard else gauge or prepared.job.bench.gauge)
    if stated_load is not None and stated_load.standard_uncertainty is not None:
        stated = stated_load.standard_uncertainty / stated_load.si
        scatter = _of_its_own(prepared, stated, scatter) if heard else stated
    pull = scatter * stretch_per_load(prepared, load)
    return math.hypot(tape, beside, pull, _wandering(prepared, turns))


def _of_its_own(prepared: Prepared, stated: float, scatter: float) -> float:
    """What of a heard load's relative +- is not the same in every heard load of the line."""
    name = "gauge" if prepared.job.bench.gauge == BY_EAR else HEARD[0]
    if name not in prepared.parameters.names:
        return stated
    shared = prepared.parameters.standard_uncertainty(name)
    return max(math.sqrt(max(stated**2 - shared**2, 0.0)), scatter)


def _wandering(prepared: Prepared, turns: float) -> float:
    """What turns under a serving leave open that was on before them: each pull moves some on."""
    model = prepared.model
    if not model.route.served_before_twist:
        return 0.0
    diameter = float(model.core_diameter(at_mean(prepared.parameters), served=False)[0])
    take_up = (math.pi * diameter * turns) ** 2 / (4.0 * model.line.length)
    return practice("turns.wandering").value * take_up


def stretch_per_load(prepared: Prepared, load: float) -> float:
    """Change of the line's length for a relative change of the load, at the unknowns' means.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    load : float
        Load on the line [N]

    Returns
    -------
    float
        Length over the logarithm of load, of the straight strands [m]
    """
    model, q = prepared.model, at_mean(prepared.parameters)
    strains = [float(model.line_strain(q, q["gauge"] * load * k)[0]) for k in (1.0, 1.0 + _STEP)]
    return model.line.length * (strains[1] - strains[0]) / _STEP
